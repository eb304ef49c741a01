from math import exp, expm1, log, sqrt

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import special, stats

from analytics.metrics.form import form_variance, session_forms
from analytics.metrics.progress import Progress, series_progress

from .target_balls import Ball, make_balls, season, session

FEW_BALLS = (special.digamma(3) - log(3)) / 2  # what the form adds to ln RMSE at 6 balls
few = settings(max_examples=50, deadline=None)
some_rmse = st.lists(st.integers(20, 200).map(lambda per_mille: per_mille / 1000), min_size=3, max_size=12)


def progress(balls: list[Ball], reference_m: float = 50.0) -> Progress:
    (one,) = series_progress(make_balls(balls), 1, reference_m)
    return one


def test_from_six_to_five_at_sixty_worked_by_hand():
    # RMSE 6/60 falling to 5/60 by the same factor from session to session lies on the line exactly.
    rmse = [0.1 * (5 / 6) ** (i / 5) for i in range(6)]
    one = progress(season(rmse), reference_m=60.0)
    assert one.change.from_m == pytest.approx(6 * exp(-FEW_BALLS), rel=1e-12)
    assert one.change.to_m == pytest.approx(5 * exp(-FEW_BALLS), rel=1e-12)
    assert one.change.change_pct == pytest.approx(-100 / 6, rel=1e-9)
    assert (one.first_day, one.last_day, one.sessions, one.balls) == (0, 35, 6, 36)
    assert (one.change.direction, one.certainty) == ("tighter", "sure")


def test_three_sessions_worked_by_hand():
    # Slope -.015; residuals -1/60, 2/60, -1/60; se = sqrt((6/3600) / 1 / 200); t(.975, 1) = 12.706205.
    one = progress(season(np.exp([-2.0, -2.1, -2.3]), days=[0, 10, 20]))
    half = 12.706204736 * sqrt(6 / 3600 / 200)
    low, high = one.change.change_ci95_pct
    assert one.change.change_pct == pytest.approx(100 * expm1(-0.3), rel=1e-9)
    assert low == pytest.approx(100 * expm1(20 * (-0.015 - half)), rel=1e-8)
    assert high == pytest.approx(100 * expm1(20 * (-0.015 + half)), rel=1e-8)
    start = exp(-2.1 - 1 / 30 + 0.15 - FEW_BALLS)
    assert one.change.from_m == pytest.approx(50 * start, rel=1e-9)
    assert one.change.to_ci95_m == pytest.approx((50 * start * (1 + low / 100), 50 * start * (1 + high / 100)))
    # t with one degree of freedom is Cauchy's: P(t <= x) = 1/2 + arctan(x) / pi
    assert one.change.p_improving == pytest.approx(0.5 + np.arctan(0.015 / sqrt(6 / 3600 / 200)) / np.pi, rel=1e-9)


@pytest.mark.parametrize("sessions", [3, 6, 12, 40])
def test_slope_interval_and_probability_equal_scipy_linregress(sessions):
    rng = np.random.default_rng(sessions)
    days = np.sort(rng.choice(200, sessions, replace=False))
    balls = season(np.exp(-2.3 - 0.001 * days + rng.normal(0, 0.2, sessions)), days=days.tolist())
    one, span = progress(balls), int(days[-1] - days[0])
    fit = stats.linregress(days, session_forms(make_balls(balls)).log_rmse, alternative="greater")
    half = stats.t.ppf(0.975, sessions - 2) * fit.stderr
    bounds = [100 * expm1(span * (fit.slope + side * half)) for side in (-1, 1)]
    assert one.change.change_ci95_pct == pytest.approx(tuple(bounds), rel=1e-9)
    assert one.change.p_improving == pytest.approx(fit.pvalue, rel=1e-9)
    assert one.change.from_m == pytest.approx(50 * exp(fit.intercept + fit.slope * int(days[0])), rel=1e-9)


WOBBLE = np.array([0.2, -0.3, 0.1, 0.2, -0.2, 0.0])
WORDS = [
    (-0.03, "tighter", "sure"),
    (-0.015, "tighter", "leaning"),
    (-0.004, "tighter", "can't tell"),
    (0.004, "wider", "can't tell"),
    (0.03, "wider", "sure"),
]


@pytest.mark.parametrize(("slope", "direction", "certainty"), WORDS)
def test_one_of_three_words_says_how_sure_it_is(slope, direction, certainty):
    days = 7 * np.arange(6)
    one = progress(season(np.exp(-2 + slope * days + WOBBLE)))
    assert (one.change.direction, one.certainty) == (direction, certainty)
    sure = one.change.change_ci95_pct[0] > 0 or one.change.change_ci95_pct[1] < 0
    assert sure or certainty != "sure"


def test_five_sessions_are_too_few_whatever_they_show():
    one = progress(season([0.16, 0.08, 0.04, 0.02, 0.01]))
    assert one.change.p_improving == 1.0
    assert one.certainty == "can't tell"


@pytest.mark.parametrize("sessions", [0, 1, 2])
def test_under_three_sessions_nothing_is_said(sessions):
    one = progress(season([0.1, 0.05][:sessions]))
    assert (one.sessions, one.change, one.certainty) == (sessions, None, "can't tell")


def test_no_balls_have_no_days():
    one = progress([])
    assert (one.first_day, one.last_day, one.balls) == (None, None, 0)


def test_sessions_all_on_one_day_say_nothing():
    assert progress(season([0.1] * 7, days=[3] * 7)).change is None


def test_a_bound_beyond_the_largest_float_says_nothing():
    assert progress(season(np.exp([-2.0, 9.0, -6.0]), days=[0, 1, 2])).change is not None
    assert progress(season(np.exp([-2.0, 99.0, -6.0]), days=[0, 1, 2])).change is None


@pytest.mark.parametrize("rmse", [0.0, 0.1])
def test_sessions_of_identical_balls_show_no_change(rmse):
    one = progress(season([rmse] * 9, resolution_m=1.0))
    assert one.change.p_improving == 0.5
    assert one.change.change_pct == pytest.approx(0, abs=1e-9)
    assert one.certainty == "can't tell"
    assert one.floored_sessions == (9 if rmse == 0 else 0)


def test_a_player_nearer_than_the_measurement_gets_no_better_by_rounding():
    # 5 yd steps at 50 m: everything under 2.6 % is one and the same
    one = progress(season([0.02, 0.01, 0.005, 0.002, 0.001, 0.0], resolution_m=4.572))
    assert (one.floored_sessions, one.change.p_improving) == (6, 0.5)


def test_sessions_of_under_five_balls_are_left_out_and_counted():
    balls = season([0.1, 0.09, 0.08, 0.07])
    plain, more = progress(balls), progress(balls + session(0.5, 9, 70, n=4))
    assert (more.sessions, more.thin_sessions, more.last_day) == (4, 1, 21)
    assert more.change == plain.change


def test_a_change_of_kind_starts_a_new_series_and_is_not_a_change_for_the_worse():
    repeats, mixed = season([0.05] * 6, series=0), season([0.1] * 6, days=range(50, 92, 7), series=1)
    mixed = [Ball(**(vars(ball) | {"session": ball.session + 6})) for ball in mixed]
    first, second = series_progress(make_balls(repeats + mixed), 2, 50.0)
    assert (first.certainty, second.certainty) == ("can't tell", "can't tell")
    assert (first.last_day, second.first_day) == (35, 50)
    one_series = progress([Ball(**(vars(ball) | {"series": 0})) for ball in repeats + mixed])
    assert (one_series.change.direction, one_series.certainty) == ("wider", "sure")


def test_the_day_sd_is_what_is_left_when_the_chance_of_six_balls_is_taken_off():
    log_rmse = np.array([0.5, -0.5, -0.5, 0.5]) - 2  # no slope: the residuals are the deviations, 1 over df 2
    one = progress(season(np.exp(log_rmse)))
    assert one.change.day_sd == pytest.approx(sqrt(1 / 2 - float(form_variance(6))), rel=1e-9)
    assert progress(season([0.1, 0.1, 0.1, 0.1001])).change.day_sd == 0


@few
@given(some_rmse)
def test_run_backwards_an_improvement_is_a_decline(rmse):
    ahead, back = progress(season(rmse)).change, progress(season(rmse[::-1])).change
    assert back.p_improving == pytest.approx(1 - ahead.p_improving, abs=1e-9)
    assert (back.from_m, back.to_m) == pytest.approx((ahead.to_m, ahead.from_m), rel=1e-9)


@few
@given(some_rmse, st.integers(10, 120))
def test_the_reference_scales_the_metres_and_nothing_else(rmse, reference_m):
    one, other = progress(season(rmse)).change, progress(season(rmse), float(reference_m)).change
    assert (other.from_m, other.to_m) == pytest.approx(
        (one.from_m * reference_m / 50, one.to_m * reference_m / 50), rel=1e-12
    )
    assert (other.change_pct, other.p_improving) == (one.change_pct, one.p_improving)


@few
@given(some_rmse, some_rmse)
def test_another_series_changes_nothing(rmse, others):
    alone = progress(season(rmse))
    together, _ = series_progress(make_balls(season(rmse) + season(others, series=1)), 2, 50.0)
    assert together == alone
