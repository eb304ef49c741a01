"""A week from what a player's figures say: blocks of the work that the earliest failing stage asks for. Pure.

`bounds.py` says how many visits and how large blocks there are, `stage_blocks.py` what the blocks are.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace

from practice.planner.allocation import EXPONENT, FAST, SLOW, Need, allocate, strokes
from practice.planner.bounds import (
    FREE_SHARE,
    Ask,
    SuggestionError,
    Visit,
    check_ask,
    dealt,
    sizes_of,
    visits_of,
)
from practice.planner.rounding import FEWEST_BALLS, MOST_BALLS
from practice.planner.stage_blocks import CHECK_BALLS, Shots, SuggestedBlock, blocks_of, strike_check
from practice.planner.stages import Figures, Judged, Stage, Verdict, Work, with_balls


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
    if not shots.clubs:
        raise SuggestionError("There is no club to practise with: put the player’s clubs into the bag first.")
    check_ask(ask)
    stage = _stage(stages, chosen)
    balls = min(ask.wanted, ask.most_a_day * len(ask.days))
    planned = int(balls * (1 - FREE_SHARE)) - ask.kept_balls
    visits, because = visits_of(ask, balls, planned)
    fixed = [CHECK_BALLS] if stage.work == Work.STRIKE_CHECK else []
    check = [ask.check_balls] if FEWEST_BALLS <= ask.check_balls <= MOST_BALLS and not ask.is_eased else []
    # A check day has the size it has: where its place is needed for more balls, it comes in another week.
    if sum(sizes_of(planned, visits, fixed, check)) < sum(sizes_of(planned, visits, fixed, [])):
        check = []
    sizes = sizes_of(planned, visits, fixed, check)
    sizes = sizes[len(fixed) : len(sizes) - len(check)]
    blocks = []
    if sizes:
        first = [strike_check(shots.clubs, size) for size in fixed]
        last = [SuggestedBlock("check_day", "", size, Stage.PASSED) for size in check]
        at_work = _after_test(stage, stages)
        main = blocks_of(
            at_work,
            figures,
            shots,
            sizes,
            is_eased=ask.is_eased,
            visits=sum(visit.places > 0 for visit in visits),
            taken=ask.kept_themes,
        )
        blocks = [*first, *main, *last]
        if not blocks and not ask.kept_themes:
            raise SuggestionError(
                "No target in reach is known here, and one club alone makes no week: enter a range, or more clubs."
            )
    placed = _placed(blocks, visits)
    return Suggestion(
        stage=stage,
        blocks=placed,
        balls=balls,
        free=balls - ask.kept_balls - sum(block.balls for block in placed),
        visits=max((block.visit for block in placed), default=0),
        visits_because=because,
        saving=_saving(shots.targets, placed),
    )


def _stage(stages: Sequence[Judged], chosen: Stage | None) -> Judged:
    if chosen is None:
        return with_balls(stages)
    if chosen == Stage.PASSED:
        return Judged(Stage.PASSED, Verdict.PASSED, Work.MIXED)
    if chosen == Stage.LOFTS:
        return with_balls(stages)
    return next(stage for stage in stages if stage.stage == chosen)


def _after_test(stage: Judged, stages: Sequence[Judged]) -> Judged:
    """What the balls beside a test of the strike go to: the next stage that is not passed."""
    if stage.work != Work.STRIKE_CHECK:
        return stage
    return with_balls([one for one in stages if one.stage != Stage.STRIKE])


def _placed(blocks: Sequence[SuggestedBlock], visits: Sequence[Visit]) -> tuple[SuggestedBlock, ...]:
    """The blocks dealt over the visits; visits that hold no block are not counted."""
    places = dealt(visits, [block.balls for block in blocks])
    held = [n for n, visit in enumerate(visits) if visit.sizes or n in places]
    placed = [
        replace(block, visit=1 + held.index(place), day=visits[place].day)
        for block, place in zip(blocks, places, strict=True)
        if place is not None
    ]
    return tuple(sorted(placed, key=lambda block: block.visit))


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
