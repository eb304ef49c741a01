"""The blocks of the work that a stage asks for. Pure.

A week trains at most 2 themes; near a competition there is no carry test and nothing new (common practice, no source).
A passed stage gets no block: its shots keep the floor that the sharing-out of balls gives them. Where too little is
known the block is a test.
"""

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from math import ceil

from practice.planner.allocation import Need
from practice.planner.rounding import filled, fits
from practice.planner.stages import Figures, Judged, Stage, StockShot, Verdict, Work

CHECK_BALLS = 10
"""Balls of a strike check."""
EACH = 5
"""Balls of each swing in a carry test."""
PASS_SHARE, PASS_WITHIN_PCT = 0.7, 10
"""The pass mark of a block under pressure: 7 of 10 within 10 %."""
STRIKE, STOCK, PRESSURE, SPOTS = "strike", "stock carries", "pressure", "spots"
"""Themes; those of balls at targets are the bands of the targets. A check trains nothing and has none."""
THEME_OF = {
    "strike_bucket": STRIKE,
    "turf_brush": STRIKE,
    "carry_test": STOCK,
    "one_ball": PRESSURE,
    "pick_spot": SPOTS,
    "smooth_swing": "smooth swing",
}
"""Themes of blocks by kind; of others the band of their targets, or none."""

KIND_OF = {
    Work.STRIKE_CHECK: "strike_check",
    Work.STRIKE_BUCKET: "strike_bucket",
    Work.TURF_BRUSH: "turf_brush",
    Work.CARRY_TEST: "carry_test",
    Work.MIXED: "random_target",
    Work.MIXED_HIDDEN: "random_target",
    Work.PRESSURE: "random_target",
}
STRIKE_WORK = (Work.STRIKE_CHECK, Work.STRIKE_BUCKET, Work.TURF_BRUSH)


@dataclass(frozen=True)
class Shots:
    """What the balls can go to: needs by club (named by its label), and by target (named by it; themes are bands).

    `pairs` is how many different shots club and target make, for a test that repeats none.
    """

    clubs: tuple[Need, ...] = ()
    targets: tuple[Need, ...] = ()
    pairs: int = 0


@dataclass(frozen=True)
class SuggestedBlock:
    """One block. `clubs`, `swings` and `targets` are labels, codes and names; empty is all that fit.

    `balls` is their number, of a carry test `each` for every club and swing. `is_test` where it is there to find out,
    for want of figures; `shots` are the stock shots it is about; `repeats` where the same shot comes several times on
    end.
    """

    kind: str
    theme: str
    balls: int
    stage: Stage
    clubs: tuple[str, ...] = ()
    swings: tuple[str, ...] = ()
    each: int = 0
    targets: tuple[tuple[str, int], ...] = ()
    shots: tuple[StockShot, ...] = ()
    number_shown: bool = True
    repeats: bool = False
    is_test: bool = False
    has_pass_mark: bool = False
    visit: int = 1
    day: int = 0

    @property
    def pass_made(self) -> int:
        return ceil(PASS_SHARE * self.balls)


def blocks_of(
    stage: Judged,
    figures: Figures,
    shots: Shots,
    sizes: list[int],
    *,
    is_eased: bool,
    visits: int,
    taken: Collection[str],
) -> list[SuggestedBlock]:
    """The stage's own work; of strike work and carry tests the last block goes to targets, to keep those alive.

    `taken` are the themes that the week has already: work that would be one too many gives its balls to targets too.
    """
    work = Work.MIXED if stage.work == Work.CARRY_TEST and is_eased else stage.work
    if work not in (*STRIKE_WORK, Work.CARRY_TEST):
        is_test = stage.verdict == Verdict.UNKNOWN
        return _at_targets(stage.stage, work, shots, sizes, taken=taken, is_test=is_test, last=visits)
    kept = 1 if shots.targets and len(sizes) > 1 else 0
    own, to_targets = sizes[: len(sizes) - kept], sizes[len(sizes) - kept :]
    theme = STRIKE if work in STRIKE_WORK else STOCK
    if not fits({theme}, taken):
        return _at_targets(stage.stage, Work.MIXED, shots, sizes, taken=taken)
    blocks = _strike(work, shots.clubs, own) if work in STRIKE_WORK else _carry_tests(figures, own)
    to_targets = [*own[len(blocks) :], *to_targets]
    return [*blocks, *_at_targets(stage.stage, Work.MIXED, shots, to_targets, taken={theme, *taken})]


def strike_check(clubs: Sequence[Need], balls: int) -> SuggestedBlock:
    """With the club whose misses cost most; the first where none is known."""
    club = max(clubs, key=lambda need: need.at_stake).name
    return SuggestedBlock("strike_check", "", balls, Stage.STRIKE, clubs=(club,), is_test=True)


def _strike(work: Work, clubs: Sequence[Need], sizes: Sequence[int]) -> list[SuggestedBlock]:
    """Blocks of one club each, of at most two clubs: those whose misses cost most."""
    blocks, _ = filled([replace(need, theme=need.name) for need in clubs], sizes)
    return [
        SuggestedBlock(KIND_OF[work], STRIKE, sum(counts), Stage.STRIKE, clubs=(club,), each=sum(counts))
        for club, counts in blocks
    ]


def _carry_tests(figures: Figures, sizes: Sequence[int]) -> list[SuggestedBlock]:
    """A test for each size, until every shot that needs one has it."""
    blocks, cells = [], _cells_to_test(figures)
    for size in sizes:
        if cells:
            blocks.append(_carry_test(cells, size))
            cells = [cell for cell in cells if cell not in blocks[-1].shots]
    return blocks


def _cells_to_test(figures: Figures) -> list[StockShot]:
    """The shots that are off, then those of untested clubs; where there are none, all, the oldest test first."""
    untested = set(figures.untested())
    off = figures.off()
    cells = [*off, *(shot for shot in figures.stock if shot.club in untested and shot not in off)]
    never = 10**6
    return cells or sorted(figures.stock, key=lambda shot: -(never if shot.tested_days is None else shot.tested_days))


def _carry_test(cells: Sequence[StockShot], size: int) -> SuggestedBlock:
    """One swing with several clubs, or one club with several: the line through the first cell that tests more."""
    first = cells[0]
    lines = (
        [cell for cell in cells if cell.swing == first.swing],
        [cell for cell in cells if cell.club == first.club],
    )
    line = max(lines, key=len)
    n = next(n for n in range(min(len(line), max(1, size // EACH)), 0, -1) if n == 1 or size % n <= size // 10)
    each = size // n
    shots = tuple(line[:n])
    return SuggestedBlock(
        "carry_test",
        STOCK,
        n * each,
        Stage.STOCK,
        clubs=tuple(dict.fromkeys(shot.club for shot in shots)),
        swings=tuple(dict.fromkeys(shot.swing for shot in shots)),
        each=each,
        shots=shots,
        is_test=not any(shot.is_off for shot in shots),
    )


def _at_targets(
    stage: Stage,
    work: Work,
    shots: Shots,
    sizes: Sequence[int],
    *,
    taken: Collection[str],
    is_test: bool = False,
    last: int = 0,
) -> list[SuggestedBlock]:
    """Blocks of balls at targets, each target's balls by the rule; without targets spots that the player picks. Under
    pressure the `last` are one-ball tests, where there are different shots enough."""
    if not sizes:
        return []
    if not shots.targets:
        # A spot takes two clubs; with one alone these balls are left free.
        spots = sizes if len(shots.clubs) > 1 and fits({SPOTS}, taken) else []
        return [SuggestedBlock("pick_spot", SPOTS, size - size % 2, stage) for size in spots]
    needs = shots.targets
    if work == Work.PRESSURE:
        needs = [replace(need, theme=PRESSURE) for need in needs]
    if not any(fits({need.theme}, taken) for need in needs):
        return []
    blocks = []
    for place, (theme, counts) in enumerate(filled(needs, sizes, taken=taken)[0]):
        block = SuggestedBlock(
            kind=KIND_OF[work],
            theme=theme,
            balls=sum(counts),
            stage=stage,
            targets=tuple((need.name, n) for need, n in zip(needs, counts, strict=True) if n),
            number_shown=work == Work.MIXED,
            # Repeats to compare the fresh balls with.
            repeats=is_test and stage == Stage.FRESH and place == 0,
            is_test=is_test,
        )
        if work == Work.PRESSURE and place >= len(sizes) - last and block.balls <= shots.pairs:
            block = replace(block, kind="one_ball", targets=())
        elif work == Work.PRESSURE:
            block = replace(block, has_pass_mark=True)
        blocks.append(block)
    return blocks
