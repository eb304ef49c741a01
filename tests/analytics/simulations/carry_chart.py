"""Which swing length scatters least, on invented players whose scatter is known."""

from collections.abc import Callable

import numpy as np
from scipy import special

from analytics.metrics.carry_chart import SURE, StockBalls, swing_scatter

from .harness import acceptance, share

SWINGS = ("7:30", "9:00", "10:30", "full")
MEANS_M = np.outer([1.0, 0.9, 0.8, 0.7], [38, 64, 88, 110])
BALLS = 10
SUBJECT = {"subject": "carry_chart", "ci_repetitions": 250, "full_repetitions": 2000}

Verdict = Callable[[np.ndarray], str | None]


def normal(rng):
    return rng.normal(size=(4, 4, BALLS))


def heavy(rng):
    return rng.standard_t(5, size=(4, 4, BALLS)) * np.sqrt(3 / 5)


def named(rng, players, cvs, shape, verdict: Verdict) -> np.ndarray:
    """The swing that is named for each player, or ''; carries of 4 clubs x 4 swings x 10 balls."""
    scatter = np.array(cvs)[:, None]
    return np.array([verdict(MEANS_M[..., None] * (1 + scatter * shape(rng))) or "" for _ in range(players)])


def surely_least(carries) -> str | None:
    cells = [StockBalls(str(club), 50, swing, carries[club, k]) for club in range(4) for k, swing in enumerate(SWINGS)]
    return next((each.swing for each in swing_scatter(cells, SWINGS) if each.chance_least >= SURE), None)


def pooled_variances(carries) -> np.ndarray:
    return np.square(carries.std(axis=2, ddof=1) / carries.mean(axis=2)).mean(axis=0)


def smallest(carries) -> str:
    """Naive: the smallest figure wins."""
    return SWINGS[pooled_variances(carries).argmin()]


def f_test(carries) -> str | None:
    """Naive: the smallest wins if an F test of it against the largest is significant at 5 %."""
    s2, df = np.sort(pooled_variances(carries)), 4 * (BALLS - 1)
    return smallest(carries) if s2[-1] / s2[0] > special.fdtri(df, df, 0.95) else None


def intervals_apart(carries) -> str | None:
    """Naive: the smallest wins if its 95 % interval lies wholly below every other's."""
    s2, df = pooled_variances(carries), 4 * (BALLS - 1)
    low, high = (s2 * df / special.chdtri(df, tail) for tail in (0.025, 0.975))
    best = s2.argmin()
    return SWINGS[best] if high[best] < np.delete(low, best).min() else None


def cant_tell(shape, verdict):
    return lambda rng, players: share(named(rng, players, [0.06] * 4, shape, verdict) == "")


def wrong(verdict):
    cvs, fair = [0.06, 0.055, 0.065, 0.06], ["", "9:00"]
    return lambda rng, players: share(~np.isin(named(rng, players, cvs, normal, verdict), fair))


def right(verdict):
    return lambda rng, players: share(named(rng, players, [0.08, 0.045, 0.08, 0.08], normal, verdict) == "9:00")


for shape, balls in ((normal, "normal"), (heavy, "t with 5 df")):
    acceptance(
        **SUBJECT,
        name=f"least scattered swing, all alike, {balls}",
        statistic="players of whom none is named",
        low=0.95,
        high=1,
        naive=cant_tell(shape, f_test),
    )(cant_tell(shape, surely_least))

acceptance(
    **SUBJECT,
    name="least scattered swing, 5.5 % against 6 to 6.5 %",
    statistic="players of whom a wrong one is named",
    low=0,
    high=0.05,
    naive=wrong(smallest),
)(wrong(surely_least))

acceptance(
    **SUBJECT,
    name="least scattered swing, 4.5 % against 8 %",
    statistic="players of whom the right one is named",
    low=0.7,
    high=1,
    naive=right(intervals_apart),
)(right(surely_least))
