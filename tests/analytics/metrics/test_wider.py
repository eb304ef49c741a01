"""How much wider one kind of ball scatters than another, against scipy's tests on the same logarithms."""

import numpy as np
import pytest
from scipy import stats

from analytics.metrics.form import SessionForms, TargetBalls, session_forms
from analytics.metrics.wider import wider_scatter


def forms(errors_m: list[list[float]], target_m: float = 50.0) -> SessionForms:
    """The forms of sessions with these distance errors."""
    session = np.repeat(np.arange(len(errors_m)), [len(errors) for errors in errors_m])
    error_m = np.array([error for errors in errors_m for error in errors], dtype=float)
    zeros = np.zeros(len(error_m))
    return session_forms(
        TargetBalls(zeros.astype(int), session, session, np.full(len(error_m), target_m), error_m, zeros)
    )


def sessions(spread_m: float, count: int, seed: int, balls: int = 8) -> list[list[float]]:
    return np.random.default_rng(seed).normal(0, spread_m, (count, balls)).tolist()


def test_balls_twice_as_far_off_are_100_percent_wider():
    once = sessions(3.0, 4, seed=1)
    twice = [[2 * error for error in errors] for errors in once]
    assert wider_scatter(forms(once), forms(twice)).pct == pytest.approx(100)
    assert wider_scatter(forms(twice), forms(once)).pct == pytest.approx(-50)


@pytest.mark.parametrize(("counts", "seed"), [((3, 3), 1), ((3, 9), 2), ((6, 4), 3)])
def test_the_interval_is_the_wider_one_of_scipys(counts, seed):
    first, second = (forms(sessions(3.0 + k, n, seed=10 * seed + k)) for k, n in enumerate(counts))
    found = wider_scatter(first, second)
    halves = []
    for equal_var in (True, False):
        ends = stats.ttest_ind(second.log_rmse, first.log_rmse, equal_var=equal_var).confidence_interval(0.95)
        halves.append((ends.high - ends.low) / 2)
    middle = second.log_rmse.mean() - first.log_rmse.mean()
    assert found.sessions == counts
    assert found.pct == pytest.approx(100 * np.expm1(middle))
    assert found.ci95_pct == pytest.approx(tuple(100 * np.expm1([middle - max(halves), middle + max(halves)])))


def test_a_session_under_five_balls_does_not_count_and_two_are_needed():
    few = forms([*sessions(3.0, 1, seed=1), *sessions(3.0, 4, seed=2, balls=4)])
    assert wider_scatter(few, forms(sessions(3.0, 5, seed=3))) is None
    assert wider_scatter(forms(sessions(3.0, 5, seed=3)), few) is None


def test_sessions_that_are_all_alike_have_an_interval_without_width():
    alike = forms([[1.0, -1.0, 1.0, -1.0, 1.0]] * 3)
    found = wider_scatter(alike, alike)
    assert (found.pct, found.ci95_pct) == (pytest.approx(0), (pytest.approx(0), pytest.approx(0)))
