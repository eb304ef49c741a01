"""A week from what a player's figures say: blocks of the work that the earliest failing stage asks for. Pure.

What a coach sets bounds it (common practice, no source): at most 2 themes a week, 2 or 3 blocks a visit, 10 to 30 balls
a block, another day before more balls, a check day every 2 or 3 weeks, 20 to 30 % of the balls left free; in the days
before a competition half the balls, no carry test and nothing new. A passed stage gets no block: its shots keep the
floor that the sharing-out of balls gives them. Where too little is known the block is a test.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import ceil

from practice.planner.allocation import EXPONENT, FAST, SLOW, AllocationError, Need, allocate, strokes
from practice.planner.easing import EASE_DAYS
from practice.planner.rounding import (
    FEWEST_BALLS,
    FEWEST_BLOCKS,
    MOST_BALLS,
    MOST_BLOCKS,
    equal_sizes,
    filled,
)
from practice.planner.stages import Figures, Judged, Stage, StockShot, Verdict, Work, with_balls

FREE_SHARE, MOST_FREE = 0.2, 0.3
"""What is left free at least, and at most: more than the least where the balls of a test come out even only so."""
MOST_A_VISIT = 80
CHECK_BALLS = 10
"""Balls of a strike check."""
EACH = 5
"""Balls of each swing in a carry test."""
CHECK_AFTER_DAYS = 14
"""A check day is due where the last was longer ago."""
PASS_SHARE, PASS_WITHIN_PCT = 0.7, 10
"""The pass mark of a block under pressure: 7 of 10 within 10 %."""
STRIKE, STOCK, PRESSURE, SPOTS = "strike", "stock carries", "pressure", "spots"
"""Themes; those of balls at targets are the bands of the targets. A check trains nothing and has none."""

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


class SuggestionError(AllocationError):
    """No week can be suggested from this; the message says what to change."""


@dataclass(frozen=True)
class Ask:
    """What the coach gives: balls and visits of the week, what is kept of its draft, and what bounds it.

    Days count from the week's Monday, 0: `first_day` is the first that is not past, over 6 where the week is;
    `competition_days` may lie beyond Sunday. `check_balls` are those of the block that is due for its check day, 0
    where none is.
    """

    balls: int
    visits: int
    kept_balls: int = 0
    kept_blocks: int = 0
    daily_limit: int | None = None
    competition_days: tuple[int, ...] = ()
    check_balls: int = 0
    first_day: int = 0

    @property
    def is_eased(self) -> bool:
        """Whether a day that is left of the week comes before a competition, and near it."""
        return any(max(self.first_day, day - EASE_DAYS) < min(day, 7) for day in self.competition_days)

    @property
    def days(self) -> list[int]:
        """The days on which to practise: the first that are left and free, up to the next competition."""
        free = [day for day in range(self.first_day, 7) if day not in self.competition_days]
        ends = [day for day in self.competition_days if free and day > free[0]]
        return [day for day in free if day < min(ends, default=7)]

    @property
    def most_a_day(self) -> int:
        return min(MOST_A_VISIT, self.daily_limit or MOST_A_VISIT)

    @property
    def wanted(self) -> int:
        """The balls of the week: half of those asked for before a competition."""
        return self.balls // 2 if self.is_eased else self.balls


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


@dataclass(frozen=True)
class Saving:
    """Strokes per shot that the balls at targets should save, by the rule's own reckoning: if scatter falls slowly,
    as reckoned, and fast. `most` is what as many balls save given one by one; `lost` the share between."""

    low: float
    value: float
    high: float
    most: float

    @property
    def lost(self) -> float:
        return 1 - self.value / self.most if self.most > 0 else 0.0


@dataclass(frozen=True)
class Suggestion:
    """A week. `stage` is what its balls go to; `free` of the balls are left free; `visits` may differ from those asked:
    `visits_because` says why ("few balls", "daily limit", "many balls", "competition", "days left", "")."""

    stage: Judged
    blocks: tuple[SuggestedBlock, ...]
    balls: int
    free: int
    visits: int
    visits_because: str = ""
    saving: Saving | None = None

    @property
    def themes(self) -> set[str]:
        """What the week trains; a block for a check day trains nothing new."""
        return {block.theme for block in self.blocks if block.theme}


def suggest(
    stages: Sequence[Judged], figures: Figures, shots: Shots, ask: Ask, chosen: Stage | None = None
) -> Suggestion:
    """The suggested week; `chosen` is the stage that the coach wants, else the earliest that is not passed.

    Raises
    ------
    SuggestionError
        A bad number, more balls than the visits take, no club, no day left.
    """
    _check(ask, shots)
    stage = _stage(stages, chosen)
    balls = min(ask.wanted, ask.most_a_day * len(ask.days))
    planned = int(balls * (1 - FREE_SHARE)) - ask.kept_balls
    visits, because = _visits(ask, balls, planned + ask.kept_balls)
    fixed = [CHECK_BALLS] if stage.work == Work.STRIKE_CHECK else []
    check = [ask.check_balls] if FEWEST_BALLS <= ask.check_balls <= MOST_BALLS and not ask.is_eased else []
    # A check day is small: where its place is needed for more balls, it comes in another week.
    if ask.kept_balls + sum(_sizes(planned, visits, [*fixed, *check], ask.kept_blocks)) < balls * (1 - MOST_FREE):
        check = []
    sizes = _sizes(planned, visits, [*fixed, *check], ask.kept_blocks)[len(fixed) + len(check) :]
    blocks = []
    if sizes:
        first = [_strike_check(shots.clubs, size) for size in fixed]
        last = [SuggestedBlock("check_day", "", size, Stage.PASSED) for size in check]
        blocks = [*first, *_main(_after_test(stage, stages), figures, shots, ask, sizes, visits), *last]
        if not blocks:
            raise SuggestionError(
                "No target in reach is known here, and one club alone makes no week: enter a range, or more clubs."
            )
    placed = _placed(blocks, visits, ask)
    return Suggestion(
        stage=stage,
        blocks=placed,
        balls=balls,
        free=balls - ask.kept_balls - sum(block.balls for block in placed),
        visits=max((block.visit for block in placed), default=0),
        visits_because=because,
        saving=_saving(shots.targets, placed),
    )


def _check(ask: Ask, shots: Shots) -> None:
    if not shots.clubs:
        raise SuggestionError("There is no club to practise with: put the player’s clubs into the bag first.")
    if not 1 <= ask.visits <= 7:
        raise SuggestionError(f"A week has 1 to 7 days for practice, not {ask.visits}.")
    fewest, most = ceil(FEWEST_BLOCKS * FEWEST_BALLS / (1 - FREE_SHARE)), MOST_A_VISIT * 7
    if not fewest <= ask.balls <= most:
        raise SuggestionError(
            f"A suggested week has {fewest} to {most} balls, not {ask.balls}: two blocks of 10 at least and a fifth of "
            "the balls left free."
        )
    if ask.first_day > 6:
        raise SuggestionError("This week is over: have the week that runs suggested, or a later one.")
    if not ask.days:
        raise SuggestionError("Only the day of a competition is left of this week: have the next one suggested.")


def _stage(stages: Sequence[Judged], chosen: Stage | None) -> Judged:
    if chosen is None:
        return with_balls(stages)
    if chosen == Stage.PASSED:
        return Judged(Stage.PASSED, Verdict.PASSED, Work.MIXED)
    if chosen == Stage.LOFTS:
        return with_balls(stages)
    return next(stage for stage in stages if stage.stage == chosen)


def _visits(ask: Ask, balls: int, planned: int) -> tuple[int, str]:
    """How many visits, and why not those asked for: another day comes before more balls."""
    visits, because = ask.visits, ""
    least = ceil(balls / ask.most_a_day)
    if least > visits:
        visits, because = min(7, least), "daily limit" if ask.daily_limit else "many balls"
    if len(ask.days) < visits:
        visits, because = len(ask.days), "competition" if 7 - ask.first_day >= visits else "days left"
    most = planned // (FEWEST_BLOCKS * FEWEST_BALLS)
    if most < visits:
        visits, because = max(1, most), "few balls"
    return visits, because


def _sizes(planned: int, visits: int, fixed: list[int], kept_blocks: int) -> list[int]:
    """The sizes of the week's blocks, those of fixed size first; none where they do not fit."""
    rest, held = planned - sum(fixed), kept_blocks + len(fixed)
    fewest, most = max(0, FEWEST_BLOCKS * visits - held), MOST_BLOCKS * visits - held
    if rest < FEWEST_BALLS * max(1, fewest) or most < 1:
        return []
    return [*fixed, *equal_sizes(min(rest, MOST_BALLS * most), max(1, fewest), most)]


def _after_test(stage: Judged, stages: Sequence[Judged]) -> Judged:
    """What the balls beside a test of the strike go to: the next stage that is not passed."""
    if stage.work != Work.STRIKE_CHECK:
        return stage
    return with_balls([one for one in stages if one.stage != Stage.STRIKE])


def _main(
    stage: Judged, figures: Figures, shots: Shots, ask: Ask, sizes: list[int], visits: int
) -> list[SuggestedBlock]:
    """The stage's own work; of strike work and carry tests the last block goes to targets, to keep those alive."""
    work = Work.MIXED if stage.work == Work.CARRY_TEST and ask.is_eased else stage.work
    if work not in (*STRIKE_WORK, Work.CARRY_TEST):
        is_test = stage.verdict == Verdict.UNKNOWN
        return _at_targets(stage.stage, work, shots, sizes, themes=2, is_test=is_test, last=visits)
    kept = 1 if shots.targets and len(sizes) > 1 else 0
    own, to_targets = sizes[: len(sizes) - kept], sizes[len(sizes) - kept :]
    if work in STRIKE_WORK:
        blocks = _strike(work, shots.clubs, own)
    else:
        blocks = _carry_tests(figures, own)
        to_targets = [*own[len(blocks) :], *to_targets]
    return [*blocks, *_at_targets(stage.stage, Work.MIXED, shots, to_targets, themes=1)]


def _strike_check(clubs: Sequence[Need], balls: int) -> SuggestedBlock:
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
    themes: int,
    is_test: bool = False,
    last: int = 0,
) -> list[SuggestedBlock]:
    """Blocks of balls at targets, each target's balls by the rule; without targets spots that the player picks. Under
    pressure the `last` are one-ball tests, where there are different shots enough."""
    if not sizes:
        return []
    if not shots.targets:
        # A spot takes two clubs; with one alone these balls are left free.
        spots = sizes if len(shots.clubs) > 1 else []
        return [SuggestedBlock("pick_spot", SPOTS, size - size % 2, stage) for size in spots]
    needs = shots.targets
    if work == Work.PRESSURE:
        needs = [replace(need, theme=PRESSURE) for need in needs]
    blocks = []
    for place, (theme, counts) in enumerate(filled(needs, sizes, themes=themes)[0]):
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


def _placed(blocks: Sequence[SuggestedBlock], visits: int, ask: Ask) -> tuple[SuggestedBlock, ...]:
    """The blocks dealt over the visits, and the visits over the days."""
    if not blocks:
        return ()
    days = ask.days
    day_of = [days[int((visit + 0.5) * len(days) / visits)] for visit in range(visits)]
    dealt = [replace(block, visit=1 + n % visits, day=day_of[n % visits]) for n, block in enumerate(blocks)]
    return tuple(sorted(dealt, key=lambda block: block.visit))


def _saving(needs: Sequence[Need], blocks: Sequence[SuggestedBlock]) -> Saving | None:
    """What the balls at targets save; None where there are none of which it can be said."""
    given = Counter()
    for block in blocks:
        given.update(dict(block.targets))
    counts = [given[need.name] for need in needs]
    if not any(counts):
        return None
    none = [0] * len(needs)
    low, value, high = (
        strokes(needs, none, exponent) - strokes(needs, counts, exponent) for exponent in (SLOW, EXPONENT, FAST)
    )
    best = allocate(needs, sum(counts), floors=False)
    return Saving(low, value, high, strokes(needs, none) - strokes(needs, best))
