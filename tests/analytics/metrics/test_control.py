from dataclasses import replace
from math import exp, log, sqrt

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import special

from analytics.metrics.control import Chart, control_charts, ewma
from analytics.metrics.false_alarms import alarm_limit, ewma_variance
from analytics.metrics.form import form_variance, session_forms

from .target_balls import Ball, make_balls, season, session

few = settings(max_examples=30, deadline=None)
some_rmse = st.lists(st.integers(20, 200).map(lambda per_mille: per_mille / 1000), max_size=14)


def chart(balls: list[Ball], **more) -> Chart:
    (one,) = control_charts(make_balls(balls), 1, **more)
    return one


def test_the_moving_average_reproduces_the_handbooks_example():
    # NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.4: weight .3, start 50, printed to two decimals
    values = [52.0, 47.0, 53.0, 49.3, 50.1, 47.0, 51.0, 50.1, 51.2, 50.5]
    values += [49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1]
    printed = [50.60, 49.52, 50.56, 50.18, 50.16, 49.21, 49.75, 49.85, 50.26, 50.33]
    printed += [50.11, 49.36, 49.52, 50.05, 49.38, 49.92, 50.73, 51.23, 51.94, 51.99]
    levels = ewma(values, 0.3, 50.0)
    assert levels == pytest.approx(printed, abs=0.005 + 1e-9)
    half = 3 * 2.0539 * np.sqrt(ewma_variance(1000, np.inf, 0.3))
    assert not (np.abs(levels - 50) > half).any()  # the handbook finds no point out of control


def test_the_moving_average_of_nothing_is_nothing():
    assert ewma(np.array([]), 0.2).tolist() == []


def test_a_chart_worked_by_hand():
    # Baseline L = -2 +- .5 about its mean: day variance 1 / 3 - trigamma(3) / 4. Then one session of exp(-2.4).
    one = chart(season(np.exp([-1.5, -2.5, -1.5, -2.5, -2.4])), baseline=4)
    few_balls = (special.digamma(3) - log(3)) / 2
    assert one.baseline_pct == pytest.approx(100 * exp(-2 - few_balls), rel=1e-12)
    assert one.level == pytest.approx([0.2 * -0.4 / sqrt(1 / 3)], rel=1e-9)
    assert one.limit == pytest.approx([alarm_limit(1, 26, 4, 3) * sqrt(0.04 + 0.04 / 4)], rel=1e-9)
    assert (one.day, one.verdict, one.alarm_day) == ((28,), "steady", None)


WATCHED = {"tighter": 0.03, "steady": 0.1, "wider": 0.4}


@pytest.mark.parametrize(("verdict", "rmse"), list(WATCHED.items()))
def test_a_change_of_form_is_told_with_its_side_and_day(verdict, rmse):
    one = chart(season([0.1, 0.11, 0.09, 0.1, 0.1] + [rmse] * 10))
    assert one.verdict == verdict
    if verdict == "steady":
        assert one.alarm_day is None
    else:
        first = next(i for i in range(10) if abs(one.level[i]) > one.limit[i])
        assert one.alarm_day == one.day[first]


def test_without_a_full_baseline_there_is_no_chart_yet():
    one = chart(season([0.1] * 4))
    assert (one.baseline_sessions, one.baseline_pct, one.verdict) == (4, None, "baseline")
    assert (one.day, one.level, one.limit) == ((), (), ())


def test_a_baseline_just_full_watches_from_the_next_session_on():
    one = chart(season([0.1] * 5))
    assert (one.baseline_sessions, one.day, one.verdict) == (5, (), "steady")


def test_no_balls_at_all_leave_every_chart_waiting():
    assert [one.verdict for one in control_charts(make_balls([]), 3)] == ["baseline"] * 3


def test_identical_balls_stay_on_the_middle_line():
    one = chart(season([0.0] * 12, resolution_m=1.0))
    assert one.level == pytest.approx([0.0] * 7, abs=1e-9)
    assert one.verdict == "steady"


def test_sessions_beyond_the_season_are_counted_not_judged():
    one = chart(season([0.1] * 9 + [0.9] * 3), season=4)
    assert (len(one.day), one.not_watched, one.verdict) == (4, 3, "steady")


def test_sessions_of_under_five_balls_are_left_out_and_counted():
    balls = season([0.1, 0.12, 0.1, 0.09, 0.1, 0.11])
    one = chart(balls + session(0.9, 9, 70, n=4))
    assert one == replace(chart(balls), thin_sessions=1)


def test_a_bent_club_is_a_new_series_with_a_baseline_of_its_own():
    before, after = season([0.1] * 6), season([0.3] * 6, days=range(60, 102, 7), series=1)
    after = [replace(ball, session=ball.session + 6) for ball in after]
    assert [one.verdict for one in control_charts(make_balls(before + after), 2)] == ["steady", "steady"]


def test_several_charts_share_one_budget_and_one_scatter():
    balls = season([0.1, 0.13, 0.08, 0.1, 0.11, 0.1]) + season([0.2, 0.15, 0.25, 0.2, 0.2, 0.2], series=1)
    first, second, third = control_charts(make_balls(balls), 3)
    limit = alarm_limit(3, 26, 5, 2 * 4)
    assert (first.limit, second.limit) == (first.limit, first.limit)
    assert first.limit == pytest.approx([limit * sqrt(0.04 + 0.04 / 5)], rel=1e-12)
    assert third.verdict == "baseline"


def test_the_charts_equal_a_slow_reckoning():
    rng = np.random.default_rng(7)
    balls = [
        Ball(float(rng.normal(0, 0.1)), number, 3 * number, series)
        for series in range(4)
        for number in range(9 + series)
        for _ in range(rng.integers(6, 15))
    ]
    forms = session_forms(make_balls(balls)).split(4)
    squares = sum(((one.log_rmse[:5] - one.log_rmse[:5].mean()) ** 2).sum() for one in forms)
    by_chance = np.mean([float(form_variance(n)) for one in forms for n in one.n[:5]])
    day_variance = max(0.0, squares / 16 - by_chance)
    for one, made in zip(forms, control_charts(make_balls(balls), 4), strict=True):
        usual, z = sum(one.log_rmse[:5]) / 5, 0.0
        for t, (log_rmse, n) in enumerate(zip(one.log_rmse[5:], one.n[5:], strict=True)):
            z = 0.2 * (log_rmse - usual) / sqrt(float(form_variance(n)) + day_variance) + 0.8 * z
            assert made.level[t] == pytest.approx(z, rel=1e-9)
            variance = 0.2 / 1.8 * (1 - 0.8 ** (2 * t + 2)) + (1 - 0.8 ** (t + 1)) ** 2 / 5
            assert made.limit[t] == pytest.approx(alarm_limit(4, 26, 5, 16) * sqrt(variance), rel=1e-9)


@few
@given(some_rmse, some_rmse, st.randoms(use_true_random=False))
def test_neither_the_order_nor_the_side_of_the_balls_changes_a_chart(first, second, random):
    balls = season(first) + season(second, series=1)
    mirrored = [replace(ball, q=-ball.q) for ball in random.sample(balls, len(balls))]
    for one, other in zip(control_charts(make_balls(balls), 2), control_charts(make_balls(mirrored), 2), strict=True):
        assert one.level == pytest.approx(other.level, rel=1e-9, abs=1e-9)
        assert (one.verdict, one.alarm_day, one.limit) == (other.verdict, other.alarm_day, other.limit)


@few
@given(some_rmse, st.integers(10, 200).map(lambda per_mille: per_mille / 1000))
def test_what_is_watched_in_one_chart_moves_no_other(rmse, later):
    balls = season([0.1, 0.09, 0.11, 0.1, 0.12, 0.1]) + season(rmse, series=1)
    more = balls + session(later, 40, 400)
    assert control_charts(make_balls(balls), 2)[1] == control_charts(make_balls(more), 2)[1]
