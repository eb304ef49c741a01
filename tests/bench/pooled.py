"""Judging all cells of a player together, against drawing as many random numbers."""

from collections.abc import Iterator

import numpy as np

from analytics.metrics.pooled_proximity import pooled_proximity
from analytics.metrics.pooling import DRAWS, draw_posterior, summary
from tests.bench.ratio import Ratio, computed, side_by_side

CELLS = 16
RADIUS_M = 2.7432


def judged(n: np.ndarray, mean: np.ndarray, s: np.ndarray) -> tuple:
    """Return pooled bias, spread, RMSE and landing miss of every cell, with lateral errors like the distance's."""
    chance = np.random.default_rng(1)
    distance, lateral = (draw_posterior(n, mean, s, rng=chance) for _ in range(2))
    return summary(distance, n), pooled_proximity(distance, lateral, n, RADIUS_M)


def bare_draws() -> tuple:
    """Return what two posteriors are made of: a normal and a chi-square for each cell and draw, and their quantiles."""
    chance = np.random.default_rng(1)
    draws = [
        chance.standard_normal((DRAWS, CELLS)) * np.sqrt(1 / chance.chisquare(9, (DRAWS, CELLS))) for _ in range(2)
    ]
    return tuple(np.quantile(drawn, [0.025, 0.5, 0.975], axis=0) for drawn in draws)


def measure(*, quick: bool) -> Iterator[Ratio]:
    chance = np.random.default_rng(2)
    n = chance.integers(3, 25, CELLS)
    mean, s = chance.normal(0, 1, CELLS), chance.uniform(2, 5, CELLS)
    yield side_by_side(
        f"judging {CELLS} cells together, {DRAWS:,} draws, landing miss too : drawing and sorting as many numbers",
        computed(lambda: judged(n, mean, s)),
        computed(bare_draws),
        goal=None,
        rounds=10 if quick else 40,
    )
