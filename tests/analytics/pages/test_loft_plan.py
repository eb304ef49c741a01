"""The loft plan on the page. That the search finds the best lofts is tested with the metrics."""

import pytest
from django.http import QueryDict
from django.test import Client
from django.urls import reverse

from analytics.bag_carries import bag_carries
from analytics.metrics.loft_plan import plan_lofts
from analytics.pages.loft_plan import loft_plan_page, plan_clubs
from practice.clubs.models import Club
from tests import make
from tests.analytics.bent_bag import SPREAD, full_m, make_bag
from tests.analytics.stock_balls import hit

pytestmark = pytest.mark.django_db


def answer(player, query="", *, status=200, htmx=False):
    client = Client(headers={"HX-Request": "true", "HX-Target": "plan"} if htmx else {})
    client.force_login(make.make_staff(player.academy))
    response = client.get(f"{reverse('analytics:loft_plan', args=[player.pk])}?{query}")
    assert response.status_code == status
    return response.content.decode()


def page_of(player, query=""):
    return loft_plan_page(player, QueryDict(query))


def lofts_of(page):
    return [row.loft_then for row in page.plan.rows]


def test_a_bag_with_an_uneven_step_is_planned_even_and_said_in_words(player, venue):
    clubs = make_bag(player, venue, lofts_deg=(45, 50, 56, 60), balls=8)
    page = page_of(player)
    plan = plan_lofts(plan_clubs(player, bag_carries(player)))
    assert plan.verdict == "bend"
    assert lofts_of(page) == [f"{club.loft_deg:g}°" for club in plan.clubs]
    gain = f"{plan.gain_m:.1f} m"
    bent = [club for club in plan.clubs if club.bend_deg]
    bends = "; ".join(f"{each.label}: 0.5° {'more' if each.bend_deg > 0 else 'less'} loft" for each in bent)
    assert page.plan.sentence == f"{bends}. The largest gap gets {gain} smaller."
    assert f"Standard error of that gain: {plan.gain_se_m:.1f} m." in page.plan.details
    assert [row.now for row in page.plan.gaps] == [f"{gap:.1f}" for gap in plan.gaps_now_m]
    assert [row.then for row in page.plan.gaps] == [f"{gap:.1f}" for gap in plan.gaps_m]
    row, last = page.plan.rows[2], bent[-1]
    assert (row.club, row.bounce, row.limit) == ("56", f"{10 + last.bend_deg:g}°", "54° to 58°")
    assert page.plan.order == "&".join(f"bend={clubs[each.label].pk}%3A{each.loft_deg:g}" for each in bent)


def test_the_clubs_of_the_plan_carry_what_the_surface_says_with_its_errors(player, venue):
    make_bag(player, venue, lofts_deg=(45, 50, 56))
    bag = bag_carries(player)
    for club in plan_clubs(player, bag):
        carry = bag.surface.predict(club.label, "full")
        assert club.carry_m(club.loft_deg) == carry.carry_m
        assert club.carry_m(club.loft_deg + 1) == bag.surface.bent(club.label, club.loft_deg + 1)["full"].carry_m
        assert club.se_m == carry.se_m
        assert club.slope_se_m_per_deg == bag.surface.slope_se_m(club.label, club.loft_deg, "full")
        assert (club.limit_deg, club.made_deg) == (2.0, club.loft_deg)


def test_an_even_bag_is_no_change_and_has_no_work_order(player, venue):
    make_bag(player, venue, lofts_deg=(45, 51, 57), balls=8)
    page = page_of(player)
    assert page.plan.sentence.startswith("No change: ")
    assert lofts_of(page) == ["45°", "51°", "57°"]
    assert page.plan.order == ""
    assert "Work order" not in answer(player)


@pytest.mark.parametrize(
    ("lofts_deg", "balls", "words"),
    [
        ((45, 55), 2, "No change: no lofts within the limits make the largest gap smaller."),
        ((45, 49.8, 55), 20, "for under a yard nothing is bent"),
        ((45, 51, 56, 60), 1, "that is within error"),
    ],
)
def test_every_reason_to_bend_nothing_has_its_words(player, venue, lofts_deg, balls, words):
    make_bag(player, venue, lofts_deg=lofts_deg, balls=balls)
    assert words in page_of(player).plan.sentence


def test_a_plan_for_steps_that_may_be_even_as_they_are_says_so(player, venue):
    make_bag(player, venue, lofts_deg=(46, 50, 58))
    short = make.make_club(player, "54", loft_deg=54.0)
    hit(short, venue, [(full_m(54) - 4) * (1 + off) for off in SPREAD] * 2, swing="full")
    unsure = page_of(player).plan
    assert unsure.sentence == "54: 1° less loft. The largest gap gets 2.5 m smaller."
    assert "may be even as they are" in unsure.doubt
    assert unsure.doubt in answer(player)


def test_a_plan_for_steps_that_are_uneven_for_sure_has_no_such_doubt(player, venue):
    make_bag(player, venue, lofts_deg=(45, 53, 56, 60), balls=40)
    assert page_of(player).plan.order
    assert page_of(player).plan.doubt == ""


def test_whole_degrees_can_be_asked_for(player, venue):
    make_bag(player, venue, lofts_deg=(45, 50, 56, 60), balls=8)
    assert all(loft.removesuffix("°").isdigit() for loft in lofts_of(page_of(player, "step=1")))
    assert "Compared: 81 sets of lofts" in " ".join(page_of(player).plan.details)
    assert "Compared: 25 sets of lofts" in " ".join(page_of(player, "step=1").plan.details)


def test_an_end_stays_until_it_is_released_and_lost_range_is_told(player, venue):
    make_bag(player, venue, lofts_deg=(45, 53, 57), balls=8)
    kept, freed = page_of(player), page_of(player, "step=0.5&release=least")
    assert lofts_of(kept)[0] == "45°"
    assert lofts_of(freed)[0] == "47°"
    assert any("range given up for evenness" in sentence for sentence in freed.plan.details)
    assert not any("range given up" in sentence for sentence in kept.plan.details)
    assert "45, the least lofted" in answer(player)


def test_a_head_that_is_not_to_be_bent_stays(player, venue):
    clubs = make_bag(player, venue, lofts_deg=(45, 50, 56, 60), balls=8)
    Club.objects.filter(pk=clubs["56"].pk).update(bend_limit_deg=0)
    row = next(row for row in page_of(player).plan.rows if row.club == "56")
    assert (row.loft_then, row.limit) == ("56°", "not bent")


def test_a_club_without_balls_keeps_its_place_and_its_loft(player, venue):
    make_bag(player, venue, lofts_deg=(45, 50, 60), balls=8)
    make.make_club(player, "55", loft_deg=55.0)
    page = page_of(player)
    assert next(row for row in page.plan.rows if row.club == "55").loft_then == "55°"
    assert len(page.plan.gaps) == 3
    assert any(sentence.startswith("55: no stock ball counts, so it stays as it is") for sentence in page.plan.details)


def test_a_bag_as_planned_and_hit_again_needs_no_more(player, venue):
    clubs = make_bag(player, venue, lofts_deg=(45, 50, 56, 60), balls=8)
    wanted = {row.club: float(row.loft_then.removesuffix("°")) for row in page_of(player).plan.rows if row.bent}
    for label, loft_deg in wanted.items():
        clubs[label].setups.create(loft_deg=loft_deg, valid_from="2020-01-05", reason="bent")
        hit(clubs[label], venue, [full_m(loft_deg) * (1 + off) for off in (-0.04, 0.0, 0.04)] * 12, swing="full")
    page = page_of(player)
    assert not any(row.bent for row in page.plan.rows)
    assert page.plan.sentence.startswith("No change: ")


# --- what is refused


def test_fifteen_clubs_are_refused_by_the_rule(player, venue):
    make_bag(player, venue)
    for n in range(11):
        make.make_club(player, f"iron {n}", loft_deg=18.0 + 2 * n, kind="iron")
    assert "No plan. 15 clubs: leave 1 at home; Rule 4.1b allows 14." in answer(player)


def test_a_negative_bounce_is_refused_with_what_to_correct(player, venue):
    clubs = make_bag(player, venue)
    clubs["55"].setups.update(bounce_deg=-2)
    assert "No plan. 55: give its bounce as 0 degrees or more, or leave it open." in answer(player)


def test_one_club_is_refused(player, venue):
    make_bag(player, venue, lofts_deg=(55,))
    make.make_putter(player)
    assert "One club with a loft of 42° to 64° has no step to another" in answer(player)


def test_no_measured_carries_are_refused_with_what_to_do(player):
    make.make_club(player)
    html = answer(player)
    assert "No stock balls count yet." in html
    assert "Plan a carry test" in html


def test_without_a_full_swing_there_is_nothing_to_even_out(player, venue):
    make_bag(player, venue, swings=("9:00",))
    assert "No full swing counts among these balls" in answer(player)


def test_a_wedge_whose_loft_is_not_entered_is_refused_and_an_iron_or_a_putter_left_out(player, venue):
    make_bag(player, venue)
    make.make_putter(player)
    make.make_club(player, "7", loft_deg=34.0, kind="iron")
    html = answer(player)
    assert "Putter: a putter is not bent for carry" in html
    assert "7: only lofts of 42° to 64° can be worked out" in html
    make.make_club(player, "odd", loft_deg=None)
    assert "The loft of odd is not entered" in answer(player)


@pytest.mark.parametrize(
    ("query", "words"),
    [
        ("step=0.25", "Choose steps of 0.5 or 1 degree."),
        ("step=", "Choose steps of 0.5 or 1 degree."),
        ("release=middle", "Only the least and the most lofted club can be released"),
    ],
)
def test_what_cannot_be_asked_is_told_what_can(player, venue, query, words):
    make_bag(player, venue)
    assert words in answer(player, query, status=422)


def test_two_clubs_of_one_loft_are_planned(player, venue):
    make_bag(player, venue, lofts_deg=(45, 50, 60), balls=8)
    twin = make.make_club(player, "50 b", loft_deg=50.0)
    hit(twin, venue, [full_m(50), full_m(50) - 1] * 4, swing="full")
    assert len(page_of(player).plan.rows) == 4


# --- the page


def test_htmx_gets_the_plan_alone(player, venue):
    make_bag(player, venue)
    assert answer(player, "step=1", htmx=True).strip().startswith('<div id="plan">')
    assert '<div id="plan">' in answer(player, "step=1")


def test_the_page_defers_to_a_fitter_and_to_the_rules(player, venue):
    make_bag(player, venue)
    html = answer(player)
    assert "A qualified club fitter decides" in html
    assert "Rule 4.1a" in html


def test_figures_stand_in_the_players_unit(player, venue):
    make_bag(player, venue)
    player.distance_unit = "yd"
    carry_m = bag_carries(player).surface.predict("55", "full").carry_m
    row = next(row for row in page_of(player).plan.rows if row.club == "55")
    assert row.carry_now == f"{carry_m / 0.9144:.1f}"


def test_the_page_asks_the_database_as_often_for_many_clubs_as_for_few(player, venue, django_assert_max_num_queries):
    make_bag(player, venue, lofts_deg=(50, 55))
    client = Client()
    client.force_login(make.make_staff(player.academy))
    address = reverse("analytics:loft_plan", args=[player.pk])
    with django_assert_max_num_queries(20) as few:
        client.get(address)
    make_bag(player, venue, lofts_deg=(45, 60))
    assert Club.objects.count() == 4
    with django_assert_max_num_queries(len(few)):
        client.get(address)
