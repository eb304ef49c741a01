"""Drawing a block of 60 balls, against shuffling 60 balls."""

from collections.abc import Iterator
from random import Random

from practice.planner.generator import ClubOption, StockSwing, TargetOption, draw_block
from tests.bench.ratio import Ratio, computed, side_by_side

BALLS = 60
STOCK_M = {
    "50": (52.0, 70.0, 84.0, 98.0),
    "54": (45.0, 62.0, 74.0, 86.0),
    "58": (38.0, 53.0, 64.0, 74.0),
    "62": (31.0, 43.0, 52.0, 60.0),
}
TARGETS_M = (20.0, 28.0, 36.0, 44.0, 52.0, 60.0, 68.0, 76.0, 84.0)
"""An invented bag and range: the longer clubs do not reach down to the nearest flags, nor the shorter ones up."""


def bag() -> list[ClubOption]:
    """Return clubs whose reach runs from half the shortest stock carry to the longest."""
    swings = ("7:30", "9:00", "10:30", "full")
    return [
        ClubOption(label, carries[0] / 2, carries[-1], tuple(map(StockSwing, swings, carries)))
        for label, carries in STOCK_M.items()
    ]


def bare_shuffle(seed: int) -> list[int]:
    """The standard library's shuffle from a seed: Fisher and Yates's."""
    balls = list(range(BALLS))
    Random(seed).shuffle(balls)
    return balls


def measure(*, quick: bool) -> Iterator[Ratio]:
    clubs = bag()
    targets = [TargetOption(f"flag {n}", distance_m) for n, distance_m in enumerate(TARGETS_M, 1)]
    seeds = range(20)

    def draw_all():
        for seed in seeds:
            draw_block(clubs, targets, balls=BALLS, seed=seed, number_shown=True)

    def shuffle_all():
        for seed in seeds:
            bare_shuffle(seed)

    yield side_by_side(
        f"drawing {len(seeds)} blocks of {BALLS} balls : shuffling {len(seeds)} x {BALLS}",
        computed(draw_all),
        computed(shuffle_all),
        goal=10,
        rounds=50 if quick else 300,
        warm_up=3,
    )
