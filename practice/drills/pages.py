"""The drill library on the screen."""

from collections.abc import Iterable
from dataclasses import dataclass

from practice.accounts.models import Academy
from practice.drills.actions import drills_of
from practice.drills.kinds import KINDS, LOGS, SCORES
from practice.drills.models import Drill


@dataclass(frozen=True)
class DrillRow:
    """A drill as a line of the library: its kind, how it is logged and what it is scored by, in words."""

    drill: Drill
    kind: str
    log: str
    score: str


@dataclass(frozen=True)
class Shelf:
    """An academy's drills: those in use, and those put away."""

    academy: Academy
    in_use: list[DrillRow]
    archived: list[DrillRow]


def shelf_of(academy: Academy) -> Shelf:
    """Return an academy's drills, the defaults that it lacked among them."""
    drills = drills_of(academy)
    return Shelf(
        academy=academy,
        in_use=_rows(drill for drill in drills if not drill.archived_at),
        archived=_rows(drill for drill in drills if drill.archived_at),
    )


def _rows(drills: Iterable[Drill]) -> list[DrillRow]:
    return [DrillRow(drill, KINDS[drill.kind].title, LOGS[drill.log], SCORES[drill.score]) for drill in drills]
