from math import asin

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import optimize, special

from analytics.metrics.putting import M_PER_FT, TOUR_PUTTS, putting_table

# One-putt and three-putt chances in percent at the rows of the table. M. Broadie, Every Shot Counts (2014), as public
# pages quote it; 6 to 9 and 90 ft from memory. Three-putts are what the table and the one-putts imply.
FEET = [2, 3, 4, 5, 6, 7, 8, 9, 10, 15, 20, 30, 40, 50, 60, 90]
ONE_PUTT_PCT = [99, 96, 88, 77, 66, 58, 50, 45, 40, 23, 15, 7, 4, 3, 2, 1]
THREE_PUTT_PCT = [0, 0, 1, 0, 0, 0, 0, 1, 1, 1, 2, 5, 10, 17, 23, 41]

# D. Berry, Statistics: A Bayesian Perspective (1995): feet, tries, successes; used by A. Gelman & D. Nolan, "A
# probability model for golf putting", Teaching Statistics 24 (2002).
BERRY = np.array(
    [
        *[(2, 1443, 1346), (3, 694, 577), (4, 455, 337), (5, 353, 208), (6, 272, 149), (7, 256, 136), (8, 240, 111)],
        *[(9, 217, 69), (10, 200, 67), (11, 237, 75), (12, 202, 52), (13, 192, 46), (14, 174, 54), (15, 167, 28)],
        *[(16, 201, 27), (17, 195, 31), (18, 191, 33), (19, 147, 20), (20, 152, 24)],
    ]
).T
BALL_FT, HOLE_FT = 1.68 / 2 / 12, 4.25 / 2 / 12


def angle_model(feet, sigma):
    """Gelman & Nolan (2002): chance to make a putt whose direction is off by a normal angle (radians)."""
    return 2 * special.ndtr(np.arcsin((HOLE_FT - BALL_FT) / feet) / sigma) - 1


def angle_and_distance_model(feet, sigma_angle, sigma_distance):
    """Gelman's second model (Stan case study, 2019): aimed a foot past, dead if 3 ft past or more."""
    past, short = 2 / ((feet + 1) * sigma_distance), -1 / ((feet + 1) * sigma_distance)
    return angle_model(feet, sigma_angle) * (special.ndtr(past) - special.ndtr(short))


def deviance_half(made):
    _, tries, successes = BERRY
    return -float(successes @ np.log(made) + (tries - successes) @ np.log1p(-made))


def test_the_published_rows_come_back():
    assert [TOUR_PUTTS.expected_putts(feet) for feet in (2, 3, 5, 10, 30, 90)] == [1.01, 1.04, 1.23, 1.61, 1.98, 2.40]


def test_putts_agree_with_published_one_and_three_putt_chances():
    # E = 2 - p1 + p3 where four putts and more are negligible
    for feet, one, three in zip(FEET, ONE_PUTT_PCT, THREE_PUTT_PCT, strict=True):
        assert TOUR_PUTTS.expected_putts(feet) == pytest.approx(2 - one / 100 + three / 100, abs=0.01)


def test_implied_three_putts_never_turn_negative_and_grow_with_distance_from_ten_feet():
    three_putt = np.array([TOUR_PUTTS.expected_putts(feet) for feet in FEET]) - 2 + np.array(ONE_PUTT_PCT) / 100
    assert (three_putt > -0.005).all()
    assert (np.diff(three_putt[FEET.index(10) :]) > -1e-9).all()


def test_one_putt_chances_follow_the_published_angle_and_distance_model():
    # The Stan case study's fit to 1,253,196 tour putts: sigma_angle .0178, sigma_distance .0801
    made = angle_and_distance_model(np.array(FEET), 0.01780208, 0.08006654)
    assert made[[0, 3, 8, 10, 12, 14]] == pytest.approx(
        [0.99736, 0.75665, 0.38931, 0.14347, 0.04166, 0.01917], abs=5e-6
    )
    assert made == pytest.approx(np.array(ONE_PUTT_PCT) / 100, abs=0.02)


def test_the_angle_model_fits_berrys_putts_as_published():
    # Gelman & Nolan (2002): sigma about .03 rad, 1.53 degrees
    fit = optimize.minimize_scalar(
        lambda s: deviance_half(angle_model(BERRY[0], s)), bounds=(0.01, 0.1), method="bounded"
    )
    assert fit.x == pytest.approx(0.0266454, rel=1e-4)
    assert np.degrees(fit.x) == pytest.approx(1.53, abs=0.005)
    assert angle_model(10.0, 0.0266454416) == pytest.approx(0.312235, abs=1e-6)
    assert asin((HOLE_FT - BALL_FT) / 10) == pytest.approx(np.radians(0.613554), rel=1e-6)


def test_a_logit_fits_berrys_putts_as_published_and_worse_than_the_angle():
    # Gelman & Nolan (2002): logit p = 2.23 - 0.26 x
    fit = optimize.minimize(lambda ab: deviance_half(special.expit(ab[0] + ab[1] * BERRY[0])), [2.0, -0.2])
    assert fit.x == pytest.approx([2.23121, -0.255692], rel=1e-3)
    assert fit.fun > deviance_half(angle_model(BERRY[0], 0.0266454416)) + 50


@pytest.mark.parametrize(
    ("fairway", "feet", "gained"), [(2.70, 12, 0.022), (2.60, 9, 0.040), (2.75, 20, -0.120), (2.52, 5, 0.290)]
)
def test_strokes_gained_from_the_fairway_worked_from_broadies_tables(fairway, feet, gained):
    # 60, 40, 80 and 30 yd: strokes from the fairway of M. Broadie, Interfaces 42:146-165 (2012), table 9
    assert fairway - TOUR_PUTTS.expected_putts(feet) - 1 == pytest.approx(gained, abs=1e-9)


@pytest.mark.parametrize(
    ("fairway", "feet"), [(2.18, 4.50), (2.40, 6.75), (2.52, 8.33), (2.60, 9.80), (2.70, 12.65), (2.80, 16.11)]
)
def test_the_leave_that_gains_nothing_is_found_between_the_rows(fairway, feet):
    # 10, 20, 30, 40, 60 and 100 yd of fairway, table 9 as above
    assert TOUR_PUTTS.expected_putts(feet) == pytest.approx(fairway - 1, abs=2e-4)


@pytest.mark.parametrize("feet", [1.9, 90.1, float("nan")])
def test_the_table_is_not_stretched(feet):
    with pytest.raises(ValueError, match="outside the putting table, 2 to 90 ft"):
        TOUR_PUTTS.expected_putts(feet)


def test_over_a_scatter_the_end_rows_hold_beyond_the_table():
    leaves_m = np.array([[0.0, 2.0], [90.0, 300.0]]) * M_PER_FT
    assert TOUR_PUTTS.putts_after(leaves_m).tolist() == [[1.01, 1.01], [2.40, 2.40]]


@given(st.floats(2, 90), st.floats(2, 90))
def test_a_longer_leave_never_takes_fewer_putts(one, other):
    assert TOUR_PUTTS.expected_putts(min(one, other)) <= TOUR_PUTTS.expected_putts(max(one, other))


def test_the_coachs_own_table_may_come_in_any_order():
    table = putting_table("our academy, 2025", [(20, 2.1), (3, 1.2)])
    assert (table.source, table.feet, table.putts) == ("our academy, 2025", (3, 20), (1.2, 2.1))
    assert table.expected_putts(11.5) == pytest.approx(1.65)


@pytest.mark.parametrize(
    ("rows", "fault"),
    [
        ([], "2 rows or more"),
        ([(3, 1.2)], "2 rows or more"),
        ([(3, 1.2), (3, 1.3)], "must rise"),
        ([(-1, 1.0), (3, 1.3)], "must rise"),
        ([(3, 1.2), (float("inf"), 1.3)], "must rise"),
        ([(3, 0.9), (5, 1.3)], "1 or more"),
        ([(3, 1.4), (5, 1.3)], "never fewer"),
    ],
)
def test_a_faulty_table_is_refused_with_its_reason(rows, fault):
    with pytest.raises(ValueError, match=fault):
        putting_table("a coach", rows)
