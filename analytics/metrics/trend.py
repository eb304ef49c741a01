"""Trend of distance control: is the relative distance error getting smaller from session to session?"""

import math
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from scipy import special

from analytics.metrics.columns import ScoredShots, ShotColumns
from analytics.metrics.intervals import TAIL, t_quantile

MEAN_Q2_FLOOR = 1e-6  # 0.1 % of the target: a session of perfect balls must not reach minus infinity
DAYS = 30
SESSIONS_FOR_VERDICT = 6


@dataclass(frozen=True)
class Trend:
    """Change of the relative distance error in percent in 30 days, negative is tighter; None = no trend.

    `verdict` is "too few" (sessions), "tighter", "wider" or "no clear change".
    """

    sessions: int
    pct_per_30_days: float | None
    ci95_pct_per_30_days: tuple[float, float] | None
    verdict: str


@dataclass(frozen=True)
class Slope:
    """Slope of a least-squares line with its standard error, in the unit of y over that of x."""

    slope: float
    se: float


@dataclass(frozen=True)
class SessionPoint:
    """One session of one cell.

    Attributes
    ----------
    day
        Ordinal of the session's local date.
    n
        Shots that are no mishits with target and carry.
    rmse_pct
        100 sqrt(mean q^2): typical distance error in percent of the target.
    log_rmse
        What the trend is fitted to (see `session_log_rmse`); None at n = 1, which the trend leaves out.
    """

    day: int
    n: int
    rmse_pct: float
    log_rmse: float | None


@dataclass(frozen=True)
class SessionSums:
    """Sums of each session in each cell, arrays of shape (pairs,) in the order of cell, then session code.

    `n` counts the shots of n, `n_q` those of them with target and carry, `sum_q2` adds up their q^2.
    """

    cell: np.ndarray
    day: np.ndarray
    n: np.ndarray
    n_q: np.ndarray
    sum_q2: np.ndarray

    def log_rmse(self) -> np.ndarray:
        """`session_log_rmse` of each pair; needs n_q >= 1."""
        return session_log_rmse(self.n_q, self.sum_q2 / self.n_q)

    def where(self, chosen: np.ndarray) -> "SessionSums":
        """The pairs for which `chosen` (bool) holds."""
        return SessionSums(*(column[chosen] for column in vars(self).values()))


def session_sums(scored: ScoredShots, cells: int) -> SessionSums:
    """Sums by cell and session, over the pairs with at least one shot of n."""
    slot, cell_of_slot = _slots(scored.cell, scored.session, cells)
    slots = len(cell_of_slot)
    n = np.bincount(slot, minlength=slots)
    q2 = scored.q * scored.q
    no_q = np.flatnonzero(np.isnan(q2))
    q2[no_q] = 0.0
    n_q, sum_q2 = n - np.bincount(slot[no_q], minlength=slots), np.bincount(slot, q2, slots)
    row = np.zeros(slots, dtype=scored.row.dtype)
    row[slot] = scored.row  # any of its shots tells the day of a session
    used = np.flatnonzero(n)
    day = scored.shots.day[row[used]]
    return SessionSums(cell_of_slot[used], day, n[used], n_q[used], sum_q2[used])


def _slots(cell: np.ndarray, session: np.ndarray, cells: int) -> tuple[np.ndarray, np.ndarray]:
    """A number for each pair of cell and session, in that order, and the cell of each number.

    A cell gets as many numbers as lie between its first and last session code. With codes handed out player
    by player that stays near the number of pairs; cells x sessions would grow with the square of a squad.
    """
    first, last = np.full(cells, np.iinfo(np.int64).max), np.full(cells, -1)
    np.minimum.at(first, cell, session)
    np.maximum.at(last, cell, session)
    first[last < 0] = 0
    width = last - first + 1
    slot = (np.cumsum(width) - width - first)[cell]
    slot += session
    return slot, np.repeat(np.arange(cells), width)


def session_log_rmse(n: np.ndarray, mean_q2: np.ndarray) -> np.ndarray:
    """Logarithm of a session's relative RMSE, freed of the bias that a small n gives it.

    L = ln(max(mean q^2, 1e-6)) / 2 - [psi(n/2) - ln(n/2)] / 2. The bracket is E ln(chi-square_n / n), psi the
    digamma function (Bartlett & Kendall, Supplement to the J. R. Statist. Soc. 8:128-138, 1946).

    Parameters
    ----------
    n, mean_q2
        Shots (1 or more) and mean squared relative error of each session, shape (sessions,).
    """
    half_n = n / 2
    return np.log(np.maximum(mean_q2, MEAN_Q2_FLOOR)) / 2 - (special.digamma(half_n) - np.log(half_n)) / 2


def ols_slope(x: np.ndarray, y: np.ndarray) -> Slope | None:
    """Slope of the ordinary least-squares line of y on x, both of shape (points,).

    slope = Sxy / Sxx, se = sqrt(sum of squared residuals / (points - 2) / Sxx); any text on regression. None
    under 3 points or if all x are equal.
    """
    if len(x) < 3:
        return None
    dx, dy = x - np.mean(x), y - np.mean(y)
    sxx = float(dx @ dx)
    if sxx == 0:
        return None
    slope = float(dx @ dy) / sxx
    residual = dy - slope * dx
    return Slope(slope, math.sqrt(float(residual @ residual) / (len(x) - 2) / sxx))


def trend_of_sessions(days: np.ndarray, log_rmse: np.ndarray) -> Trend:
    """Trend over sessions of 2 shots or more: unweighted least squares of `log_rmse` on `days`.

    Sessions, not shots, are the points: the shots of a day share that day's form, so a line through shots
    would claim far too much. The slope and its 95 % bounds, slope +- t(.975, sessions - 2) se, are each
    mapped by 100 expm1(30 slope).

    Parameters
    ----------
    days, log_rmse
        Integer days and `session_log_rmse` of each session, shape (sessions,).

    Returns
    -------
    Trend without figures (None) under 3 sessions, if all are on one day, or when a bound is not finite; its
    verdict is "too few" then, and under 6 sessions.
    """
    sessions = len(days)
    line = ols_slope(days, log_rmse)
    if line is None:
        return Trend(sessions, None, None, "too few")
    half = t_quantile(1 - TAIL, sessions - 2) * line.se
    with np.errstate(over="ignore"):
        bounds = 100 * np.expm1(DAYS * np.array([line.slope - half, line.slope, line.slope + half]))
    if not np.isfinite(bounds).all():
        return Trend(sessions, None, None, "too few")
    low, pct, high = bounds.tolist()
    return Trend(sessions, pct, (low, high), _verdict(sessions, low, high))


def _verdict(sessions: int, low: float, high: float) -> str:
    if sessions < SESSIONS_FOR_VERDICT:
        return "too few"
    if high < 0:
        return "tighter"
    return "wider" if low > 0 else "no clear change"


def cell_trends(sums: SessionSums, cells: int) -> list[Trend]:
    """The trend of each cell, over its sessions with 2 or more shots that have target and carry."""
    fitted = sums.where(sums.n_q >= 2)
    log_rmse = fitted.log_rmse()
    ends = np.searchsorted(fitted.cell, np.arange(cells + 1)).tolist()
    return [trend_of_sessions(fitted.day[a:b], log_rmse[a:b]) for a, b in pairwise(ends)]


def session_series(columns: ShotColumns, cells: int) -> list[list[SessionPoint]]:
    """The sessions of each cell 0 .. cells - 1, by day: what the trend's figure draws.

    Sessions without a ball that has target and carry are left out; a cell without any gets an empty list.
    """
    sums = session_sums(columns.scored(), cells)
    sums = sums.where(sums.n_q > 0)
    sums = sums.where(np.lexsort((sums.day, sums.cell)))
    series: list[list[SessionPoint]] = [[] for _ in range(cells)]
    rmse_pct = 100 * np.sqrt(sums.sum_q2 / sums.n_q)
    figures = (sums.cell, sums.day, sums.n_q, rmse_pct, sums.log_rmse())
    for cell, day, n, pct, log_rmse in zip(*(column.tolist() for column in figures), strict=True):
        series[cell].append(SessionPoint(day, n, pct, log_rmse if n >= 2 else None))
    return series
