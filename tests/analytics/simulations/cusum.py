"""The chart that is not built: a CUSUM beside the moving average can be calibrated, and is slow.

The limit that pays for the error of a five-session baseline is five times the textbook's. So calibrated, it needs about
twice as many sessions as the moving average to see the same change.
"""

from functools import partial

import numpy as np

from analytics.metrics.control import CELL_BASELINE, control_charts
from analytics.metrics.form import session_forms

from .control import CELLS, alarms
from .harness import acceptance, share

ALLOWANCE = 0.5  # SDs, half of the shift to be seen: the usual choice
TEXTBOOK = 5.0  # SDs, the usual limit where the baseline is known; from memory
CALIBRATED = 21.7  # SDs: one season in ten with a false alarm over 12 charts of a five-session baseline, by simulation
BALLS, BETTER, DAY_SD = (20, 21), 0.25, 0.1


def cusum(values: np.ndarray, allowance: float) -> tuple[np.ndarray, np.ndarray]:
    """Upward and downward sums S_t = max(0, S_(t-1) +- x_t - allowance), each of shape (values,).

    NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.3.
    """
    up, down, sums = 0.0, 0.0, []
    for value in np.asarray(values, dtype=float).tolist():
        up, down = max(0.0, up + value - allowance), max(0.0, down - value - allowance)
        sums.append((up, down))
    return tuple(np.array(sums).T)


def first_by_cusum(balls, cells: int, baseline: int, limit: float) -> list[float]:
    """Session of each chart's first alarm after the baseline, counted from 1; NaN without one."""
    forms = session_forms(balls).split(cells)
    sd = np.sqrt(np.mean([one.log_rmse[:baseline].var(ddof=1) for one in forms]))
    found = []
    for one in forms:
        q = (one.log_rmse[baseline:] - one.log_rmse[:baseline].mean()) / sd
        beyond = np.flatnonzero(np.maximum(*cusum(q, ALLOWANCE)) > limit)
        found.append(float(beyond[0] + 1) if len(beyond) else np.nan)
    return found


def first_by_charts(balls, cells: int, baseline: int) -> list[float]:
    charts = control_charts(balls, cells, baseline=baseline)
    return [np.nan if chart.alarm_day is None else chart.day.index(chart.alarm_day) + 1.0 for chart in charts]


def by_cusum(limit: float, balls, cells: int, baseline: int) -> list[bool]:
    return [not np.isnan(found) for found in first_by_cusum(balls, cells, baseline, limit)]


def false_seasons(limit, rng, repetitions) -> tuple[float, float]:
    method = partial(by_cusum, limit)
    return share(alarms(method, CELLS, CELL_BASELINE, DAY_SD, BALLS, 0.0, rng, repetitions).any(axis=1))


def sessions_needed(method, rng, repetitions) -> tuple[float, float]:
    """Mean session at which a chart finds the change, with a standard error as if a player's charts agreed."""
    found = alarms(method, CELLS, CELL_BASELINE, DAY_SD, BALLS, BETTER, rng, repetitions)
    return float(np.nanmean(found)), float(np.nanstd(found) / np.sqrt(repetitions))


acceptance(
    subject="cusum",
    name=f"{CELLS} CUSUM charts, 20 balls, baseline {CELL_BASELINE}, day SD {DAY_SD:g}, limit {CALIBRATED:g} SDs",
    statistic="share of seasons without a change that have a false alarm (naive: the textbook's limit of 5)",
    low=0.07,
    high=0.14,
    ci_repetitions=350,
    full_repetitions=3000,
    naive=partial(false_seasons, TEXTBOOK),
)(partial(false_seasons, CALIBRATED))
acceptance(
    subject="cusum",
    name=f"{CELLS} charts, 20 balls, baseline {CELL_BASELINE}, day SD {DAY_SD:g}, {BETTER:.0%} better",
    statistic="sessions until a change is found, where it is found in a season (naive: the calibrated CUSUM)",
    low=7,
    high=12,
    ci_repetitions=60,
    full_repetitions=1000,
    naive=partial(sessions_needed, partial(first_by_cusum, limit=CALIBRATED)),
)(partial(sessions_needed, first_by_charts))
