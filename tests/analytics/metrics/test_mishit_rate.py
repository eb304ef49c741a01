import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from analytics.metrics.mishit_rate import MishitRate, mishit_rate

few = settings(max_examples=40, deadline=None)


def rate(mishits: list[int], shots: list[int]) -> MishitRate:
    return mishit_rate(np.array(mishits, dtype=int), np.array(shots, dtype=int))


def single_shots(mishits: int, shots: int) -> MishitRate:
    """Every shot a session of its own: nothing is known of bad days."""
    return rate([1] * mishits + [0] * (shots - mishits), [1] * shots)


@pytest.mark.parametrize(("mishits", "shots"), [(3, 10), (5, 10), (10, 20), (12, 30), (8, 240)])
def test_with_one_shot_a_session_the_interval_is_jeffreys(mishits, shots):
    found = single_shots(mishits, shots)
    assert found.pct == pytest.approx(100 * mishits / shots)
    expected = 100 * stats.beta(mishits + 0.5, shots - mishits + 0.5).ppf([0.025, 0.975])
    assert found.ci95_pct == pytest.approx(expected, abs=0.1)


# Clopper-Pearson, any table of exact binomial limits.
CLOPPER_PEARSON = [
    (3, 10, 0.06674, 0.65245),
    (5, 10, 0.18709, 0.81291),
    (0, 10, 0, 0.30850),
    (10, 10, 0.69150, 1),
    (10, 20, 0.27196, 0.72804),
    (12, 30, 0.22656, 0.59397),
]


@pytest.mark.parametrize(("mishits", "shots", "low", "high"), CLOPPER_PEARSON)
def test_it_lies_inside_the_exact_interval(mishits, shots, low, high):
    # Jeffreys' interval always does: Brown, Cai and DasGupta, Stat. Sci. 16:101-133 (2001) (from memory).
    ends = single_shots(mishits, shots).ci95_pct
    assert 100 * low <= ends[0] < ends[1] <= 100 * high


def slow_interval(mishits: list[int], shots: list[int]) -> list[float]:
    """Beta-binomial likelihood of scipy.stats on a fine grid, point by point."""
    rates = (np.arange(1000) + 0.5) / 1000
    rhos = stats.beta(1, 15).ppf((np.arange(12) + 0.5) / 12)
    posterior = np.zeros(len(rates))
    for rho in rhos:
        a, b = rates * (1 - rho) / rho, (1 - rates) * (1 - rho) / rho
        likelihood = stats.beta(0.5, 0.5).pdf(rates)
        for bad, balls in zip(mishits, shots, strict=True):
            likelihood = likelihood * stats.betabinom(balls, a, b).pmf(bad)
        posterior += likelihood
    below = np.cumsum(posterior) / posterior.sum()
    return (100 * np.interp([0.025, 0.975], below, rates + 0.0005)).tolist()


@pytest.mark.parametrize(
    ("mishits", "shots"),
    [([2, 0, 5, 1], [20, 20, 25, 10]), ([1, 1, 1], [12, 12, 12]), ([9], [30]), ([7, 8, 6], [10, 10, 10])],
)
def test_it_equals_the_slow_computation(mishits, shots):
    assert rate(mishits, shots).ci95_pct == pytest.approx(slow_interval(mishits, shots), abs=0.15)


def test_the_same_mishits_on_a_few_bad_days_say_less():
    even, bad_days = rate([4] * 6, [20] * 6).ci95_pct, rate([11, 9, 2, 1, 1, 0], [20] * 6).ci95_pct
    assert bad_days[1] - bad_days[0] > 1.3 * (even[1] - even[0])


def test_more_days_say_more_than_more_balls():
    days, balls = rate([2] * 10, [20] * 10).ci95_pct, rate([10] * 2, [100] * 2).ci95_pct
    assert days[1] - days[0] < balls[1] - balls[0]


def test_without_shots_there_is_no_rate():
    assert rate([], []) == rate([0], [0]) == MishitRate(0, 0, None, None)


def test_without_a_mishit_it_starts_at_zero_and_with_nothing_else_it_ends_at_100():
    none, every = rate([0, 0], [10, 10]), rate([10, 10], [10, 10])
    assert (none.pct, none.ci95_pct[0]) == (0, 0)
    assert (every.pct, every.ci95_pct[1]) == (100, 100)
    assert 0 < none.ci95_pct[1] < 50 < every.ci95_pct[0] < 100


seasons = st.lists(
    st.integers(0, 30).flatmap(lambda shots: st.tuples(st.integers(0, shots), st.just(shots))), min_size=1, max_size=8
)


@given(seasons)
@few
def test_the_interval_is_inside_0_to_100_and_the_good_shots_have_the_mirrored_one(season):
    mishits, shots = map(np.array, zip(*season, strict=True))
    found, of_good = mishit_rate(mishits, shots), mishit_rate(shots - mishits, shots)
    if found.pct is None:
        assert shots.sum() == 0
        return
    low, high = found.ci95_pct
    assert 0 <= low <= high <= 100
    assert of_good.ci95_pct == pytest.approx((100 - high, 100 - low), abs=1e-6)


@given(seasons.flatmap(lambda season: st.tuples(st.just(season), st.permutations(season))))
@few
def test_the_order_of_the_sessions_and_empty_ones_change_nothing(season_twice):
    season, shuffled = season_twice
    one, other = (mishit_rate(*map(np.array, zip(*days, strict=True))) for days in (season, [*shuffled, (0, 0)]))
    assert one.pct == other.pct
    if one.ci95_pct:
        assert one.ci95_pct == pytest.approx(other.ci95_pct, rel=1e-9)
