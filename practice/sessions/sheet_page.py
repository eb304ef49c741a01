"""The pages on which a sheet is found and typed in: every ball a row, what is logged already beside what is not."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from uuid import UUID

from django.db.models import Count, Q

from practice.planner.models import Ball, Block
from practice.planner.sheet_codes import DEPTHS, MISHITS, NO_MATCH, NOT_SEEN, SIDES, block_code
from practice.planner.weeks import ball_row, monday_of
from practice.players.models import Player
from practice.sessions.models import Shot
from practice.sessions.sheet_entry import Fault, asked_blocks_of, balls_to_note, can_be_typed
from practice.sessions.shot_list import shot_line

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
    logged: int


def sheet_lines(player: Player, today: date, *, code: str = "") -> list[SheetLine]:
    """Return the blocks with this code, the newest first; without a code those of the last weeks and the coming one.

    Of those not asked for by their code the ones that were taken back since are left out.
    """
    weeks = WEEKS_FOUND if code else WEEKS_LISTED
    since = monday_of(today) - timedelta(weeks=weeks)
    blocks = asked_blocks_of(player).filter(plan__monday__gte=since, plan__monday__lte=today + timedelta(days=7))
    if not code:
        blocks = blocks.to_do()
    counted = blocks.select_related("plan").annotate(
        listed=Count("balls", distinct=True),
        logged=Count("balls", distinct=True, filter=Q(balls__shots__deleted=False)),
    )
    found = [block for block in counted.order_by("-plan__monday", "-plan__version", "position") if can_be_typed(block)]
    lines = [
        SheetLine(block.pk, block_code(block.pk), block.title, block.plan.monday, block.listed, block.logged)
        for block in found
    ]
    return [line for line in lines if not code or line.code == code]


@dataclass(frozen=True)
class Cell:
    """A cell to type in; `told` is what is wrong with it."""

    name: str
    label: str
    value: str
    told: str


@dataclass(frozen=True)
class GridRow:
    """One ball: as it was asked, and its cells; in their place what is logged of it, or that nothing is noted."""

    n: int
    club: str
    swing: str
    target: str
    distance: str
    cells: list[Cell]
    logged: str
    noted: bool


HEADS = {"depth": "Depth or carry", "side": "Side", "mishit": "Mishit", "match": "Through"}


@dataclass(frozen=True)
class GridPage:
    """A block to be typed in."""

    block: Block
    code: str
    heads: list[str]
    rows: list[GridRow]
    faults: list[tuple[Cell, Fault]]
    keys: list[str]
    left: int
    """Balls that are still to be typed in."""


def grid_page(
    block: Block,
    logged: Mapping[int, Shot],
    cells: Mapping[int, Mapping[str, str]],
    faults: Iterable[Fault] = (),
) -> GridPage:
    """Return the page of a block whose plan, player and balls are fetched; `cells` hold what was typed."""
    balls = list(block.balls.all())
    is_aimed = any(ball.target_m or ball.target_name for ball in balls)
    names = [name for name in HEADS if name != "match" or not is_aimed]
    noted = {ball.n for ball in balls_to_note(block)}
    told = {(fault.n, fault.cell): fault for fault in reversed(list(faults))}
    rows = [_row(block, ball, logged.get(ball.n), ball.n in noted, names, cells, told) for ball in balls]
    shown = {(row.n, name): cell for row in rows for name, cell in zip(names, row.cells, strict=False)}
    return GridPage(
        block=block,
        code=block_code(block.pk),
        heads=[HEADS[name] for name in names],
        rows=rows,
        faults=[
            (shown[key], fault) for key, fault in sorted(told.items(), key=lambda each: each[0][0]) if key in shown
        ],
        keys=_keys(is_aimed),
        left=len(noted - logged.keys()),
    )


def _row(block: Block, ball: Ball, shot: Shot | None, noted: bool, names: list[str], cells, told) -> GridRow:
    words = ball_row(ball, block.plan.player.shown_unit)
    return GridRow(
        n=ball.n,
        club=words.club,
        swing=words.swing,
        target=words.target,
        distance=words.distance if block.number_shown else "",
        cells=[
            Cell(
                name=f"{name}-{ball.n}",
                label=f"Ball {ball.n}, {HEADS[name].lower()}",
                value=cells.get(ball.n, {}).get(name, ""),
                told=told[ball.n, name].told if (ball.n, name) in told else "",
            )
            for name in names
            if noted and shot is None
        ],
        logged=_logged_words(block, shot) if shot else "",
        noted=noted,
    )


def _logged_words(block: Block, shot: Shot) -> str:
    """Say what is logged of a ball; with the number hidden no figure, for it would give the distance away."""
    shot.player = block.plan.player  # the same object, not one fetched again for every shot
    line = shot_line(shot, block.plan.player.shown_unit, at="")
    told = [line.contact] if not block.number_shown else [line.carry, line.sideways, line.contact]
    return f"logged{': ' if any(told) else ''}{', '.join(word for word in told if word and word != '–')}"


def _keys(is_aimed: bool) -> list[str]:
    """Return what may be typed, in words."""
    depths = ", ".join(f"{code.upper()} {words}" for code, (_, words) in DEPTHS.items())
    sides = ", ".join(f"{code.upper()} {words}" for code, (_, words) in SIDES.items())
    mishits = ", ".join(f"{code.upper()} {words}" for code, words in MISHITS.items())
    return [
        f"Depth: {depths}; or the carry as a number." if is_aimed else "Carry: a number.",
        f"Side: {sides}; or a number, left with a minus.",
        f"Mishit: {mishits}, {NOT_SEEN.upper()} not seen.",
        *([] if is_aimed else [f"Through: {NO_MATCH.upper()} where it did not match the swing back."]),
    ]
