"""What a bend would do: from stored balls to the page. How a carry is computed is tested with the metrics."""

import re

import pytest
from django.test import Client
from django.urls import reverse

from analytics.bag_carries import bag_carries
from analytics.bends import NEW, bend_range, gaps_with, shots_with
from analytics.metrics.next_ball import StockShot
from analytics.pages.loft_change import loft_change_page
from practice.clubs.models import Club
from tests import make
from tests.analytics.bent_bag import make_bag
from tests.analytics.stock_balls import hit

pytestmark = pytest.mark.django_db


@pytest.fixture
def clubs(player, venue):
    return make_bag(player, venue)


def answer(player, *, status=200, htmx=False, **query):
    client = Client(headers={"HX-Request": "true", "HX-Target": "change"} if htmx else {})
    client.force_login(make.make_staff(player.academy))
    response = client.get(reverse("analytics:loft_change", args=[player.pk]), query)
    assert response.status_code == status
    return response.content.decode()


def change_of(player, club, loft, **more):
    return loft_change_page(player, {"club": str(club.pk), "loft": str(loft), **more}).change


def number(text):
    return float(re.match(r"[+−]?[\d.]+", text)[0].replace("−", "-"))


def test_carries_now_and_then_are_those_of_the_players_own_surface(player, clubs):
    surface = bag_carries(player).surface
    rows = change_of(player, clubs["55"], 57).rows
    assert [row.swing for row in rows] == ["half (9:00)", "full"]
    now, then = surface.predict("55", "full"), surface.bent("55", 57.0)["full"]
    assert (rows[1].now, rows[1].then) == (f"{now.carry_m:.1f}", f"{then.carry_m:.1f}")
    assert rows[1].then_range == f"{then.ci95_m[0]:.1f} to {then.ci95_m[1]:.1f}"
    assert number(rows[1].change) == pytest.approx(then.carry_m - now.carry_m, abs=0.051)
    assert rows[1].basis == "measured"
    assert rows[1].verdict == "more than all doubt"


def test_the_rule_of_thumb_stands_beside_and_is_no_figure_of_the_player(player, clubs):
    now_m = bag_carries(player).surface.predict("55", "full").carry_m
    row = change_of(player, clubs["55"], 57).rows[1]
    # by hand: 3 % of the carry for each of two degrees
    assert number(row.thumb) == pytest.approx(-0.06 * now_m, abs=0.051)
    assert row.thumb != row.change
    assert "common practice for any player and no figure of this one" in answer(player, club=clubs["55"].pk, loft=57)


def test_half_a_degree_of_a_short_swing_is_under_a_yard(player, clubs):
    assert change_of(player, clubs["60"], 60.5).rows[0].verdict == "under a yard"


def test_a_change_that_the_carry_itself_drowns_is_said_to_be_less_than_its_doubt(player, venue):
    clubs = make_bag(player, venue, lofts_deg=(50, 55), swings=("full",), balls=1)
    assert change_of(player, clubs["55"], 56).rows[0].verdict == "less than the carry itself is in doubt"


def test_the_sentence_says_what_the_bend_is_and_what_it_does(player, clubs):
    surface = bag_carries(player).surface
    change = surface.bend_change("55", 56.5)["full"]
    ends = sorted(abs(end) for end in change.ci95_m)
    assert change_of(player, clubs["55"], 56.5).sentence == (
        f"55 with 1.5° more loft: full about {-change.change_m:.1f} m shorter ({ends[0]:.1f} to {ends[1]:.1f})."
    )
    assert "55 with 1° less loft: full about" in change_of(player, clubs["55"], 54).sentence
    assert change_of(player, clubs["55"], 55).sentence == "55 as it is, 55°: move the loft."


def test_bounce_goes_with_the_loft_one_to_one(player, clubs):
    assert change_of(player, clubs["55"], 56.5).bounce.startswith("Bounce: 10° now, 11.5° then")
    clubs["55"].setups.update(bounce_deg=None)
    assert change_of(player, clubs["55"], 54).bounce == (
        "Bounce: not entered; it gets 1° less, as the sole turns with the face."
    )
    clubs["55"].setups.update(bounce_deg=1.0)
    assert "Below 0° the leading edge digs" in change_of(player, clubs["55"], 53).bounce


def test_the_gaps_before_and_after_are_those_of_the_gap_check(player, clubs):
    bag = bag_carries(player)
    now, then = gaps_with(bag, {}), gaps_with(bag, {"55": 56.0})
    change = change_of(player, clubs["55"], 56)
    by_name = {row.name: row for row in change.steps}
    assert [step.loft_deg for step in now.steps] == [5, 5, 5]
    assert [step.loft_deg for step in then.steps] == [5, 6, 4]
    row, step = by_name["50 to 55"], then.steps[1].carries[-1]
    assert (row.loft_now, row.loft_then, row.carry_then) == ("5°", "6°", f"{step.step_m:.1f}")
    assert row.changes
    assert not by_name["45 to 50"].changes
    assert change.gaps[0] == "In loft: steps of 5° to 5° (even) now; steps of 4° to 6° (within error) then."
    assert change.gaps[-1].startswith("Without a shot: ")


def test_targets_that_change_gain_or_lose_their_shot_are_named(player, venue):
    """By hand: the longest shot carries 87 m on average; two degrees take 5 m off it or put 5 m on it."""
    clubs = make_bag(player, venue, lofts_deg=(55, 60), swings=("full",))
    weak, strong = change_of(player, clubs["55"], 57), change_of(player, clubs["55"], 53)
    told = {row.target: (row.now, row.then, row.what) for row in weak.targets}
    assert told["90 m"] == ("55, full", "none", "loses its stock shot")
    assert told["80 m"][1] == "55, full"
    assert "1 loses its stock shot" in weak.targets_sentence
    assert "2 get a stock shot" in strong.targets_sentence
    assert [(row.target, row.now) for row in strong.targets if row.what == "gets a stock shot"] == [
        ("95 m", "none"),
        ("100 m", "none"),
    ]
    assert change_of(player, clubs["55"], 55).targets_sentence == "No target from 20 to 100 m gets another shot."


def test_a_bent_shot_keeps_its_scatter_in_percent_and_other_clubs_keep_theirs(player, clubs):
    bag = bag_carries(player)
    shots = [StockShot("55", "full", 10, 87.2, 4.0, 10, 3.0, 0.1), StockShot("60", "full", 10, 74.6, 3.0)]
    bent, other = shots_with(bag, shots, {"55": 57.0})
    ratio = bag.surface.bent("55", 57.0)["full"].carry_m / bag.surface.predict("55", "full").carry_m
    assert (bent.mean_m, bent.s_m, bent.lateral_s_m) == pytest.approx((87.2 * ratio, 4 * ratio, 3 * ratio))
    assert (bent.n, bent.mishit) == (10, 0.1)
    assert other == shots[1]


# --- a club not owned yet


def test_a_club_not_owned_yet_has_wider_bounds_and_steps_of_its_own(player, clubs):
    page = loft_change_page(player, {"club": "new", "loft": "57.5"})
    surface = bag_carries(player).surface
    then = surface.new_club(57.5, "full")
    assert page.change.rows[1].then_range == f"{then.ci95_m[0]:.1f} to {then.ci95_m[1]:.1f}"
    assert then.se_m > surface.bent("55", 57.0)["full"].se_m
    assert page.change.sentence.endswith("Wide, because no ball was hit with it.")
    names = {row.name: (row.loft_now, row.loft_then) for row in page.change.steps}
    assert names[f"55 to {NEW}"] == ("–", "2.5°")
    assert names["55 to 60"] == ("5°", "–")


def test_a_new_club_may_take_the_place_of_another(player, clubs):
    page = loft_change_page(player, {"club": "new", "loft": "57.5", "instead": "60"})
    assert f"55 to {NEW}" in {row.name for row in page.change.steps if row.loft_then != "–"}
    assert f"{NEW} to 60" not in {row.name for row in page.change.steps}


def test_a_shot_of_a_new_club_counts_as_few_balls(player, clubs):
    bag = bag_carries(player)
    owned = [StockShot("55", "full", 10, 87.2, 4.0), StockShot("60", "full", 10, 74.6, 3.0)]
    *kept, half, full = shots_with(bag, owned, {}, added_deg=57.5)
    assert kept == owned
    assert (full.club, full.swing, full.mean_m) == (NEW, "full", bag.surface.new_club(57.5, "full").carry_m)
    assert 1 <= full.n < 10
    assert half.s_m / half.mean_m == pytest.approx(full.s_m / full.mean_m)


def test_a_fifteenth_club_is_refused_until_one_stays_at_home(player, clubs):
    for n in range(10):
        make.make_club(player, f"iron {n}", loft_deg=20.0 + 2 * n, kind="iron")
    refused = loft_change_page(player, {"club": "new", "loft": "57.5"}).change
    assert refused.gaps_refused.startswith("15 clubs: leave 1 at home; Rule 4.1b allows 14.")
    assert "takes the place of" in refused.gaps_refused
    assert loft_change_page(player, {"club": "new", "loft": "57.5", "instead": "60"}).change.gaps_refused == ""


# --- what can be asked


def test_slider_and_number_say_the_same_and_the_one_that_was_moved_counts(player, clubs):
    asked = {"club": str(clubs["55"].pk), "was": "55"}
    assert loft_change_page(player, asked | {"loft": "55", "slide": "56.5"}).shown_loft == "56.5"
    assert loft_change_page(player, asked | {"loft": "54", "slide": "55"}).shown_loft == "54"
    assert loft_change_page(player, asked | {"loft": "54", "slide": "56"}).shown_loft == "54"
    html = answer(player, **asked, loft="56.5")
    assert 'type="range" id="slide" name="slide" min="53" max="57" step="0.5" value="56.5"' in html


def test_the_limit_counts_from_how_the_club_was_made_so_bend_on_bend_goes_no_further(player, clubs):
    first = clubs["55"].setups.get()
    clubs["55"].setups.create(loft_deg=56.5, valid_from="2020-01-05", reason="bent")
    (bent,) = [each for each in bag_carries(player).clubs if each.label == "55"]
    assert first.loft_deg == 55
    limits = bend_range(player, bent)
    assert (limits.low_deg, limits.high_deg) == (53, 57)


def test_a_cast_head_and_an_academy_of_less_have_less_to_choose(player, clubs):
    Club.objects.filter(pk=clubs["55"].pk).update(head_type="cast")
    assert "55: choose a loft of 54° to 56°" in answer(player, club=clubs["55"].pk, loft=57, status=422)
    player.academy.bend_limit_deg = 0.5
    player.academy.save()
    assert "50: choose a loft of 49.5° to 50.5°" in answer(player, club=clubs["50"].pk, loft=51, status=422)


def test_a_head_that_is_not_to_be_bent_is_shown_as_it_is(player, clubs):
    Club.objects.filter(pk=clubs["55"].pk).update(bend_limit_deg=0)
    html = answer(player, club=clubs["55"].pk)
    assert "By its limit this head is not bent" in html
    assert re.search(r'<input type="range"[^>]* disabled>', html)
    assert "55: choose a loft of 55° to 55°" in answer(player, club=clubs["55"].pk, loft=56, status=422)


@pytest.mark.parametrize("loft", ["58", "52.9", "90", "-3", "1e9"])
def test_a_loft_beyond_the_limit_is_refused_with_the_limit_and_kept(player, clubs, loft):
    html = answer(player, club=clubs["55"].pk, loft=loft, status=422)
    assert "55: choose a loft of 53° to 57°;" in html
    assert f'name="loft" value="{loft}"' in html


@pytest.mark.parametrize("loft", ["", "x", "nan", "5 5"])
def test_a_loft_that_is_no_number_is_refused_with_an_example(player, clubs, loft):
    html = answer(player, club=clubs["55"].pk, loft=loft, status=422)
    assert "Give the loft in degrees as a number, like 55." in html


@pytest.mark.parametrize("loft", ["41", "65"])
def test_a_new_club_of_another_loft_than_the_surface_knows_is_refused(player, clubs, loft):
    assert "choose a loft of 42° to 64°" in answer(player, club="new", loft=loft, status=422)


def test_a_putter_and_a_club_of_no_loft_say_why_they_are_not_here(player, clubs):
    putter, bare = make.make_putter(player), make.make_club(player, "odd", loft_deg=None)
    assert "Putter: a putter is not bent for carry. Choose another one." in answer(player, club=putter.pk, status=422)
    assert "odd: its loft is not entered. Choose another one." in answer(player, club=bare.pk, status=422)
    html = answer(player)
    assert "a putter is not bent for carry" in html
    assert "odd: its loft is not entered" in html


def test_a_club_of_somebody_else_is_not_in_this_bag(player, clubs):
    other = make.make_club(make.make_player(player.academy))
    assert "That club is not in this bag. Choose another one." in answer(player, club=other.pk, status=422)
    assert "That club is not in this bag" in answer(player, club="x", status=422)


def test_a_club_without_balls_is_worked_out_as_a_club_of_its_loft(player, clubs):
    unhit = make.make_club(player, "57", loft_deg=57.0)
    change, surface = change_of(player, unhit, 58), bag_carries(player).surface
    assert change.rows[1].basis == "not measured"
    assert change.rows[1].now == f"{surface.new_club(57.0, 'full').carry_m:.1f}"
    assert number(change.rows[1].change) < 0


def test_without_stock_balls_the_page_says_how_they_come(player):
    make.make_club(player)
    assert "No stock balls count yet." in answer(player)


def test_balls_that_contradict_each_other_are_not_worked_with(player, venue):
    clubs = make_bag(player, venue, lofts_deg=(45, 60), swings=())
    for label, carry_m in (("45", 60.0), ("60", 110.0)):
        hit(clubs[label], venue, [carry_m] * 30, swing="full")
    assert "The balls contradict each other" in answer(player)


def test_a_bag_whose_lofts_the_surface_does_not_know_says_so(player, venue):
    hit(make.make_club(player, "7", loft_deg=34.0, kind="iron"), venue, [120.0, 121.0, 119.0], swing="full")
    assert "No club with a loft of 42° to 64° has a stock ball" in answer(player)


# --- the page


def test_htmx_gets_what_changes_alone_and_a_browser_without_it_the_whole_page(player, clubs):
    part = answer(player, htmx=True, club=clubs["55"].pk, loft=57)
    assert part.strip().startswith('<div id="change">')
    assert "<html" not in part
    assert '<div id="change">' in answer(player, club=clubs["55"].pk, loft=57)
    assert "choose a loft of" in answer(player, htmx=True, club=clubs["55"].pk, loft=77, status=422)


def test_the_page_defers_to_a_fitter_and_to_the_rules(player, clubs):
    html = answer(player, club=clubs["55"].pk, loft=57)
    assert "A qualified club fitter decides whether a head can be bent at all" in html
    assert "Rule 4.1a" in html
    assert "are those expected from all the player’s clubs together" in html
    assert f"{reverse('analytics:work_order', args=[player.pk])}?bend={clubs['55'].pk}:57" in html


def test_figures_stand_in_the_players_unit(player, clubs):
    player.distance_unit = "yd"
    surface = bag_carries(player).surface
    row = change_of(player, clubs["55"], 57).rows[1]
    assert row.now == f"{surface.predict('55', 'full').carry_m / 0.9144:.1f}"
    change_yd = surface.bend_change("55", 57.0)["full"].change_m / 0.9144
    assert number(row.change) == pytest.approx(change_yd, abs=0.051)
    player.save()
    assert "Carry in yards, from" in answer(player)


def test_the_page_asks_the_database_as_often_for_many_clubs_as_for_few(player, venue, django_assert_max_num_queries):
    clubs = make_bag(player, venue, lofts_deg=(50, 55))
    client = Client()
    client.force_login(make.make_staff(player.academy))
    address = reverse("analytics:loft_change", args=[player.pk])
    with django_assert_max_num_queries(20) as few:
        client.get(address, {"club": clubs["55"].pk, "loft": 56})
    make_bag(player, venue, lofts_deg=(45, 60))
    with django_assert_max_num_queries(len(few)):
        client.get(address, {"club": clubs["55"].pk, "loft": 56})
