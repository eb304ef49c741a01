"""The week as a printed sheet: every ball that was asked, with a place for a pencil."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import groupby

from django.db.models import Prefetch

from practice.drills.kinds import KINDS, LOOK_EVERY, SCORES, SHOT_TYPES
from practice.planner.models import Ball, Block, Logging, WeekPlan
from practice.planner.sheet_codes import DEPTHS, SIDES, block_code, is_noted, zone_m
from practice.planner.weeks import BallRow, ball_row
from practice.players.models import Handed
from practice.units import DistanceUnit


@dataclass(frozen=True)
class SheetRow:
    """One ball: as it was asked, the size of its by-eye zones, and whether its result is noted."""

    ball: BallRow
    zone: str
    noted: bool


@dataclass(frozen=True)
class BallsInARow:
    """Balls one after the other with the same club and swing."""

    first: int
    last: int
    club: str
    swing: str


@dataclass(frozen=True)
class SheetBlock:
    """One block of the sheet. `log` says what is noted of it, "counts" where that is only what it came to.

    Attributes
    ----------
    code
        By which it is found again to be typed in.
    facts
        When, how many, off what.
    terms
        What was assigned with it: (label, words).
    boxes
        One for each ball where no ball is listed.
    carries_told
        Whether the distances stand on the sheet.
    cells_of_depth
        How many cells a ball has for short and long.
    """

    letter: str
    block: Block
    code: str
    facts: list[str]
    terms: list[tuple[str, str]]
    log: str
    score: str
    score_words: str
    rows: list[SheetRow]
    groups: list[BallsInARow]
    boxes: range
    clubs: list[str]
    carries_told: bool
    cells_of_depth: int

    @property
    def cells(self) -> int:
        """How many cells a ball's result takes: depth, side, carry, mishit, and of a stock ball whether it matched."""
        if not self.cells_of_depth:
            return 1 + len(SIDES) + 2
        return self.cells_of_depth + len(SIDES) + self.carries_told + 1


@dataclass(frozen=True)
class Sheet:
    """A week on paper. `toe_on_left`: a right-hander's club face, seen from in front of it, has its toe there."""

    plan: WeekPlan
    sunday: date
    unit: str
    toe_on_left: bool
    blocks: list[SheetBlock]
    balls: int
    cautions: list[str]

    @property
    def along_face(self) -> list[tuple[int, str]]:
        """Return where the lines across the printed face stand, in mm to the right, and how far to the toe that is."""
        return [(-toe if self.toe_on_left else toe, _signed(toe)) for toe in range(-30, 31, 10)]

    @property
    def up_face(self) -> list[tuple[int, str]]:
        """Return where the lines along the printed face stand, in mm downwards as SVG counts, and how high that is."""
        return [(-high, _signed(high)) for high in range(-10, 21, 10)]


def _signed(mm: int) -> str:
    return f"{mm:+d}".replace("-", "−") if mm else "0"


def sheet_of(plan: WeekPlan) -> Sheet:
    """Return the sheet of an assigned week, whose player and academy are fetched; blocks with a day first, in order."""
    balls = Prefetch("balls", Ball.objects.select_related("club").order_by("n"))
    blocks = plan.blocks.filter(withdrawn_at=None).select_related("venue").prefetch_related(balls).order_by("position")
    in_order = sorted(blocks, key=lambda block: (block.day is None, block.day or 0, block.position))
    shown = [_sheet_block(plan, block, n) for n, block in enumerate(in_order)]
    return Sheet(
        plan=plan,
        sunday=plan.monday + timedelta(days=6),
        unit=plan.player.shown_unit.label,
        toe_on_left=plan.player.handed != Handed.LEFT,
        blocks=shown,
        balls=sum(block.balls_asked for block in in_order),
        cautions=_each_once(block.cautions for block in in_order),
    )


def _each_once(words: Iterable[str]) -> list[str]:
    return [each for each in dict.fromkeys(words) if each]


def _sheet_block(plan: WeekPlan, block: Block, place: int) -> SheetBlock:
    _, log, score = KINDS[block.kind].parts(block.parameters)
    balls, unit = list(block.balls.all()), plan.player.shown_unit
    rows = [_row(block, ball, unit, last=len(balls)) for ball in balls]
    return SheetBlock(
        letter=_letter(place),
        block=block,
        code=block_code(block.pk),
        facts=_facts(plan, block, log),
        terms=_terms(block),
        log="counts" if log == "shots" and block.logging == Logging.END else log,
        score=score,
        score_words=SCORES[score],
        rows=rows,
        groups=_in_a_row([row.ball for row in rows]),
        boxes=range(1, block.balls_asked + 1),
        clubs=_each_once(ball.club.label for ball in balls),
        carries_told=block.number_shown and any(ball.target_m for ball in balls),
        # a stock ball is hit at nothing, so that it is neither short nor long
        cells_of_depth=len(DEPTHS) if any(ball.target_m or ball.target_name for ball in balls) else 0,
    )


def _in_a_row(balls: list[BallRow]) -> list[BallsInARow]:
    groups = [list(group) for _, group in groupby(balls, key=lambda ball: (ball.club, ball.swing))]
    return [BallsInARow(group[0].n, group[-1].n, group[0].club, group[0].swing) for group in groups]


def _letter(place: int) -> str:
    """Return A to Z, then AA, AB and so on."""
    name = ""
    place += 1
    while place:
        place, digit = divmod(place - 1, 26)
        name = chr(ord("A") + digit) + name
    return name


def _row(block: Block, ball: Ball, unit: DistanceUnit, *, last: int) -> SheetRow:
    row = ball_row(ball, unit)
    told = block.number_shown and ball.target_m
    return SheetRow(
        ball=row if block.number_shown else hidden(row),
        # with the number hidden not even the size of a zone is told: it would give the distance away
        zone=f"{unit.from_m(zone_m(unit, ball.target_m)):.0f}" if told else "",
        noted=is_noted(block.logging, ball.n, last),
    )


def hidden(row: BallRow) -> BallRow:
    """Return a ball as it is shown to a player who is to judge the distance."""
    return BallRow(n=row.n, club=row.club, swing=row.swing, target=row.target, distance="", neighbours=[])


def _facts(plan: WeekPlan, block: Block, log: str) -> list[str]:
    day = "Any day"
    if block.day is not None:
        due = plan.monday + timedelta(days=block.day)
        day = f"{due:%A} {due.day} {due:%B}"
    balls = block.balls_asked
    facts = [day, f"{balls} ball{'' if balls == 1 else 's'}"]
    facts += [f"{block.minutes} minutes"] if block.minutes else []
    facts += [f"off {block.surface}"] if block.surface else []
    facts += [block.venue.name] if block.venue else []
    if log == "shots" and block.logging != Logging.EVERY:
        facts.append(f"noted: {block.get_logging_display().lower()}")
    if block.parameters.get("shot_type") in SHOT_TYPES and block.parameters["shot_type"] != "pitch":
        facts.append(SHOT_TYPES[block.parameters["shot_type"]])
    if block.kind == "strike_bucket":
        facts.append(f"look every {LOOK_EVERY}th ball and before the last {LOOK_EVERY}, the check")
    return facts


def _terms(block: Block) -> list[tuple[str, str]]:
    mark = block.pass_mark
    told = [
        ("Cue", block.cue),
        ("Pass mark", str(mark) if mark else ""),
        ("When passed", block.on_pass),
        ("When missed", block.on_miss),
        ("If it rains", block.rain),
        ("Why", block.reason),
        *(("Mind", note) for note in block.notes),
    ]
    return [(label, words) for label, words in told if words]
