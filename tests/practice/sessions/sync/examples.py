"""One good item of each kind in the registry, and what may be done to it: tests of every kind run over these."""

from collections.abc import Callable
from dataclasses import dataclass

from django.db.models import Model
from django.utils import timezone

from practice.ids import uuid7
from practice.planner.models import Block
from practice.sessions.checks import identifier
from practice.sessions.items import KINDS
from practice.sessions.models import (
    BlockOutcome,
    BlockTally,
    EyeGuess,
    PainStop,
    PhoneItem,
    Shot,
    SkippedBall,
    SmoothSwing,
    StrikeMark,
    TurfSwing,
    Visit,
)
from practice.venues.models import Bay, Target, TeeLine
from tests.practice.sessions.plan import make_block
from tests.practice.sessions.stage import Stage


@dataclass(frozen=True)
class Example:
    """How an item of one kind looks, what a correction changes of it, and what none may say, with the reason told."""

    model: type[PhoneItem]
    values: Callable[[Stage], dict]
    corrected: Callable[[Stage], dict]
    wrong: dict
    said: str


def block_of(stage: Stage) -> Block:
    """Return the one assigned block of the player."""
    return Block.objects.filter(plan__player=stage.player).first() or make_block(stage)


def a_visit(stage: Stage) -> dict:
    return {"venue": str(stage.venue.pk), "label": "morning"}


def a_shot(stage: Stage) -> dict:
    return {"club": str(stage.club.pk), "swing": "feel", "target_m": 50.0, "carry_m": 48.0}


def a_skip(stage: Stage, n: int = 1) -> dict:
    return {"ball": str(block_of(stage).balls.get(n=n).pk)}


def a_tally(stage: Stage) -> dict:
    return {"block": str(block_of(stage).pk), "balls": 20, "on": 11, "long": 4, "short": 3, "mishits": 1}


EXAMPLES = {
    "visit": Example(Visit, a_visit, lambda _: {"label": "evening"}, {"offset_m": 51}, "between -50 and 50"),
    "shot": Example(Shot, a_shot, lambda _: {"carry_m": 51.0}, {"carry_m": 401.0}, "the carry is 401 m"),
    "skip": Example(SkippedBall, a_skip, lambda stage: a_skip(stage, 2), {"ball": str(uuid7())}, "not in your plan"),
    "stop": Example(
        PainStop,
        lambda _: {"block": None},
        lambda stage: {"block": str(block_of(stage).pk)},
        {"block": 3},
        "'block' must be a UUID",
    ),
    "eye_check": Example(
        EyeGuess,
        lambda _: {"guess_m": 50.0, "measured_m": None},
        lambda _: {"measured_m": 55.0},
        {"guess_m": "far"},
        "'guess_m' must be a number",
    ),
    "turf": Example(
        TurfSwing,
        lambda _: {"contact": "thin", "ground": "none", "surface": "grass"},
        lambda _: {"contact": "fat", "ground": "divot"},
        {"contact": "shank"},
        "'contact' must be one of clean, thin, fat",
    ),
    "tally": Example(
        BlockTally,
        a_tally,
        lambda _: {"on": 10, "long": 5},
        {"on": 13},
        "you counted 21 balls on, long, short or mishit, and hit 20",
    ),
    "strike_mark": Example(
        StrikeMark,
        lambda stage: {"club": str(stage.club.pk), "heel_toe_mm": 3.0, "low_high_mm": -4.5, "resolution_mm": 2.0},
        lambda _: {"heel_toe_mm": -1.0},
        {"low_high_mm": 80.5},
        "'low_high_mm' must be between -80 and 80",
    ),
    "swing": Example(
        SmoothSwing,
        lambda _: {"smooth": False, "how": "hum"},
        lambda _: {"smooth": True},
        {"how": "song"},
        "'how' must be one of nothing, hum, breath",
    ),
    "outcome": Example(
        BlockOutcome,
        lambda _: {"balls": 10, "made": 7, "best_run": 3, "yes": True, "leaves_m": [0.0, 1.5, 3.25]},
        lambda _: {"made": 8, "leaves_m": [2.0]},
        {"made": 11},
        "Correct this count: 11 made of 10 balls hit.",
    ),
}


def item_of(stage: Stage, kind: str, values: dict | None = None, **fields) -> dict:
    """Return the example of a kind as the stage's phone would send it."""
    return stage.phone.item(kind, EXAMPLES[kind].values(stage) | (values or {}), **fields)


def corrected(stage: Stage, item: dict, **fields) -> dict:
    """Return an example again with the values of its correction; the fields say which revision it is."""
    values = item["values"] | EXAMPLES[item["kind"]].corrected(stage)
    return item | {"values": values, "number": next(stage.phone.numbers)} | fields


def told(row: PhoneItem, names) -> dict:
    """Return what a row holds under the names of its item's values, as the item would say it."""
    return {name: _said(getattr(row, name)) for name in names}


def _said(value):
    return str(value.pk) if isinstance(value, Model) else value


def rows_named_by(kind: str) -> list[str]:
    """Return the values of a kind that name a row."""
    return [name for name, check in KINDS[kind].schema.items() if check is identifier]


def row_of(stage: Stage, name: str) -> Model:
    """Return a row of a stage that a value of this name can stand for."""
    line = TeeLine.objects.get(venue=stage.venue)
    rows = {
        "venue": lambda: stage.venue,
        "club": lambda: stage.club,
        "block": lambda: block_of(stage),
        "ball": lambda: block_of(stage).balls.first(),
        "target": lambda: Target.objects.filter(tee_line=line).first(),
        "tee_line": lambda: line,
        "bay": lambda: Bay.objects.create(tee_line=line, name="Bay 7"),
        "visit": lambda: Visit.objects.create(player=stage.player, venue=stage.venue, started_at=timezone.now()),
    }
    return rows[name]()
