"""A player's figures as the suggested week takes them: what counts, since when, and what is never pooled."""

from datetime import timedelta

import pytest
from django.utils import timezone

from analytics.frames import player_shots
from analytics.suggesting import club_needs, faced_on_course, player_figures, target_needs, values_of
from practice.clubs.models import ClubKind, LoftReading
from practice.ids import uuid7
from practice.planner.generator import ClubOption, TargetOption
from practice.planner.stages import CoachValues
from practice.sessions.models import StrikeMark
from tests import make
from tests.analytics.stock_balls import hit

pytestmark = pytest.mark.django_db
TARGETS = [TargetOption(f"Flag {n}", 20.0 + 10 * n) for n in range(7)]


class Someone:
    """A player with two wedges, an iron and a putter, at a range."""

    def __init__(self):
        self.player = make.make_player(make.make_academy())
        self.range = make.make_range(self.player.academy)
        self.low = make.make_club(self.player, "52", loft_deg=52.0)
        self.high = make.make_club(self.player, "56", loft_deg=56.0)
        make.make_club(self.player, "7", loft_deg=34.0, kind=ClubKind.IRON)
        make.make_putter(self.player)

    def shot(self, club=None, *, days_ago: int = 10, **values):
        known = {"measured_by": "laser", "target_m": 50.0, "carry_m": 50.0, "fresh": True}
        hit_at = timezone.now() - timedelta(days=days_ago)
        return make.make_shot(club or self.low, self.range, hit_at=hit_at, **{**known, **values})

    def visit(self, errors_m, *, days_ago: int, **values):
        """A visit whose balls land so far from a target at 50 m."""
        for error_m in errors_m:
            self.shot(days_ago=days_ago, carry_m=50.0 + error_m, **values)

    @property
    def figures(self):
        return player_figures(self.player)

    def stock_shot(self, club: str, swing: str):
        (found,) = (shot for shot in self.figures.stock if (shot.club, shot.swing) == (club, swing))
        return found


@pytest.fixture
def someone():
    return Someone()


def test_a_player_without_anything_has_figures_that_say_so(someone):
    figures = someone.figures
    assert figures.clubs == figures.unchecked == figures.untested() == ("52", "56")
    assert (figures.strike.balls, figures.strike.mishit_pct, figures.strike.marks) == (0, None, 0)
    assert {shot.swing for shot in figures.stock} == {"7:30", "9:00", "10:30"}
    assert figures.fresh.pct is figures.course.pct is None


def test_a_bag_without_wedges_is_asked_for_the_clubs_that_it_has():
    player = make.make_player(make.make_academy())
    assert player_figures(player).clubs == ()
    make.make_club(player, "9", loft_deg=42.0, kind=ClubKind.IRON)
    make.make_putter(player)
    assert player_figures(player).clubs == ("9",)


def test_the_academys_values_count(someone):
    assert values_of(someone.player) == CoachValues()
    someone.player.academy.passing_mishit_pct = 15
    assert values_of(someone.player).mishit_pct == 15


# Lofts


@pytest.mark.parametrize(("days", "unchecked"), [(179, ("56",)), (180, ("52", "56"))])
def test_a_loft_that_was_read_within_the_days_of_a_bag_review_is_checked(someone, days, unchecked):
    setup = someone.low.setups.get()
    day = someone.player.academy.today() - timedelta(days=days)
    LoftReading.objects.create(setup=setup, loft_deg=52.2, measured_on=day)
    assert someone.figures.unchecked == unchecked


def test_a_bend_since_the_reading_asks_for_another(someone):
    today = someone.player.academy.today()
    LoftReading.objects.create(setup=someone.low.setups.get(), loft_deg=52.2, measured_on=today)
    someone.low.setups.create(loft_deg=51.0, valid_from=today)
    assert "52" in someone.figures.unchecked


# The strike


def test_mishits_are_counted_of_the_days_that_count(someone):
    for contact in ("fat", "thin", "clean", "clean"):
        someone.shot(contact=contact)
    someone.shot(contact="fat", days_ago=130)
    someone.shot(contact="fat", warm_up=True)
    strike = someone.figures.strike
    assert (strike.balls, strike.mishits, strike.fat) == (4, 2, 1)
    assert strike.mishit_pct.value == 50
    assert strike.mishit_pct.low < 50 < strike.mishit_pct.high


def test_balls_that_fell_far_short_of_the_rest_are_noticed_and_long_ones_are_not(someone):
    someone.visit([-2, -1, 0, 0, 1, 2, -1, 1, 0, -25, 25], days_ago=5)
    assert someone.figures.strike.short == 1


def mark(someone, low_high_mm: float, heel_toe_mm: float, shot):
    StrikeMark.objects.create(
        player=someone.player,
        session=shot.session,
        club=someone.low,
        uid=uuid7(),
        done_at=shot.hit_at,
        low_high_mm=low_high_mm,
        heel_toe_mm=heel_toe_mm,
    )


def test_the_last_marks_with_one_club_count_wherever_they_were_logged(someone):
    old = someone.shot(days_ago=20)
    for n in range(9):
        mark(someone, 10.0 * n, 7.0 * (n % 2), old)
    for low_high_mm, heel_toe_mm in ((0, 3), (3, 0), (0, -3), (-3, 0), (0, 0)):
        mark(someone, low_high_mm, heel_toe_mm, someone.shot(days_ago=5, target_m=None))
    strike = someone.figures.strike
    assert strike.marks == 5
    # own centre (0, 0): four at 3 mm and one at 0, times sqrt(5 / 4)
    assert strike.scatter_mm.value == pytest.approx(2.4 * 1.25**0.5)


# Stock carries


def test_a_swing_is_tested_by_three_stock_balls_and_is_as_old_as_the_third_newest(someone):
    hit(someone.low, someone.range, [50], days_ago=30)
    hit(someone.low, someone.range, [50, 51], days_ago=12)
    hit(someone.low, someone.range, [52], days_ago=5)
    hit(someone.high, someone.range, [40, 41], days_ago=12)
    assert someone.stock_shot("52", "9:00").tested_days == 12
    assert someone.figures.untested() == ("56",)


def test_a_named_swing_is_judged_by_its_visits_not_by_its_balls(someone):
    """Visits that average -6, -5 and -7 m: t(.975, 2) = 4.303 (any table), s / sqrt(3) = .577: -6 +- 2.48."""
    for days_ago, error_m in ((9, -6), (8, -5), (7, -7)):
        someone.visit([error_m - 1, error_m + 1] * 3, days_ago=days_ago, swing="9:00")
    shot = someone.stock_shot("52", "9:00")
    assert (shot.visits, shot.target_m) == (3, 50.0)
    assert (shot.bias_m.value, shot.bias_m.low, shot.bias_m.high) == pytest.approx((-6, -8.484, -3.516), abs=1e-3)
    assert shot.is_off


def test_one_ball_is_no_visit_and_a_ball_by_feel_is_of_no_swing(someone):
    someone.visit([-6], days_ago=9, swing="9:00")
    someone.visit([-6, -6, -6], days_ago=8, swing="feel")
    assert not any(shot.visits for shot in someone.figures.stock)


def test_measured_and_by_eye_are_never_averaged_together(someone):
    for days_ago in (9, 8):
        someone.visit([-6, -6], days_ago=days_ago, swing="9:00")
    for days_ago in (7, 6, 5):
        someone.visit([4, 4], days_ago=days_ago, swing="9:00", measured_by="eye")
    shot = someone.stock_shot("52", "9:00")
    assert (shot.visits, shot.bias_m.value) == (3, 4)


def test_balls_from_before_a_bend_say_nothing_of_the_club_as_it_is(someone):
    someone.visit([-6, -6], days_ago=9, swing="9:00")
    someone.low.setups.create(loft_deg=50.0, valid_from=someone.player.academy.today() - timedelta(days=2))
    assert not any(shot.visits for shot in someone.figures.stock)


# Fresh and repeat, course and practice

TIGHT = [-3.0, 3.0, -3.0, 3.0, 3.0]
WIDE = [-6.0, 6.0, -6.0, 6.0, 6.0]


def test_fresh_balls_twice_as_far_off_as_repeats_are_100_percent_wider(someone):
    for days_ago in (9, 8, 7):
        someone.visit(TIGHT, days_ago=days_ago, fresh=False)
        someone.visit(WIDE, days_ago=days_ago)
        someone.visit([30.0], days_ago=days_ago, fresh=None)
        someone.visit([-40.0], days_ago=days_ago, contact="fat")
        someone.visit([40.0], days_ago=days_ago, helped=True)
    fresh = someone.figures.fresh
    assert fresh.visits == (3, 3)
    assert fresh.pct.value == pytest.approx(100)


def test_the_course_is_compared_with_fresh_balls_on_the_range(someone):
    for days_ago in (9, 8, 7):
        someone.visit(TIGHT, days_ago=days_ago)
        someone.visit(WIDE, days_ago=days_ago, setting="course")
    course = someone.figures.course
    assert course.visits == (3, 3)
    assert course.pct.value == pytest.approx(100)


def test_visits_under_five_balls_are_counted_as_none(someone):
    someone.visit(TIGHT[:4], days_ago=9)
    someone.visit(TIGHT, days_ago=8, fresh=False)
    assert someone.figures.fresh.visits == (1, 0)


# What the balls can go to


def needs(someone, *, targets=TARGETS, clubs=None, faced_m=()):
    clubs = clubs or [ClubOption("52", 20.0, 90.0)]
    return target_needs(someone.player, player_shots(someone.player), clubs, targets, faced_m)


def test_targets_in_reach_are_needs_in_bands_and_all_alike_without_a_profile(someone):
    found = needs(someone, clubs=[ClubOption("52", 25.0, 75.0)])
    assert [need.name for need in found] == [f"Flag {n}" for n in range(1, 6)]
    assert [need.theme for need in found] == ["short", "short", "short", "long", "long"]
    assert {need.faced for need in found} == {1 / 5}
    assert [need.theme for need in needs(someone)][-1] == "long"
    assert {need.theme for need in needs(someone, targets=TARGETS[:2])} == {""}


def test_nothing_in_reach_is_no_need_and_no_fault(someone):
    assert needs(someone, clubs=[ClubOption("52", 150.0, 160.0)]) == ()
    assert needs(someone, targets=[]) == ()


def test_without_a_ball_the_scatter_is_the_usual_share_of_the_distance(someone):
    assert [need.scatter_m / (20 + 10 * n) for n, need in enumerate(needs(someone))] == pytest.approx([0.07] * 7)
    assert {need.hit for need in needs(someone)} == {0}


def test_balls_count_at_their_target_and_in_part_beside_it_and_wide_ones_scatter_more(someone):
    someone.visit([10, -10, 10, -10, 10, -10], days_ago=5)  # at 50 m, where Flag 3 is
    found = needs(someone)
    # exp(-(ln(40 / 50) / .15)^2 / 2) = .33 and exp(-(ln(60 / 50) / .15)^2 / 2) = .48 of a ball at the flags beside
    assert [need.hit for need in found] == [0, 0, 2, 6, 3, 0, 0]
    assert found[3].scatter_m / 50 > found[2].scatter_m / 40 > 0.07


def test_what_is_faced_goes_to_the_targets_that_stand_for_it(someone):
    found = needs(someone, faced_m=[(50.0, 3.0), (31.0, 1.0)])
    assert [need.faced for need in found] == [0, 0.25, 0, 0.75, 0, 0, 0]
    assert {need.faced for need in needs(someone, faced_m=[(300.0, 1.0)])} == {1 / 7}


def test_balls_on_a_course_say_what_is_faced_from_twenty_on(someone):
    for n in range(19):
        someone.shot(setting="course", target_m=30.0 + n)
    assert faced_on_course(someone.player) == []
    someone.shot(setting="course", target_m=70.0)
    assert len(faced_on_course(someone.player)) == 20


def test_the_club_with_mishits_has_more_at_stake_than_one_hit_as_often(someone):
    """By hand: good balls are 4 % off, 8 and 6 of them, so 4.55 % pooled ((2 x .07^2 + 12 x .04^2) / 14), drawn to it
    4.30 and 4.35 %; mishits count as 1 and 3 of 18, each 40 % off: 10.4 and 16.9 %. At 50 m they add 3.04 and 6.28 m.
    """
    for n in range(8):
        someone.shot(someone.low, carry_m=52.0)
        someone.shot(someone.high, carry_m=52.0, contact="clean" if n > 1 else "fat")
    low, high = club_needs(someone.player, player_shots(someone.player), ["52", "56"])
    assert low.faced == high.faced == 0.5
    assert (low.hit, high.hit) == (8, 8)
    assert low.scatter_m == pytest.approx(3.04, abs=0.01)
    assert high.scatter_m == pytest.approx(6.28, abs=0.01)
    assert high.at_stake > 1.3 * low.at_stake


def test_clubs_of_nobody_have_something_at_stake_each(someone):
    assert all(need.at_stake > 0 for need in club_needs(someone.player, player_shots(someone.player), ["52", "56"]))
