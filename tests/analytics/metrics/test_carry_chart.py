from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from analytics.metrics.carry_chart import StockBalls, carry_chart, swing_scatter

SWINGS = ("7:30", "9:00", "10:30", "full")


def balls(club, loft_deg, swing, mean_m, cv, n=10, shape=stats.norm):
    """n balls of exactly this mean and cv, at the even quantiles of a normal or another shape."""
    z = shape.ppf((np.arange(n) + 0.5) / n)
    return StockBalls(club, loft_deg, swing, (mean_m * (1 + cv * z / z.std(ddof=1))).tolist())


def bag(cvs, n=10, shape=stats.norm):
    return [
        balls(club, loft, swing, share * mean_m, cv, n, shape)
        for club, loft, share in (("50", 50.0, 1.0), ("54", 54.0, 0.89), ("58", 58.0, 0.78))
        for swing, mean_m, cv in zip(SWINGS, (36.0, 60.0, 81.0, 101.0), cvs, strict=True)
    ]


def test_an_entry_has_the_raw_figures_of_its_balls_and_the_surface_apart():
    cells = [StockBalls("54", 54.0, "9:00", [50.0, 52.0, 57.0]), StockBalls("54", 54.0, "full", [90.0])]
    first, second = carry_chart(cells, SWINGS).entries
    half = 4.302652730 * np.sqrt(13) / np.sqrt(3)  # t(.975, 2), any table; squares 9 + 1 + 16 over 2
    assert (first.club, first.loft_deg, first.swing, first.n, first.raw_mean_m) == ("54", 54.0, "9:00", 3, 53.0)
    assert first.raw_ci95_m == pytest.approx((53 - half, 53 + half), rel=1e-8)
    assert first.surface.basis == "thinly measured"
    assert first.surface.ci95_m[1] - first.surface.ci95_m[0] < 2 * half
    assert (second.n, second.raw_mean_m, second.raw_ci95_m) == (1, 90.0, None)


def test_a_club_and_swing_without_balls_has_an_entry_from_the_surface_only():
    cells = [cell for cell in bag([0.05] * 4) if (cell.club, cell.swing) != ("54", "full")]
    entry = next(e for e in carry_chart(cells, SWINGS).entries if (e.club, e.swing) == ("54", "full"))
    assert (entry.n, entry.raw_mean_m, entry.raw_ci95_m, entry.surface.basis) == (0, None, None, "not measured")
    assert entry.surface.carry_m == pytest.approx(0.89 * 101, rel=0.02)


def test_entries_come_by_loft_then_swing():
    chart = carry_chart(bag([0.05] * 4)[::-1], SWINGS)
    assert [(entry.club, entry.swing) for entry in chart.entries] == [
        (c, s) for c in ("50", "54", "58") for s in SWINGS
    ]


def test_a_surface_that_is_not_monotone_is_not_shown():
    swapped = {"9:00": "10:30", "10:30": "9:00"}
    chart = carry_chart([replace(c, swing=swapped.get(c.swing, c.swing)) for c in bag([0.05] * 4)], SWINGS)
    assert not chart.surface.monotone
    assert {entry.surface for entry in chart.entries} == {None}


def test_the_swing_that_scatters_clearly_least_is_named():
    chart = carry_chart(bag([0.08, 0.04, 0.08, 0.08]), SWINGS)
    assert chart.steadiest == "9:00"
    assert [each.swing for each in chart.scatter] == list(SWINGS)
    assert [each.scatter_pct for each in chart.scatter] == pytest.approx([8, 4, 8, 8])
    assert [each.balls for each in chart.scatter] == [30] * 4


def test_swings_that_scatter_nearly_alike_cannot_be_told_apart():
    chart = carry_chart(bag([0.065, 0.055, 0.06, 0.06]), SWINGS)
    assert chart.steadiest is None
    assert max(chart.scatter, key=lambda each: each.chance_least).swing == "9:00"


def test_a_few_balls_do_not_name_a_swing_that_many_would():
    assert carry_chart(bag([0.08, 0.05, 0.08, 0.08], n=3), SWINGS).steadiest is None
    assert carry_chart(bag([0.08, 0.05, 0.08, 0.08], n=30), SWINGS).steadiest == "9:00"


@pytest.mark.parametrize("ratio", [0.5, 1.0, 1.7])
def test_of_two_swings_the_chance_is_that_of_fishers_f(ratio):
    # sigma1 < sigma2 with chance F(s2^2 / s1^2) on both degrees of freedom, for flat priors on log sigma (Box & Tiao,
    # Bayesian Inference in Statistical Analysis, 1973, section 2.6, from memory)
    cells = [balls("54", 54.0, "9:00", 50.0, 0.06, 12), balls("54", 54.0, "full", 80.0, 0.06 * ratio, 20)]
    first, second = swing_scatter(cells, SWINGS)
    assert first.chance_least == pytest.approx(stats.f.cdf(ratio**2, 19, 11), abs=2e-3)
    assert first.chance_least + second.chance_least == pytest.approx(1, abs=2e-3)


def test_the_chances_equal_those_of_drawn_variances():
    rng = np.random.default_rng(3)
    found = swing_scatter(bag([0.06, 0.05, 0.055, 0.07]), SWINGS)
    drawn = 27 * np.square([0.06, 0.05, 0.055, 0.07]) / rng.chisquare(27, (200_000, 4))
    shares = np.bincount(drawn.argmin(axis=1), minlength=4) / 200_000
    assert [each.chance_least for each in found] == pytest.approx(shares, abs=0.005)


def test_heavy_tails_make_the_same_percents_less_certain():
    normal, heavy = (
        carry_chart(bag([0.08, 0.055, 0.08, 0.08], 20, shape), SWINGS) for shape in (stats.norm, stats.t(2))
    )
    assert [each.scatter_pct for each in heavy.scatter] == pytest.approx([each.scatter_pct for each in normal.scatter])
    assert normal.steadiest == "9:00"
    assert heavy.steadiest is None


def test_one_swing_alone_is_not_the_least_of_anything():
    chart = carry_chart([cell for cell in bag([0.05] * 4) if cell.swing == "full"], SWINGS)
    assert (chart.scatter, chart.steadiest) == ((), None)


def test_a_swing_of_few_balls_is_not_compared():
    cells = [*bag([0.08, 0.08, 0.08, 0.08])[:3], balls("50", 50.0, "full", 100.0, 0.01, 4)]
    assert [each.swing for each in swing_scatter(cells, SWINGS)] == ["7:30", "9:00", "10:30"]


def test_equal_balls_are_held_at_half_a_percent_and_divide_nothing_by_zero():
    cells = [StockBalls("54", 54.0, swing, [m] * 6) for swing, m in (("9:00", 50.0), ("full", 80.0))]
    chart = carry_chart(cells, SWINGS)
    assert [each.scatter_pct for each in chart.scatter] == pytest.approx([0.5, 0.5])
    assert chart.steadiest is None
    assert chart.entries[0].raw_ci95_m == pytest.approx((50, 50))


def test_one_ball_makes_a_chart_with_a_wide_surface():
    (entry,) = carry_chart([StockBalls("54", 54.0, "full", [85.0])], SWINGS).entries
    low, high = entry.surface.ci95_m
    assert low < 75
    assert high > 96


@pytest.mark.parametrize("carries_m", [[], [50.0, 0.0], [50.0, float("nan")], [-1.0]])
def test_topped_balls_and_empty_cells_are_refused_with_the_reason(carries_m):
    with pytest.raises(ValueError, match="54 full: needs a ball, and carries above 0"):
        carry_chart([StockBalls("54", 54.0, "full", carries_m)], SWINGS)


def test_a_chart_of_nothing_is_refused():
    with pytest.raises(ValueError, match="at least one club and swing"):
        carry_chart([], SWINGS)


@given(st.permutations(bag([0.06, 0.05, 0.055, 0.07])), st.floats(0.3, 3))
@settings(max_examples=10, deadline=None)
def test_order_and_unit_change_no_chance(cells, unit):
    plain = swing_scatter(bag([0.06, 0.05, 0.055, 0.07]), SWINGS)
    scaled = [replace(cell, carries_m=[unit * carry_m for carry_m in cell.carries_m]) for cell in cells]
    for one, other in zip(plain, swing_scatter(scaled, SWINGS), strict=True):
        assert (one.swing, one.balls) == (other.swing, other.balls)
        assert other.chance_least == pytest.approx(one.chance_least, rel=1e-6)
