"""What every printed block has in common when it is typed in afterwards: rows of cells, read, checked whole, stored."""

from abc import ABC, abstractmethod
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from typing import Any

from django.db import transaction

from practice.accounts.zones import zone
from practice.planner.models import Block, PlanState
from practice.planner.versions import versions_of
from practice.players.models import Player
from practice.sessions.actions import queue_up
from practice.sessions.words import MeasuredBy
from practice.units import DistanceUnit
from practice.venues.models import Venue

MIDDAY = time(12)
"""When balls count as hit of which only the day is known."""

MOST_TYPED = 600
"""Characters of a cell that are read; no answer has more."""


@dataclass(frozen=True)
class Fault:
    """What is wrong with one cell, and what to type instead."""

    n: int
    cell: str
    told: str


@dataclass(frozen=True)
class Conditions:
    """What holds for all rows of a sheet: the day, the place, and how typed distances were known."""

    day: date
    venue: Venue
    measured_by: str = MeasuredBy.EYE.value
    ball_type: str = ""
    surface: str = ""

    def times(self, rows: int, received_at: datetime) -> list[datetime]:
        """Return when each row counts as hit: in order, a second apart, at midday of the place or just before now."""
        here = zone(self.venue.time_zone)
        start, midday = (datetime.combine(self.day, at, here) for at in (time.min, MIDDAY))
        first = max(start, min(midday, received_at - timedelta(seconds=rows)))
        return [first + timedelta(seconds=n) for n in range(rows)]


@dataclass(frozen=True)
class PaperRow:
    """One row, numbered from 1: what was asked, and whether anything is noted of it."""

    n: int
    club: str
    swing: str
    target: str
    distance: str = ""
    noted: bool = True


@dataclass
class Reading:
    """The cells of a block, read: the values of each row in which something was typed, and every fault."""

    values: dict[int, Any] = field(default_factory=dict)
    faults: list[Fault] = field(default_factory=list)


class Paper(ABC):
    """A printed block. Its plan, player and balls are fetched.

    Attributes
    ----------
    heads
        The cells of a row, in the order of the keys, and what stands above them.
    keys
        What may be typed, in words.
    row_name
        What a row is.
    of_shots
        Whether it matters which balls they were, and how a typed distance was known.
    """

    heads: dict[str, str]
    keys: list[str]
    row_name = "Ball"
    of_shots = False

    def __init__(self, block: Block):
        self.block = block
        self.player: Player = block.plan.player
        self.unit: DistanceUnit = self.player.shown_unit

    @abstractmethod
    def rows(self) -> list[PaperRow]:
        """Return what is printed."""

    @abstractmethod
    def logged(self) -> dict[int, str]:
        """Return in words what is logged of each row already."""

    @abstractmethod
    def read_row(self, n: int, told: dict[str, str], measured_by: str) -> tuple[Any, list[Fault]]:
        """Return the values of a row in which something was typed, and what is wrong with it."""

    @abstractmethod
    def store(self, values: Mapping[int, Any], conditions: Conditions, received_at: datetime, made_by) -> None:
        """Store rows of which nothing is logged."""

    def cells(self, typed: Mapping[str, str], logged: Iterable[int]) -> dict[int, dict[str, str]]:
        """Return what was typed in each row that is open, as typed; of an absurdly long cell only its beginning."""
        still_open = [row.n for row in self.rows() if row.noted and row.n not in logged]
        return {n: {cell: typed.get(f"{cell}-{n}", "")[:MOST_TYPED] for cell in self.heads} for n in still_open}

    def read(self, cells: Mapping[int, Mapping[str, str]], measured_by: str) -> Reading:
        """Read all cells; numbers that are distances were known by `measured_by`."""
        reading = Reading()
        for n, typed in cells.items():
            told = {cell: text.strip().casefold() for cell, text in typed.items()}
            if any(told.values()):
                reading.values[n], faults = self.read_row(n, told, measured_by)
                reading.faults += faults
        return reading

    def versions(self) -> list[Block]:
        """Return the block as printed and as it stood before and after: what was done of one was done of all."""
        week = asked_blocks_of(self.player).filter(plan__monday=self.block.plan.monday)
        versions = versions_of(week.select_related("plan").prefetch_related("balls").order_by("plan__version"))
        return [other for other, newest in versions.items() if newest == versions[self.block]]


def asked_blocks_of(player: Player):
    """Return the blocks that the player was ever asked to do, also those taken back since: a sheet is on paper."""
    return Block.objects.filter(plan__player=player).exclude(plan__state=PlanState.DRAFT)


@dataclass(frozen=True)
class Typed:
    """What became of a sheet: how many rows are new, and which were logged before and stay as they are."""

    stored: int
    logged: list[int]


@transaction.atomic
def store_paper(
    paper: Paper, *, values: Mapping[int, Any], conditions: Conditions, received_at: datetime, made_by
) -> Typed:
    """Store the values of rows, by number: all or none; a row that is logged already is left alone."""
    # Whoever sends the same sheet twice at once goes one after the other, and the second finds the rows logged.
    queue_up(paper.player)
    logged = paper.logged()
    new = {n: row for n, row in values.items() if n not in logged}
    if new:
        paper.store(new, conditions, received_at, made_by)
    return Typed(len(new), sorted(values.keys() & logged.keys()))
