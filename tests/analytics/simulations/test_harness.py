from dataclasses import replace

import numpy as np
import pytest

from .harness import Line, share

HALF = Line("coin", "fair coin", "heads", 0.45, 0.55, 400, 10_000, run=None, naive=None)


def heads(rng, repetitions):
    return share(rng.random(repetitions) < 0.5)


def test_a_value_is_reached_inside_the_band_widened_by_the_allowance_only():
    assert HALF.reached(0.45)
    assert not HALF.reached(0.44)
    assert HALF.reached(0.44, allowance=0.01)
    assert not HALF.reached(float("nan"), allowance=1)


def test_the_naive_method_must_miss_by_more_than_three_standard_errors():
    assert not HALF.missed(0.40, 0.02)
    assert HALF.missed(0.40, 0.01)


def test_the_seed_follows_from_the_name_and_the_number_of_the_run():
    assert HALF.small(heads) == HALF.small(heads)
    assert HALF.full(heads, 1) != HALF.full(heads, 2)
    assert HALF.small(heads) == replace(HALF, statistic="tails").small(heads)
    assert HALF.small(heads) != replace(HALF, name="another coin").small(heads)


def test_cells_of_one_repetition_are_not_counted_as_independent():
    hits = np.repeat(np.array([[True], [False]] * 50), 8, axis=1)
    value, mc_se = share(hits)
    assert value == 0.5
    assert mc_se == pytest.approx(np.std([1, 0] * 50, ddof=1) / 10)
