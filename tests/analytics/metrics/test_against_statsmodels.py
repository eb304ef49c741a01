import numpy as np
import pytest

from analytics.metrics.intervals import share_interval
from analytics.metrics.trend import ols_slope, trend_of_sessions

sm = pytest.importorskip("statsmodels.api")
proportion = pytest.importorskip("statsmodels.stats.proportion")


@pytest.mark.parametrize("sessions", [3, 6, 12, 60])
def test_the_trend_equals_statsmodels_ols(sessions):
    rng = np.random.default_rng(sessions)
    days = np.sort(rng.choice(400, sessions, replace=False))
    log_rmse = -2.3 - 0.001 * days + rng.normal(0, 0.02, sessions)
    fit = sm.OLS(log_rmse, sm.add_constant(days)).fit()
    trend = trend_of_sessions(days, log_rmse)
    line = ols_slope(days, log_rmse)
    assert (line.slope, line.se) == pytest.approx((fit.params[1], fit.bse[1]), rel=1e-9)
    assert trend.pct_per_30_days == pytest.approx(100 * np.expm1(30 * fit.params[1]), rel=1e-9)
    bounds = 100 * np.expm1(30 * fit.conf_int(0.05)[1])
    assert trend.ci95_pct_per_30_days == pytest.approx(tuple(bounds), rel=1e-9)


@pytest.mark.parametrize(("hits", "n"), [(0, 1), (0, 20), (1, 1), (4, 9), (20, 20), (81, 263)])
def test_the_interval_of_a_share_equals_statsmodels_wilson(hits, n):
    bounds = proportion.proportion_confint(hits, n, alpha=0.05, method="wilson")
    assert share_interval(hits, n) == pytest.approx(bounds, abs=1e-12)
