"""Drift: whether a club's stock carries lately differ from those before, judged by visits and not by balls."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from analytics.metrics.intervals import TAIL, t_quantile

VISITS_BEFORE = 3
"""Earlier visits from which it is known how a club's carries vary from one visit to the next."""
STEADY_PCT = 3.0
"""An interval that lies within this either way says that nothing has moved that matters: less than one step of the
loft; common practice, no source."""


@dataclass(frozen=True)
class Drift:
    """What the latest visits say beside the earlier ones.

    Attributes
    ----------
    visits_before, visits_now
        Visits compared, of the swings that were hit both before and now.
    pct, ci95_pct
        By how many percent the carries changed, + is longer; the interval holds for all clubs looked at together. None
        under 3 visits before or without one now.
    verdict
        "steady" (the whole interval is within 3 %), "drifted" (else, where it does not hold 0), or "can't tell".
    """

    visits_before: int
    visits_now: int
    pct: float | None = None
    ci95_pct: tuple[float, float] | None = None
    verdict: str = "can't tell"


def carry_drift(
    visit: Sequence[int], swing: Sequence[int], carry_m: Sequence[float], now: Sequence[bool], *, clubs: int = 1
) -> Drift:
    """Compare the latest visits of one club with the earlier ones.

    Each ball's ln(carry) is taken from the mean of its swing over the earlier visits; a visit's value is the mean over
    its swings. Visits are the observations, for the balls of one share the day's form, wind and line. The difference of
    the two means has the pooled t interval (NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.3), so that one
    visit now is enough; its tails are divided by the clubs looked at together (Bonferroni). Exact where every visit
    hits every swing; swings that come and go make it approximate.

    Parameters
    ----------
    visit, swing, carry_m, now
        One entry a ball: ids of its visit and swing, carry (m, above 0), and whether the visit is one of the latest.
    clubs
        How many clubs are looked at together, 1 or more.
    """
    visit, swing, now = np.asarray(visit, int), np.asarray(swing, int), np.asarray(now, bool)
    log_m = np.log(np.asarray(carry_m, float))
    both = np.intersect1d(swing[now], swing[~now])
    cells: dict[bool, dict[int, dict[int, float]]] = {False: {}, True: {}}
    for latest in cells:
        for one in np.unique(visit[(now == latest) & np.isin(swing, both)]):
            balls = (visit == one) & (now == latest)
            hit = np.intersect1d(swing[balls], both)
            cells[latest][int(one)] = {int(s): float(log_m[balls & (swing == s)].mean()) for s in hit}
    usual = {int(s): np.mean([of[int(s)] for of in cells[False].values() if int(s) in of]) for s in both}
    values = {
        latest: np.array([np.mean([value - usual[s] for s, value in of.items()]) for of in visits.values()])
        for latest, visits in cells.items()
    }
    return _judged(values[False], values[True], clubs)


def _judged(before: np.ndarray, lately: np.ndarray, clubs: int) -> Drift:
    counts = (len(before), len(lately))
    if len(before) < VISITS_BEFORE or not len(lately):
        return Drift(*counts)
    df = sum(counts) - 2
    squares = sum(float(((each - each.mean()) ** 2).sum()) for each in (before, lately))
    half = t_quantile(1 - TAIL / clubs, df) * math.sqrt(squares / df * (1 / counts[0] + 1 / counts[1]))
    change = float(lately.mean() - before.mean())
    low, pct, high = (100 * math.expm1(value) for value in (change - half, change, change + half))
    outside = "drifted" if low > 0 or high < 0 else "can't tell"
    verdict = "steady" if max(-low, high) < STEADY_PCT else outside
    return Drift(*counts, pct, (low, high), verdict)
