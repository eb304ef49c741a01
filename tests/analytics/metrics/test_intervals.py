import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from analytics.metrics.intervals import chi2_quantile, mean_interval, share_interval, spread_interval, t_quantile

from .shots import entered, score

DEGREES = (1, 2, 3, 4, 5, 9, 19, 30, 100, 999, 50_000)


@pytest.mark.parametrize("df", DEGREES)
@pytest.mark.parametrize("p", [0.025, 0.05, 0.3, 0.9, 0.975])
def test_quantiles_equal_those_of_scipy_stats(p, df):
    assert t_quantile(p, df) == pytest.approx(stats.t.ppf(p, df), rel=1e-12)
    assert chi2_quantile(p, df) == pytest.approx(stats.chi2.ppf(p, df), rel=1e-12)


def test_interval_of_a_mean_as_in_the_nist_handbook():
    # NIST/SEMATECH e-Handbook 1.3.5.2, ZARR13: n 195, mean 9.261460, sd 0.022789 (these inputs from memory),
    # printed limits 9.258242 and 9.264679, from inputs with one more digit than the mean shows.
    low, high = mean_interval(195, 9.261460, 0.022789)
    assert low == pytest.approx(9.258242, abs=2e-6)
    assert high == pytest.approx(9.264679, abs=2e-6)


# Any table of chi-square and t: quantiles 0.025 and 0.975 of chi-square with n - 1 degrees of freedom, the bounds
# of a standard deviation as multiples of s that follow from them, and t 0.975.
SMALL_SAMPLES = [
    # n, chi2 .025, chi2 .975, low, high, t .975
    (3, 0.0506, 7.3778, 0.5207, 6.2847, 4.3027),
    (5, 0.4844, 11.1433, 0.5991, 2.8736, 2.7764),
    (8, 1.6899, 16.0128, 0.6612, 2.0353, 2.3646),
    (10, 2.7004, 19.0228, 0.6878, 1.8256, 2.2622),
    (15, 5.6287, 26.1189, 0.7321, 1.5771, 2.1448),
    (20, 8.9065, 32.8523, 0.7605, 1.4606, 2.0930),
    (30, 16.0471, 45.7223, 0.7964, 1.3443, 2.0452),
    (50, 31.5549, 70.2224, 0.8353, 1.2461, 2.0096),
    (100, 73.3611, 128.4220, 0.8780, 1.1617, 1.9842),
]


@pytest.mark.parametrize(("n", "chi2_low", "chi2_high", "low", "high", "t"), SMALL_SAMPLES)
def test_small_sample_bounds_equal_the_tables(n, chi2_low, chi2_high, low, high, t):
    last_digit = 5.1e-5
    assert chi2_quantile(0.025, n - 1) == pytest.approx(chi2_low, abs=last_digit)
    assert chi2_quantile(0.975, n - 1) == pytest.approx(chi2_high, abs=last_digit)
    assert spread_interval(n, 1.0) == pytest.approx((low, high), abs=last_digit)
    assert mean_interval(n, 0.0, np.sqrt(n)) == pytest.approx((-t, t), abs=last_digit)


def test_ten_errors_worked_by_hand():
    # Mean square error = bias^2 + variance with divisor n: 7 = 1 + 6. t(.975, 9) = 2.262157,
    # chi-square(.025, 9) = 2.700389 and (.975, 9) = 19.022768 from any table.
    cell = score(entered([-3, -1, 2, -4, 0, -2, 1, -5, 3, -1]))
    assert cell.bias_m == -1
    assert cell.spread_m == pytest.approx(np.sqrt(60 / 9), rel=1e-15)
    assert cell.rmse_m == pytest.approx(np.sqrt(7), rel=1e-15)
    assert cell.bias_ci95_m == pytest.approx((-2.847044, 0.847044), abs=5e-7)
    assert cell.spread_ci95_m == pytest.approx((1.775983, 4.713705), abs=5e-7)


@pytest.mark.parametrize("n", [0, 1])
def test_there_is_no_interval_under_two_shots(n):
    assert mean_interval(n, 1.0, float("nan")) is None
    assert spread_interval(n, float("nan")) is None


def test_intervals_of_equal_shots_are_points():
    assert mean_interval(4, 2.5, 0.0) == (2.5, 2.5)
    assert spread_interval(4, 0.0) == (0.0, 0.0)


@given(st.integers(2, 10_000), st.floats(-100, 100), st.floats(1e-6, 100))
@settings(max_examples=50, deadline=None)
def test_intervals_equal_scipy_stats_and_hold_their_estimate(n, mean, s):
    low, high = mean_interval(n, mean, s)
    scipy_bounds = stats.t.interval(0.95, n - 1, loc=mean, scale=s / np.sqrt(n))
    assert (low, high) == pytest.approx(scipy_bounds, rel=1e-12, abs=1e-12)
    assert low <= mean <= high
    low, high = spread_interval(n, s)
    squares = (n - 1) * s**2
    scipy_bounds = (
        np.sqrt(squares / stats.chi2.ppf(0.975, n - 1)),
        np.sqrt(squares / stats.chi2.ppf(0.025, n - 1)),
    )
    assert (low, high) == pytest.approx(scipy_bounds, rel=1e-12)
    assert low < s < high


# Newcombe, Stat. Med. 17:857-872 (1998), table I, method 3 (from memory).
NEWCOMBE = [(81, 263, 0.2553, 0.3662), (15, 148, 0.0624, 0.1605), (0, 20, 0.0, 0.1611), (1, 29, 0.0061, 0.1718)]


@pytest.mark.parametrize(("hits", "n", "low", "high"), NEWCOMBE)
def test_the_interval_of_a_share_as_newcombe_prints_it(hits, n, low, high):
    assert share_interval(hits, n) == pytest.approx((low, high), abs=5.1e-5)


def test_the_interval_of_a_share_holds_what_the_score_test_does_not_refuse():
    """Wilson's own definition: at either end |share - p| is z standard errors at p."""
    for hits, n in ((1, 4), (7, 9), (30, 200)):
        for p in share_interval(hits, n):
            assert abs(hits / n - p) / np.sqrt(p * (1 - p) / n) == pytest.approx(stats.norm.ppf(0.975), rel=1e-9)


def test_no_try_has_no_interval_and_none_or_all_hit_end_at_nothing_and_everything():
    assert share_interval(0, 0) is None
    assert share_interval(0, 5)[0] == 0.0 < share_interval(0, 5)[1] < 0.5
    assert 0.5 < share_interval(5, 5)[0] < share_interval(5, 5)[1] == 1.0
    for hits, n in ((-1, 5), (6, 5)):
        with pytest.raises(ValueError, match="hits must lie in 0 to 5"):
            share_interval(hits, n)


@given(st.integers(1, 100_000).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n))))
@settings(max_examples=50, deadline=None)
def test_the_interval_of_a_share_equals_scipys_holds_the_share_and_mirrors(sample):
    hits, n = sample
    low, high = share_interval(hits, n)
    bounds = stats.binomtest(hits, n).proportion_ci(method="wilson")
    assert (low, high) == pytest.approx((bounds.low, bounds.high), abs=1e-12)
    assert low <= hits / n <= high
    assert share_interval(n - hits, n) == pytest.approx((1 - high, 1 - low), abs=1e-12)
