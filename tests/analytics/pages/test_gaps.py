"""The page of the gaps: the bags of the trade through its own computation, its words, and bags that it can't judge."""

import math
import re
from datetime import date, timedelta
from itertools import pairwise

import pytest
from django.test import Client
from django.urls import reverse

from analytics.gaps import player_gaps
from analytics.metrics.gapping import COVERS_M
from analytics.pages.gaps import gaps_page
from practice.clubs.models import ClubSetup, LoftReading
from practice.planner.weeks import monday_of
from tests import make
from tests.analytics.stock_balls import hit

pytestmark = pytest.mark.django_db
YD = 0.9144


def bag_of(player, *lofts_deg):
    return [make.make_club(player, f"{loft_deg:g}", loft_deg=loft_deg) for loft_deg in lofts_deg]


def hit_full(club, venue, carry_m, *, off_m=1.0, balls=10, **values):
    """Log full swings on either side of a carry."""
    hit(club, venue, [carry_m - off_m, carry_m + off_m] * (balls // 2), **{"swing": "full", **values})


def html_of(player, query="", *, as_player=False):
    client = Client()
    client.force_login(player.user if as_player else make.make_staff(player.academy))
    response = client.get(reverse("analytics:gaps", args=[player.pk]) + query)
    assert response.status_code == 200
    return response.content.decode()


@pytest.mark.parametrize(
    ("lofts_deg", "even_at"),
    [((45, 50, 55, 60), 5), ((45, 51, 57), 6), ((46, 50, 54, 58), 4)],
    ids=["45/50/55/60", "45/51/57", "46/50/54/58"],
)
def test_the_bags_of_the_trade_step_evenly(player, lofts_deg, even_at):
    """Common practice, no source: steps of 4, 5 or 6 degrees all work as long as they are even."""
    bag_of(player, *lofts_deg)
    page = gaps_page(player)
    assert page.loft == f"Lofts step evenly, by {even_at}°."
    assert [step.loft for step in page.steps] == [f"{even_at}°"] * (len(lofts_deg) - 1)


def test_a_bag_with_one_step_of_4_and_one_of_8_is_flagged_in_loft_and_in_carry(player, venue):
    """Common practice, no source. 2.5 m a degree, so 10 and 20 m: 20 yd are 18.3 m, 8 degrees are a hole by hand."""
    for club, carry_m in zip(bag_of(player, 46, 50, 58), (110.0, 100.0, 80.0), strict=True):
        hit_full(club, venue, carry_m)
    page = gaps_page(player)
    assert page.loft == (
        "Lofts step unevenly, from 4° (46 to 50) to 8° (50 to 58): more than errors of reading make of even lofts."
    )
    assert (
        page.carry
        == "Between the 50 and the 58 there are 20 m with the full swing, 10 more than elsewhere; that these "
        "steps are not even is sure."
    )
    narrow, wide = page.steps
    assert (narrow.loft, narrow.carry, narrow.worth, narrow.says) == ("4°", "10.0 m", "worth 4.0°", "fits, sure")
    assert (wide.loft, wide.carry, wide.worth, wide.says) == ("8°", "20.0 m", "worth 8.0°", "hole, sure")
    assert (narrow.flagged, wide.flagged) == (False, True)
    assert page.carry in html_of(player)


def test_the_error_of_a_step_is_that_of_two_averages_with_the_scatter_of_all_cells(player, venue):
    """By hand: the pooled cv has 2 degrees of freedom of .07 beside 9 + 9 of the balls; NIST e-Handbook 2.5.5.2."""
    for club, carry_m in zip(bag_of(player, 50, 56), (100.0, 80.0), strict=True):
        hit_full(club, venue, carry_m)
    squares = 10 / 100.0**2 + 10 / 80.0**2  # ten balls, each 1 m off
    cv = math.sqrt((2 * 0.07**2 + squares) / 20)
    half = 1.959964 * cv * math.hypot(100.0, 80.0) / math.sqrt(10)
    (step,) = gaps_page(player).steps
    assert (step.carry, step.bounds) == ("20.0 m", f"{20 - half:.1f} to {20 + half:.1f}")


def test_a_step_that_a_few_balls_make_is_said_to_be_within_error(player, venue):
    for club, carry_m in zip(bag_of(player, 46, 50, 54), (100.0, 90.0, 77.0), strict=True):
        hit_full(club, venue, carry_m, off_m=8.0, balls=2)
    said = gaps_page(player).carry
    assert said == (
        "Between the 50 and the 54 there are 13 m with the full swing, 3 more than elsewhere; but the balls can’t "
        "tell that from even steps."
    )


def test_even_carries_are_called_even(player, venue):
    for club, carry_m in zip(bag_of(player, 46, 50, 54), (100.0, 90.0, 79.5), strict=True):
        hit_full(club, venue, carry_m)
    assert gaps_page(player).carry == "Carries with the full swing step evenly, by about 10 m."


def test_of_one_ball_each_nobody_can_tell(player, venue):
    for club, carry_m in zip(bag_of(player, 46, 50, 54), (100.0, 90.0, 70.0), strict=True):
        hit(club, venue, [carry_m], swing="full")
    page = gaps_page(player)
    assert page.carry.endswith("10 more than elsewhere; with one ball each, nobody can tell what that is worth.")
    assert {step.bounds for step in page.steps} == {""}
    assert page.shots[0].scatter == "not known"
    assert page.holes.startswith("Perhaps no shot")


def test_the_full_swing_comes_first_and_another_can_be_chosen(player, venue):
    for club, carry_m in zip(bag_of(player, 50, 56), (100.0, 80.0), strict=True):
        hit_full(club, venue, carry_m)
        hit_full(club, venue, carry_m * 0.6, swing="9:00")
    page = gaps_page(player)
    assert [(tab.code, tab.chosen) for tab in page.swings] == [("full", True), ("9:00", False)]
    assert page.steps[0].carry == "20.0 m"
    chosen = gaps_page(player, "", "9:00")
    assert (chosen.swing, chosen.steps[0].carry) == ("half (9:00)", "12.0 m")
    assert gaps_page(player, "", "no-such").swing == "full"
    assert 'href="?balls=range-grass&amp;swing=9%3A00"' in html_of(player)


def test_what_no_shot_serves_is_in_words_in_the_table_and_in_the_picture(player, venue):
    """Both serve 4.572 m to either side of the carry, five yards: common practice, no source."""
    for club, carry_m in zip(bag_of(player, 50, 56), (100.0, 80.0), strict=True):
        hit_full(club, venue, carry_m, off_m=0.5)
    page = gaps_page(player)
    assert page.holes == "Surely no shot: 85–95 m."
    assert [(row.at, row.between, row.says) for row in page.bare] == [("85–95 m", "56, full and 50, full", "sure")]
    (band,) = page.picture.bare
    assert band.text == "85–95 m"
    of_56, of_50 = (next(box for box in page.picture.boxes if box.said.startswith(label)) for label in ("56", "50"))
    # The band lies just between the foot of the longer shot and the top of the shorter one, to scale.
    assert float(band.y) == pytest.approx(float(of_50.y) + float(of_50.height), abs=0.11)
    assert float(band.y) + float(band.height) == pytest.approx(float(of_56.y), abs=0.11)
    scale = (float(of_56.carry_y) - float(of_50.carry_y)) / 20
    assert float(band.height) == pytest.approx(scale * (20 - 2 * COVERS_M), abs=0.11)
    assert float(of_50.scatter_bottom) > float(of_50.carry_y) > float(of_50.scatter_top)


def test_a_wide_scatter_makes_no_distance_served(player, venue):
    for club, carry_m in zip(bag_of(player, 50, 56), (100.0, 80.0), strict=True):
        hit_full(club, venue, carry_m, off_m=12.0)
    page = gaps_page(player)
    assert page.holes == "Perhaps no shot: 85–95 m; the balls can’t tell yet."


@pytest.mark.parametrize(("bare_m", "told"), [(0.9, False), (0.93, True)])
def test_a_stretch_of_less_than_a_yard_is_not_told(player, venue, bare_m, told):
    """A yard is 0.9144 m; each shot serves five to either side."""
    for club, carry_m in zip(bag_of(player, 50, 56), (80.0 + 10 * YD + bare_m, 80.0), strict=True):
        hit_full(club, venue, carry_m)
    page = gaps_page(player)
    assert (bool(page.bare), bool(page.picture.bare)) == (told, told)
    assert page.holes.endswith("is without a shot.") != told


def test_both_units(player, venue):
    """45.72 m are 50 yd exactly (international yard, NIST SP 811)."""
    player.distance_unit = "yd"
    player.save()
    for club, carry_yd in zip(bag_of(player, 46, 50, 54, 56), (115, 105, 95, 74), strict=True):
        hit_full(club, venue, carry_yd * YD)
    page = gaps_page(player)
    assert "Between the 54 and the 56 there are 21 yd with the full swing, 11 more than elsewhere" in page.carry
    assert [step.carry for step in page.steps] == ["10.0 yd", "10.0 yd", "21.0 yd"]
    assert page.bare[0].at == "79–90 yd"
    assert (page.serves, page.shots[0].serves) == ("5.0 yd", "69–79 yd")
    assert not re.search(r"\d m\b", html_of(player))


def test_stated_carries_are_told_as_stated_and_are_in_no_figure(player, venue):
    hit_full(make.make_club(player, "50", loft_deg=50.0), venue, 100.0)
    make.make_club(player, "56", stated_full_m=80.0)
    page = gaps_page(player)
    assert [item.said for item in page.todo] == [
        "56: no stock ball counts; stated by the coach, not measured and in no figure here: full 80 m. "
        "Plan a carry test."
    ]
    assert [shot.name for shot in page.shots] == ["50, full"]
    (step,) = page.steps
    assert (step.carry, step.why_not) == ("–", "no stock ball of the 56 with this swing")


def test_a_reading_that_differs_is_told_and_the_loft_of_the_bag_is_used(player):
    near, far, same = bag_of(player, 45, 50, 55)
    for club, loft_deg in ((near, 45.5), (far, 50.6), (same, 55.0)):
        day = date(2026, 3, 2)
        LoftReading.objects.create(setup=club.setup_now, loft_deg=loft_deg - 1, measured_on=day - timedelta(days=30))
        LoftReading.objects.create(setup=club.setup_now, loft_deg=loft_deg, measured_on=day)
    page = gaps_page(player)
    first, second = page.readings
    assert first.said == (
        "45: read at 45.5° on 2 March 2026; the bag says 45°, which is used here. "
        "They agree within what a reading errs."
    )
    assert second.said.startswith("50: read at 50.6° on 2 March 2026; the bag says 50°, which is used here, because")
    assert (first.warns, second.warns) == (False, True)
    assert page.loft == "Lofts step evenly, by 5°."
    assert reverse("clubs:club", args=[far.pk]) in html_of(player)


def test_a_reading_of_before_a_bend_says_nothing_of_the_loft_now(player):
    (club,) = bag_of(player, 56)
    LoftReading.objects.create(setup=club.setup_now, loft_deg=58.0, measured_on=date(2026, 3, 2))
    ClubSetup.objects.create(club=club, loft_deg=54.0, valid_from=date(2026, 4, 1), reason="bent")
    assert gaps_page(player).readings == ()


def test_two_clubs_of_the_same_loft(player, venue):
    for label, carry_m in (("56 high", 80.0), ("56 low", 82.0)):
        hit_full(make.make_club(player, label), venue, carry_m)
    hit_full(make.make_club(player, "50", loft_deg=50.0), venue, 98.0)
    page = gaps_page(player)
    assert page.steps[1].pair == "56 high to 56 low"
    assert (page.steps[1].loft, page.steps[1].says, page.steps[1].flagged) == ("0°", "the same loft", True)
    assert page.loft.startswith("Lofts step unevenly, from 0° (56 high to 56 low) to 6° (50 to 56 high)")
    html_of(player)


def test_clubs_of_the_same_loft_that_were_never_hit(player):
    make.make_club(player, "56 high")
    make.make_club(player, "56 low")
    (step,) = gaps_page(player).steps
    assert (step.loft, step.says, step.carry) == ("0°", "the same loft", "–")


def test_a_club_that_flies_farther_with_more_loft_is_named(player, venue):
    for club, carry_m in zip(bag_of(player, 46, 50, 54, 58), (110.0, 85.0, 95.0, 75.0), strict=True):
        hit_full(club, venue, carry_m)
    page = gaps_page(player)
    assert page.carry.startswith("The 54 flies farther than the 50, though it has more loft: perhaps a loft or a label")
    assert page.steps[1].says == "flies farther, sure"
    assert page.steps[1].carry == "−10.0 m"


def test_a_putter_is_left_out_and_said_to_be(player):
    bag_of(player, 50, 56)
    make.make_putter(player)
    page = gaps_page(player)
    assert page.putters == "Putter: left out, as a putter steps with nothing."
    assert [step.pair for step in page.steps] == ["50 to 56"]
    assert "Putter: left out" in html_of(player)
    assert len(page.todo) == 2


def test_one_club_and_no_measured_carry(player):
    bag_of(player, 56)
    page = gaps_page(player)
    assert page.loft == "It takes two clubs with a loft to tell a step."
    assert (page.steps, page.picture, page.carry, page.holes) == ((), None, "", "")
    assert [item.said for item in page.todo] == ["56: no stock ball counts. Plan a carry test."]
    shown = html_of(player)
    assert "No stock balls count yet." in shown
    assert reverse("planner:week", args=[player.pk, monday_of(player.academy.today()).isoformat()]) in shown


def test_one_club_with_carries(player, venue):
    (club,) = bag_of(player, 56)
    hit_full(club, venue, 80.0)
    page = gaps_page(player)
    assert page.holes == "One shot is known so far, at 80 m."
    assert page.carry == "Too few carries with the full swing to say how evenly they step."
    assert len(page.picture.boxes) == 1


def test_an_unknown_loft_is_named_with_what_to_do_and_its_shots_serve(player, venue):
    bag_of(player, 50)
    club = make.make_club(player, "old", loft_deg=None)
    hit_full(club, venue, 80.0)
    page = gaps_page(player)
    assert [item.said for item in page.todo] == [
        "old: no loft in the bag. Read it.",
        "50: no stock ball counts. Plan a carry test.",
    ]
    assert [shot.name for shot in page.shots] == ["old, full"]
    assert reverse("clubs:club", args=[club.pk]) in html_of(player)
    LoftReading.objects.create(setup=club.setup_now, loft_deg=55.0, measured_on=date(2026, 3, 2))
    assert gaps_page(player).todo[0].said == "old: no loft in the bag. Enter the one that was read."


def test_an_empty_bag(player):
    assert "It takes two clubs with a loft to tell a step." in html_of(player)


def test_fifteen_clubs_are_one_too_many(player):
    bag_of(player, *range(20, 62, 3))
    make.make_putter(player)
    page = gaps_page(player)
    assert page.too_many == "15 clubs are carried: leave 1 at home. Rule 4.1b allows 14."
    assert (page.steps, page.picture) == ((), None)
    assert page.too_many in html_of(player)


def test_a_player_reads_the_own_page_and_gets_no_link_that_only_a_coach_can_follow(player, venue):
    hit_full(make.make_club(player, "50", loft_deg=50.0), venue, 100.0)
    club = make.make_club(player, "old", loft_deg=None)
    shown = html_of(player, as_player=True)
    assert "old: no loft in the bag" in shown
    assert reverse("clubs:club", args=[club.pk]) not in shown


def test_long_names_stand_on_their_end_and_lie_within_the_picture(player, venue):
    hit_full(make.make_club(player, "a rather long label", loft_deg=50.0), venue, 100.0)
    bag_of(player, 44, 47, 54, 58, 60)
    picture = gaps_page(player).picture
    assert {club.turned for club in picture.clubs} == {True}
    high = float(picture.view_box.split()[3])
    assert high - float(picture.foot) > len("a rather long label") * 6
    assert [club.name for club in picture.clubs if not club.empty] == ["a rather long label"]


def test_what_is_written_beside_near_stretches_does_not_collide(player, venue):
    for n, carry_m in enumerate((60.0, 70.2, 80.4, 90.6, 100.8, 190.0)):
        hit_full(make.make_club(player, f"{60 - 3 * n}", loft_deg=60.0 - 3 * n), venue, carry_m, off_m=0.1)
    at = [float(band.text_y) for band in gaps_page(player).picture.bare]
    assert len(at) == 5
    assert min(low - high for high, low in pairwise(at)) >= 14.9


def test_the_page_asks_the_database_as_often_for_many_clubs_as_for_few(player, venue, django_assert_num_queries):
    hit_full(make.make_club(player, stated_full_m=80.0), venue, 80.0)
    with django_assert_num_queries(7):
        player_gaps(player)
    for club in bag_of(player, 46, 50, 54):
        hit_full(club, venue, 100.0)
        LoftReading.objects.create(setup=club.setup_now, loft_deg=50.0, measured_on=date(2026, 3, 2))
    with django_assert_num_queries(7):
        player_gaps(player)
