"""Charts watched for a season: how often do they cry wolf, and what do they find?"""

from functools import partial

import numpy as np
from scipy import special

from analytics.metrics.control import CELL_BASELINE, PLAYER_BASELINE, control_charts, ewma
from analytics.metrics.false_alarms import EWMA_WEIGHT, SEASON_SESSIONS, alarm_limit, ewma_variance
from analytics.metrics.form import session_forms

from .harness import acceptance, share
from .sessions import TYPICAL, player, simulate

CELLS = 12


def by_charts(balls, cells: int, baseline: int) -> list[bool]:
    return [chart.alarm_day is not None for chart in control_charts(balls, cells, baseline=baseline)]


def by_own_mean_and_sd(balls, cells: int, baseline: int) -> list[bool]:
    """Naive: mean and SD of each cell's own baseline taken for the truth."""
    limit = alarm_limit(cells, SEASON_SESSIONS, 10**9)
    alarms = []
    for forms in session_forms(balls).split(cells):
        usual = forms.log_rmse[:baseline]
        level = ewma((forms.log_rmse[baseline:] - usual.mean()) / usual.std(ddof=1), EWMA_WEIGHT)
        bound = limit * np.sqrt(ewma_variance(np.arange(1, len(level) + 1), np.inf))
        alarms.append(bool((np.abs(level) > bound).any()))
    return alarms


def by_single_sessions(balls, cells: int, baseline: int) -> list[bool]:
    """Naive: the same budget split over every session of every cell, each judged alone, its true SD given."""
    limit = special.ndtri(1 - 0.1 / (2 * cells * SEASON_SESSIONS)) * np.sqrt(1 + 1 / baseline)
    alarms = []
    for forms in session_forms(balls).split(cells):
        usual = forms.log_rmse[:baseline].mean()
        sd = np.sqrt(special.polygamma(1, forms.n[baseline:] / 2) / 4 + SINGLE_DAY_SD**2)
        alarms.append(bool((np.abs(forms.log_rmse[baseline:] - usual) > limit * sd).any()))
    return alarms


SINGLE_DAY_SD = 0.1  # given to the naive method of the detection lines, which are run at this day SD


def alarms(method, cells, baseline, day_sd, balls, better, rng, repetitions) -> np.ndarray:
    """Which charts alarm in a season, shape (repetitions, cells), if all get `better` (share) after the baseline."""
    shape = (repetitions * cells, baseline + SEASON_SESSIONS)
    day = np.tile(np.arange(shape[1]) * 7, (shape[0], 1))
    log_sigma = np.full(shape, np.log(TYPICAL))
    log_sigma[:, baseline:] += np.log1p(-better)
    seasons = simulate(rng, day, log_sigma, rng.integers(*balls, shape), day_sd=day_sd, bias_sd=0.0)
    return np.array([method(player(seasons, number, cells), cells, baseline) for number in range(repetitions)])


def false_seasons(method, cells, baseline, day_sd, balls, rng, repetitions) -> tuple[float, float]:
    return share(alarms(method, cells, baseline, day_sd, balls, 0.0, rng, repetitions).any(axis=1))


def detected(method, better, day_sd, rng, repetitions) -> tuple[float, float]:
    return share(alarms(method, CELLS, CELL_BASELINE, day_sd, (20, 21), better, rng, repetitions))


def false_alarm_line(cells, baseline, day_sd, balls, low, high):
    acceptance(
        subject="control",
        name=f"{cells} charts, {balls[0]} to {balls[1] - 1} balls, baseline {baseline}, day SD {day_sd:g}",
        statistic="share of seasons without a change that have a false alarm (budget .10)",
        low=low,
        high=high,
        ci_repetitions=350,
        full_repetitions=3000,
        naive=partial(false_seasons, by_own_mean_and_sd, cells, baseline, day_sd, balls),
    )(partial(false_seasons, by_charts, cells, baseline, day_sd, balls))


def detection_line(better, day_sd, low, high):
    acceptance(
        subject="control",
        name=f"{CELLS} charts, 20 balls, baseline {CELL_BASELINE}, day SD {day_sd:g}, {better:.0%} better",
        statistic="share of changed charts found in a season (naive: session by session, same budget, SD given)",
        low=low,
        high=high,
        ci_repetitions=120,
        full_repetitions=1000,
        naive=partial(detected, by_single_sessions, better, day_sd),
    )(partial(detected, by_charts, better, day_sd))


for day_sd in (0.1, 0.2, 0.3):
    false_alarm_line(CELLS, CELL_BASELINE, day_sd, (10, 31), 0.07, 0.14)
false_alarm_line(CELLS, 8, 0.2, (10, 31), 0.07, 0.14)
false_alarm_line(1, PLAYER_BASELINE, 0.2, (60, 121), 0.07, 0.14)
# Without any day effect the SD is never taken below the chance of the balls, so alarms are rarer than the
# budget: about .07.
false_alarm_line(CELLS, CELL_BASELINE, 0.0, (10, 31), 0.03, 0.14)
detection_line(0.25, 0.1, 0.48, 0.58)
detection_line(0.35, 0.1, 0.87, 0.97)
