from itertools import pairwise, product

import numpy as np
import pytest
from scipy import stats

from analytics.metrics.false_alarms import (
    EWMA_WEIGHT,
    alarm_limit,
    ewma_variance,
    false_alarms,
    one_chart_alarms,
)

NO_ERROR = 10**12  # sessions of a baseline whose mean is as good as known


def levels_covariance(sessions: int, baseline: float, weight: float = EWMA_WEIGHT) -> np.ndarray:
    """Covariance of the levels, each written out as weighted values less the weighted error of the baseline."""
    on_values = np.array(
        [[weight * (1 - weight) ** (t - i) if i <= t else 0 for i in range(sessions)] for t in range(sessions)]
    )
    on_error = -on_values.sum(axis=1)
    return on_values @ on_values.T + np.outer(on_error, on_error) / baseline


@pytest.mark.parametrize("baseline", [3, 8, np.inf])
def test_the_variance_equals_that_of_the_levels_written_out(baseline):
    covariance = levels_covariance(26, baseline)
    assert ewma_variance(np.arange(1, 27), baseline) == pytest.approx(np.diag(covariance), rel=1e-12)


def test_without_error_of_the_baseline_the_variance_is_the_handbooks():
    # NIST/SEMATECH e-Handbook, 6.3.2.4: weight^2 after one value, weight / (2 - weight) in the long run; its chart has
    # the weight 0.3, s = 2.0539 and 3-sigma limits 52.5884 and 47.4115 (it rounds the root: 1e-4).
    assert ewma_variance(1, np.inf, 0.3) == pytest.approx(0.09)
    half = 3 * 2.0539 * np.sqrt(ewma_variance(1000, np.inf, 0.3))
    assert (50 + half, 50 - half) == pytest.approx((52.5884, 47.4115), abs=1e-4)


@pytest.mark.parametrize("limit", [0.6, 1.0, 2.0, 3.5])
def test_one_session_leaves_the_limits_as_often_as_a_normal_value(limit):
    assert one_chart_alarms(limit, 1, 5) == pytest.approx(2 * stats.norm.sf(limit), rel=1e-4)


@pytest.mark.parametrize(("limit", "baseline"), list(product([1.0, 2.0, 3.0], [3, NO_ERROR])))
def test_three_sessions_leave_the_limits_as_often_as_three_normal_values_together(limit, baseline):
    covariance = levels_covariance(3, baseline)
    bound = limit * np.sqrt(np.diag(covariance))
    inside = stats.multivariate_normal(cov=covariance, abseps=1e-6, releps=1e-6, maxpts=10**5, seed=1).cdf(
        bound, lower_limit=-bound
    )
    assert one_chart_alarms(limit, 3, baseline) == pytest.approx(1 - inside, abs=2e-5)


@pytest.mark.parametrize(("limit", "run_length"), [(2.962, 500), (2.72, 250)])
def test_the_long_run_between_false_alarms_is_the_published_one(limit, run_length):
    # Weight .2, two-sided: 500 at 2.962 (Lucas & Saccucci, Technometrics 32:1-12, 1990; from memory), 250 at 2.72
    # (Crowder, Journal of Quality Technology 21:155-162, 1989, as quoted in the examples of the R package spc), both
    # limits rounded. In the long run every session alarms with the chance 1 / run length, nearly.
    before, after = (1 - one_chart_alarms(limit, sessions, NO_ERROR) for sessions in (300, 301))
    assert 1 / (1 - after / before) == pytest.approx(run_length, rel=0.02)


def test_the_limit_spends_the_budget_and_no_more():
    for charts, df, budget in product([1, 12, 40], [4, 48, None], [0.05, 0.10]):
        limit = alarm_limit(charts, 26, 5, df, budget)
        assert false_alarms(limit, charts, 26, 5, df) == pytest.approx(budget, rel=1e-6)


def test_one_chart_with_known_sd_alarms_as_the_curve_was_computed():
    for limit in (0.6, 1.3, 2.4, 3.4, 5.0):
        assert false_alarms(limit, 1, 26, 5) == pytest.approx(one_chart_alarms(limit, 26, 5), rel=2e-3)


@pytest.mark.parametrize("charts", [1, 12, 21])
def test_the_limit_lies_a_little_under_bonferronis(charts):
    # Neighbouring levels hardly differ, so they need less than as many independent ones.
    bonferroni = stats.norm.isf(0.10 / (2 * 26 * charts))
    assert bonferroni - 0.2 < alarm_limit(charts, 26, NO_ERROR) < bonferroni


def test_more_charts_more_sessions_and_a_worse_known_sd_widen_the_limits():
    by_charts = [alarm_limit(charts, 26, 5) for charts in (1, 6, 12, 24, 60)]
    by_sessions = [alarm_limit(12, sessions, 5) for sessions in (6, 13, 26, 52)]
    by_df = [alarm_limit(12, 26, 5, df) for df in (None, 100, 48, 12, 4)]
    for limits in (by_charts, by_sessions, by_df):
        assert all(narrow < wide for narrow, wide in pairwise(limits))
    assert alarm_limit(12, 26, 5, 10**6) == pytest.approx(by_df[0], abs=1e-3)
