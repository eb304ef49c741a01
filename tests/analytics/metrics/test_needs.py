"""Needs of clubs, held together."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from analytics.metrics.needs import MOST, bounded_needs


def test_needs_can_be_checked_by_hand():
    assert bounded_needs([10.0, 15.0, 40.0]) == [1.0, 1.5, 3.0]
    assert bounded_needs([10.0, None, 20.0]) == [1.0, 2.0, 2.0]


@pytest.mark.parametrize("nothing", [[], [None], [None, None], [0.0, 0.0], [0.0, None]])
def test_where_nothing_is_known_all_need_the_same(nothing):
    assert bounded_needs(nothing) == [1.0] * len(nothing)


@given(st.lists(st.none() | st.floats(0, 1e3), min_size=1, max_size=14))
def test_no_need_is_more_than_so_many_times_another_and_more_miss_is_never_less_need(may_miss):
    needs = bounded_needs(may_miss)
    assert len(needs) == len(may_miss)
    assert min(needs) > 0
    assert max(needs) <= MOST * min(needs) * (1 + 1e-9)
    known = sorted((miss, need) for miss, need in zip(may_miss, needs, strict=True) if miss is not None)
    assert [need for _, need in known] == sorted(need for _, need in known)
    unknown = {need for miss, need in zip(may_miss, needs, strict=True) if miss is None}
    assert unknown <= {max(needs)}
