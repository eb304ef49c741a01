"""How far a player's guesses of distance are off what a laser says."""

import math
from dataclasses import dataclass

import numpy as np

from analytics.metrics.intervals import mean_interval, spread_interval


@dataclass(frozen=True)
class EyeError:
    """The error of a player's guesses: minus is short. Percentages are of the measured distance.

    `bias_pct` and `bias_m` are None where n = 0; scatter and intervals (95 %) where n < 2.
    """

    n: int
    bias_pct: float | None = None
    bias_ci95_pct: tuple[float, float] | None = None
    scatter_pct: float | None = None
    scatter_ci95_pct: tuple[float, float] | None = None
    bias_m: float | None = None
    scatter_m: float | None = None


def eye_error_of(guess_m: np.ndarray, measured_m: np.ndarray) -> EyeError:
    """Error of guesses against measured distances; both metres, shape (guesses,).

    An eye is off by a factor rather than by yards, so the figures come from x = ln(guess / measured): the bias is
    100 (exp(mean x) - 1), the typical guess over or under; the scatter 100 sqrt(exp(s^2) - 1), s with divisor
    n - 1, the coefficient of variation of a log-normal ratio (Kirkwood, Biometrics 35:908, 1979, from memory). Their
    intervals are those of mean and standard deviation of a normal sample, carried through the same formulas; they
    take the guesses for independent, and many of one day on one range are not quite. In metres: mean and standard
    deviation of guess - measured.

    A pair of which either is missing (NaN), infinite or not above 0 says nothing and is left out of n. The laser's own
    error, about a yard (common practice, no source), stays in: at 50 yards it is 2 %.

    Why a factor, and why guess with a laser at hand: judged distance is compressed by a nearly constant factor (Li,
    Phillips & Durgin, Atten. Percept. Psychophys. 73:2205, 2011); with correction after each guess from 39 to 435 yards
    the constant error went and the variable one shrank (Gibson & Bergman, J. Exp. Psychol., 1954). Both from
    their abstracts; volumes and pages from memory.
    """
    with np.errstate(invalid="ignore"):
        told = np.isfinite(guess_m) & np.isfinite(measured_m) & (guess_m > 0) & (measured_m > 0)
    guess_m, measured_m = guess_m[told], measured_m[told]
    n = len(guess_m)
    if n == 0:
        return EyeError(n=0)
    ratio, miss_m = np.log(guess_m / measured_m), guess_m - measured_m
    mean = float(ratio.mean())
    if n == 1:
        return EyeError(n=1, bias_pct=_bias_pct(mean), bias_m=float(miss_m[0]))
    s = float(ratio.std(ddof=1))
    return EyeError(
        n=n,
        bias_pct=_bias_pct(mean),
        bias_ci95_pct=tuple(map(_bias_pct, mean_interval(n, mean, s))),
        scatter_pct=_scatter_pct(s),
        scatter_ci95_pct=tuple(map(_scatter_pct, spread_interval(n, s))),
        bias_m=float(miss_m.mean()),
        scatter_m=float(miss_m.std(ddof=1)),
    )


def _bias_pct(mean: float) -> float:
    return 100 * math.expm1(mean)


def _scatter_pct(s: float) -> float:
    """Return 100 sqrt(exp(s^2) - 1); infinite where that is past the largest number (s of 27, from two guesses)."""
    return 100 * math.sqrt(math.expm1(s * s)) if s < 26 else math.inf
