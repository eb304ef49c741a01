"""Simulated seasons: balls whose typical error is known on every day, with the chance of the day on top."""

from dataclasses import dataclass

import numpy as np

from analytics.metrics.form import TargetBalls

TYPICAL = 0.10  # relative error, 6 yd at 60
DAY_BIAS = 1 / 60  # SD of a day's long or short, 1 yd at 60


@dataclass(frozen=True)
class Seasons:
    """Balls of many players, one series each, and ln of each session's typical error without the day's form."""

    balls: TargetBalls
    day: np.ndarray
    log_typical: np.ndarray

    @property
    def players(self) -> int:
        return len(self.day)


def uneven_days(rng: np.random.Generator, players: int, sessions: int) -> np.ndarray:
    """One to six days from session to session, now and then two weeks more; shape (players, sessions)."""
    gap = rng.integers(1, 7, (players, sessions)) + 14 * (rng.random((players, sessions)) < 0.1)
    return 739_000 + np.cumsum(gap, axis=1)


def simulate(rng, day, log_sigma, n, *, day_sd: float, bias_sd: float = DAY_BIAS) -> Seasons:
    """Balls of sessions on `day` with spread exp(log_sigma) before the day's form and `n` balls each.

    All of shape (players or cells, sessions). The day's form is normal of SD `day_sd` on ln of the spread, the
    day's bias normal of SD `bias_sd`. Targets lie between 30 and 90 m.
    """
    sessions = day.shape[1]
    sigma = np.exp(log_sigma + rng.normal(0, day_sd, day.shape))
    bias = rng.normal(0, bias_sd, day.shape)
    session = np.repeat(np.arange(day.size), n.ravel())
    q = bias.ravel()[session] + sigma.ravel()[session] * rng.standard_normal(len(session))
    target_m = rng.uniform(30, 90, len(session))
    balls = TargetBalls(
        series=session // sessions,
        session=session,
        day=day.ravel()[session],
        target_m=target_m,
        error_m=q * target_m,
        resolution_m=np.zeros(len(session)),
    )
    return Seasons(balls, day, np.log(np.exp(2 * log_sigma) + bias_sd**2) / 2)


def player(seasons: Seasons, number: int, cells: int) -> TargetBalls:
    """The balls of `cells` neighbouring series as the cells 0 .. cells - 1 of one player."""
    balls = seasons.balls
    a, b = np.searchsorted(balls.series, [number * cells, (number + 1) * cells])
    columns = {name: column[a:b] for name, column in vars(balls).items()}
    columns["series"] = columns["series"] - number * cells
    columns["session"] = columns["session"] - columns["session"][0]
    return TargetBalls(**columns)
