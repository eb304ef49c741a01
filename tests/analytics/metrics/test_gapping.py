import math
from dataclasses import replace
from random import Random

import numpy as np
import pytest

from analytics.metrics.gapping import BagClub, CarryStep, ClubCarry, Stretch, check_gaps

YD = 0.9144
SWINGS = ("7:30", "9:00", "10:30", "full")
# Carries (m) of one player from a flight model of our own
CARRIES_M = {
    45: (39.0, 66.0, 89.4, 110.9),
    50: (34.9, 58.8, 79.7, 99.5),
    55: (30.1, 50.7, 69.2, 87.2),
    60: (25.1, 42.4, 58.4, 74.6),
}


def by_loft(*lofts_deg):
    """Clubs that were never hit, by their lofts alone."""
    return [BagClub(f"{loft:g}", loft) for loft in lofts_deg]


def full(*pairs, se_m=None):
    """Clubs (loft, full carry in m)."""
    return [BagClub(f"{loft:g}", loft, [ClubCarry("full", carry_m, se_m)]) for loft, carry_m in pairs]


def check(clubs, **options):
    return check_gaps(clubs, SWINGS, **options)


def full_steps(clubs):
    return [carry for step in check(clubs).steps for carry in step.carries]


MEASURED = [
    BagClub(f"{loft}", loft, [ClubCarry(swing, carry_m, 1.0) for swing, carry_m in zip(SWINGS, row, strict=True)])
    for loft, row in CARRIES_M.items()
]


@pytest.mark.parametrize(
    ("lofts_deg", "even_at"),
    [((45, 50, 55, 60), 5), ((45, 51, 57), 6), ((46, 50, 54, 58), 4)],
    ids=["45/50/55/60", "45/51/57", "46/50/54/58"],
)
@pytest.mark.parametrize("loft_se_deg", [0.0, 0.5])
def test_the_bags_of_the_trade_are_even(lofts_deg, even_at, loft_se_deg):
    """Common practice, no source: steps of 4, 5 or 6 degrees all work as long as they are even."""
    found = check(by_loft(*lofts_deg), loft_se_deg=loft_se_deg)
    assert [step.loft_deg for step in found.steps] == [even_at] * (len(lofts_deg) - 1)
    assert (found.loft.smallest, found.loft.largest, found.loft.mean) == (even_at,) * 3
    assert found.loft.verdict == "even"


@pytest.mark.parametrize("lofts_deg", [(46, 50, 58), (46, 54, 58), (46, 50, 58, 62), (44, 52, 56, 60)])
def test_a_bag_with_one_step_of_4_and_one_of_8_is_flagged(lofts_deg):
    """Common practice, no source."""
    loft = check(by_loft(*lofts_deg)).loft
    assert (loft.smallest, loft.largest, loft.verdict) == (4, 8, "uneven")


def test_a_hole_of_8_degrees_shows_in_carry_too():
    carries = full((46, 109.0), (50, 99.5), (58, 79.0), se_m=0.5)
    by_hand = 20.5 * 74.6667 / 187.3333  # least squares: 187.33 m deg over 74.67 deg^2, 2.509 m a degree
    narrow, wide = full_steps(carries)
    assert (narrow.verdict, wide.verdict) == ("fits", "hole")
    assert wide.worth_deg == pytest.approx(by_hand, rel=1e-4)
    assert wide.sure
    assert check(carries).carry["full"].verdict == "uneven"


def test_steps_in_degrees_and_in_carry_stand_side_by_side():
    found = check(MEASURED)
    assert [(step.lower, step.higher, step.loft_deg) for step in found.steps] == [
        ("45", "50", 5),
        ("50", "55", 5),
        ("55", "60", 5),
    ]
    first = found.steps[0]
    assert [carry.swing for carry in first.carries] == list(SWINGS)
    assert [carry.step_m for carry in first.carries] == pytest.approx([4.1, 7.2, 9.7, 11.4])
    assert {carry.verdict for step in found.steps for carry in step.carries} == {"fits"}
    assert list(found.carry) == list(SWINGS)
    evenness = found.carry["full"]
    assert (evenness.smallest, evenness.largest) == pytest.approx((11.4, 12.6))
    assert evenness.mean == pytest.approx((110.9 - 74.6) / 3)
    assert evenness.verdict == "even"
    assert (found.without_loft, found.without_carry) == ((), ())


def test_the_error_of_a_step_is_that_of_a_difference():
    """NIST/SEMATECH e-Handbook 2.5.5.2: the variance of a difference of independent values is the sum of both."""
    clubs = [BagClub("50", 50, [ClubCarry("full", 100, 3.0)]), BagClub("55", 55, [ClubCarry("full", 87, 4.0)])]
    (step,) = check(clubs, loft_se_deg=0.3).steps
    assert step.loft_se_deg == pytest.approx(0.3 * math.sqrt(2))
    assert step.carries[0].se_m == pytest.approx(5.0)


def test_worth_in_degrees_is_the_step_over_what_a_degree_costs_by_least_squares():
    clubs = full((45, 110.0), (50, 98.0), (56, 83.0), (60, 76.0))
    lost_m = -np.polyfit([45, 50, 56, 60], [110, 98, 83, 76], 1)[0]
    assert [step.worth_deg for step in full_steps(clubs)] == pytest.approx([12 / lost_m, 15 / lost_m, 7 / lost_m])
    assert full_steps(full((45, 110.0), (57, 80.0)))[0].worth_deg == pytest.approx(12)


@pytest.mark.parametrize("lost_m_per_deg", [0.7, 1.1, 2, 2.3])
def test_overlaps_and_holes_begin_a_degree_beyond_common_practice(lost_m_per_deg):
    """On a straight line 3 and 7 degrees' worth still fit, a quarter of a degree beyond does not."""

    def verdicts(*steps_deg):
        lofts = 40 + np.cumsum([0, *steps_deg])
        carries = 120.1 - lost_m_per_deg * np.cumsum([0, *steps_deg])
        return [step.verdict for step in full_steps(full(*zip(lofts.tolist(), carries.tolist(), strict=True)))]

    assert verdicts(3, 7, 5, 3, 7) == ["fits"] * 5
    assert verdicts(2.75, 7.25, 5) == ["overlap", "hole", "fits"]


def test_two_clubs_seven_degrees_apart_are_no_hole_by_the_last_bits_of_a_number():
    (step,) = full_steps(full((45, 90.7), (52, 80.4)))
    assert step.worth_deg == pytest.approx(7)
    assert step.verdict == "fits"


def test_two_clubs_that_fly_alike_overlap():
    assert full_steps(full((45, 110.0), (50, 90.0), (55, 90.0)))[1].verdict == "overlap"


def test_a_verdict_is_sure_where_its_whole_interval_says_the_same():
    """On a straight line of 2 m a degree a hole begins at 14 m: 20 m is one for sure with errors under 2.16 m."""
    lofts = [(40, 120.0), (50, 100.0), (55, 90.0)]

    def wide(se_m):
        return full_steps(full(*lofts, se_m=se_m))[0]

    assert (wide(2.1).verdict, wide(2.1).sure) == ("hole", True)
    assert (wide(2.2).verdict, wide(2.2).sure) == ("hole", False)
    assert (wide(None).verdict, wide(None).sure) == ("hole", None)


def test_a_club_that_flies_further_with_more_loft_is_out_of_order():
    first, second, third = full_steps(full((45, 110.0), (50, 80.0), (55, 85.0), (60, 70.0), se_m=0.5))
    assert (first.verdict, second.verdict, third.verdict) == ("hole", "out of order", "fits")
    assert (second.step_m, second.sure) == (-5.0, True)


def test_where_carry_does_not_fall_with_loft_nothing_is_said_of_a_step_but_that():
    turned = full_steps(full((45, 70.0), (50, 75.0), (55, 74.0)))
    assert turned == [
        CarryStep("full", -5.0, None, None, "out of order", None),
        CarryStep("full", 1.0, None, None, None, None),
    ]


@pytest.mark.parametrize("other_m", [60.0, 84.0, 86.0])
def test_two_clubs_of_one_loft_are_a_step_of_nought_and_in_no_order(other_m):
    twins = [
        BagClub("56 low", 56, [ClubCarry("full", 85.0, 1.0)]),
        BagClub("56 high", 56, [ClubCarry("full", other_m, 1.0)]),
    ]
    found = check([*full((46, 110.0)), *twins, *full((60, 75.0))])
    step = found.steps[1]
    assert (step.lower, step.higher, step.loft_deg) == ("56 high", "56 low", 0)
    assert (step.carries[0].step_m, step.carries[0].verdict, step.carries[0].sure) == (
        other_m - 85.0,
        "same loft",
        None,
    )
    assert (found.loft.smallest, found.loft.verdict) == (0, "uneven")


def test_two_clubs_of_one_loft_alone_say_nothing_of_what_a_degree_costs():
    (step,) = check([BagClub(name, 56, [ClubCarry("full", 85.0)]) for name in ("high", "low")]).steps
    assert step.carries == (CarryStep("full", 0.0, None, None, "same loft", None),)


def test_lofts_out_of_order_are_put_in_order():
    shuffled = list(MEASURED)
    Random(5).shuffle(shuffled)
    assert shuffled != MEASURED
    assert check(shuffled) == check(MEASURED)


def test_what_readings_may_make_of_even_lofts_is_within_error():
    """By hand, neighbouring steps: sqrt(6) x 1.96 x 0.5 = 2.40; steps apart, of three: sqrt(4) x 2.394 x 0.5 = 2.39."""
    assert check(by_loft(46, 51, 54)).loft.verdict == "within error"
    assert check(by_loft(46, 51, 54), loft_se_deg=0.4).loft.verdict == "uneven"
    assert check(by_loft(46, 51, 54)).loft.difference_se == pytest.approx(math.sqrt(6) * 0.5)
    apart = check(by_loft(44, 46.5, 51, 55.9))
    assert apart.loft.difference_se == pytest.approx(1.0)
    assert apart.loft.verdict == "uneven"
    assert check(by_loft(44, 46.6, 51, 55.9)).loft.verdict == "within error"


def test_with_lofts_known_exactly_a_degree_is_uneven_and_less_is_even():
    assert check(by_loft(45, 50, 56), loft_se_deg=0).loft.verdict == "uneven"
    assert check(by_loft(45.1, 50.1, 56.1), loft_se_deg=0).loft.verdict == "uneven"
    assert check(by_loft(45, 50, 55.9), loft_se_deg=0).loft.verdict == "even"


def test_carries_are_even_up_to_two_yards_and_need_standard_errors_to_be_called_uneven():
    def verdict(more_yd, se_m):
        clubs = full((45, 110.0), (50, 98.0), (55, 86.0 - more_yd * YD), se_m=se_m)
        return check(clubs).carry["full"].verdict

    assert verdict(1.9, 0.01) == "even"
    assert verdict(2.1, 0.01) == "uneven"
    assert verdict(2.1, 2.0) == "within error"
    assert verdict(2.1, None) == "not known"
    assert verdict(1.9, None) == "even"


def test_even_bags_are_seldom_called_uneven_and_the_limit_of_one_difference_would_be_too_narrow():
    """5,000 bags even at 5 degrees, each loft read with a standard error of 1: under 5 % may be flagged."""
    rng, bags = np.random.default_rng(41), 5000
    flagged = naive = 0
    for off in rng.normal(size=(bags, 5)).tolist():
        loft = check(by_loft(*(45 + 5 * k + e for k, e in enumerate(off))), loft_se_deg=1.0).loft
        flagged += loft.verdict == "uneven"
        naive += loft.largest - loft.smallest > 1.959964 * loft.difference_se
    assert 0.01 < flagged / bags < 0.05
    assert naive / bags > 0.08


def test_a_distance_without_a_shot_lies_between_two_carries_that_are_too_far_apart():
    clubs = [
        BagClub("56", 56, [ClubCarry("9:00", 50.0, 1.0), ClubCarry("full", 85.0, 1.0)]),
        BagClub("50", 50, [ClubCarry("9:00", 58.0, 1.0), ClubCarry("full", 100.0, 1.0)]),
    ]
    found = check(clubs, covers_m=5.0)
    assert found.bare == (
        Stretch(63.0, 80.0, ("50", "9:00"), ("56", "full"), True),
        Stretch(90.0, 95.0, ("56", "full"), ("50", "full"), True),
    )
    assert check(clubs, covers_m=7.5).bare == (Stretch(65.5, 77.5, ("50", "9:00"), ("56", "full"), True),)
    assert check(clubs, covers_m=13.5).bare == ()


def test_unless_said_otherwise_a_shot_serves_five_yards_to_either_side():
    """Common practice, no source: full shots about ten yards apart."""
    assert len(check(full((50, 100.0), (55, 100 - 10.1 * YD))).bare) == 1
    assert check(full((50, 100.0), (55, 100 - 9.9 * YD))).bare == ()


def test_a_stretch_is_sure_beyond_the_error_of_both_carries():
    """By hand: 2 m bare, sqrt(2) x 0.7 x 1.96 = 1.94 m; with 0.75 m 2.08 m."""
    assert check(full((50, 100.0), (56, 88.0), se_m=0.7), covers_m=5.0).bare[0].sure is True
    assert check(full((50, 100.0), (56, 88.0), se_m=0.75), covers_m=5.0).bare[0].sure is False
    assert check(full((50, 100.0), (56, 88.0)), covers_m=5.0).bare[0].sure is None


def test_every_distance_is_either_bare_or_near_a_carry():
    rng = np.random.default_rng(8)
    for _ in range(200):
        clubs = full(*zip(range(44, 60, 4), rng.uniform(20, 120, 4).tolist(), strict=True))
        carries = np.array([club.carries[0].carry_m for club in clubs])
        bare, covers_m = check(clubs, covers_m=6.0).bare, 6.0
        for at_m in rng.uniform(carries.min(), carries.max(), 50):
            served = np.abs(carries - at_m).min() <= covers_m
            assert served != any(stretch.from_m < at_m < stretch.to_m for stretch in bare)


def test_a_club_of_unknown_loft_is_in_no_step_but_covers_its_distances():
    clubs = full((46, 110.0), (58, 80.0))
    between = BagClub("old", None, [ClubCarry("full", 95.0)])
    found = check([*clubs, between], covers_m=8.0)
    assert [(step.lower, step.higher) for step in found.steps] == [("46", "58")]
    assert found.without_loft == ("old",)
    assert found.bare == ()
    assert len(check(clubs, covers_m=8.0).bare) == 1


def test_a_bag_without_measured_carries_has_steps_in_degrees_only():
    found = check(by_loft(45, 50, 56))
    assert [(step.loft_deg, step.carries) for step in found.steps] == [(5, ()), (6, ())]
    assert (found.carry, found.bare, found.without_carry) == ({}, (), ("45", "50", "56"))


def test_a_carry_that_is_missing_between_two_is_no_hole():
    missing = [replace(club, carries=club.carries[1:]) if club.label == "50" else club for club in MEASURED]
    found = check(missing)
    assert [[carry.swing for carry in step.carries] for step in found.steps] == [
        ["9:00", "10:30", "full"],
        ["9:00", "10:30", "full"],
        list(SWINGS),
    ]
    assert list(found.carry) == ["9:00", "10:30", "full"]


def test_steps_that_lie_apart_are_compared_by_the_clubs_they_stand_on():
    clubs = full((45, 110.0), (50, 98.0), (55, 86.0), (60, 66.0), se_m=1.0)
    clubs[1:2] = [BagClub("50", 50, [ClubCarry("full", 98.0, 3.0)])]
    by_hand = math.sqrt(1 + 4 + 9)  # largest 55-60, smallest 50-55 as the later of two equals: the 55 errs in both
    assert check(clubs).carry["full"].difference_se == pytest.approx(by_hand)


def test_a_putter_counts_among_the_fourteen_and_for_nothing_else():
    putter = BagClub("putter", 3.5, putter=True)
    assert check([*MEASURED, putter]) == check(MEASURED)
    thirteen = by_loft(*range(20, 59, 3))
    assert len(check([*thirteen, putter]).steps) == 12
    with pytest.raises(ValueError, match=r"15 clubs: leave 1 at home; Rule 4\.1b allows 14"):
        check([*thirteen, *by_loft(62), putter])


@pytest.mark.parametrize("clubs", [[], by_loft(50), [BagClub("50")], [BagClub("putter", putter=True)]])
def test_a_bag_without_two_lofts_has_no_steps(clubs):
    found = check(clubs)
    assert (found.steps, found.loft, found.carry, found.bare) == ((), None, {}, ())


def test_one_step_is_not_even_with_anything():
    found = check(full((50, 100.0), (56, 85.0)))
    assert len(found.steps) == 1
    assert (found.loft, found.carry) == (None, {})


@pytest.mark.parametrize(
    ("club", "words"),
    [
        (BagClub("45"), "two clubs have the same name"),
        (BagClub("56", 0.0), "56: give its loft in degrees"),
        (BagClub("56", math.nan), "56: give its loft in degrees"),
        (BagClub("56", 56, [ClubCarry("6:00", 20.0)]), "56 6:00: not among the swing lengths 7:30, 9:00, 10:30, full"),
        (BagClub("56", 56, [ClubCarry("full", 80.0)] * 2), "56: each swing may come once"),
        (BagClub("56", 56, [ClubCarry("full", 0.0)]), "56 full: give a carry above 0"),
        (BagClub("56", 56, [ClubCarry("full", math.inf)]), "56 full: give a carry above 0"),
        (BagClub("56", 56, [ClubCarry("full", 80.0, -1.0)]), "56 full: give a standard error of 0 or more"),
        (BagClub("56", 56, [ClubCarry("full", 80.0, math.nan)]), "56 full: give a standard error of 0 or more"),
    ],
)
def test_a_club_that_cannot_be_is_told_what_to_do(club, words):
    with pytest.raises(ValueError, match=words):
        check([*MEASURED, club])


@pytest.mark.parametrize(
    ("options", "words"),
    [
        ({"loft_se_deg": -0.1}, "error of a loft reading"),
        ({"loft_se_deg": math.nan}, "error of a loft reading"),
        ({"covers_m": 0.0}, "how far a shot serves"),
        ({"covers_m": math.inf}, "how far a shot serves"),
    ],
)
def test_limits_that_cannot_be_are_refused(options, words):
    with pytest.raises(ValueError, match=words):
        check(MEASURED, **options)
