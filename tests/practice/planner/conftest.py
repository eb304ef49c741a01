"""What the player hits with."""

import pytest

from practice.clubs.models import Club
from tests.practice.planner.plans import equip


@pytest.fixture
def clubs(player) -> list[Club]:
    return equip(player)[1]
