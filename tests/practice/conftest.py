"""Whom the pages are about: the cast of an academy, its coach signed in, the player, and a week of theirs."""

import pytest
from django.test import Client

from practice.planner.models import WeekPlan
from practice.players.models import Player
from tests.practice.litany import Cast, make_cast
from tests.practice.planner.plans import MONDAY, equip
from tests.practice.planner.sheets import assign_every_kind


@pytest.fixture
def cast() -> Cast:
    return make_cast()


@pytest.fixture
def coach(cast) -> Client:
    return cast.client("coach")


@pytest.fixture
def player(cast) -> Player:
    return cast.player


@pytest.fixture
def week(cast) -> WeekPlan:
    """A block of every kind of log, assigned; the first is 20 balls at flags at 30, 45, 60 and 75 m, told in yards."""
    venue, clubs = equip(cast.player)
    return assign_every_kind(cast.player, venue, clubs, monday=MONDAY)
