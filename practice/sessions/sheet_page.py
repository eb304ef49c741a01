"""The pages on which a sheet is found and typed in: every ball a row, what is logged already beside what is not."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from uuid import UUID

from practice.planner.models import Block
from practice.planner.sheet_codes import block_code
from practice.planner.weeks import monday_of
from practice.players.models import Player
from practice.sessions.adherence import done_of
from practice.sessions.sheet_paper import MOST_TYPED, Fault, Paper, PaperRow, asked_blocks_of

WEEKS_FOUND = 26
"""How old a sheet may be to be found by its code."""

WEEKS_LISTED = 3


@dataclass(frozen=True)
class SheetLine:
    """A block of a sheet in a list."""

    id: UUID
    code: str
    title: str
    monday: date
    balls: int
    hit: int


def sheet_lines(player: Player, today: date, *, code: str = "") -> list[SheetLine]:
    """Return the blocks with this code, the newest first; without a code those of the last weeks and the coming one.

    Of those not asked for by their code the ones that were taken back since are left out.
    """
    weeks = WEEKS_FOUND if code else WEEKS_LISTED
    since = monday_of(today) - timedelta(weeks=weeks)
    blocks = asked_blocks_of(player).filter(plan__monday__gte=since, plan__monday__lte=today + timedelta(days=7))
    if not code:
        blocks = blocks.to_do()
    in_order = blocks.select_related("plan").order_by("-plan__monday", "-plan__version", "position")
    found = [block for block in in_order if not code or block_code(block.pk) == code]
    done = done_of(found)
    return [
        SheetLine(
            block.pk, block_code(block.pk), block.title, block.plan.monday, done[block.pk].asked, done[block.pk].hit
        )
        for block in found
    ]


LONGEST = {"leaves": MOST_TYPED}
"""Characters that a cell takes, where it takes more than a few."""


@dataclass(frozen=True)
class Cell:
    """A cell to type in; `told` is what is wrong with it."""

    name: str
    label: str
    value: str
    told: str
    longest: int


@dataclass(frozen=True)
class GridRow:
    """One row: what was asked, and its cells; in their place what is logged of it, or that nothing is noted."""

    asked: PaperRow
    cells: list[Cell]
    logged: str


@dataclass(frozen=True)
class GridPage:
    """A block to be typed in; `left` counts the rows that are still open."""

    block: Block
    code: str
    row_name: str
    at_targets: bool
    heads: list[str]
    keys: list[str]
    rows: list[GridRow]
    faults: list[tuple[Cell, Fault]]
    left: int


def grid_page(
    paper: Paper,
    logged: Mapping[int, str],
    typed: Mapping[int, Mapping[str, str]],
    faults: Iterable[Fault] = (),
) -> GridPage:
    """Return the page of a printed block; `logged` tells of its rows, `typed` what was typed in those that are open."""
    told = {(fault.n, fault.cell): fault for fault in reversed(list(faults))}
    rows = paper.rows()
    cells = {
        (n, name): Cell(
            name=f"{name}-{n}",
            label=f"{paper.row_name} {n}, {paper.heads[name].lower()}",
            value=value,
            told=told[n, name].told if (n, name) in told else "",
            longest=LONGEST.get(name, 12),
        )
        for n, row in typed.items()
        for name, value in row.items()
    }
    return GridPage(
        block=paper.block,
        code=block_code(paper.block.pk),
        row_name=paper.row_name,
        at_targets=any(row.target or row.distance for row in rows),
        heads=list(paper.heads.values()),
        keys=paper.keys,
        rows=[
            GridRow(row, [cells[row.n, name] for name in typed.get(row.n, ())], logged.get(row.n, "")) for row in rows
        ],
        faults=[(cells[key], told[key]) for key in cells if key in told],
        left=len(typed),
    )
