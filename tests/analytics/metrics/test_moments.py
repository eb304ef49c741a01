import numpy as np
import pytest

from analytics.metrics.moments import group_medians, group_moments, group_rms


def test_moments_of_two_groups_worked_by_hand():
    figures = group_moments(np.array([1, 0, 1, 1]), np.array([2.0, 5.0, 4.0, 9.0]), 2)
    assert figures.n.tolist() == [1, 3]
    assert figures.mean.tolist() == [5, 5]
    assert figures.s[1] == pytest.approx(np.sqrt(13))  # (9 + 1 + 16) / 2
    assert figures.rms[1] == pytest.approx(np.sqrt(101 / 3))  # (4 + 16 + 81) / 3


def test_a_group_of_one_has_no_spread_and_an_empty_group_nothing():
    figures = group_moments(np.array([1]), np.array([7.0]), 2)
    assert figures.n.tolist() == [0, 1]
    assert np.isnan(figures.mean).tolist() == [True, False]
    assert np.isnan(figures.rms).tolist() == [True, False]
    assert np.isnan(figures.s).all()


def test_equal_values_have_exactly_their_own_mean_and_no_spread():
    figures = group_moments(np.zeros(7, dtype=int), np.full(7, 0.1), 1)
    assert (figures.mean[0], figures.s[0], figures.rms[0]) == (0.1, 0.0, 0.1)


def test_one_far_value_in_front_costs_no_digits():
    values = np.array([1e6, *np.tile([0.1, 0.3], 5000)])
    figures = group_moments(np.zeros(len(values), dtype=int), values, 1)
    assert figures.s[0] == pytest.approx(np.std(values, ddof=1), rel=1e-13)


def test_the_median_is_the_middle_or_between_the_middle_two():
    group = np.array([3, 0, 3, 0, 1, 0, 3, 3])
    values = np.array([4.0, 9.0, 1.0, 2.0, 6.0, 3.0, 8.0, 2.0])
    medians = group_medians(group, values, 5)
    assert medians[[0, 1, 3]].tolist() == [3, 6, 3]
    assert np.isnan(medians[[2, 4]]).all()


def test_medians_equal_numpy_with_more_groups_than_one_or_two_bytes_count():
    rng = np.random.default_rng(20261125)
    for groups in (5, 300, 70_000):
        group, values = rng.integers(0, groups, 2000), rng.normal(size=2000)
        medians = group_medians(group, values, groups)
        for one in np.unique(group):
            assert medians[one] == np.median(values[group == one])


def test_a_root_mean_square_leaves_out_what_is_not_known():
    # sqrt((3^2 + 4^2) / 2) by hand; of group 1 nothing is known, and group 2 has no row at all
    found = group_rms(np.array([0, 0, 1, 0]), np.array([3.0, -4.0, np.nan, np.nan]), 3)
    np.testing.assert_allclose(found, [np.sqrt(12.5), np.nan, np.nan], rtol=1e-15)
