"""A coach about to have a week suggested."""

import pytest

from tests.practice.planner.suggesting.scene import Scene


@pytest.fixture
def scene():
    return Scene()
