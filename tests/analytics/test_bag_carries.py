"""The bag as analysis reads it: its clubs as they are now, and the carries of the carry chart."""

from datetime import timedelta

import pytest

from analytics.bag_carries import bag_carries
from analytics.metrics.carry_chart import carry_chart
from analytics.stock import balls_for_surface
from practice.clubs.models import ClubSetup
from practice.clubs.swings import CLOCK_SWINGS
from tests import make
from tests.analytics.stock_balls import hit

pytestmark = pytest.mark.django_db
THREE = [50.0, 52.0, 54.0]


@pytest.fixture
def player():
    return make.make_player(make.make_academy())


@pytest.fixture
def venue(player):
    return make.make_range(player.academy)


def test_the_clubs_come_from_the_least_loft_up_with_what_holds_now_and_the_loft_they_were_made_with(player):
    bent = make.make_club(player, "56", loft_deg=56.0)
    since = player.academy.today() - timedelta(days=3)
    ClubSetup.objects.create(club=bent, loft_deg=54.0, bounce_deg=10.0, valid_from=since, reason="bent")
    make.make_club(player, "50", loft_deg=50.0)
    make.make_club(player, "?", loft_deg=None)
    make.make_club(player, "old", carried=False)
    make.make_putter(player)
    found = [(each.label, each.loft_deg, each.bounce_deg, each.made_loft_deg) for each in bag_carries(player).clubs]
    assert found == [
        ("50", 50.0, None, 50.0),
        ("56", 54.0, 10.0, 56.0),
        ("?", None, None, None),
        ("Putter", None, None, None),
    ]


def test_the_surface_is_that_of_the_carry_chart(player, venue):
    hit(make.make_club(player, "50", loft_deg=50.0), venue, [carry_m + 8 for carry_m in THREE])
    club = make.make_club(player)
    hit(club, venue, THREE)
    hit(club, venue, [30.0], wind="windy")
    hit(make.make_club(player, "7i", loft_deg=34.0), venue, [120.0])
    bag = bag_carries(player)
    chart = carry_chart(balls_for_surface(bag.found.cells), list(CLOCK_SWINGS))
    assert bag.surface == chart.surface
    assert bag.surface.predict("56", "9:00") == chart.surface.predict("56", "9:00")
    assert bag.surface.lofts_deg == {"50": 50.0, "56": 56.0}


def test_the_set_of_balls_can_be_chosen(player, venue):
    club = make.make_club(player)
    hit(club, venue, THREE)
    hit(club, venue, [60.0], ball_type="own")
    assert bag_carries(player).found.key == "range-grass"
    chosen = bag_carries(player, "own-grass")
    assert (chosen.found.ball_type, chosen.surface.predict("56", "9:00").n) == ("own", 1)


def test_without_a_ball_of_a_pitching_club_there_is_no_surface(player, venue):
    club = make.make_club(player, "7i", loft_deg=34.0)
    assert (bag_carries(player).found, bag_carries(player).surface) == (None, None)
    hit(club, venue, [120.0])
    assert bag_carries(player).found is not None
    assert bag_carries(player).surface is None


def test_the_queries_do_not_grow_with_clubs_and_shots(player, venue, django_assert_num_queries):
    hit(make.make_club(player), venue, THREE)
    with django_assert_num_queries(5):
        bag_carries(player)
    for label in ("48", "52", "60"):
        hit(make.make_club(player, label), venue, THREE, surface="mat")
    make.make_putter(player)
    with django_assert_num_queries(5):
        bag_carries(player)
