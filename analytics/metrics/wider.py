"""How much wider one kind of ball scatters than another: fresh balls than repeats, a course than a range."""

from dataclasses import dataclass

import numpy as np

from analytics.metrics.form import SessionForms
from analytics.metrics.strike_sessions import pooled_t, welch

FEWEST_SESSIONS = 2


@dataclass(frozen=True)
class WiderScatter:
    """How much larger the second kind's typical error is (percent, below 0 is smaller), with its 95 % interval.

    `sessions` counts those of the first and of the second kind.
    """

    sessions: tuple[int, int]
    pct: float
    ci95_pct: tuple[float, float]


def wider_scatter(first: SessionForms, second: SessionForms) -> WiderScatter | None:
    """Compare two kinds of balls, session by session.

    100 (exp(d) - 1), d the difference of the means of `log_rmse` over the sessions of 5 balls or more. The interval is
    the wider one of Welch's and the pooled t interval (see `strike_sessions.cautious`): a session is one observation,
    for its balls share the day. Where both kinds were hit on the same days the day falls out of the difference, and
    the interval is wider than it need be.

    Returns None under 2 such sessions of either kind.
    """
    forms = [first.counted().log_rmse, second.counted().log_rmse]
    if min(map(len, forms)) < FEWEST_SESSIONS:
        return None
    difference = float(forms[1].mean() - forms[0].mean())
    tests = [test for test in (welch(*forms), pooled_t(*forms)) if test.se > 0]
    half = max((float(test.half_width()) for test in tests), default=0.0)
    ends = np.expm1([difference - half, difference + half]) * 100
    return WiderScatter((len(forms[0]), len(forms[1])), 100 * float(np.expm1(difference)), tuple(ends.tolist()))
