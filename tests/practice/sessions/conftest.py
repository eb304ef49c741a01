from dataclasses import dataclass

import pytest

from practice.clubs.models import Club
from practice.players.models import Player
from practice.venues.models import Venue
from tests import make
from tests.practice.sessions.phone import Phone


@dataclass
class Stage:
    """A player with a bag, a range and a phone."""

    player: Player
    club: Club
    venue: Venue
    phone: Phone


@pytest.fixture
def stage(db) -> Stage:
    academy = make.make_academy()
    player = make.make_player(academy, signs_in=True)
    return Stage(player, make.make_club(player), make.make_range(academy), Phone(player))
