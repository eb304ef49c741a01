"""A player with a bag, a range and a phone."""

from dataclasses import dataclass

from practice.accounts.models import Academy
from practice.clubs.models import Club
from practice.players.models import Player
from practice.venues.models import Venue
from tests import make
from tests.practice.sessions.phone import Phone


@dataclass
class Stage:
    player: Player
    club: Club
    venue: Venue
    phone: Phone


def make_stage(academy: Academy) -> Stage:
    """Make a player who signs in on a phone, and a range; the first of an academy is its default."""
    player = make.make_player(academy, signs_in=True)
    venue = make.make_range(academy, default=not academy.venues.exists())
    return Stage(player, make.make_club(player), venue, Phone(player))
