import statistics
from math import exp, inf, log, nan, sqrt

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from analytics.metrics.eye_check import EyeError, eye_error_of


def error_of(*pairs) -> EyeError:
    guess_m, measured_m = np.array(pairs, dtype=float).reshape(-1, 2).T
    return eye_error_of(guess_m, measured_m)


def test_three_guesses_worked_by_hand():
    # Ratios e^-0.2, e^-0.1 and 1 have logarithms of mean -0.1 and standard deviation 0.1: bias e^-0.1 - 1, scatter
    # sqrt(e^0.01 - 1). t(.975, 2) = 4.3027 and chi-square(.025 and .975, 2) = 0.0506 and 7.3778 from any table.
    found = error_of((50 * exp(-0.2), 50), (50 * exp(-0.1), 50), (50, 50))
    assert found.n == 3
    assert found.bias_pct == pytest.approx(100 * (0.904837418 - 1), rel=1e-7)
    assert found.scatter_pct == pytest.approx(100 * sqrt(0.010050167084), rel=1e-9)
    half = 4.3027 * 0.1 / sqrt(3)
    assert found.bias_ci95_pct == pytest.approx((100 * (exp(-0.1 - half) - 1), 100 * (exp(-0.1 + half) - 1)), rel=1e-3)
    low, high = 0.1 * sqrt(2 / 7.3778), 0.1 * sqrt(2 / 0.0506)
    ends = tuple(100 * sqrt(exp(s * s) - 1) for s in (low, high))
    assert found.scatter_ci95_pct == pytest.approx(ends, rel=1e-3)


def test_metres_are_plain_mean_and_standard_deviation_worked_by_hand():
    # Misses -10, -6, -2: mean -6, squares 16 + 0 + 16 over 2.
    found = error_of((40, 50), (44, 50), (98, 100))
    assert (found.bias_m, found.scatter_m) == pytest.approx((-6, 4), rel=1e-15)


lengths = st.floats(1, 400)


@settings(max_examples=60, deadline=None)
@given(st.lists(st.tuples(lengths, lengths), min_size=2, max_size=12))
def test_the_figures_equal_those_worked_out_one_by_one_with_other_tools(pairs):
    ratios = [log(guess / laser) for guess, laser in pairs]
    mean, s = statistics.fmean(ratios), statistics.stdev(ratios)
    found = error_of(*pairs)
    assert found.bias_pct == pytest.approx(100 * (exp(mean) - 1), rel=1e-9, abs=1e-9)
    assert found.scatter_pct == pytest.approx(100 * sqrt(exp(s * s) - 1), rel=1e-6, abs=1e-5)
    if s > 1e-6:
        ends = stats.t.interval(0.95, len(pairs) - 1, mean, s / sqrt(len(pairs)))
        assert found.bias_ci95_pct == pytest.approx([100 * (exp(end) - 1) for end in ends], rel=1e-6, abs=1e-6)


@settings(max_examples=60, deadline=None)
@given(st.lists(st.tuples(lengths, lengths), min_size=2, max_size=12))
def test_percentages_know_no_unit_and_metres_do(pairs):
    yards = error_of(*[(guess / 0.9144, laser / 0.9144) for guess, laser in pairs])
    metres = error_of(*pairs)
    for name in ("bias_pct", "scatter_pct"):
        assert getattr(yards, name) == pytest.approx(getattr(metres, name), rel=1e-6, abs=1e-5)
    assert yards.bias_m * 0.9144 == pytest.approx(metres.bias_m, rel=1e-9, abs=1e-9)


def test_the_scatter_is_scipys_standard_deviation_of_a_log_normal_over_its_mean():
    s = 0.12
    found = error_of((50 * exp(s / sqrt(2)), 50), (50 * exp(-s / sqrt(2)), 50))
    assert found.scatter_pct == pytest.approx(100 * stats.lognorm.std(s) / stats.lognorm.mean(s), rel=1e-9)
    # Two guesses as far over as under, by a factor: no bias.
    assert found.bias_pct == pytest.approx(0, abs=1e-12)


def test_no_guess_gives_no_figure_and_one_gives_no_scatter():
    assert error_of() == EyeError(n=0)
    assert error_of((45, 50)) == EyeError(n=1, bias_pct=pytest.approx(-10), bias_m=-5)


@pytest.mark.parametrize("bad", [(nan, 50), (50, nan), (0, 50), (50, 0), (inf, 50), (50, inf), (-50, -50)])
def test_a_pair_that_says_nothing_is_left_out(bad):
    assert error_of((45, 50), bad, (55, 50)) == error_of((45, 50), (55, 50))


def test_equal_errors_have_no_scatter():
    found = error_of((40, 50), (80, 100))
    assert (found.scatter_pct, found.scatter_ci95_pct) == (0, (0, 0))
    assert found.bias_ci95_pct == pytest.approx((-20, -20))


def test_two_guesses_far_apart_leave_the_scatter_without_an_upper_end():
    low, high = error_of((0.5, 400), (400, 0.5)).scatter_ci95_pct
    assert (low > 1000, high) == (True, inf)
