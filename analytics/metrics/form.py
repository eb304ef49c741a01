"""A session's form: how far off its balls at targets were, never finer than the distances were measured."""

from dataclasses import dataclass, fields
from itertools import pairwise

import numpy as np
from scipy import special

from analytics.metrics.trend import MEAN_Q2_FLOOR, session_log_rmse

BALLS_OF_A_SESSION = 5  # engineering estimate: the log of fewer is too skew, and its scatter (0.35 at 5) too wide


@dataclass(frozen=True)
class TargetBalls:
    """Fresh, unhelped balls at targets that are no mishits, one entry a ball, columns of shape (balls,).

    The caller has left out everything else, and keeps measured balls and balls judged by eye in different series.

    Attributes
    ----------
    series
        Code from 0. Balls of one series may be compared: one player, one kind of work, the same equipment, the
        same way of knowing the distance; for a chart of cells one cell too.
    session
        Code from 0. A session may have balls of several series.
    day
        Ordinal of the session's local date (days).
    target_m, error_m
        Metres; target > 0, error is carry minus target, both finite.
    resolution_m
        Step to which the distance was known (m, 0 or more); 0 = no limit known.
    """

    series: np.ndarray
    session: np.ndarray
    day: np.ndarray
    target_m: np.ndarray
    error_m: np.ndarray
    resolution_m: np.ndarray

    def __post_init__(self):
        columns = [np.asarray(getattr(self, field.name)) for field in fields(self)]
        if len({column.shape for column in columns}) > 1 or columns[0].ndim != 1:
            raise ValueError("columns must be one-dimensional and equally long")
        if not all(np.isfinite(column).all() for column in columns):
            raise ValueError("balls without a target, an error or a resolution must be left out")
        if (columns[3] <= 0).any() or (columns[5] < 0).any():
            raise ValueError("targets must be above 0, resolutions 0 or more")


@dataclass(frozen=True)
class SessionForms:
    """The form of each session in each series, columns of shape (pairs,) in the order of series, day, session.

    Attributes
    ----------
    series, day, n
        Codes, ordinals, and how many balls (1 or more).
    log_rmse
        ln of the typical relative error, see `session_forms`.
    variance
        Variance of `log_rmse` by the chance of so few balls alone, see `form_variance`.
    floored
        True where the balls were nearer than their measurement can tell.
    """

    series: np.ndarray
    day: np.ndarray
    n: np.ndarray
    log_rmse: np.ndarray
    variance: np.ndarray
    floored: np.ndarray

    def where(self, chosen: np.ndarray | slice) -> "SessionForms":
        return SessionForms(*(column[chosen] for column in vars(self).values()))

    def split(self, series: int) -> list["SessionForms"]:
        """The forms of each series 0 .. series - 1."""
        ends = np.searchsorted(self.series, np.arange(series + 1)).tolist()
        return [self.where(slice(a, b)) for a, b in pairwise(ends)]

    def counted(self) -> "SessionForms":
        """The sessions with enough balls to be a point of a trend or a chart."""
        return self.where(self.n >= BALLS_OF_A_SESSION)


def session_forms(balls: TargetBalls) -> SessionForms:
    """Form of each session in each series.

    L = max(`session_log_rmse` of q = error / target, ln(mean (resolution / target)^2 / 12) / 2). A distance
    rounded to a step has the standard uncertainty step / sqrt(12) (JCGM 100:2008, the GUM, 4.3.7; from memory):
    balls that all seem perfect are as good as that, not infinitely good. The floor lies on L after the bias of a
    small n is taken off, so that perfect sessions of any n are equal. No balls give empty columns.
    """
    sessions = int(balls.session.max(initial=0)) + 1
    _, a_ball, slot = np.unique(balls.series * sessions + balls.session, return_index=True, return_inverse=True)
    slots = len(a_ball)
    n = np.bincount(slot, minlength=slots)
    mean_q2 = np.bincount(slot, (balls.error_m / balls.target_m) ** 2, slots) / n
    floor_q2 = np.bincount(slot, (balls.resolution_m / balls.target_m) ** 2 / 12, slots) / n
    floor = np.log(np.maximum(floor_q2, MEAN_Q2_FLOOR)) / 2
    log_rmse = session_log_rmse(n, mean_q2)
    forms = SessionForms(
        series=balls.series[a_ball],
        day=balls.day[a_ball],
        n=n,
        log_rmse=np.maximum(log_rmse, floor),
        variance=form_variance(n),
        floored=log_rmse < floor,
    )
    return forms.where(np.lexsort((balls.session[a_ball], forms.day, forms.series)))


def form_variance(n: np.ndarray | float) -> np.ndarray:
    """Variance of a session's log-RMSE from its n (> 0) balls alone: trigamma(n/2) / 4.

    That of ln(chi-square_n) / 2 (Bartlett & Kendall, Supplement to the J. R. Statist. Soc. 8:128-138, 1946).
    What sessions vary beyond it is the day.
    """
    return special.polygamma(1, np.asarray(n) / 2) / 4
