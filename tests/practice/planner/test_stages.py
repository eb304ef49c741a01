"""Each stage with a player made to fail just that one, its boundaries, and which work what is wrong asks for."""

from dataclasses import replace

import pytest

from practice.planner.generator import NEAR_M
from practice.planner.stages import (
    CoachValues,
    Figure,
    Figures,
    Stage,
    StockShot,
    Strike,
    Verdict,
    Wider,
    Work,
    earliest,
    judged,
    with_balls,
)

VALUES = CoachValues(mishit_pct=10, strike_mm=8, fresh_pct=30, course_pct=50)


def figure(value: float, off: float = 1.0) -> Figure:
    return Figure(value, value - off, value + off)


FINE = Figures(
    clubs=("52", "56"),
    strike=Strike(balls=100, mishits=5, mishit_pct=figure(5), marks=10, scatter_mm=figure(6)),
    stock=(StockShot("52", "9:00", tested_days=20), StockShot("56", "9:00", tested_days=20)),
    stock_days=120,
    fresh=Wider((5, 5), figure(10)),
    course=Wider((5, 5), figure(20)),
)
"""A player who passes every stage."""


def strike(**changes) -> Figures:
    return replace(FINE, strike=replace(FINE.strike, scatter_mm=None, marks=0, **changes))


def shot(**changes) -> Figures:
    return replace(FINE, stock=(replace(FINE.stock[0], target_m=50.0, **changes), FINE.stock[1]))


def verdicts(figures: Figures) -> dict[Stage, Verdict]:
    return {one.stage: one.verdict for one in judged(figures, VALUES)}


def test_who_passes_every_stage_keeps_what_is_there():
    assert set(verdicts(FINE).values()) == {Verdict.PASSED}
    found = earliest(judged(FINE, VALUES))
    assert (found.stage, found.work) == (Stage.PASSED, Work.MIXED)


@pytest.mark.parametrize(
    ("figures", "stage", "work"),
    [
        (replace(FINE, unchecked=("56",)), Stage.LOFTS, Work.LOFT_CHECK),
        (strike(mishits=15, mishit_pct=figure(15)), Stage.STRIKE, Work.STRIKE_BUCKET),
        (replace(FINE, stock=FINE.stock[:1]), Stage.STOCK, Work.CARRY_TEST),
        (replace(FINE, fresh=Wider((5, 5), figure(60))), Stage.FRESH, Work.MIXED_HIDDEN),
        (replace(FINE, course=Wider((5, 5), figure(80))), Stage.COURSE, Work.PRESSURE),
    ],
)
def test_a_player_made_to_fail_just_one_stage_stands_there(figures, stage, work):
    failing = {found for found, verdict in verdicts(figures).items() if verdict != Verdict.PASSED}
    assert failing == {stage}
    found = earliest(judged(figures, VALUES))
    assert (found.stage, found.verdict, found.work, found.sure) == (stage, Verdict.FAILED, work, True)


def test_the_earliest_of_several_is_the_stage_and_lofts_take_no_balls():
    figures = replace(strike(mishits=15, mishit_pct=figure(15)), unchecked=("56",), fresh=Wider((5, 5), figure(60)))
    stages = judged(figures, VALUES)
    assert earliest(stages).stage == Stage.LOFTS
    assert with_balls(stages).stage == Stage.STRIKE


# The strike


def test_the_strike_passes_by_tight_marks_or_by_few_mishits_at_the_value_itself():
    assert verdicts(strike(mishits=10, mishit_pct=figure(10)))[Stage.STRIKE] == Verdict.PASSED
    assert verdicts(strike(mishits=10, mishit_pct=figure(10.1)))[Stage.STRIKE] == Verdict.FAILED
    many = replace(FINE.strike, mishits=30, mishit_pct=figure(30))
    assert verdicts(replace(FINE, strike=replace(many, scatter_mm=figure(8))))[Stage.STRIKE] == Verdict.PASSED
    assert verdicts(replace(FINE, strike=replace(many, scatter_mm=figure(8.1))))[Stage.STRIKE] == Verdict.FAILED


def test_few_balls_and_few_marks_are_no_verdict_but_ask_for_a_check():
    few = Strike(balls=19, mishits=9, mishit_pct=figure(47), marks=4, scatter_mm=figure(20))
    (found,) = (one for one in judged(replace(FINE, strike=few), VALUES) if one.stage == Stage.STRIKE)
    assert (found.verdict, found.work) == (Verdict.UNKNOWN, Work.STRIKE_CHECK)
    assert verdicts(replace(FINE, strike=replace(few, balls=20)))[Stage.STRIKE] == Verdict.FAILED
    assert verdicts(replace(FINE, strike=replace(few, marks=5)))[Stage.STRIKE] == Verdict.FAILED
    assert verdicts(replace(FINE, strike=Strike()))[Stage.STRIKE] == Verdict.UNKNOWN


@pytest.mark.parametrize(
    ("fat", "work"), [(0, Work.STRIKE_BUCKET), (7, Work.STRIKE_BUCKET), (8, Work.TURF_BRUSH), (15, Work.TURF_BRUSH)]
)
def test_where_half_of_the_mishits_are_fat_the_turf_is_brushed_else_the_face_is_marked(fat, work):
    assert earliest(judged(strike(mishits=15, fat=fat, mishit_pct=figure(15)), VALUES)).work == work


def test_misses_with_a_tail_to_the_short_side_count_though_nobody_noted_a_mishit():
    """5 noted and 5 that fell short of 100 balls are the coach's 10 %; a sixth is over it, and is no sure thing."""
    assert verdicts(strike(short=5))[Stage.STRIKE] == Verdict.PASSED
    found = earliest(judged(strike(short=6), VALUES))
    assert (found.stage, found.work, found.sure) == (Stage.STRIKE, Work.STRIKE_BUCKET, False)


def test_it_is_sure_only_where_the_whole_interval_is_on_that_side():
    assert earliest(judged(strike(mishits=15, mishit_pct=Figure(15, 9, 22)), VALUES)).sure is False
    assert earliest(judged(strike(mishits=15, mishit_pct=Figure(15, 10.5, 22)), VALUES)).sure is True


# The stock carries


def test_a_carry_test_counts_for_the_days_of_the_academy():
    assert verdicts(shot(tested_days=120))[Stage.STOCK] == Verdict.PASSED
    assert verdicts(shot(tested_days=121))[Stage.STOCK] == Verdict.FAILED
    assert verdicts(shot(tested_days=None))[Stage.STOCK] == Verdict.FAILED
    assert shot(tested_days=None).untested() == ("52",)


def test_one_swing_tested_lately_is_enough_for_a_club():
    figures = replace(FINE, stock=(*FINE.stock, StockShot("56", "7:30", tested_days=None)))
    assert verdicts(figures)[Stage.STOCK] == Verdict.PASSED


def test_a_bag_without_clubs_has_no_stock_carries():
    assert verdicts(replace(FINE, clubs=(), stock=()))[Stage.STOCK] == Verdict.FAILED


@pytest.mark.parametrize(
    ("bias_m", "visits", "off"),
    [
        (figure(-6.0), 3, True),
        (figure(6.0), 3, True),
        (figure(-6.0), 2, False),  # too few visits to say
        (Figure(-6.0, -13.0, 1.0), 3, False),  # may be chance
        (Figure(-NEAR_M, -NEAR_M - 1, -NEAR_M + 1), 3, False),  # as near as a named swing may be to its target
        (Figure(-NEAR_M - 0.01, -NEAR_M - 1, -NEAR_M + 1), 3, True),
        (None, 9, False),
    ],
)
def test_a_swing_is_off_where_it_is_so_by_more_than_the_target_allows_and_more_than_chance(bias_m, visits, off):
    figures = shot(bias_m=bias_m, visits=visits)
    assert bool(figures.off()) is off
    assert verdicts(figures)[Stage.STOCK] == (Verdict.FAILED if off else Verdict.PASSED)


def test_five_percent_of_a_far_target_are_near():
    far = StockShot("52", "full", 10, bias_m=figure(-4.5, 0.5), target_m=100.0, visits=5)
    assert not far.is_off
    assert replace(far, target_m=80.0).is_off


def test_the_farthest_off_for_its_distance_comes_first():
    near = StockShot("56", "9:00", 10, bias_m=figure(5.0), target_m=40.0, visits=4)
    far = StockShot("52", "full", 10, bias_m=figure(-8.0), target_m=90.0, visits=4)
    assert replace(FINE, stock=(far, near)).off() == (near, far)


# Fresh and repeat, course and practice


@pytest.mark.parametrize("name", ["fresh", "course"])
def test_wider_passes_at_the_value_itself_and_needs_visits_on_both_sides(name):
    stage, limit = Stage(name), getattr(VALUES, f"{name}_pct")

    def verdict(visits, pct):
        return verdicts(replace(FINE, **{name: Wider(visits, pct)}))[stage]

    assert verdict((3, 3), figure(limit)) == Verdict.PASSED
    assert verdict((3, 3), figure(limit + 0.1)) == Verdict.FAILED
    assert verdict((3, 3), figure(-20)) == Verdict.PASSED
    assert verdict((2, 9), figure(limit + 90)) == Verdict.UNKNOWN
    assert verdict((9, 2), figure(limit + 90)) == Verdict.UNKNOWN
    assert verdict((9, 9), None) == Verdict.UNKNOWN


def test_what_is_unknown_is_the_stage_too_and_asks_for_balls_that_tell():
    found = earliest(judged(replace(FINE, fresh=Wider()), VALUES))
    assert (found.stage, found.verdict, found.work) == (Stage.FRESH, Verdict.UNKNOWN, Work.MIXED)
    found = earliest(judged(replace(FINE, course=Wider()), VALUES))
    assert (found.stage, found.verdict, found.work) == (Stage.COURSE, Verdict.UNKNOWN, Work.PRESSURE)
