"""Whether a player's distance control is changing, how sure that is, and what it would take to see more."""

from dataclasses import dataclass

from analytics.frames import BY_EYE
from analytics.metrics.control import CELL_BASELINE, PLAYER_BASELINE, Chart, control_charts
from analytics.metrics.false_alarms import SEASON_BUDGET
from analytics.metrics.power import smallest_improvement_pct
from analytics.metrics.progress import Progress, series_progress
from analytics.target_balls import BallSeries, Series, target_balls
from practice.players.models import Player
from practice.units import DistanceUnit

REFERENCE = {DistanceUnit.YARDS: 60.0, DistanceUnit.METRES: 55.0}
"""The distance at which a typical error is said, in the reader's unit."""

DAY_SD, LEAST_DAY_SD = 0.15, 0.10
"""Day-to-day variation while a player's own is unknown, and the least that is reckoned with: engineering estimates.

A season tells it badly, and often as 0; hopes set on that would be too high.
"""

WEEKS = (6, 8, 12, 26, 52)


@dataclass(frozen=True)
class SeriesProgress:
    """One series with what its line says."""

    series: Series
    progress: Progress


@dataclass(frozen=True)
class WatchedSeries:
    """One series with its chart."""

    series: Series
    chart: Chart


@dataclass(frozen=True)
class PlayerProgress:
    """All that is said of one player's progress; distances in metres.

    `watched` holds the charts that have a baseline, measured balls only: what is judged by eye raises no alarm.
    """

    reference_m: float
    series: tuple[SeriesProgress, ...]
    watched: tuple[WatchedSeries, ...]

    @property
    def alarms(self) -> tuple[WatchedSeries, ...]:
        """The charts that left their limits."""
        return tuple(one for one in self.watched if one.chart.alarm_day is not None)

    @property
    def day_sd(self) -> float | None:
        """The day-to-day variation of the longest series, None where no series has a line."""
        lines = [one.progress for one in self.series if one.progress.change]
        return max(lines, key=lambda found: found.sessions).change.day_sd if lines else None


def player_progress(player: Player) -> PlayerProgress:
    """Follow each series of a player whose academy is fetched with them."""
    unit = player.shown_unit
    reference_m = unit.to_m(REFERENCE[unit])
    every, by_cell = target_balls(player)
    found = series_progress(every.balls, len(every.series), reference_m)
    followed = [SeriesProgress(*pair) for pair in zip(every.series, found, strict=True) if pair[1].sessions]
    followed.sort(key=lambda one: (one.progress.last_day, one.progress.sessions), reverse=True)
    return PlayerProgress(
        reference_m=reference_m,
        series=tuple(followed),
        watched=(*_watched(every, PLAYER_BASELINE), *_watched(by_cell, CELL_BASELINE)),
    )


def _watched(balls: BallSeries, baseline: int) -> list[WatchedSeries]:
    """Return the charts with a baseline. Player and cells are watched side by side: half of the budget each."""
    measured = balls.only(lambda series: series.by != BY_EYE)
    charts = control_charts(measured.balls, len(measured.series), baseline=baseline, budget=SEASON_BUDGET / 2)
    pairs = zip(measured.series, charts, strict=True)
    return [WatchedSeries(series, chart) for series, chart in pairs if chart.verdict != "baseline"]


@dataclass(frozen=True)
class Effort:
    """What so much work can show: the smallest improvement (percent) seen in each number of weeks, None for none.

    `day_sd_is` says where the day-to-day variation comes from: "own", "least" (the player's own seems smaller than is
    reckoned with) or "assumed".
    """

    balls_a_week: int
    visits_a_week: int
    day_sd: float
    day_sd_is: str
    smallest_pct: tuple[tuple[int, float | None], ...]


def effort(found: PlayerProgress, *, balls_a_week: int, visits_a_week: int) -> Effort:
    """Say what balls at targets in so many visits a week would let the coach see."""
    own = found.day_sd
    if own is None:
        day_sd, day_sd_is = DAY_SD, "assumed"
    else:
        day_sd, day_sd_is = (own, "own") if own > LEAST_DAY_SD else (LEAST_DAY_SD, "least")
    figures = [
        (weeks, smallest_improvement_pct(balls_a_week, weeks, day_sd=day_sd, sessions_a_week=visits_a_week))
        for weeks in WEEKS
    ]
    return Effort(balls_a_week, visits_a_week, day_sd, day_sd_is, tuple(figures))
