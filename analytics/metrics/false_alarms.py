"""How far a chart may wander by chance in a season: limits of the EWMA with an estimated baseline."""

from functools import lru_cache

import numpy as np
from numpy.polynomial import chebyshev, hermite_e, legendre
from scipy import special

EWMA_WEIGHT = 0.2
SEASON_SESSIONS = 26
SEASON_BUDGET = 0.10
LEVEL_NODES, BASELINE_NODES, SCALE_NODES, CURVE_NODES = 40, 11, 40, 24
NARROWEST, WIDEST = 0.5, 9.0  # limits in SDs between which the chance of an alarm falls from 1 to nothing


def ewma_variance(session: np.ndarray, baseline: float, weight: float = EWMA_WEIGHT) -> np.ndarray:
    """Variance of an EWMA of independent values of variance 1 less the mean of a baseline of them.

    weight / (2 - weight) (1 - (1 - weight)^(2t)) + (1 - (1 - weight)^t)^2 / baseline after session t = 1, 2, ...
    The first term: NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.4. The second: each value carries the
    same error of the baseline's mean, and the EWMA has taken up the share 1 - (1 - weight)^t of it.
    """
    kept = (1 - weight) ** np.asarray(session, dtype=float)
    return weight / (2 - weight) * (1 - kept**2) + (1 - kept) ** 2 / baseline


@lru_cache(maxsize=256)
def alarm_limit(
    charts: int, sessions: int, baseline: int, df: int | None = None, budget: float = SEASON_BUDGET
) -> float:
    """Limit h, in SDs of the level, that one chart or more of `charts` leaves with probability `budget` by chance.

    With A(h) the chance that one chart alarms in `sessions` sessions, h solves E[1 - (1 - A(h k))^charts] =
    budget, the mean taken over k = sqrt(chi-square_df / df): all charts share one estimated SD, which is off by
    the factor k. Numeric, nothing is drawn; good to 0.005 for budgets of .01 to .2.

    Parameters
    ----------
    charts, sessions
        1 or more.
    baseline
        Sessions of each baseline, 2 or more.
    df
        Degrees of freedom of the estimated SD; None = the SD is known.
    """
    low, high = NARROWEST, 100.0
    for _ in range(50):
        middle = (low + high) / 2
        too_many = false_alarms(middle, charts, sessions, baseline, df) > budget
        low, high = (middle, high) if too_many else (low, middle)
    return high


def false_alarms(limit: float, charts: int, sessions: int, baseline: int, df: int | None = None) -> float:
    """Chance of one false alarm or more: the left side of the equation in `alarm_limit`."""
    scale, weight = (np.ones(1), np.ones(1)) if df is None else _scales(df)
    curve = _alarm_curve(sessions, baseline)
    one_chart = np.exp(-np.exp(chebyshev.chebval(_to_unit(limit * scale), curve)))
    return float(weight @ -np.expm1(charts * np.log1p(-one_chart)))


@lru_cache(maxsize=64)
def _scales(df: int) -> tuple[np.ndarray, np.ndarray]:
    """Values of k with their weights."""
    node, weight = legendre.leggauss(SCALE_NODES)
    return np.sqrt(2 * special.gammaincinv(df / 2, (node + 1) / 2) / df), weight / 2


def _to_unit(limit: np.ndarray) -> np.ndarray:
    return (2 * np.clip(limit, NARROWEST, WIDEST) - NARROWEST - WIDEST) / (WIDEST - NARROWEST)


@lru_cache(maxsize=8)
def _alarm_curve(sessions: int, baseline: int) -> np.ndarray:
    """Chebyshev coefficients of ln(-ln A) over the limits: so smooth that few points give it everywhere."""
    unit = chebyshev.chebpts1(CURVE_NODES)
    limits = (NARROWEST + WIDEST + unit * (WIDEST - NARROWEST)) / 2
    alarms = [one_chart_alarms(limit, sessions, baseline) for limit in limits]
    return chebyshev.chebfit(unit, np.log(-np.log(alarms)), CURVE_NODES - 1)


def one_chart_alarms(limit: float, sessions: int, baseline: int) -> float:
    """Chance that the EWMA of one chart leaves +-limit SDs in `sessions` sessions without a change.

    Given the error m of the baseline's mean (normal, variance 1 / baseline), the level is a chain: from z it goes
    to N((1 - w) z - w m, w^2). The density of the levels that have never left is carried from session to session
    over Gauss-Legendre nodes between the limits, and what leaves is added up (the integral equation of Crowder,
    Technometrics 29:401-407, 1987, run forward; from memory); the mean over m by Gauss-Hermite.
    """
    node, node_weight = legendre.leggauss(LEVEL_NODES)
    error, error_weight = hermite_e.hermegauss(BASELINE_NODES)
    drift = -EWMA_WEIGHT * error[:, None] / np.sqrt(baseline)
    bounds = limit * np.sqrt(ewma_variance(np.arange(1, sessions + 1), baseline))
    levels, mass, left = np.zeros(1), np.ones((len(error), 1)), np.zeros(len(error))
    for bound in bounds:
        mean = (1 - EWMA_WEIGHT) * levels + drift
        out = special.ndtr((mean - bound) / EWMA_WEIGHT) + special.ndtr((-mean - bound) / EWMA_WEIGHT)
        left += (mass * out).sum(axis=1)
        levels = bound * node
        step = (levels[:, None] - mean[:, None, :]) / EWMA_WEIGHT
        density = np.exp(-step * step / 2) / (EWMA_WEIGHT * np.sqrt(2 * np.pi))
        mass = bound * node_weight * (density @ mass[:, :, None])[:, :, 0]
    return float(error_weight @ left / error_weight.sum())
