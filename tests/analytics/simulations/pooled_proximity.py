"""Does the pooled landing miss of small cells hold the truth, at a width that is worth having?"""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from analytics.metrics.pooled_proximity import inside, median_miss, pooled_proximity
from analytics.metrics.pooling import CellPosterior, draw_posterior

from .harness import acceptance, share
from .pooling import Axis, Scenario, draw_axis, ends, holds

DRAWS = 300
RADIUS_M = 2.75  # about 3 yards
CELLS = 12
BALLS = {"landing miss of 12 cells of 5 balls": 5, "landing miss of 12 cells of 10 balls": 10}


@dataclass(frozen=True)
class Misses:
    """Landing misses of the sample (players, cells, balls), and the truth with the pooled ends of both figures."""

    shots_m: np.ndarray
    median_m: np.ndarray
    within: np.ndarray
    pooled_median_m: np.ndarray
    pooled_within: np.ndarray


def draw_shots(axis: Axis, rng: np.random.Generator, n: int) -> np.ndarray:
    """Shots with exactly the sample's mean and SD; shape (players, cells, n)."""
    z = rng.standard_normal((*axis.mean.shape, n))
    z = (z - z.mean(axis=-1, keepdims=True)) / z.std(axis=-1, ddof=1, keepdims=True)
    return axis.mean[..., None] + axis.s[..., None] * z


@lru_cache(maxsize=3)
def misses(n: int, seed: int, players: int) -> Misses:
    rng = np.random.default_rng(seed)
    distance = draw_axis(Scenario((n,) * CELLS, tau_m=2, d0=8, s0_m=4), rng, players)
    lateral = draw_axis(Scenario((n,) * CELLS, tau_m=1, d0=8, s0_m=2.5), rng, players)
    shots_m = np.hypot(draw_shots(distance, rng, n), draw_shots(lateral, rng, n))
    truth = [CellPosterior(axis.bias, axis.spread) for axis in (distance, lateral)]
    within, _ = inside(np.full(distance.bias.shape, RADIUS_M), *truth)
    found = []
    for player in range(players):
        axes = [
            draw_posterior(axis.n, axis.mean[player], axis.s[player], rng=rng, draws=DRAWS)
            for axis in (distance, lateral)
        ]
        cells = pooled_proximity(*axes, distance.n, RADIUS_M)
        found.append((ends(cells.median), ends(cells.within_pct) / 100))
    pooled_median_m, pooled_within = (np.stack(figure, axis=1) for figure in zip(*found, strict=True))
    return Misses(shots_m, median_miss(*truth), within, pooled_median_m, pooled_within)


def one_median_for_all(shots_m: np.ndarray) -> np.ndarray:
    """Every cell given the median of all the player's balls +- 1.96 x 1.2533 s / sqrt(n), the textbook's."""
    players, cells, _ = shots_m.shape
    every = shots_m.reshape(players, -1)
    half = 1.96 * 1.2533 * every.std(axis=1, ddof=1) / np.sqrt(every.shape[1])
    middle = np.median(every, axis=1)
    return np.repeat(np.stack([middle - half, middle + half])[:, :, None], cells, axis=2)


def median_by_bootstrap(shots_m: np.ndarray) -> np.ndarray:
    """Percentile bootstrap of the median."""
    drawn = np.random.default_rng(0).integers(0, shots_m.shape[-1], (200, shots_m.shape[-1]))
    return np.stack([np.quantile(np.median(cells[:, drawn], axis=-1), [0.025, 0.975], axis=1) for cells in shots_m], 1)


def share_by_wald(shots_m: np.ndarray) -> np.ndarray:
    """p +- 1.96 sqrt(p (1 - p) / n)."""
    p = (shots_m < RADIUS_M).mean(axis=-1)
    half = 1.96 * np.sqrt(p * (1 - p) / shots_m.shape[-1])
    return np.stack([p - half, p + half])


def share_by_wilson(shots_m: np.ndarray) -> np.ndarray:
    """Wilson's score interval of the share of balls inside."""
    n, p, z = shots_m.shape[-1], (shots_m < RADIUS_M).mean(axis=-1), 1.959964
    centre = (p + z * z / (2 * n)) / (1 + z * z / n)
    half = z * np.sqrt(p * (1 - p) / n + z * z / (4 * n * n)) / (1 + z * z / n)
    return np.stack([centre - half, centre + half])


def mean_width(interval: np.ndarray, unit: np.ndarray | float) -> tuple[float, float]:
    widths = ((interval[1] - interval[0]) / unit).mean(axis=1)
    return float(widths.mean()), float(widths.std(ddof=1) / np.sqrt(len(widths)))


STATISTICS = {  # statistic -> what is computed of the sample and the intervals
    "interval of the median miss holds": lambda sample, ends_m: share(holds(ends_m, sample.median_m)),
    "interval of the chance within 3 yd holds": lambda sample, ends_: share(holds(ends_, sample.within)),
    "width of the median miss's interval over the median": lambda sample, ends_m: mean_width(ends_m, sample.median_m),
    "width of the chance's interval": lambda sample, ends_: mean_width(ends_, 1.0),
}
MEDIAN, CHANCE, MEDIAN_WIDTH, CHANCE_WIDTH = STATISTICS
FIVE, TEN = BALLS

CLAIMS = [  # name, statistic, low, high, pooled figure, naive method
    (FIVE, MEDIAN, 0.92, 0.98, "pooled_median_m", one_median_for_all),
    (FIVE, CHANCE, 0.92, 0.98, "pooled_within", share_by_wald),
    (FIVE, MEDIAN_WIDTH, 0.0, 0.9, "pooled_median_m", median_by_bootstrap),
    (FIVE, CHANCE_WIDTH, 0.0, 0.4, "pooled_within", share_by_wilson),
    (TEN, MEDIAN, 0.92, 0.98, "pooled_median_m", one_median_for_all),
    (TEN, CHANCE, 0.92, 0.98, "pooled_within", share_by_wald),
]


def claim(name, statistic, low, high, figure, naive_intervals):
    compute = STATISTICS[statistic]

    def sample(rng: np.random.Generator, players: int) -> Misses:
        return misses(BALLS[name], int(rng.integers(2**62)), players)

    def run(rng: np.random.Generator, players: int) -> tuple[float, float]:
        drawn = sample(rng, players)
        return compute(drawn, getattr(drawn, figure))

    def naive(rng: np.random.Generator, players: int) -> tuple[float, float]:
        drawn = sample(rng, players)
        return compute(drawn, naive_intervals(drawn.shots_m))

    acceptance(
        subject="pooled_proximity",
        name=name,
        statistic=statistic,
        low=low,
        high=high,
        ci_repetitions=150,
        full_repetitions=3000,
        naive=naive,
    )(run)


for _claim in CLAIMS:
    claim(*_claim)
