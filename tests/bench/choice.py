"""Which shot for each of 81 targets, against drawing 1,000 balls of every shot at every target."""

from collections.abc import Iterator

import numpy as np

from analytics.metrics.next_ball import Scatter, StockShot, predictive
from analytics.metrics.putting import TOUR_PUTTS
from analytics.metrics.shot_choice import choose_shots
from tests.bench.ratio import Ratio, computed, side_by_side

TARGETS_M = np.arange(20, 101) * 0.9144
RADIUS_M = 3 * 0.9144
CARRIES_M = np.outer([1.0, 0.9, 0.8, 0.7], [39.0, 66.0, 89.0, 111.0])
DRAWS = 1_000


def shots() -> list[StockShot]:
    """Return an invented bag: four clubs, four swings, ten balls each."""
    return [
        StockShot(f"{club}", f"{swing}", 10, mean_m, 0.07 * mean_m, 10, 0.05 * mean_m, 0.05)
        for club, row in enumerate(CARRIES_M.tolist())
        for swing, mean_m in enumerate(row)
    ]


def drawn(scatter: Scatter, chance: np.random.Generator) -> tuple[np.ndarray, np.ndarray]:
    """Return chance within the radius and mean putts of each target and shot, by drawing balls: right to about 1 %."""
    balls = (len(scatter.mean), DRAWS)
    carry_m = scatter.mean[:, None] + scatter.scale[:, None] * chance.standard_t(scatter.df[:, None], balls)
    lateral_m = scatter.lateral[:, None] * chance.normal(size=balls)
    leave_m = np.hypot(carry_m - TARGETS_M[:, None, None], lateral_m)
    return (leave_m <= RADIUS_M).mean(axis=2), TOUR_PUTTS.putts_after(leave_m).mean(axis=2)


def measure(*, quick: bool) -> Iterator[Ratio]:
    bag, chance = shots(), np.random.default_rng(1)
    scatter = predictive(bag)
    yield side_by_side(
        f"shot for {len(TARGETS_M)} targets of {len(bag)} shots : drawing {DRAWS:,} balls at each",
        computed(lambda: choose_shots(bag, TARGETS_M, RADIUS_M)),
        computed(lambda: drawn(scatter, chance)),
        goal=2,
        rounds=20 if quick else 100,
    )
