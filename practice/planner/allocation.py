"""Which shots the week's balls go to: each ball to the shot where one more should save most.

Pure. A shot's scatter is taken to fall with the balls hit as a power of them (Newell and Rosenbloom, "Mechanisms of
skill acquisition and the law of practice", 1981), so the strokes that it costs are

    at_stake * ((hit + n) / hit) ** -EXPONENT        after n more balls, hit counted as 1 at least.

The sum over the shots is convex in every n, so that giving the balls one by one to the shot that gains most gives the
least sum of all ways to share them out (Gross, "A class of discrete type minimization problems", 1956; from memory).
How fast a player learns cannot be known from so few balls: the savings are for comparing plans, never a promise.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from heapq import heapify, heappop, heappush
from itertools import islice
from math import isfinite

EXPONENT = 0.2
"""Engineering estimate: half the scatter after 32 times the balls."""
SLOW, FAST = 0.1, 0.3
"""Engineering estimates too: exponents between which the saving is told, since nobody knows a player's own."""
FLOOR_BALLS, FLOOR_FACED = 3, 0.05
"""So many balls a week keep a shot's figures alive if it is more than this share of those faced."""
MOST_BALLS = 2_000
NOTHING_AT_STAKE = "Nothing is at stake in any of these shots: choose others, or run a test first."


class AllocationError(ValueError):
    """No week can be made from this; the message says what to change."""


@dataclass(frozen=True)
class Need:
    """A shot that could be practised.

    `faced` is its share of the shots the player faces (0 to 1), `strokes_per_m` the strokes that each metre of scatter
    costs, `scatter_m` the scatter as judged now, `hit` the balls hit at it so far. Shots of one `theme` can share a
    block.
    """

    name: str
    theme: str
    faced: float
    strokes_per_m: float
    scatter_m: float
    hit: int

    @property
    def at_stake(self) -> float:
        """Strokes that its scatter costs per shot of any kind."""
        return self.faced * self.strokes_per_m * self.scatter_m

    @property
    def floor(self) -> int:
        return FLOOR_BALLS if self.faced > FLOOR_FACED else 0

    def strokes_after(self, balls: int, exponent: float = EXPONENT) -> float:
        before = max(1, self.hit)
        return self.at_stake * ((before + balls) / before) ** -exponent

    def gain(self, balls: int) -> float:
        """What one more ball saves after so many of the week."""
        return self.strokes_after(balls) - self.strokes_after(balls + 1)


def allocate(needs: Sequence[Need], balls: int, *, floors: bool = True) -> list[int]:
    """How many of the week's balls each shot gets, in the order given; they add up to `balls`.

    Floors are filled first, the largest gain before the others, then every ball goes where it gains most; the earlier
    of two that gain the same has it. A shot without anything at stake gets its floor only. The plan of one ball more
    is the same plan and that ball. Without `floors` it is the plan that costs the least of all.

    Raises
    ------
    AllocationError
        A bad number, or more balls than the floors while nothing is at stake.
    """
    check(needs, balls)
    counts = [0] * len(needs)
    for shot, _ in islice(picks(needs, floors=floors), balls):
        counts[shot] += 1
    if sum(counts) < balls:
        raise AllocationError(NOTHING_AT_STAKE)
    return counts


def picks(needs: Sequence[Need], *, floors: bool = True) -> Iterator[tuple[int, float]]:
    """(shot, strokes saved) ball by ball: without end, or until all floors are full where nothing is at stake."""
    floor = [need.floor if floors else 0 for need in needs]
    heap = [entry for shot, need in enumerate(needs) if (entry := next_ball(need, shot, 0, floor[shot]))]
    heapify(heap)
    while heap:
        _, less, shot, given = heappop(heap)
        yield shot, -less
        if entry := next_ball(needs[shot], shot, given + 1, floor[shot]):
            heappush(heap, entry)


def next_ball(need: Need, shot: int, given: int, floor: int) -> tuple[bool, float, int, int] | None:
    """(floor is full, minus the gain, shot, given): the least has the next ball. None where it would be for nothing."""
    full, gain = given >= floor, need.gain(given)
    return None if full and gain <= 0 else (full, -gain, shot, given)


def strokes(needs: Sequence[Need], counts: Sequence[int], exponent: float = EXPONENT) -> float:
    """Strokes per shot that the scatter costs after these balls."""
    return sum(need.strokes_after(n, exponent) for need, n in zip(needs, counts, strict=True))


def check(needs: Sequence[Need], balls: int) -> None:
    if not isinstance(balls, int) or isinstance(balls, bool) or not 0 <= balls <= MOST_BALLS:
        raise AllocationError(f"A week has 0 to {MOST_BALLS} balls, not {balls!r}.")
    if not needs:
        raise AllocationError("Choose at least one shot to practise.")
    for need in needs:
        figures = (need.faced, need.strokes_per_m, need.scatter_m, need.hit)
        if not all(isfinite(figure) and figure >= 0 for figure in figures):
            raise AllocationError(f"The figures of “{need.name}” must be numbers from 0 up.")
