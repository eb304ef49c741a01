"""Not collected by itself: test_isolation.py runs it in a pytest of its own."""

import pytest


def test_passes():
    assert True


@pytest.mark.parametrize("number", [1, 2])
def test_is_skipped(number):
    pytest.skip("this is an example")
