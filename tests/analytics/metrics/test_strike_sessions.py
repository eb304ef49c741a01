import math

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy import stats

from analytics.metrics.strike import IN_ONE_LINE, TOO_FEW
from analytics.metrics.strike_sessions import ALL_EQUALLY_FAR, compare_sessions, pooled_t, welch

SQUARE = np.array([[1, 1], [1, -1], [-1, 1], [-1, -1]], dtype=float)
FIVE = np.array([[3, 4], [-3, -4], [4, -3], [-4, 3], [0, 0]], dtype=float)

sessions = st.lists(st.tuples(st.integers(-30, 30), st.integers(-30, 30)), min_size=4, max_size=12, unique=True)


def compare(earlier, later):
    return compare_sessions(*(tuple(np.asarray(marks, dtype=float).reshape(-1, 2).T) for marks in (earlier, later)))


def distances(marks):
    marks = np.asarray(marks, dtype=float)
    return np.linalg.norm(marks - marks.mean(axis=0), axis=1) * math.sqrt(len(marks) / (len(marks) - 1))


def sample(n, mean, sd):
    """Return n values of exactly this mean and standard deviation."""
    values = np.arange(n, dtype=float)
    return mean + sd * (values - values.mean()) / values.std(ddof=1)


def test_both_t_tests_give_the_handbooks_example_of_two_samples():
    # NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.3, mileage of two groups of cars: T and degrees of freedom
    # as printed there; the sizes, means and standard deviations are from memory.
    earlier, later = sample(249, 20.14458, 6.414700), sample(79, 30.48101, 6.107710)
    equal, unequal = pooled_t(earlier, later), welch(earlier, later)
    assert float(equal.difference / equal.se) == pytest.approx(12.62059, abs=1e-5)
    assert float(equal.df) == 326
    assert float(unequal.difference / unequal.se) == pytest.approx(12.94627, abs=1e-5)
    assert float(unequal.df) == pytest.approx(136.87499, abs=1e-4)


def test_two_sessions_worked_by_hand():
    # Four marks sqrt(2) mm out, times sqrt(4/3), without scatter; then distances 5, 5, 5, 5, 0 times sqrt(5/4): SD
    # sqrt(5 x 5/4) = 2.5. Welch: standard error 2.5 / sqrt(5), all of it the later session's, so 4 degrees of freedom
    # and t = 2.776445: half width 3.104. Pooled: variance 4 x 6.25 / 7, 7 degrees, t = 2.364624: 2.998. Welch's counts.
    change = compare(SQUARE, np.add(FIVE, [9, 1]))
    assert change.n == (4, 5)
    assert change.consistency_mm == pytest.approx((math.sqrt(8 / 3), 4 * math.sqrt(1.25)))
    difference, half = 4 * math.sqrt(1.25) - math.sqrt(8 / 3), 2.776445 * 2.5 / math.sqrt(5)
    assert change.change_mm == pytest.approx(difference)
    assert change.change_ci95_mm == pytest.approx((difference - half, difference + half), rel=1e-6)
    assert change.verdict == "not yet distinguishable"


@given(sessions, sessions)
@settings(max_examples=60, deadline=None)
def test_a_comparison_is_the_cautious_one_of_two_t_tests_and_swapping_the_sessions_flips_it(earlier, later):
    change = compare(earlier, later)
    assume(not hasattr(change, "code"))
    tests = [stats.ttest_ind(distances(later), distances(earlier), equal_var=equal) for equal in (False, True)]
    assert change.p_value == pytest.approx(max(test.pvalue for test in tests), rel=1e-8, abs=1e-12)
    low, high = np.transpose([test.confidence_interval() for test in tests])
    assert change.change_ci95_mm == pytest.approx((min(low), max(high)), rel=1e-7, abs=1e-7)
    assert (change.verdict == "not yet distinguishable") == (change.p_value >= 0.05)
    swapped = compare(later, earlier)
    assert swapped.change_mm == pytest.approx(-change.change_mm, abs=1e-12)
    opposite = {"tighter": "wider", "wider": "tighter"}
    assert swapped.verdict == opposite.get(change.verdict, change.verdict)


def test_a_pattern_a_quarter_as_wide_is_tighter_wherever_its_centre_is():
    marks = np.random.default_rng(3).normal(0, 6, (12, 2))
    change = compare(marks, np.add(marks / 4, [5, -9]))
    assert change.verdict == "tighter"
    assert change.change_ci95_mm[1] < 0


@pytest.mark.parametrize(
    ("earlier", "later", "message"),
    [
        ([], FIVE, TOO_FEW),
        (FIVE, FIVE[:2], TOO_FEW),
        ([(1, 1)] * 5, FIVE, IN_ONE_LINE),
        (FIVE, [(1, 1), (2, 2), (4, 4)], IN_ONE_LINE),
        (SQUARE, np.add(2 * SQUARE, [0.3, 0.1]), ALL_EQUALLY_FAR),
    ],
    ids=["no session before", "two marks", "one spot", "one line", "no scatter of distances"],
)
def test_sessions_without_a_pattern_give_a_message_and_not_a_number(earlier, later, message):
    assert compare(earlier, later) == message
