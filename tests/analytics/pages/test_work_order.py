"""The work order for the fitter; how it prints is tested in the browser."""

import pytest
from django.test import Client
from django.urls import reverse

from analytics.pages.work_order import work_order
from tests import make
from tests.analytics.bent_bag import make_bag

pytestmark = pytest.mark.django_db


@pytest.fixture
def clubs(player, venue):
    return make_bag(player, venue)


def answer(player, *bends, status=200):
    client = Client()
    client.force_login(make.make_staff(player.academy))
    response = client.get(reverse("analytics:work_order", args=[player.pk]), {"bend": bends})
    assert response.status_code == status
    return response.content.decode()


def test_each_head_to_be_bent_has_its_lofts_bend_and_expected_bounce(player, clubs):
    order = work_order(player, [f"{clubs['55'].pk}:56.5", f"{clubs['60'].pk}:59"])
    told = [(r.club, r.loft_now, r.loft_wanted, r.bend, r.bounce_now, r.bounce_then, r.limit) for r in order.rows]
    assert told == [
        ("55", "55°", "56.5°", "1.5° more loft", "10°", "11.5°", "53° to 57°"),
        ("60", "60°", "59°", "1° less loft", "10°", "9°", "58° to 62°"),
    ]


def test_what_is_not_entered_is_a_dash_and_no_guess(player, clubs):
    clubs["55"].setups.update(bounce_deg=None)
    (row,) = work_order(player, [f"{clubs['55'].pk}:56"]).rows
    assert (row.bounce_now, row.bounce_then) == ("–", "–")
    assert "not entered" in answer(player, f"{clubs['55'].pk}:56")


def test_the_type_of_the_head_is_told(player, clubs):
    clubs["55"].head_type = "cast"
    clubs["55"].save()
    (row,) = work_order(player, [f"{clubs['55'].pk}:56"]).rows
    assert (row.head.lower(), row.limit) == ("cast", "54° to 56°")


def test_without_a_bend_it_asks_to_measure_every_head_but_the_putter(player, clubs):
    make.make_putter(player)
    make.make_club(player, "odd", loft_deg=None)
    order = work_order(player, [])
    assert [row.club for row in order.rows] == ["45", "50", "55", "60", "odd"]
    assert {row.loft_wanted for row in order.rows} == {""}
    html = answer(player)
    assert "Work order: measure the lofts" in html
    assert "No bend is chosen" in html


def test_it_has_places_for_what_was_measured_date_and_signature_and_the_caution(player, clubs):
    html = answer(player, f"{clubs['55'].pk}:56")
    words = ("loft before", "loft after", "bounce after", "Date", "signature", "A qualified club fitter decides")
    assert all(word in html for word in (*words, "between rounds only", "Rule 4.1a", player.name))


def test_it_needs_no_stock_ball(player):
    club = make.make_club(player, "55", loft_deg=55.0)
    assert work_order(player, [f"{club.pk}:56"]).rows[0].loft_wanted == "56°"


@pytest.mark.parametrize(
    ("loft", "words"),
    [("58", "55: choose a loft of 53° to 57°"), ("x", "in degrees"), ("", "in degrees"), ("nan", "in degrees")],
)
def test_a_bend_that_cannot_be_is_told_and_nothing_is_printed(player, clubs, loft, words):
    html = answer(player, f"{clubs['55'].pk}:{loft}", f"{clubs['60'].pk}:59", status=422)
    assert words in html
    assert "signature" not in html


def test_a_club_of_somebody_else_and_a_putter_are_refused(player, clubs):
    other, putter = make.make_club(make.make_player(player.academy)), make.make_putter(player)
    assert "is not in the bag any more" in answer(player, f"{other.pk}:56", status=422)
    assert "is not in the bag any more" in answer(player, "rubbish", status=422)
    assert "Putter: a putter is not bent for carry" in answer(player, f"{putter.pk}:5", status=422)


def test_an_empty_bag_says_that_there_is_nothing_to_measure(player):
    assert "There is no club in the" in answer(player)
