"""The smallest improvement that can be seen: is it found as often as promised?"""

from functools import partial

import numpy as np

from analytics.metrics.power import smallest_improvement_pct

from .harness import acceptance, share
from .progress import by_sessions
from .sessions import TYPICAL, simulate

CASES = [(20, 6, 0.1), (20, 12, 0.1), (30, 12, 0.2), (60, 26, 0.1)]


def found(balls: int, weeks: int, day_sd: float, assumed_day_sd: float, rng, repetitions: int) -> tuple[float, float]:
    """Share of players found better whose error falls by the smallest improvement worked out for the SD assumed."""
    improvement_pct = smallest_improvement_pct(balls, weeks, day_sd=assumed_day_sd)
    day = np.tile(7 * np.arange(weeks), (repetitions, 1))
    log_sigma = np.log(TYPICAL) + np.log1p(-improvement_pct / 100) * day / day[0, -1]
    seasons = simulate(rng, day, log_sigma, np.full(day.shape, balls), day_sd=day_sd, bias_sd=0.0)
    bounds, _ = by_sessions(seasons)
    return share((bounds[:, 0] > 0) | (bounds[:, 1] < 0))


for balls, weeks, day_sd in CASES:
    acceptance(
        subject="power",
        name=f"{balls} balls a week for {weeks} weeks, day SD {day_sd:g}",
        statistic="share in which the smallest improvement is found (naive: the day's form forgotten)",
        low=0.785,
        high=0.815,
        ci_repetitions=1200,
        full_repetitions=6000,
        naive=partial(found, balls, weeks, day_sd, 0.0),
    )(partial(found, balls, weeks, day_sd, day_sd))
