from math import nan, sqrt

import numpy as np
import pytest

from analytics.metrics.relative_scatter import PRIOR_CARRY_CV, pooled_cv, shrunk_cv


def test_pooled_and_shrunk_scatter_worked_by_hand():
    n, cv = np.array([5, 9]), np.array([0.10, 0.05])
    pooled2 = (2 * 0.07**2 + 4 * 0.10**2 + 8 * 0.05**2) / 14
    assert pooled_cv(n, cv) == pytest.approx(sqrt(pooled2), rel=1e-12)
    expected = [sqrt((8 * pooled2 + 4 * 0.10**2) / 12), sqrt((8 * pooled2 + 8 * 0.05**2) / 16)]
    assert shrunk_cv(n, cv) == pytest.approx(expected, rel=1e-12)


def test_many_balls_speak_for_themselves():
    n, cv = np.array([100_000, 100_000]), np.array([0.04, 0.09])
    assert shrunk_cv(n, cv) == pytest.approx(cv, rel=1e-3)
    assert pooled_cv(n, cv) == pytest.approx(sqrt((0.04**2 + 0.09**2) / 2), rel=1e-3)


def test_single_balls_leave_the_prior():
    assert pooled_cv(np.array([1, 1]), np.array([nan, nan])) == pytest.approx(PRIOR_CARRY_CV)
    assert shrunk_cv(np.array([1, 1]), np.array([nan, nan])) == pytest.approx([PRIOR_CARRY_CV] * 2)


def test_a_cell_of_one_ball_takes_the_pooled_figure():
    n, cv = np.array([1, 30]), np.array([nan, 0.05])
    assert shrunk_cv(n, cv)[0] == pytest.approx(pooled_cv(n, cv))


def test_equal_balls_do_not_make_a_scatter_of_zero():
    assert shrunk_cv(np.array([3]), np.array([0.0]))[0] > 0.02
