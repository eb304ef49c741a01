"""Progress of a player: from what typical error to what, and how sure that is."""

import math
from dataclasses import dataclass

import numpy as np
from scipy import special

from analytics.metrics.form import SessionForms, TargetBalls, session_forms
from analytics.metrics.intervals import TAIL, t_quantile
from analytics.metrics.trend import SESSIONS_FOR_VERDICT, Slope, ols_slope

SURE = 0.98  # wrong once in fifty a side by normal theory; simulated: once in forty at most, see the tests
LEANING = 0.90
NO_CHANGE = 1e-9  # in ln of the error: equal sessions must not become a trend by rounding


@dataclass(frozen=True)
class Change:
    """What the fitted line says, from the first counted session to the last.

    Attributes
    ----------
    from_m, to_m
        Typical error (RMSE) at the reference distance on the first and the last day.
    to_ci95_m
        Where the player is now, seen from `from_m`: `from_m` times the 95 % interval of the change.
    change_pct, change_ci95_pct
        Negative is tighter.
    p_improving
        Probability that the error is shrinking.
    day_sd
        SD of the day's form in ln of the error: what sessions vary about the line beyond the chance of so few
        balls, 0 if no more than that. What `analytics.metrics.power` asks for.
    """

    from_m: float
    to_m: float
    to_ci95_m: tuple[float, float]
    change_pct: float
    change_ci95_pct: tuple[float, float]
    p_improving: float
    day_sd: float

    @property
    def direction(self) -> str:
        """The likelier one."""
        return "tighter" if self.p_improving >= 0.5 else "wider"


@dataclass(frozen=True)
class Progress:
    """Progress in one series of work.

    Attributes
    ----------
    sessions, thin_sessions
        Sessions counted, and sessions left out because they have under 5 balls.
    balls
        Balls of the sessions counted.
    floored_sessions
        Counted sessions whose balls were nearer than their measurement can tell: no improvement shows there.
    first_day, last_day
        Ordinals of the dates of the first and the last session counted; None without any.
    change
        None under 3 counted sessions, if all are on one day, or when a bound is not finite.
    certainty
        "sure" if the direction has the probability .98 or more, "leaning" from .90, else "can't tell"; "can't
        tell" without a change and under 6 sessions, whatever they show.
    """

    sessions: int
    thin_sessions: int
    balls: int
    floored_sessions: int
    first_day: int | None
    last_day: int | None
    change: Change | None
    certainty: str


def series_progress(balls: TargetBalls, series: int, reference_m: float) -> list[Progress]:
    """Progress in each series 0 .. series - 1, said as the typical error at `reference_m` (m, > 0).

    The points are sessions of 5 balls or more, never balls: those of a day share its form. Unweighted least squares
    of the form L (`session_forms`) on the day: the line runs from exp(L) at the first day to exp(L) at the last;
    the change is exp(days x (slope +- t(.975, sessions - 2) se)). P(improving) = P(t <= -slope / se) with
    sessions - 2 degrees of freedom: the posterior probability of a negative slope when nothing is known of it
    beforehand (Box & Tiao, Bayesian Inference in Statistical Analysis, 1973, 2.7; from memory).

    The certainty is meant for one look, at the end of a plan. Whoever looks every week of half a year at a player
    who does not change reads "sure" at some look in more than one season of four (simulated: .28): watching from
    week to week belongs to `analytics.metrics.control`.
    """
    return [_progress(forms, reference_m) for forms in session_forms(balls).split(series)]


def _progress(forms: SessionForms, reference_m: float) -> Progress:
    counted = forms.counted()
    sessions = len(counted.day)
    line = ols_slope(counted.day, counted.log_rmse)
    change = _change(counted, line, reference_m) if line else None
    return Progress(
        sessions=sessions,
        thin_sessions=len(forms.day) - sessions,
        balls=int(counted.n.sum()),
        floored_sessions=int(counted.floored.sum()),
        first_day=int(counted.day[0]) if sessions else None,
        last_day=int(counted.day[-1]) if sessions else None,
        change=change,
        certainty=_certainty(sessions, change),
    )


def _change(counted: SessionForms, line: Slope, reference_m: float) -> Change | None:
    span = int(counted.day[-1] - counted.day[0])
    half = t_quantile(1 - TAIL, len(counted.day) - 2) * line.se
    start = np.mean(counted.log_rmse) + line.slope * (counted.day[0] - np.mean(counted.day))
    with np.errstate(over="ignore"):
        ratios = np.exp(span * np.array([line.slope - half, line.slope, line.slope + half]))
        from_m = reference_m * float(np.exp(start))
        if not np.isfinite(from_m * ratios).all():
            return None
    low, ratio, high = ratios.tolist()
    return Change(
        from_m=from_m,
        to_m=from_m * ratio,
        to_ci95_m=(from_m * low, from_m * high),
        change_pct=100 * (ratio - 1),
        change_ci95_pct=(100 * (low - 1), 100 * (high - 1)),
        p_improving=_p_improving(line, len(counted.day) - 2, span),
        day_sd=_day_sd(counted, line),
    )


def _p_improving(line: Slope, df: int, span: int) -> float:
    if abs(line.slope) * span < NO_CHANGE:
        return 0.5
    if line.se == 0:
        return float(line.slope < 0)
    return float(special.stdtr(df, -line.slope / line.se))


def _day_sd(counted: SessionForms, line: Slope) -> float:
    about_the_line = line.se**2 * float(np.sum((counted.day - np.mean(counted.day)) ** 2))
    return math.sqrt(max(0.0, about_the_line - float(np.mean(counted.variance))))


def _certainty(sessions: int, change: Change | None) -> str:
    if sessions < SESSIONS_FOR_VERDICT or change is None:
        return "can't tell"
    p = max(change.p_improving, 1 - change.p_improving)
    if p >= SURE:
        return "sure"
    return "leaning" if p >= LEANING else "can't tell"
