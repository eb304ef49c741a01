"""How often a player mishits, with an interval that knows that bad days exist."""

from dataclasses import dataclass

import numpy as np
from scipy import special

from analytics.metrics.intervals import TAIL

# A rate's prior is Jeffreys' Beta(1/2, 1/2); the grid is its quantiles, so every point weighs the same.
RATES = special.betaincinv(0.5, 0.5, (np.arange(400) + 0.5) / 400)
# rho, the correlation of two shots of one session, is Beta(1, 15) (mean .06): engineering estimate. Quantiles again.
RHOS = 1 - (1 - (np.arange(12) + 0.5) / 12) ** (1 / 15)


@dataclass(frozen=True)
class MishitRate:
    """Share of shots that are mishits (percent) with its 95 % interval; None without shots."""

    mishits: int
    shots: int
    pct: float | None
    ci95_pct: tuple[float, float] | None


def mishit_rate(mishits: np.ndarray, shots: np.ndarray) -> MishitRate:
    """Mishit rate over sessions.

    The mishits of a session are beta-binomial: its own rate is Beta with mean p and correlation rho, so that a bad day
    is one bad day and not twenty independent bad shots. The interval is the equal-tailed posterior of p, rho
    integrated over its prior; with one shot a session it is Jeffreys' interval.

    Parameters
    ----------
    mishits, shots
        Integer arrays of shape (sessions,); 0 <= mishits <= shots. Sessions without shots say nothing.

    Returns
    -------
    MishitRate; `pct` is 100 mishits / shots over all sessions. The interval starts at 0 without any mishit and ends at
    100 where every shot was one. Two sessions already give an interval, as wide as the prior of rho makes it.

    References
    ----------
    Beta-binomial: Skellam, J. R. Stat. Soc. B 10:257-261 (1948); Jeffreys' interval: Brown, Cai and DasGupta, Stat.
    Sci. 16:101-133 (2001) (both from memory).
    """
    total, bad = int(shots.sum()), int(mishits.sum())
    if total == 0:
        return MishitRate(0, 0, None, None)
    below = np.cumsum(_posterior(mishits, shots))
    edges = special.betaincinv(0.5, 0.5, np.arange(401) / 400)
    low, high = np.interp([TAIL, 1 - TAIL], np.append(0, below), edges)
    low, high = (0.0 if bad == 0 else low), (1.0 if bad == total else high)
    return MishitRate(bad, total, 100 * bad / total, (100 * float(low), 100 * float(high)))


def _posterior(mishits: np.ndarray, shots: np.ndarray) -> np.ndarray:
    """Probability of each of RATES; shape (400,)."""
    sessions, times = np.unique(np.stack([mishits, shots]), axis=1, return_counts=True)
    bad, all_shots = sessions[:, :, None, None]
    weight = (1 - RHOS) / RHOS
    a, b = np.multiply.outer(weight, RATES), np.multiply.outer(weight, 1 - RATES)
    each = special.betaln(a + bad, b + all_shots - bad) - special.betaln(a, b)
    log_likelihood = np.tensordot(times, each, axes=1)
    likelihood = np.exp(log_likelihood - log_likelihood.max()).sum(axis=0)
    return likelihood / likelihood.sum()
