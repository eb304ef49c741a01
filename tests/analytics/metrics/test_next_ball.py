from zlib import crc32

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from analytics.metrics.next_ball import Scatter, StockShot, chance_within, predictive


def scatter(mean=50.0, scale=4.0, df=17.0, lateral=3.0, mishit=0.0):
    return Scatter(*(np.array([each], dtype=float) for each in (mean, scale, df, lateral, mishit, 1.0)))


def chance(target_m, radius_m, **figures):
    shot = scatter(**figures)
    return float(chance_within(shot, np.array([[target_m - shot.mean[0]]]), radius_m)[0, 0])


def test_the_next_ball_of_one_shot_worked_by_hand():
    found = predictive([StockShot("54", "full", 9, 80.0, 8.0, 9, 4.0, 0.1)])
    pooled2 = (2 * 0.07**2 + 8 * 0.10**2) / 10
    s = 80 * np.sqrt((8 * pooled2 + 8 * 0.10**2) / 16)
    side2 = (2 * 0.05**2 + 8 * 0.05**2) / 10
    expected = [
        80,
        s * np.sqrt(10 / 9),
        16,
        80 * np.sqrt((8 * side2 + 8 * 0.05**2) / 16),
        0.1,
        s / 3 * np.sqrt(16 / 14),
    ]
    assert [float(column[0]) for column in vars(found).values()] == pytest.approx(expected, rel=1e-12)


def test_a_shot_of_one_ball_takes_its_scatter_from_the_others():
    known = StockShot("54", "full", 30, 90.0, 3.6, 30, 3.6)
    found = predictive([StockShot("54", "9:00", 1, 60.0, None), known])
    assert found.df.tolist() == [8, 37]
    assert found.scale[0] == pytest.approx(60 * 0.0425 * np.sqrt(2), rel=0.05)
    assert found.lateral[0] == pytest.approx(60 * 0.041, rel=0.05)


def test_without_any_lateral_error_the_ball_is_taken_to_fly_straight():
    assert predictive([StockShot("54", "full", 5, 80.0, 6.0)]).lateral.tolist() == [0]


def test_equal_balls_still_scatter():
    found = predictive([StockShot("54", "full", 5, 80.0, 0.0, 5, 0.0)])
    assert found.scale[0] > 1
    assert found.lateral[0] > 0.5


@pytest.mark.parametrize(
    "shot",
    [
        StockShot("54", "full", 0, 80.0, None),
        StockShot("54", "full", 3, 0.0, 0.0),
        StockShot("54", "full", 3, float("nan"), 1.0),
        StockShot("54", "full", 3, 80.0, 4.0, mishit=1.2),
    ],
)
def test_a_faulty_shot_is_refused_with_its_reason(shot):
    with pytest.raises(ValueError, match="54 full: needs a ball, a carry above 0 and a mishit rate of 0 to 1"):
        predictive([shot])


@pytest.mark.parametrize(("target_m", "radius_m"), [(50, 2.7432), (53, 5), (44, 1), (70, 3)])
def test_on_line_the_chance_is_that_of_students_t(target_m, radius_m):
    expected = stats.t.cdf((target_m + radius_m - 50) / 4, 17) - stats.t.cdf((target_m - radius_m - 50) / 4, 17)
    assert chance(target_m, radius_m, lateral=0.0) == pytest.approx(expected, abs=1e-6)


@pytest.mark.parametrize("radius_m", [1.0, 3.0, 8.0])
def test_equal_normal_scatter_in_depth_and_side_gives_the_rayleigh_chance(radius_m):
    # P(miss <= r) = 1 - exp(-r^2 / 2 s^2) (Lord Rayleigh, 1880; any table of the circular normal)
    expected = -np.expm1(-(radius_m**2) / (2 * 4.0**2))
    assert chance(50, radius_m, df=1e7, lateral=4.0) == pytest.approx(expected, abs=2e-4)


def test_off_centre_the_chance_is_that_of_rice():
    # The distance from a point off the centre of a circular normal is Rice's (Rice, Bell Syst. Tech. J. 24, 1945)
    expected = stats.rice.cdf(3.0 / 4.0, 6.0 / 4.0)
    assert chance(56, 3.0, df=1e7, lateral=4.0) == pytest.approx(expected, abs=2e-4)


@given(st.floats(30, 70), st.floats(0.5, 8), st.floats(0.3, 10), st.floats(8, 60), st.floats(0.1, 8))
@settings(max_examples=40, deadline=None)
def test_the_chance_equals_a_fine_midpoint_rule(target_m, radius_m, scale, df, lateral):
    steps = 100_000
    angle = (np.arange(steps) + 0.5) / steps * np.pi - np.pi / 2
    depth, half_width = radius_m * np.sin(angle), radius_m * np.cos(angle)
    density = stats.t.pdf((target_m + depth - 50) / scale, df) / scale
    within = 2 * stats.norm.cdf(half_width / lateral) - 1
    expected = (density * within * half_width).sum() * np.pi / steps
    assert chance(target_m, radius_m, scale=scale, df=df, lateral=lateral) == pytest.approx(expected, abs=0.002)


@pytest.mark.parametrize("target_m", [44, 50, 53, 60])
@pytest.mark.parametrize("radius_m", [2.7432, 5.0])
def test_the_chance_equals_a_million_drawn_balls(target_m, radius_m):
    rng = np.random.default_rng(crc32(b"chance within"))
    carry = 50 + 4 * rng.standard_t(17, 1_000_000)
    miss = np.hypot(carry - target_m, 3 * rng.normal(size=1_000_000))
    drawn = 0.92 * np.mean(miss <= radius_m)
    assert chance(target_m, radius_m, mishit=0.08) == pytest.approx(drawn, abs=0.002)


@given(st.floats(20, 100), st.lists(st.floats(0.1, 30), min_size=2, max_size=6, unique=True))
def test_a_wider_radius_is_never_less_likely(target_m, radii_m):
    chances = [chance(target_m, radius_m) for radius_m in sorted(radii_m)]
    assert chances[0] >= 0
    assert chances[-1] <= 1
    assert (np.diff(chances) >= -1e-4).all()


def test_a_target_far_out_of_reach_has_no_chance_and_a_huge_radius_is_certain():
    assert chance(500, 3.0) == 0
    assert chance(50, 1000.0) == pytest.approx(1, abs=1e-3)
    assert chance(50, 1000.0, mishit=0.25) == pytest.approx(0.75, abs=1e-3)


def test_chances_come_for_every_target_and_shot():
    both = Scatter(
        *(np.concatenate([a, b]) for a, b in zip(vars(scatter()).values(), vars(scatter(60.0)).values(), strict=True))
    )
    found = chance_within(both, np.array([50.0, 55.0, 60.0])[:, None] - both.mean, 3.0)
    assert found.shape == (3, 2)
    assert [found[0, 0], found[2, 1]] == pytest.approx([chance(50, 3.0)] * 2)
    assert found[1, 0] == pytest.approx(found[1, 1])
