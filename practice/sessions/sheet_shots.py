"""A printed block of balls that are logged one by one: what its cells mean, and the shots that are made of them."""

import re
from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime

from practice.clubs.swings import FEEL
from practice.ids import uuid7
from practice.planner.models import Ball, Block
from practice.planner.sheet_codes import DEPTHS, MISHITS, NO_MATCH, NOT_SEEN, SIDES, is_noted, zone_m
from practice.planner.weeks import ball_row
from practice.sessions.actions import store_shots
from practice.sessions.models import Shot
from practice.sessions.sheet_paper import Conditions, Fault, Paper, PaperRow
from practice.sessions.shot_list import shot_line
from practice.sessions.values import RANGES, ShotEntry, ShotValues, faults
from practice.sessions.words import MeasuredBy, Source
from practice.units import DistanceUnit

NUMBER = re.compile(r"[+-]?\d{1,4}([.,]\d{1,3})?")


def metres(typed: str, unit: DistanceUnit) -> float | None:
    """Return a typed number in metres, its decimals after a point or a comma; None where it is none."""
    return unit.to_m(float(typed.replace(",", "."))) if NUMBER.fullmatch(typed) else None


class ShotsPaper(Paper):
    """A block of balls, each a shot."""

    of_shots = True

    def __init__(self, block: Block):
        super().__init__(block)
        self.balls = {ball.n: ball for ball in block.balls.all()}
        self.is_aimed = any(is_aimed(ball) for ball in self.balls.values())
        self.heads = {"depth": "Depth or carry", "side": "Side", "mishit": "Mishit"}
        if not self.is_aimed:
            self.heads["match"] = "Through"
        self.keys = _keys(self.is_aimed)

    def rows(self):
        return [self._row(ball) for ball in self.balls.values()]

    def _row(self, ball: Ball) -> PaperRow:
        words = ball_row(ball, self.unit)
        noted = is_noted(self.block.logging, ball.n, len(self.balls))
        distance = words.distance if self.block.number_shown else ""
        return PaperRow(ball.n, words.club, words.swing, words.target, distance, noted)

    def logged(self):
        # The first one at each ball; it may be at the same ball of another version of the week.
        shots = Shot.objects.filter(player=self.player, ball__block__in=self.versions(), deleted=False)
        shots = shots.select_related("ball", "club", "target").in_order().reverse()
        return {shot.ball.n: self._words(shot) for shot in shots}

    def _words(self, shot: Shot) -> str:
        """Say what is logged of a ball; with the number hidden no figure, for it would give the distance away."""
        shot.player = self.player  # the same object, not one fetched again for every shot
        line = shot_line(shot, self.unit, at="")
        told = [line.carry, line.sideways, line.contact] if self.block.number_shown else [line.contact]
        words = ", ".join(word for word in told if word and word != "–")
        return f"logged: {words}" if words else "logged"

    def read_row(self, n, told, measured_by):
        ball, before = self.balls[n], self.balls.get(n - 1)
        row = Row(ball, self.unit, measured_by, told)
        values = ShotValues(
            swing=FEEL if told.get("match") == NO_MATCH else ball.swing,
            target_name=ball.target_name,
            target_m=ball.target_m,
            elevation_m=ball.elevation_m if row.is_aimed else None,
            number_shown=self.block.number_shown if row.is_aimed else None,
            fresh=before is None or (before.club_id, before.target_name) != (ball.club_id, ball.target_name),
            **row.result(),
        )
        # the same check that every shot passes, for whatever the cells let through
        wrong = [] if row.faults else [Fault(n, "depth", fault) for fault in faults(values, {ball.swing, FEEL})]
        return values, row.faults + wrong

    def store(self, values: Mapping[int, ShotValues], conditions: Conditions, received_at: datetime, made_by):
        times = conditions.times(len(self.balls), received_at)
        entries = [self._entry(self.balls[n], row, conditions, times[n - 1]) for n, row in values.items()]
        by = {"received_at": received_at, "made_by": made_by}
        store_shots(player=self.player, entries=entries, source=Source.SHEET.value, **by)

    def _entry(self, ball: Ball, values: ShotValues, conditions: Conditions, hit_at: datetime) -> ShotEntry:
        return ShotEntry(
            uid=uuid7(),
            hit_at=hit_at,
            club=ball.club,
            venue=conditions.venue,
            values=replace(values, ball_type=conditions.ball_type, surface=conditions.surface),
            ball=ball,
            target=ball.target,
        )


def is_aimed(ball: Ball) -> bool:
    """Return whether a ball is hit at something, be it at no known distance."""
    return bool(ball.target_m or ball.target_name)


def _keys(aimed: bool) -> list[str]:
    depths = ", ".join(f"{code.upper()} {words}" for code, (_, words) in DEPTHS.items())
    sides = ", ".join(f"{code.upper()} {words}" for code, (_, words) in SIDES.items())
    mishits = ", ".join(f"{code.upper()} {words}" for code, words in MISHITS.items())
    return [
        f"Depth: {depths}; or the carry as a number." if aimed else "Carry: a number.",
        f"Side: {sides}; or a number, left with a minus.",
        f"Mishit: {mishits}, {NOT_SEEN.upper()} not seen.",
        *([] if aimed else [f"Through: {NO_MATCH.upper()} where it did not match the swing back."]),
    ]


class Row:
    """The cells of one ball."""

    def __init__(self, ball: Ball, unit: DistanceUnit, measured_by: str, told: dict[str, str]):
        self.ball, self.unit, self.measured_by, self.told = ball, unit, measured_by, told
        self.zone_m = zone_m(unit, ball.target_m)
        self.is_aimed = is_aimed(ball)
        self.faults: list[Fault] = []

    def result(self) -> dict:
        """Return the fields of the shot that the cells give; what cannot be read is told in `faults`."""
        mishit, match = self.told["mishit"], self.told.get("match")
        if mishit and mishit not in MISHITS and mishit != NOT_SEEN:
            letters = ", ".join(f"{code.upper()} {words}" for code, words in MISHITS.items())
            self._fault("mishit", f"is none of these: {letters}, {NOT_SEEN.upper()} not seen")
        if match and match != NO_MATCH:
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
        carry_m = metres(typed, self.unit)
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
        lateral_m = metres(typed, self.unit)
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
