"""Sharing 300 balls out over 60 shots, against working out every gain and taking the 300 largest."""

from collections.abc import Iterator
from heapq import nlargest

from practice.planner.allocation import EXPONENT, Need, allocate
from tests.bench.ratio import Ratio, computed, side_by_side

SHOTS, BALLS = 60, 300


def shots() -> list[Need]:
    """Return invented shots, none faced often enough for a floor, so that both sides do the same work."""
    return [Need(f"{n}", "", 1 / SHOTS, 0.05 + n % 7 / 50, 2.0 + n % 11, 5 + 3 * n % 40) for n in range(SHOTS)]


def largest_gains(needs: list[Need]) -> list[int]:
    """The plan by brute force: gains only fall, so the 300 largest are the balls to give."""
    gains = []
    for shot, need in enumerate(needs):
        costs = [need.at_stake * ((need.hit + n) / need.hit) ** -EXPONENT for n in range(BALLS + 1)]
        gains += [(costs[n] - costs[n + 1], shot) for n in range(BALLS)]
    taken = [shot for _, shot in nlargest(BALLS, gains)]
    return list(map(taken.count, range(SHOTS)))


def measure(*, quick: bool) -> Iterator[Ratio]:
    needs = shots()
    yield side_by_side(
        f"sharing {BALLS} balls out over {SHOTS} shots : the {BALLS} largest of all gains",
        computed(lambda: allocate(needs, BALLS)),
        computed(lambda: largest_gains(needs)),
        goal=1,
        rounds=20 if quick else 100,
    )
