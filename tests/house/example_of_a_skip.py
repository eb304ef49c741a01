"""Not collected by itself: test_isolation.py runs it in a pytest of its own."""

import pytest


def test_passes():
    assert True


@pytest.mark.parametrize("number", [1, 2])
def test_is_skipped(number):
    # Meant: test_isolation.py asserts that a skip is counted, and fails where everything is demanded.
    pytest.skip("this is an example")
