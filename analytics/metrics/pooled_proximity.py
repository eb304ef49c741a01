"""Landing miss from the pooled posterior: its median, and the chance that the next ball lands within a radius.

Good balls only, as everywhere in pooling: distance and lateral errors are taken as independent normals (what is not
known of their correlation is told in the docs). Without lateral errors the miss is short or long only, and a screen
must call it "distance-only".
"""

from dataclasses import dataclass

import numpy as np
from scipy import special

from analytics.metrics.pooling import CellPosterior, Pooled, pooled_figures

DRAWS_USED = 500  # an integral a draw: 500 hold the ends of a 95 % interval to about a tenth of its width
NODES, WEIGHTS = np.polynomial.legendre.leggauss(16)
REACH_SD = 4.5  # 7 shots in a million lie beyond: nothing to integrate


@dataclass(frozen=True)
class PooledProximity:
    """Pooled landing miss of each cell; None for cells without a shot.

    `median` is in the unit of the posterior, `within_pct` the chance of a miss under the radius in percent,
    `distance_only` True where no lateral error went in.
    """

    median: list[Pooled | None]
    within_pct: list[Pooled | None]
    distance_only: bool


def pooled_proximity(
    distance: CellPosterior, lateral: CellPosterior | None, n: np.ndarray, radius: float
) -> PooledProximity:
    """Landing miss of every cell of a player.

    Parameters
    ----------
    distance, lateral
        Posteriors over the same cells and number of draws, each pooled on its own; `lateral` None = not known. In
        metres (see `CellPosterior.times`) if the radius is to be in metres.
    n
        Shots of each cell, shape (cells,).
    radius
        > 0, in the unit of the posteriors. Raises ValueError otherwise.
    """
    if not radius > 0:
        raise ValueError(f"a radius must be above 0, not {radius}")
    distance = _first_draws(distance)
    lateral = None if lateral is None else _first_draws(lateral)
    within, _ = inside(np.full(distance.bias.shape, float(radius)), distance, lateral)
    return PooledProximity(
        median=pooled_figures(median_miss(distance, lateral), n),
        within_pct=pooled_figures(100 * within, n),
        distance_only=lateral is None,
    )


def _first_draws(posterior: CellPosterior) -> CellPosterior:
    return CellPosterior(posterior.bias[:DRAWS_USED], posterior.spread[:DRAWS_USED])


def median_miss(distance: CellPosterior, lateral: CellPosterior | None) -> np.ndarray:
    """Median of the landing miss for every draw and cell.

    To 0.05 % for usual scatter, to a few percent where a bias is many times a spread (a ball that always lands at
    nearly the same wrong spot). One step of Newton's on the integrated probability, from the
    cube-root normal approximation (Wilson and Hilferty, Proc. Natl. Acad. Sci. 17:684-688 (1931), from memory) to a
    chi-square with the same mean and variance as the squared miss.
    """
    axes = [distance] if lateral is None else [distance, lateral]
    mean = sum(axis.spread**2 + axis.bias**2 for axis in axes)
    variance = sum(2 * axis.spread**4 + 4 * axis.spread**2 * axis.bias**2 for axis in axes)
    radius = np.sqrt(mean * (1 - variance / (9 * mean**2)) ** 3)
    probability, density = inside(radius, distance, lateral)
    return radius - (probability - 0.5) / density


def inside(radius: np.ndarray, distance: CellPosterior, lateral: CellPosterior | None) -> tuple[np.ndarray, np.ndarray]:
    """P(miss < radius) and its derivative by the radius; arrays of shape (draws, cells).

    With two axes the probability of a strip across the narrower axis is exact, and the strips are summed along the
    wider one by Gauss-Legendre in the angle: to 0.0001 for usual scatter, to 0.01 where a bias is many times a spread.
    """
    if lateral is None:
        return _between(radius, distance.bias, distance.spread)
    swap = distance.spread < lateral.spread
    b, s = np.where(swap, lateral.bias, distance.bias), np.where(swap, lateral.spread, distance.spread)
    narrow = CellPosterior(np.where(swap, distance.bias, lateral.bias), np.where(swap, distance.spread, lateral.spread))
    low = np.arcsin(np.clip((b - REACH_SD * s) / radius, -1, 1))
    high = np.arcsin(np.clip((b + REACH_SD * s) / radius, -1, 1))
    probability, density = np.zeros(radius.shape), np.zeros(radius.shape)
    for node, weight in zip(NODES, WEIGHTS, strict=True):
        angle = (low + high) / 2 + (high - low) / 2 * node
        half_strip, z = radius * np.cos(angle), (radius * np.sin(angle) - b) / s
        strip, edge = _between(half_strip, narrow.bias, narrow.spread)
        mass = weight * (high - low) / 2 * np.exp(-z * z / 2) / (np.sqrt(2 * np.pi) * s)
        probability += mass * half_strip * strip
        density += mass * radius * edge
    return probability, density


def _between(half: np.ndarray, bias: np.ndarray, spread: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """P(|x| < half) for x ~ N(bias, spread^2), and its derivative by half."""
    above, below = (half - bias) / spread, (-half - bias) / spread
    edge = (np.exp(-above * above / 2) + np.exp(-below * below / 2)) / (np.sqrt(2 * np.pi) * spread)
    return special.ndtr(above) - special.ndtr(below), edge
