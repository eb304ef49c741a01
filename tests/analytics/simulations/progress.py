"""The trend over sessions: does its interval hold the truth, and how often is "sure" wrong?"""

from functools import partial

import numpy as np
from scipy import special

from analytics.metrics.progress import SURE, series_progress

from .harness import acceptance, share
from .sessions import TYPICAL, Seasons, simulate, uneven_days

DAY_SDS = (0.0, 0.1, 0.2, 0.3)
IMPROVING = -0.02 / 4.9  # ln of the error a day; sessions lie 4.9 days apart on average


def players(rng, repetitions: int, sessions: int, day_sd: float, slope: float) -> Seasons:
    """Players with 10 to 30 balls a session on uneven days whose spread changes by `slope` a day."""
    day = uneven_days(rng, repetitions, sessions)
    n = rng.integers(10, 31, day.shape)
    return simulate(rng, day, np.log(TYPICAL) + slope * (day - day[:, :1]), n, day_sd=day_sd)


def true_log_change(seasons: Seasons) -> np.ndarray:
    """Best line through the true form, as the change from the first day to the last; shape (players,)."""
    centred = seasons.day - seasons.day.mean(axis=1, keepdims=True)
    slope = (centred * seasons.log_typical).sum(axis=1) / (centred**2).sum(axis=1)
    return slope * (seasons.day[:, -1] - seasons.day[:, 0])


def by_sessions(seasons: Seasons) -> tuple[np.ndarray, np.ndarray]:
    """95 % interval of the change in ln, shape (players, 2), and "sure" as -1 (tighter), 1 (wider) or 0."""
    progress = series_progress(seasons.balls, seasons.players, 50.0)
    bounds = np.log1p(np.array([one.change.change_ci95_pct for one in progress]) / 100)
    side = {"tighter": -1, "wider": 1}
    return bounds, np.array([(one.certainty == "sure") * side[one.change.direction] for one in progress])


def by_balls(seasons: Seasons) -> tuple[np.ndarray, np.ndarray]:
    """The naive method: a line through ln |q| of every ball, as if balls of a day were independent."""
    balls, count = seasons.balls, seasons.players
    x, y = balls.day - seasons.day[balls.series, 0], np.log(np.abs(balls.error_m / balls.target_m))
    n, total = np.bincount(balls.series), partial(np.bincount, balls.series, minlength=count)
    dx, dy = x - (total(x) / n)[balls.series], y - (total(y) / n)[balls.series]
    sxx = total(dx * dx)
    slope = total(dx * dy) / sxx
    se = np.sqrt(total((dy - slope[balls.series] * dx) ** 2) / (n - 2) / sxx)
    span = seasons.day[:, -1] - seasons.day[:, 0]
    half = special.stdtrit(n - 2, 0.975) * se
    sure = np.sign(slope) * (special.stdtr(n - 2, np.abs(slope) / se) >= SURE)
    return span[:, None] * np.stack([slope - half, slope + half], axis=1), sure


def coverage(method, sessions: int, day_sd: float, rng, repetitions: int) -> tuple[float, float]:
    seasons = players(rng, repetitions, sessions, day_sd, IMPROVING)
    truth, (bounds, _) = true_log_change(seasons), method(seasons)
    return share((bounds[:, 0] <= truth) & (truth <= bounds[:, 1]))


def farthest_coverage(method, sessions: int, rng, repetitions: int) -> tuple[float, float]:
    results = [coverage(method, sessions, day_sd, rng, repetitions) for day_sd in DAY_SDS]
    return max(results, key=lambda result: abs(result[0] - 0.95))


def wrongly_sure(method, sessions: int, rng, repetitions: int) -> tuple[float, float]:
    """The larger share of one side among players who do not change, at the worst day SD."""
    results = []
    for day_sd in DAY_SDS:
        _, sure = method(players(rng, repetitions, sessions, day_sd, 0.0))
        results += [share(sure == -1), share(sure == 1)]
    return max(results)


for sessions in (6, 12, 24):
    acceptance(
        subject="progress",
        name=f"trend over {sessions} sessions of 10 to 30 balls on uneven days",
        statistic="coverage of the 95 % interval, farthest from 95 % over day SD 0, .1, .2, .3",
        low=0.935,
        high=0.965,
        ci_repetitions=1000,
        full_repetitions=6000,
        naive=partial(farthest_coverage, by_balls, sessions),
    )(partial(farthest_coverage, by_sessions, sessions))
    acceptance(
        subject="progress",
        name=f"no change over {sessions} sessions of 10 to 30 balls on uneven days",
        statistic="share of wrong 'sure' on one side, the worst over day SD 0, .1, .2, .3",
        low=0.0,
        high=0.025,
        ci_repetitions=1000,
        full_repetitions=10_000,
        naive=partial(wrongly_sure, by_balls, sessions),
    )(partial(wrongly_sure, by_sessions, sessions))

acceptance(
    subject="progress",
    name="balls as points, 12 sessions, day SD .2",
    statistic="coverage of the naive 95 % interval: it must be shown to claim too much (the session method beside it)",
    low=0.0,
    high=0.90,
    ci_repetitions=3000,
    full_repetitions=6000,
    naive=partial(coverage, by_sessions, 12, 0.2),
)(partial(coverage, by_balls, 12, 0.2))
