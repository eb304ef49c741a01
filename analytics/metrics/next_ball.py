"""Where the next ball of a stock shot lands, and the chance that it is near a target."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy import special

from analytics.metrics.relative_scatter import PRIOR_LATERAL_CV, SHRINK_DF, shrunk_cv

GAUSS, GAUSS_WEIGHT = np.polynomial.legendre.leggauss(24)
TAIL_SCALES = 8.0  # a t with 8 degrees of freedom lies farther out once in 20,000 balls


@dataclass(frozen=True)
class StockShot:
    """What is measured of one club and swing, mishits left out.

    Attributes
    ----------
    n, mean_m, s_m
        Stock balls (1 or more), mean carry and its standard deviation (m, divisor n - 1; None under n = 2).
    n_lateral, lateral_s_m
        Balls with a lateral error, and its standard deviation (m; None under n = 2).
    mishit
        Chance of a mishit, 0 to 1.
    """

    club: str
    swing: str
    n: int
    mean_m: float
    s_m: float | None
    n_lateral: int = 0
    lateral_s_m: float | None = None
    mishit: float = 0.0


@dataclass(frozen=True)
class Scatter:
    """Where the next ball of each shot lands, arrays of shape (shots,), m.

    Carry is t with `df` degrees of freedom about `mean`, with `scale`; lateral error is normal about 0 with
    `lateral`, and independent of carry (not established). `mean_sd` is what the balls leave unknown of the mean: the
    standard deviation of its t posterior.
    """

    mean: np.ndarray
    scale: np.ndarray
    df: np.ndarray
    lateral: np.ndarray
    mishit: np.ndarray
    mean_sd: np.ndarray

    def take(self, which: np.ndarray) -> "Scatter":
        return Scatter(*(column[which] for column in vars(self).values()))


def predictive(shots: Sequence[StockShot]) -> Scatter:
    """Scatter of the next ball of each shot, in the order given.

    Carry: t with 8 + n - 1 degrees of freedom and scale s sqrt(1 + 1/n), s the cell's spread in percent drawn
    towards the player's (`relative_scatter.shrunk_cv`); the predictive distribution of Gelman et al., Bayesian
    Data Analysis, section 3.2 (from memory), with the scatter's prior. A plug-in normal with the raw s promises
    more than it keeps. Lateral scatter is drawn together in the same way, and 0 if none is known at all.
    """
    for shot in shots:
        if shot.n < 1 or not 0 < shot.mean_m < np.inf or not 0 <= shot.mishit <= 1:
            raise ValueError(f"{shot.club} {shot.swing}: needs a ball, a carry above 0 and a mishit rate of 0 to 1")
    mean = np.array([shot.mean_m for shot in shots], dtype=float)
    n = np.array([shot.n for shot in shots], dtype=float)
    s = mean * shrunk_cv(n, np.array([shot.s_m for shot in shots], dtype=float) / mean)
    n_lateral = np.array([0 if shot.lateral_s_m is None else shot.n_lateral for shot in shots], dtype=float)
    side = np.array([shot.lateral_s_m for shot in shots], dtype=float) / mean
    lateral = mean * shrunk_cv(n_lateral, side, PRIOR_LATERAL_CV) if n_lateral.any() else np.zeros(len(shots))
    mishit = np.array([shot.mishit for shot in shots], dtype=float)
    df = SHRINK_DF + n - 1
    return Scatter(mean, s * np.sqrt(1 + 1 / n), df, lateral, mishit, s / np.sqrt(n) * np.sqrt(df / (df - 2)))


def chance_within(scatter: Scatter, beyond: np.ndarray, radius_m: float) -> np.ndarray:
    """Chance that a ball lands within `radius_m` of a target that lies `beyond` (m) past its shot's mean carry.

    (1 - mishit) times the integral over d from -r to r of the t density of carry at target + d times the normal
    chance that the lateral error is within sqrt(r^2 - d^2); 24-point Gauss-Legendre, over the part of -r to r
    that carry can reach. A mishit that finishes near the target by luck is not counted.

    Parameters
    ----------
    beyond
        Shape (targets, shots).
    """
    reach = TAIL_SCALES * scatter.scale
    low, high = np.clip([-beyond - reach, -beyond + reach], -radius_m, radius_m)
    half = ((high - low) / 2)[..., None]
    d = ((high + low) / 2)[..., None] + half * GAUSS
    z = (beyond[..., None] + d) / scatter.scale[:, None]
    side = np.sqrt(np.maximum(radius_m**2 - d * d, 0))
    lateral = np.maximum(scatter.lateral, 1e-9)[:, None]
    density = _t_density(z, scatter.df[:, None]) / scatter.scale[:, None]
    chance = (half * density * special.erf(side / (lateral * np.sqrt(2)))) @ GAUSS_WEIGHT
    return np.clip((1 - scatter.mishit) * chance, 0.0, 1.0)


def _t_density(z: np.ndarray, df: np.ndarray) -> np.ndarray:
    log_constant = special.gammaln((df + 1) / 2) - special.gammaln(df / 2) - np.log(np.pi * df) / 2
    return np.exp(log_constant - (df + 1) / 2 * np.log1p(z * z / df))
