"""A week's balls rounded to what a coach sets, and what the rounding costs. Pure.

At most 2 themes a week, 2 or 3 blocks a visit, 10 to 30 balls a block, both themes at as many visits as can be (common
practice, no source). No shot takes more than half of a theme's balls where there is another one to hit: a shot that was
hit seldom would else take nearly all of them, and balls that go to other shots than the one before could not be drawn.
"""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from heapq import heapify, heappop, heappush
from itertools import accumulate

from practice.planner.allocation import NOTHING_AT_STAKE, AllocationError, Need, allocate, check, next_ball, strokes

LESS, SHOT = 1, 2
"""Places in what `next_ball` gives."""
FEWEST_BLOCKS, MOST_BLOCKS = 2, 3
FEWEST_BALLS, MOST_BALLS, USUAL_BALLS = 10, 30, 20
MOST_THEMES = 2


@dataclass(frozen=True)
class SetBlock:
    """A block of one theme at a visit, from 1; `counts` are the balls of each need, in the order given."""

    visit: int
    theme: str
    counts: tuple[int, ...]


@dataclass(frozen=True)
class RoundedWeek:
    """`saved` and `saved_most` are strokes per shot, by the rule's own reckoning: of this week, and of the same balls
    given one by one where each saves most. `lost` is the share between: what blocks, themes and floors cost together.
    """

    blocks: tuple[SetBlock, ...]
    saved: float
    saved_most: float

    @property
    def lost(self) -> float:
        return 1 - self.saved / self.saved_most


def round_week(needs: Sequence[Need], balls: int, *, visits: int) -> RoundedWeek:
    """The week of at most 2 themes that saves most, its blocks as equal in size as can be.

    Raises AllocationError for bad input, and where the balls do not fit into the visits.
    """
    most = allocate(needs, balls, floors=False)
    blocks, saved = filled(needs, block_sizes(balls, visits))
    return RoundedWeek(
        blocks=tuple(
            sorted(
                (SetBlock(1 + n % visits, theme, counts) for n, (theme, counts) in enumerate(blocks)),
                key=lambda block: block.visit,
            )
        ),
        saved=saved,
        saved_most=strokes(needs, [0] * len(needs)) - strokes(needs, most),
    )


def fits(themes: Collection[str], taken: Collection[str]) -> bool:
    """Whether a week that trains `taken` may train these too: where that is too much already, nothing more."""
    return len({*themes, *taken}) <= max(MOST_THEMES, len(set(taken)))


def filled(
    needs: Sequence[Need], sizes: Sequence[int], *, taken: Collection[str] = ()
) -> tuple[list[tuple[str, tuple[int, ...]]], float]:
    """((theme, counts) of blocks of these sizes, so that they save most; what they save). With the themes that are
    `taken`, of which any may be one of theirs, the week has at most 2.

    Raises AllocationError for bad input, and where nothing is at stake in any theme.
    """
    total = sum(sizes)
    check(needs, total)
    plays = {
        theme: play
        for theme in dict.fromkeys(need.theme for need in needs)
        if fits({theme}, taken) and (play := Play.of(needs, theme, total))
    }
    if not plays:
        raise AllocationError(NOTHING_AT_STAKE)
    first, second, split = best_split(plays, sizes, taken)
    blocks = [*plays[first].blocks(sizes[:split]), *plays[second].blocks(sizes[split:])]
    return blocks, plays[first].saved[sum(sizes[:split])] + plays[second].saved[sum(sizes[split:])]


def block_sizes(balls: int, visits: int) -> list[int]:
    """Balls of each block, equal within one, larger ones first: as near to 20 a block as the visits allow."""
    if not isinstance(visits, int) or visits < 1:
        raise AllocationError("A week needs at least one visit.")
    low, high = visits * FEWEST_BLOCKS * FEWEST_BALLS, visits * MOST_BLOCKS * MOST_BALLS
    if not low <= balls <= high:
        raise AllocationError(
            f"{visits} visits take {low} to {high} balls, not {balls}: change the visits or the balls."
        )
    return equal_sizes(balls, visits * FEWEST_BLOCKS, visits * MOST_BLOCKS)


def equal_sizes(balls: int, fewest: int, most: int) -> list[int]:
    """The same for a number of blocks between two bounds, at least one of which takes these balls."""
    blocks = min(max(round(balls / USUAL_BALLS), fewest, -(-balls // MOST_BALLS)), most, balls // FEWEST_BALLS)
    size, over = divmod(balls, blocks)
    return [size + (n < over) for n in range(blocks)]


@dataclass(frozen=True)
class Play:
    """The balls of one theme alone, in the order in which the rule gives them; `saved[n]` after n of them."""

    theme: str
    order: tuple[int, ...]
    saved: tuple[float, ...]
    shots: int

    @classmethod
    def of(cls, needs: Sequence[Need], theme: str, balls: int) -> "Play | None":
        """None where nothing is at stake in the theme."""
        own = [n for n, need in enumerate(needs) if need.theme == theme]
        given = mixed_picks([needs[n] for n in own], balls)
        if len(given) < balls:
            return None
        saved = accumulate((gain for _, gain in given), initial=0.0)
        return cls(theme, tuple(own[shot] for shot, _ in given), tuple(saved), len(needs))

    def blocks(self, sizes: Sequence[int]) -> list[tuple[str, tuple[int, ...]]]:
        """(theme, counts) of blocks of these sizes: each shot's balls dealt over all of them in turn."""
        dealt = sorted(self.order[: sum(sizes)])
        hands = [dealt[n :: len(sizes)] for n in range(len(sizes))]
        return [(self.theme, tuple(map(hand.count, range(self.shots)))) for hand in hands]


def mixed_picks(needs: Sequence[Need], balls: int) -> list[tuple[int, float]]:
    """(shot, strokes saved) ball by ball, as `picks` gives them, but of any first n balls no shot has more than half,
    rounded up, unless no other has anything left to gain. Fewer than asked for where nothing is at stake."""
    heap = [entry for shot, need in enumerate(needs) if (entry := next_ball(need, shot, 0, need.floor))]
    heapify(heap)
    counts, given = [0] * len(needs), []
    while heap and len(given) < balls:
        most, over = len(given) // 2 + 1, []
        while heap and counts[heap[0][SHOT]] >= most:
            over.append(heappop(heap))
        chosen = heappop(heap) if heap else over.pop(0)
        for entry in over:
            heappush(heap, entry)
        shot = chosen[SHOT]
        counts[shot] += 1
        given.append((shot, -chosen[LESS]))
        if entry := next_ball(needs[shot], shot, counts[shot], needs[shot].floor):
            heappush(heap, entry)
    return given


def best_split(themes: dict[str, Play], sizes: Sequence[int], taken: Collection[str]) -> tuple[str, str, int]:
    """(theme, theme, how many of the blocks are of the first) that saves most; the first found of equals."""
    total = sum(sizes)
    ends = list(accumulate(sizes))
    options = (
        (play.saved[end] + other.saved[total - end], play.theme, other.theme, n)
        for play in themes.values()
        for other in themes.values()
        for n, end in enumerate(ends, 1)
        if (play is other) == (end == total) and fits({play.theme, other.theme}, taken)
    )
    _, first, second, split = max(options, key=lambda option: option[0])
    return first, second, split
