"""The score of every cell: a club, a swing, and how the distance was known."""

import math
from dataclasses import dataclass

import numpy as np

from analytics.metrics.columns import ShotColumns
from analytics.metrics.intervals import mean_interval, spread_interval
from analytics.metrics.moments import GroupMoments, group_moments, group_rms
from analytics.metrics.proximity import Proximity, group_proximity
from analytics.metrics.trend import Trend, cell_trends, session_sums

__all__ = ["CellScore", "ShotColumns", "Trend", "score_cells"]

Interval = tuple[float, float]


@dataclass(frozen=True)
class CellScore:
    """Raw figures of one cell, in metres; None where a figure cannot be computed, never 0 or NaN instead.

    Attributes
    ----------
    mishits
        Shots whose contact is flagged, whatever else is known of them.
    n
        Shots that are no mishits with target and carry, or an entered error.
    bias_m, spread_m, rmse_m
        Mean (+ is long), standard deviation (divisor n - 1) and root mean square (divisor n) of their
        distance error: trueness, precision and both together in the terms of ISO 5725-1. The spread and every
        interval are None under n = 2.
    rmse_all_m
        Root mean square of carry - target over every shot that has both, mishits included: a topped ball
        with carry 0 counts as short by the whole target, a mishit without a carry does not count, nor does
        an entered error.
    n_lateral, proximity_mean_m, proximity_median_m
        Landing miss over those of n with a lateral error.
    n_carry, carry_mean_m, carry_ci95_m
        Carry of stock balls that are no mishits.
    sessions
        Sessions with at least one shot of n.
    trend_sessions, trend_...
        See `analytics.metrics.trend`. `trend_sessions` counts the sessions of 2 or more shots with target and
        carry; the verdict is "too few" where there is no trend.
    """

    mishits: int
    n: int
    bias_m: float | None
    bias_ci95_m: Interval | None
    spread_m: float | None
    spread_ci95_m: Interval | None
    rmse_m: float | None
    rmse_all_m: float | None
    n_lateral: int
    proximity_mean_m: float | None
    proximity_median_m: float | None
    n_carry: int
    carry_mean_m: float | None
    carry_ci95_m: Interval | None
    sessions: int
    trend_sessions: int
    trend_pct_per_30_days: float | None
    trend_ci95_pct_per_30_days: Interval | None
    trend_verdict: str


def score_cells(columns: ShotColumns, cells: int) -> list[CellScore]:
    """Score of each cell 0 .. cells - 1, in that order; a cell without shots scores zero counts and None.

    Raises ValueError for a cell code outside 0 .. cells - 1.
    """
    if columns.cell.size and not 0 <= columns.cell.min() <= columns.cell.max() < cells:
        raise ValueError(f"cell codes must lie in 0 to {cells - 1}")
    scored = columns.scored()
    sums = session_sums(scored, cells)
    figures = zip(
        np.bincount(columns.cell[columns.mishit], minlength=cells).tolist(),
        _rows(group_moments(scored.cell, scored.error_m, cells)),
        group_rms(columns.cell, columns.carry_m - columns.target_m, cells).tolist(),
        _rows(group_proximity(scored.cell, scored.error_m, scored.lateral_m, cells)),
        _rows(_stock_carry(columns, cells)),
        np.bincount(sums.cell, minlength=cells).tolist(),
        cell_trends(sums, cells),
        strict=True,
    )
    return [_cell_score(*cell) for cell in figures]


def _stock_carry(columns: ShotColumns, cells: int) -> GroupMoments:
    counted = np.flatnonzero(columns.stock & ~columns.mishit & ~np.isnan(columns.carry_m))
    return group_moments(columns.cell[counted], columns.carry_m[counted], cells)


def _rows(figures: GroupMoments | Proximity) -> list[tuple]:
    """The arrays of a result as one row of plain numbers for each cell."""
    return list(zip(*(column.tolist() for column in vars(figures).values()), strict=True))


def _cell_score(mishits, error, rmse_all_m, proximity, carry, sessions, trend) -> CellScore:
    n, bias_m, spread_m, rmse_m = error
    n_lateral, proximity_mean_m, proximity_median_m = proximity
    n_carry, carry_mean_m, carry_s_m, _ = carry
    return CellScore(
        mishits=mishits,
        n=n,
        bias_m=_known(bias_m),
        bias_ci95_m=mean_interval(n, bias_m, spread_m),
        spread_m=_known(spread_m),
        spread_ci95_m=spread_interval(n, spread_m),
        rmse_m=_known(rmse_m),
        rmse_all_m=_known(rmse_all_m),
        n_lateral=n_lateral,
        proximity_mean_m=_known(proximity_mean_m),
        proximity_median_m=_known(proximity_median_m),
        n_carry=n_carry,
        carry_mean_m=_known(carry_mean_m),
        carry_ci95_m=mean_interval(n_carry, carry_mean_m, carry_s_m),
        sessions=sessions,
        trend_sessions=trend.sessions,
        trend_pct_per_30_days=trend.pct_per_30_days,
        trend_ci95_pct_per_30_days=trend.ci95_pct_per_30_days,
        trend_verdict=trend.verdict,
    )


def _known(figure: float) -> float | None:
    return None if math.isnan(figure) else figure
