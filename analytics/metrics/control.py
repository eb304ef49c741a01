"""Charts that tell when a player's form has changed, with one false alarm in ten seasons over all charts."""

import math
from dataclasses import dataclass

import numpy as np

from analytics.metrics.false_alarms import (
    EWMA_WEIGHT,
    SEASON_BUDGET,
    SEASON_SESSIONS,
    alarm_limit,
    ewma_variance,
)
from analytics.metrics.form import SessionForms, TargetBalls, session_forms

CELL_BASELINE = 5  # sessions; a chart of one cell among several borrows the scatter of the others
PLAYER_BASELINE = 8  # sessions; a chart alone knows its scatter from its own baseline only


@dataclass(frozen=True)
class Chart:
    """Chart of one series: of a player's every ball, or of one cell.

    Attributes
    ----------
    baseline_sessions, baseline_pct
        Sessions of the baseline so far, and its typical error in percent of the target; None until it is complete.
    day
        Ordinals of the dates watched, after the baseline.
    level, limit
        The moving level after each session watched, in SDs of a session (negative is tighter), and how far from 0
        it may wander by chance.
    verdict
        "baseline" (not complete yet), "steady", "tighter" or "wider": the side of the first level beyond its limit.
    alarm_day
        Ordinal of that session's date, None without an alarm.
    not_watched
        Later sessions than the season has: they need a new baseline.
    thin_sessions
        Sessions left out because they have under 5 balls.
    """

    baseline_sessions: int
    baseline_pct: float | None
    day: tuple[int, ...]
    level: tuple[float, ...]
    limit: tuple[float, ...]
    verdict: str
    alarm_day: int | None
    not_watched: int
    thin_sessions: int


def control_charts(
    balls: TargetBalls,
    series: int,
    *,
    baseline: int = CELL_BASELINE,
    season: int = SEASON_SESSIONS,
    budget: float = SEASON_BUDGET,
) -> list[Chart]:
    """The chart of each series 0 .. series - 1 of one player, sharing one budget of false alarms.

    The first `baseline` sessions (2 or more, of 5 balls or more each) say what is usual. Each session after them is
    q = (L - mean L of the baseline) / sqrt(trigamma(n/2)/4 + day variance), with L of `session_forms` and the day
    variance pooled over the baselines of all series; the level is the exponentially weighted moving average of q
    (Roberts, Technometrics 1:239-250, 1959; from memory), and alarms outside limit x sqrt(`ewma_variance`).

    `budget` is the chance of one false alarm or more in `season` sessions, over all charts (`alarm_limit`). Charts of
    a player alone and charts of cells are two calls: halve the budget where both are shown. The usual 95 % band of
    each session would cry wolf at some cell in every season.

    There is no CUSUM chart beside it. It can be calibrated, but limits that pay for the error of a five-session
    baseline (21.7 SDs at the allowance 0.5 and 12 cells) make it twice as slow to see the same change; it sees more
    changes by the end of a season, fewer of those in its second half (simulated), and would take half the budget.
    """
    forms = session_forms(balls).split(series)
    counted = [one.counted() for one in forms]
    bases = [one.where(slice(baseline)) for one in counted if len(one.day) >= baseline]
    day_variance = _day_variance(bases) if bases else 0.0
    limit = alarm_limit(series, season, baseline, len(bases) * (baseline - 1), budget) if bases else math.inf
    return [
        _chart(one, len(every.day) - len(one.day), baseline, season, day_variance, limit)
        for every, one in zip(forms, counted, strict=True)
    ]


def ewma(values: np.ndarray, weight: float, start: float = 0.0) -> np.ndarray:
    """Exponentially weighted moving average z_t = weight x_t + (1 - weight) z_(t-1), z_0 = start.

    Shape (values,); NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.4.
    """
    level, levels = start, []
    for value in np.asarray(values, dtype=float).tolist():
        level = weight * value + (1 - weight) * level
        levels.append(level)
    return np.array(levels)


def _day_variance(bases: list[SessionForms]) -> float:
    """What the sessions of the baselines vary beyond the chance of so few balls; 0 if no more than that."""
    squares = sum(float(np.sum((base.log_rmse - np.mean(base.log_rmse)) ** 2)) for base in bases)
    df = sum(len(base.day) - 1 for base in bases)
    by_chance = float(np.mean(np.concatenate([base.variance for base in bases])))
    return max(0.0, squares / df - by_chance)


def _chart(
    counted: SessionForms, thin_sessions: int, baseline: int, season: int, day_variance: float, limit: float
) -> Chart:
    sessions = len(counted.day)
    if sessions < baseline:
        return Chart(sessions, None, (), (), (), "baseline", None, 0, thin_sessions)
    usual = float(np.mean(counted.log_rmse[:baseline]))
    watched = counted.where(slice(baseline, baseline + season))
    level = ewma((watched.log_rmse - usual) / np.sqrt(watched.variance + day_variance), EWMA_WEIGHT)
    limits = limit * np.sqrt(ewma_variance(np.arange(1, len(level) + 1), baseline))
    alarms = np.flatnonzero(np.abs(level) > limits)
    alarm = int(alarms[0]) if len(alarms) else None
    return Chart(
        baseline_sessions=baseline,
        baseline_pct=100 * math.exp(usual),
        day=tuple(watched.day.tolist()),
        level=tuple(level.tolist()),
        limit=tuple(limits.tolist()),
        verdict="steady" if alarm is None else "tighter" if level[alarm] < 0 else "wider",
        alarm_day=None if alarm is None else int(watched.day[alarm]),
        not_watched=max(0, sessions - baseline - season),
        thin_sessions=thin_sessions,
    )
