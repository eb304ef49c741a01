"""A printed sheet typed in afterwards: what its cells mean, and the shots that are made of them."""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, datetime, time, timedelta

from django.db import transaction

from practice.accounts.zones import zone
from practice.clubs.swings import FEEL
from practice.drills.kinds import KINDS
from practice.ids import uuid7
from practice.planner.models import Ball, Block, Logging, PlanState
from practice.planner.sheet_codes import DEPTHS, MISHITS, NO_MATCH, NOT_SEEN, SIDES, zone_m
from practice.planner.versions import versions_of
from practice.players.models import Player
from practice.sessions.actions import queue_up, store_shots
from practice.sessions.models import Shot
from practice.sessions.values import RANGES, ShotEntry, ShotValues, faults
from practice.sessions.words import MeasuredBy, Source
from practice.units import DistanceUnit
from practice.venues.models import Venue

CELLS = ("depth", "side", "mishit", "match")
"""What may be typed for a ball, in the order of the keys."""

MIDDAY = time(12)
"""When balls count as hit of which only the day is known."""

NUMBER = re.compile(r"[+-]?\d{1,4}([.,]\d{1,3})?")
MOST_TYPED = 12
"""Characters of a cell that are read; no code and no distance has more."""

THIRD = 3


@dataclass(frozen=True)
class Fault:
    """What is wrong with one cell, and what to type instead."""

    n: int
    cell: str
    told: str


@dataclass(frozen=True)
class Conditions:
    """What holds for all balls of a sheet: the day, the place, and how typed distances were known."""

    day: date
    venue: Venue
    measured_by: str = MeasuredBy.EYE.value
    ball_type: str = ""
    surface: str = ""


def asked_blocks_of(player: Player):
    """Return the blocks that the player was ever asked to do, also those taken back since: a sheet is on paper."""
    return Block.objects.filter(plan__player=player).exclude(plan__state=PlanState.DRAFT)


def can_be_typed(block: Block) -> bool:
    """Return whether a block's balls are logged one by one as shots; of others a sheet holds no cells of this kind."""
    return KINDS[block.kind].parts(block.parameters)[1] == "shots" and block.logging != Logging.END


def balls_to_note(block: Block) -> list[Ball]:
    """Return the balls of a block that get a result; its balls should be fetched."""
    balls = list(block.balls.all())
    if block.logging != Logging.THIRD:
        return balls
    return [ball for ball in balls if ball.n % THIRD == 0 or ball.n == len(balls)]


def logged_shots(block: Block) -> dict[int, Shot]:
    """Return the first shot at each ball of the block, by the ball's number.

    A shot at the same ball of another version of the week is one at this ball: the week may have been edited since the
    sheet was printed, or before.
    """
    week = asked_blocks_of(block.plan.player).filter(plan__monday=block.plan.monday)
    versions = versions_of(week.select_related("plan").prefetch_related("balls").order_by("plan__version"))
    same = [other for other, newest in versions.items() if newest == versions[block]]
    shots = Shot.objects.filter(player=block.plan.player, ball__block__in=same, deleted=False).select_related(
        "ball", "club", "target", "device__user"
    )
    return {shot.ball.n: shot for shot in shots.in_order().reverse()}


# --- what is typed


def read_cells(typed: Mapping[str, str], balls: Iterable[Ball]) -> dict[int, dict[str, str]]:
    """Return what was typed for each ball, as typed; of an absurdly long cell only its beginning."""
    return {ball.n: {cell: typed.get(f"{cell}-{ball.n}", "")[:MOST_TYPED] for cell in CELLS} for ball in balls}


@dataclass
class Grid:
    """The cells of a block, read: the values of each ball of which something was typed, and every fault."""

    unit: DistanceUnit
    measured_by: str
    values: dict[int, ShotValues] = field(default_factory=dict)
    faults: list[Fault] = field(default_factory=list)

    def read(self, block: Block, balls: Iterable[Ball], cells: Mapping[int, Mapping[str, str]]) -> None:
        """Read the cells of these balls."""
        before = {ball.n + 1: ball for ball in block.balls.all()}
        for ball in balls:
            told = {cell: text.strip().casefold() for cell, text in cells[ball.n].items()}
            if any(told.values()):
                self._read_row(block, ball, before.get(ball.n), told)

    def _read_row(self, block: Block, ball: Ball, before: Ball | None, told: dict[str, str]) -> None:
        row = Row(ball, self.unit, self.measured_by, told)
        values = ShotValues(
            swing=FEEL if told["match"] == NO_MATCH else ball.swing,
            target_name=ball.target_name,
            target_m=ball.target_m,
            elevation_m=ball.elevation_m if row.is_aimed else None,
            number_shown=block.number_shown if row.is_aimed else None,
            fresh=before is None or (before.club_id, before.target_name) != (ball.club_id, ball.target_name),
            **row.result(),
        )
        # the same check that every shot passes, for whatever the cells let through
        wrong = [] if row.faults else [Fault(ball.n, "depth", told) for told in faults(values, {ball.swing, FEEL})]
        self.faults += row.faults + wrong
        self.values[ball.n] = values


class Row:
    """The cells of one ball."""

    def __init__(self, ball: Ball, unit: DistanceUnit, measured_by: str, told: dict[str, str]):
        self.ball, self.unit, self.measured_by, self.told = ball, unit, measured_by, told
        self.zone_m = zone_m(unit, ball.target_m)
        self.is_aimed = bool(ball.target_m or ball.target_name)
        self.faults: list[Fault] = []

    def result(self) -> dict:
        """Return the fields of the shot that the cells give; what cannot be read is told in `faults`."""
        mishit, match = self.told["mishit"], self.told["match"]
        if mishit and mishit not in MISHITS and mishit != NOT_SEEN:
            letters = ", ".join(f"{code.upper()} {words}" for code, words in MISHITS.items())
            self._fault("mishit", f"is none of these: {letters}, {NOT_SEEN.upper()} not seen")
        if match and (match != NO_MATCH or self.is_aimed):
            self._fault("match", f"is no mark here: type {NO_MATCH.upper()}, or nothing")
        depth, side = self._depth(), self._side()
        if mishit == NOT_SEEN:
            if depth or side:
                self._fault("mishit", "says that nobody saw it, and there is a distance or side too: keep one")
            return {"seen": False}
        if not depth and not mishit and not self.told["depth"]:
            self._fault("depth", f"is empty: {self._wanted()}, or a letter under mishit")
        return {"contact": MISHITS.get(mishit, "")} | depth | side | self._known_to(depth, side)

    def _depth(self) -> dict:
        typed = self.told["depth"]
        if typed in DEPTHS and self.is_aimed:
            off_m = DEPTHS[typed][0] * self.zone_m
            if self.ball.target_m is None:
                return {"error_m": off_m}
            # Nothing flies less than nothing: the shortest zone of a very short shot ends at one yard or metre.
            return {"carry_m": max(self.ball.target_m + off_m, self.unit.to_m(1.0))}
        carry_m = self._metres(typed)
        if (
            carry_m is not None
            and (self.ball.target_m or not self.is_aimed)
            and self._fits("depth", "carry_m", carry_m)
        ):
            return {"carry_m": carry_m}
        if typed and not self._is_told("depth"):
            self._fault("depth", f"cannot be read: {self._wanted()}")
        return {}

    def _side(self) -> dict:
        typed = self.told["side"]
        if typed in SIDES:
            return {"lateral_m": SIDES[typed][0] * self.zone_m}
        lateral_m = self._metres(typed)
        if lateral_m is not None and self._fits("side", "lateral_m", lateral_m):
            return {"lateral_m": lateral_m}
        if typed and not self._is_told("side"):
            letters = ", ".join(code.upper() for code in SIDES)
            self._fault("side", f"cannot be read: type {letters}, or {self.unit.label} to the right, left with a minus")
        return {}

    def _known_to(self, depth: dict, side: dict) -> dict:
        """Return how well the result is known: by eye in zones, a measured distance to one yard or metre."""
        letters = self.told["depth"] in DEPTHS or self.told["side"] in SIDES
        if not (depth or side):
            return {"measured_by": self.measured_by}
        if self.told["depth"] in DEPTHS or self.measured_by == MeasuredBy.EYE:
            return {"measured_by": MeasuredBy.EYE.value, "resolution_m": self.zone_m}
        return {"measured_by": self.measured_by, "resolution_m": self.zone_m if letters else self.unit.to_m(1.0)}

    def _metres(self, typed: str) -> float | None:
        """Return a typed number in metres; None where it is none."""
        return self.unit.to_m(float(typed.replace(",", "."))) if NUMBER.fullmatch(typed) else None

    def _fits(self, cell: str, name: str, value_m: float) -> bool:
        _, low, high, _ = RANGES[name]
        if low <= value_m <= high and not (name == "carry_m" and value_m == 0 and not self.told["mishit"]):
            return True
        low, high = (self.unit.from_m(bound) for bound in (low, high))
        self._fault(cell, f"must be a number from {max(low, 1) if name == 'carry_m' else low:.0f} to {high:.0f} here")
        return False

    def _wanted(self) -> str:
        codes = f"type {', '.join(code.upper() for code in DEPTHS)}"
        carry = f"the carry in {self.unit.label}, such as 47"
        if not self.is_aimed:
            return f"type {carry}"
        return f"{codes}, or {carry}" if self.ball.target_m else codes

    def _fault(self, cell: str, told: str) -> None:
        self.faults.append(Fault(self.ball.n, cell, told))

    def _is_told(self, cell: str) -> bool:
        return any(fault.cell == cell for fault in self.faults)


# --- storing


@dataclass(frozen=True)
class Typed:
    """What became of a sheet: how many shots are new, and which balls were logged before and stay as they are."""

    stored: int
    logged: list[int]


@transaction.atomic
def store_sheet(
    *, block: Block, values: Mapping[int, ShotValues], conditions: Conditions, received_at: datetime, made_by
) -> Typed:
    """Store the values of a block's balls, by number, as shots of a sheet; a ball that is logged already is left alone.

    The block's plan, player and balls are fetched.
    """
    player = block.plan.player
    # Whoever sends the same sheet twice at once goes one after the other, and the second finds the balls logged.
    queue_up(player)
    logged = logged_shots(block)
    balls = [ball for ball in block.balls.all() if ball.n in values and ball.n not in logged]
    times = _times(conditions, len(block.balls.all()), received_at)
    entries = [_entry(ball, values[ball.n], conditions, times[ball.n - 1]) for ball in balls]
    store_shots(player=player, entries=entries, source=Source.SHEET.value, received_at=received_at, made_by=made_by)
    return Typed(len(entries), sorted(values.keys() & logged.keys()))


def _times(conditions: Conditions, balls: int, received_at: datetime) -> list[datetime]:
    """Return when each ball counts as hit: in order, a second apart, at midday of the place or just before now."""
    here = zone(conditions.venue.time_zone)
    start, midday = (datetime.combine(conditions.day, at, here) for at in (time.min, MIDDAY))
    first = max(start, min(midday, received_at - timedelta(seconds=balls)))
    return [first + timedelta(seconds=n) for n in range(balls)]


def _entry(ball: Ball, values: ShotValues, conditions: Conditions, hit_at: datetime) -> ShotEntry:
    return ShotEntry(
        uid=uuid7(),
        hit_at=hit_at,
        club=ball.club,
        venue=conditions.venue,
        values=replace(values, ball_type=conditions.ball_type, surface=conditions.surface),
        ball=ball,
        target=ball.target,
    )
