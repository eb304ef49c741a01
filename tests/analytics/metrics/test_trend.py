from math import expm1, log, sqrt

import numpy as np
import pytest
from scipy import stats

from analytics.metrics.trend import SessionPoint, ols_slope, session_log_rmse, session_series, trend_of_sessions

from .shots import Shot, make_columns, score

EULER_GAMMA = 0.577215664901532861  # NIST Digital Library of Mathematical Functions, 5.2.3


def balls(relative_errors, session=0, day=0, cell=0, target_m=50.0) -> list[Shot]:
    """Balls at one target with these relative errors q."""
    return [
        Shot(target_m=target_m, carry_m=target_m * (1 + q), session=session, day=day, cell=cell)
        for q in relative_errors
    ]


def season(log_rmse_by_day: dict[int, float]) -> list[Shot]:
    """Two balls a session, as good as exp(log_rmse) in percent of the target."""
    return [
        ball
        for session, (day, log_rmse) in enumerate(log_rmse_by_day.items())
        for ball in balls([np.exp(log_rmse), -np.exp(log_rmse)], session, day)
    ]


def test_log_rmse_of_two_and_one_balls_worked_by_hand():
    # psi(1) = -gamma and psi(1/2) = -gamma - 2 ln 2: NIST Digital Library of Mathematical Functions, 5.4.12, 5.4.13
    two, one = session_log_rmse(np.array([2, 1]), np.array([0.01, 0.01]))
    assert two == pytest.approx(log(0.1) + EULER_GAMMA / 2, rel=1e-14)
    assert one == pytest.approx(log(0.1) + (EULER_GAMMA + 2 * log(2) + log(0.5)) / 2, rel=1e-14)


@pytest.mark.parametrize("n", [2, 5, 20])
def test_log_rmse_is_free_of_bias_at_every_n(n):
    # mean q^2 of n normal errors of sd .08 is .08^2 chi-square(n) / n: averaged over even quantiles of that
    quantiles = stats.chi2.ppf((np.arange(20_000) + 0.5) / 20_000, n)
    log_rmse = session_log_rmse(np.full(20_000, n), 0.08**2 * quantiles / n)
    assert np.mean(log_rmse) == pytest.approx(log(0.08), abs=1e-4)


def test_a_session_of_perfect_balls_is_held_at_a_thousandth_of_the_target():
    assert session_log_rmse(np.array([2]), np.array([0.0])) == pytest.approx(log(1e-3) + EULER_GAMMA / 2)
    assert session_log_rmse(np.array([2]), np.array([1e-6])) == session_log_rmse(np.array([2]), np.array([0.0]))
    assert session_log_rmse(np.array([2]), np.array([2e-6])) > session_log_rmse(np.array([2]), np.array([1e-6]))


def test_three_sessions_worked_by_hand():
    # Slope (-2.3 + 2.0) / 20; residuals -1/60, 2/60, -1/60; se = sqrt((6/3600) / 1 / 200); t(.975, 1) = 12.706205.
    trend = trend_of_sessions(np.array([0, 10, 20]), np.array([-2.0, -2.1, -2.3]))
    half = 12.706204736 * sqrt(6 / 3600 / 200)
    assert trend.sessions == 3
    assert trend.pct_per_30_days == pytest.approx(100 * expm1(-0.45), rel=1e-12)
    low, high = trend.ci95_pct_per_30_days
    assert low == pytest.approx(100 * expm1(30 * (-0.015 - half)), rel=1e-8)
    assert high == pytest.approx(100 * expm1(30 * (-0.015 + half)), rel=1e-8)
    assert trend.verdict == "too few"


def test_the_score_fits_the_sessions_of_its_shots():
    days = [0, 7, 14, 21, 35, 42]
    log_rmse = np.array([-2.2, -2.25, -2.3, -2.28, -2.5, -2.45])
    cell = score(season(dict(zip(days, log_rmse, strict=True))))
    trend = trend_of_sessions(np.array(days), log_rmse)  # the same bracket in every L moves no slope
    assert cell.trend_sessions == 6
    assert cell.trend_pct_per_30_days == pytest.approx(trend.pct_per_30_days, rel=1e-10)
    assert cell.trend_ci95_pct_per_30_days == pytest.approx(trend.ci95_pct_per_30_days, rel=1e-10)
    assert cell.trend_verdict == "tighter"


WOBBLE = np.array([0.02, -0.03, 0.01, 0.02, -0.02, 0.0])
VERDICTS = [
    (6, -0.02, "tighter"),
    (6, 0.02, "wider"),
    (6, 0.0, "no clear change"),
    (5, -0.02, "too few"),
    (5, 0.02, "too few"),
]


@pytest.mark.parametrize(("sessions", "slope", "verdict"), VERDICTS)
def test_the_verdict_says_what_six_sessions_show_and_nothing_under_six(sessions, slope, verdict):
    days = 7 * np.arange(sessions)
    trend = trend_of_sessions(days, -2 + slope * days + WOBBLE[:sessions])
    assert trend.pct_per_30_days is not None
    assert trend.verdict == verdict


def test_under_three_sessions_there_is_no_trend():
    for sessions in range(3):
        trend = trend_of_sessions(7 * np.arange(sessions), np.linspace(-2, -3, sessions))
        assert (trend.sessions, trend.pct_per_30_days, trend.ci95_pct_per_30_days) == (sessions, None, None)
        assert trend.verdict == "too few"


def test_sessions_all_on_one_day_have_no_trend():
    trend = trend_of_sessions(np.full(7, 739_000), np.linspace(-2, -3, 7))
    assert (trend.sessions, trend.pct_per_30_days, trend.verdict) == (7, None, "too few")


def test_a_bound_beyond_the_largest_float_leaves_no_trend_at_all():
    trend = trend_of_sessions(np.array([0, 1, 2]), np.array([-2.0, 3.0, -2.0]))
    assert (trend.pct_per_30_days, trend.ci95_pct_per_30_days, trend.verdict) == (None, None, "too few")


def test_sessions_on_a_line_have_an_interval_of_one_point():
    trend = trend_of_sessions(np.arange(6), -2 - np.arange(6) / 8)  # eighths are exact
    assert trend.pct_per_30_days == pytest.approx(100 * expm1(-30 / 8))
    assert trend.ci95_pct_per_30_days == (trend.pct_per_30_days, trend.pct_per_30_days)
    assert trend.verdict == "tighter"


def test_a_line_needs_three_points_and_two_places():
    assert ols_slope(np.array([1.0, 2.0]), np.array([1.0, 3.0])) is None
    assert ols_slope(np.array([4.0, 4.0, 4.0]), np.array([1.0, 3.0, 2.0])) is None


def test_only_sessions_of_two_balls_with_target_and_carry_count():
    shots = season({0: -2.0, 10: -2.1, 20: -2.3})
    extra = [
        *balls([0.5], session=3, day=30),
        Shot(error_m=40, session=4, day=40),
        Shot(error_m=-40, session=4, day=40),
        Shot(target_m=50, error_m=40, session=0, day=0),
        Shot(target_m=50, carry_m=0, mishit=True, session=5, day=50),
        Shot(target_m=50, carry_m=9, mishit=True, session=5, day=50),
        Shot(carry_m=44, session=6, day=60),
        Shot(carry_m=48, session=6, day=60),
    ]
    plain, cell = score(shots), score(shots + extra)
    assert (cell.sessions, cell.trend_sessions) == (5, 3)
    assert cell.trend_pct_per_30_days == plain.trend_pct_per_30_days
    assert cell.trend_ci95_pct_per_30_days == plain.trend_ci95_pct_per_30_days


def test_two_sessions_of_one_day_are_two_points():
    cell = score(season({0: -2.0}) + balls([0.1, 0.1], 7, 0) + balls([0.1, 0.1], 8, 30))
    assert cell.trend_sessions == 3
    assert cell.trend_pct_per_30_days is not None


def test_the_series_lists_each_cell_by_day_with_single_balls_outside_the_trend():
    shots = [
        *balls([0.06, -0.08], session=4, day=30, cell=1),
        *balls([0.1], session=9, day=20, cell=1),
        *balls([0.2, 0.2], session=4, day=30, cell=0),
        Shot(error_m=3, session=5, day=33),
        Shot(target_m=50, carry_m=0, mishit=True, session=5, day=33),
    ]
    first, second, third = session_series(make_columns(shots), 3)
    assert [(point.day, point.n) for point in second] == [(20, 1), (30, 2)]
    assert [point.rmse_pct for point in second] == pytest.approx([10, 100 * sqrt(0.005)])
    assert second[0].log_rmse is None
    assert second[1].log_rmse == pytest.approx(log(0.005) / 2 + EULER_GAMMA / 2)
    (point,) = first
    assert point == SessionPoint(30, 2, pytest.approx(20), pytest.approx(log(0.2) + EULER_GAMMA / 2))
    assert third == []


def test_the_trend_of_the_series_is_the_trend_of_the_score():
    shots = season({0: -2.0, 10: -2.1, 20: -2.3, 25: -2.2})
    (series,) = session_series(make_columns(shots), 1)
    days, log_rmse = [point.day for point in series], [point.log_rmse for point in series]
    trend = trend_of_sessions(np.array(days), np.array(log_rmse))
    assert trend.pct_per_30_days == score(shots).trend_pct_per_30_days


def test_no_shots_make_empty_series():
    assert session_series(make_columns([]), 2) == [[], []]
