"""The parts that the report's intervals and verdicts are made of, on examples of the NIST/SEMATECH e-Handbook.

The product compares scatters by tests that stray balls do not mislead (`strike_sessions`, `carry_chart`), so it has
no Levene, Bartlett or F test of its own. Their examples still check its spreads, medians and means of groups and its
quantiles: the tests here put these together as the handbook does.
"""

import numpy as np
import pytest

from analytics.metrics.intervals import chi2_quantile, f_quantile
from analytics.metrics.moments import group_medians, group_moments

from ..simulations.cusum import cusum
from .nist import GEAR

DIAMETERS = np.ravel(GEAR)
BATCHES, EACH = np.shape(GEAR)
BATCH = np.repeat(np.arange(BATCHES), EACH)


def between_over_within(values):
    """F of one-way analysis of variance between the batches (handbook, 1.3.5.4)."""
    batches = group_moments(BATCH, values, BATCHES)
    return EACH * np.var(batches.mean, ddof=1) / np.mean(batches.s**2)


def test_bartletts_example_from_the_spreads_of_its_groups():
    # 1.3.5.7: T 20.78587 against chi-square(.95, 9) = 16.919: the batches' scatters differ
    variance, df = group_moments(BATCH, DIAMETERS, BATCHES).s ** 2, EACH - 1
    apart = BATCHES * df * np.log(np.mean(variance)) - df * np.sum(np.log(variance))
    statistic = apart / (1 + (BATCHES / df - 1 / (BATCHES * df)) / (3 * (BATCHES - 1)))
    assert statistic == pytest.approx(20.78587342806484, rel=1e-9)
    assert chi2_quantile(0.95, 9) == pytest.approx(16.918978, abs=5e-7)


def test_levenes_example_from_the_medians_of_its_groups():
    # 1.3.5.10: W printed as 1.705910, and 1.7059176930 in scipy's own tests, which cite the handbook and are right in
    # exact arithmetic. Against F(.95; 9, 90) = 1.9855: not enough to call the scatters unlike.
    from_median = np.abs(DIAMETERS - group_medians(BATCH, DIAMETERS, BATCHES)[BATCH])
    assert between_over_within(from_median) == pytest.approx(1.7059176930008939, rel=1e-9)
    assert f_quantile(0.95, 9, 90) == pytest.approx(1.9855, abs=1.1e-4)


def test_levenes_example_about_the_means_is_another_figure():
    from_mean = np.abs(DIAMETERS - group_moments(BATCH, DIAMETERS, BATCHES).mean[BATCH])
    assert between_over_within(from_mean) == pytest.approx(2.15945985647285, rel=1e-9)  # scipy's own tests, from R


def test_the_analysis_of_variance_of_the_same_batches():
    assert between_over_within(DIAMETERS) == pytest.approx(2.2969, abs=5e-5)  # 1.3.5.4


def test_the_limits_of_the_f_examples_two_equal_scatters():
    # 1.3.5.9, ceramic strength, 240 against 240, s 65.54909 and 61.85425 (from memory): F 1.123037 within its limits
    low, high = f_quantile(0.025, 239, 239), f_quantile(0.975, 239, 239)
    assert (low, high) == pytest.approx((0.7756, 1.2894), abs=5e-5)
    ratio = (65.54909 / 61.85425) ** 2
    assert ratio == pytest.approx(1.123037, abs=5e-7)
    assert low < ratio < high


def test_the_cusum_that_the_moving_average_is_compared_with_gives_the_handbooks_example():
    # 6.3.2.3: target 325, allowance 0.3175, limit 4.1959; sums printed to two decimals. First signal at group 14.
    values = [324.925, 324.675, 324.725, 324.350, 325.350, 325.225, 324.125, 324.525, 325.225, 324.600]
    values += [324.625, 325.150, 328.325, 327.250, 327.825, 328.500, 326.675, 327.775, 326.875, 328.350]
    up, down = cusum(np.array(values) - 325, 0.3175)
    printed_up = [0, 0, 0, 0, 0.03, 0, 0, 0, 0, 0, 0, 0, 3.01, 4.94, 7.45, 10.63, 11.99, 14.44, 16.00, 19.04]
    printed_down = [0, 0.01, 0, 0.33, 0, 0, 0.56, 0.71, 0.17, 0.25, 0.31, 0, 0, 0, 0, 0, 0, 0, 0, 0]
    assert up == pytest.approx(printed_up, abs=0.0051)  # half of the last digit printed; halves go either way there
    assert down == pytest.approx(printed_down, abs=0.0051)
    assert np.flatnonzero(np.maximum(up, down) > 4.1959)[0] + 1 == 14
