from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import integrate, stats

from analytics.metrics.power import noncentrality, smallest_improvement_pct, t_power

WEEKS = (6, 8, 12, 26, 52)
DAY_SDS = (0.0, 0.1, 0.2)
# Smallest improvement in percent found with 80 % power, by balls a week in one session; a line for each day SD.
# Worked out by another program when this one was planned, and checked there by simulation; not published.
TABLE = {
    10: ((65, 57, 49, 36, 27), (68, 61, 52, 39, 29), (75, 67, 59, 45, 34)),
    20: ((52, 45, 37, 27, 20), (58, 50, 42, 30, 23), (69, 61, 52, 39, 29)),
    30: ((45, 38, 31, 22, 16), (52, 45, 38, 27, 20), (66, 58, 50, 37, 28)),
    60: ((34, 28, 23, 16, 12), (46, 39, 32, 23, 17), (63, 55, 47, 34, 26)),
    100: ((27, 23, 18, 13, 9), (42, 36, 30, 21, 15), (61, 54, 46, 33, 25)),
    200: ((20, 17, 13, 9, 7), (40, 33, 27, 19, 14), (60, 53, 45, 33, 24)),
}
few = settings(max_examples=40, deadline=None)


@pytest.mark.parametrize(("balls", "day"), list(product(TABLE, range(3))))
def test_the_table_is_reproduced_to_two_points(balls, day):
    actual = [smallest_improvement_pct(balls, weeks, day_sd=DAY_SDS[day]) for weeks in WEEKS]
    assert actual == pytest.approx(TABLE[balls][day], abs=2)


def test_two_sessions_a_week_see_more_than_one_with_the_same_balls():
    two = [smallest_improvement_pct(60, weeks, day_sd=0.1, sessions_a_week=2) for weeks in WEEKS]
    assert two == pytest.approx([38, 33, 28, 20, 15], abs=2)  # from the same program as the table
    assert all(better < worse for better, worse in zip(two, TABLE[60][1], strict=True))


def test_three_weeks_worked_by_hand():
    # S = 3: the total change is the noncentrality x sd x sqrt(12 x 2 / (3 x 4)); trigamma(1) / 4 is that of 2 balls
    # a session, so 10 balls: trigamma(5) = pi^2 / 6 - (1 + 1/4 + 1/9 + 1/16) (NIST DLMF 5.15.5 from 5.15.2).
    trigamma_5 = 1.6449340668482264 - (1 + 1 / 4 + 1 / 9 + 1 / 16)
    total = noncentrality(1, 0.8) * (trigamma_5 / 4 + 0.04) ** 0.5 * 2**0.5
    expected = 100 * (1 - 2.718281828459045**-total)
    assert smallest_improvement_pct(10, 3, day_sd=0.2) == pytest.approx(expected, rel=1e-12)


def test_with_many_sessions_the_noncentrality_is_the_normal_one():
    # z(.975) + z(.80) = 1.959964 + 0.841621: any table of the normal distribution
    assert noncentrality(10**7, 0.80) == pytest.approx(2.801585, abs=2e-4)


@pytest.mark.parametrize("df", [4, 10, 24, 50])
def test_the_noncentrality_equals_statsmodels_power_of_the_t_test(df):
    power = pytest.importorskip("statsmodels.stats.power")
    effect = power.TTestPower().solve_power(nobs=df + 1, alpha=0.05, power=0.8)
    assert noncentrality(df, 0.8) == pytest.approx(effect * (df + 1) ** 0.5, abs=2e-3)


@pytest.mark.parametrize(("df", "shift"), list(product([1, 2, 4, 10, 50], [0.0, 1.0, 2.8, 5.0])))
def test_the_power_equals_scipys_noncentral_t(df, shift):
    limit = stats.t.ppf(0.975, df)
    expected = stats.nct.sf(limit, df, shift) + stats.nct.cdf(-limit, df, shift)
    assert t_power(shift, df) == pytest.approx(expected, abs=3e-5)


@pytest.mark.parametrize(("df", "shift"), [(3, 2.0), (10, 3.1)])
def test_the_power_equals_slow_integration_over_the_density_of_chi_square(df, shift):
    def found(chi2: float) -> float:
        limit = stats.t.ppf(0.975, df) * (chi2 / df) ** 0.5
        return (stats.norm.sf(limit - shift) + stats.norm.cdf(-limit - shift)) * stats.chi2.pdf(chi2, df)

    assert t_power(shift, df) == pytest.approx(integrate.quad(found, 0, 200)[0], abs=3e-5)


def test_the_power_stays_finite_where_noncentral_t_is_lost():
    assert [t_power(shift, 1) for shift in (1e3, 1e6)] == pytest.approx([1, 1], abs=1e-3)
    assert t_power(0.0, 4) == pytest.approx(0.05, abs=1e-5)


def test_too_little_work_makes_no_trend():
    assert smallest_improvement_pct(60, 2, day_sd=0.1) is None
    assert smallest_improvement_pct(60, 1, day_sd=0.1, sessions_a_week=3) is not None
    assert smallest_improvement_pct(4, 12, day_sd=0.1) is None
    assert smallest_improvement_pct(9, 12, day_sd=0.1, sessions_a_week=2) is None


@pytest.mark.parametrize(
    ("balls", "more"),
    [
        (0, {}),
        (-5, {}),
        (20, {"day_sd": -0.1}),
        (20, {"power": 1}),
        (20, {"power": 0.05}),
        (20, {"sessions_a_week": 0}),
    ],
)
def test_impossible_wishes_are_refused(balls, more):
    with pytest.raises(ValueError, match="above 0"):
        smallest_improvement_pct(balls, 12, **{"day_sd": 0.1} | more)


@few
@given(st.integers(10, 200), st.integers(4, 60), st.floats(0, 0.4), st.floats(0.5, 0.95))
def test_more_work_sees_more_and_a_steadier_player_shows_more(balls, weeks, day_sd, power):
    smallest = smallest_improvement_pct(balls, weeks, day_sd=day_sd, power=power)
    assert 0 < smallest < 100
    assert smallest_improvement_pct(balls + 10, weeks, day_sd=day_sd, power=power) < smallest
    assert smallest_improvement_pct(balls, weeks + 4, day_sd=day_sd, power=power) < smallest
    assert smallest_improvement_pct(balls, weeks, day_sd=day_sd + 0.1, power=power) > smallest
    assert smallest_improvement_pct(balls, weeks, day_sd=day_sd, power=power + 0.02) > smallest
