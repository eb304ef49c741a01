"""One function a page: shots -> metrics -> report."""

from dataclasses import asdict, dataclass
from datetime import UTC, date, datetime

from analytics.frames import Cell, PlayerShots, player_shots
from analytics.judged import RADIUS_M, JudgedCell, JudgedMishits, OwnShare, cell_mishits, judge
from analytics.metrics.cells import CellScore, score_cells
from analytics.metrics.level_landing import LevelLanding, level_landings
from analytics.metrics.trend import SessionPoint, session_series
from analytics.progress import SeriesProgress, WatchedSeries, player_progress
from analytics.target_balls import Series
from practice.players.models import Player


@dataclass(frozen=True)
class CellReport:
    """One cell with its raw figures and its sessions.

    `resolution_m` is how fine its balls were judged by eye; `level` its figures on the level, None where none of its
    balls went far enough up or down for a correction.
    """

    cell: Cell
    score: CellScore
    mishits: JudgedMishits
    resolution_m: float | None
    series: tuple[SessionPoint, ...]
    level: LevelLanding | None


@dataclass(frozen=True)
class PlayerReport:
    """All that is computed of one player's shots; distances in metres."""

    player: str
    name: str
    academy: str
    as_of: datetime | None
    shots: int
    cells: tuple[CellReport, ...]


def player_report(player: Player) -> PlayerReport:
    """Score a player whose academy is fetched with them."""
    found = player_shots(player)
    return report_on(player, found, cell_mishits(found))


def report_on(player: Player, found: PlayerShots, mishits: tuple[JudgedMishits, ...]) -> PlayerReport:
    """Score a player's shots, whose mishits were judged before."""
    scores = score_cells(found.columns, len(found.cells))
    series = session_series(found.columns, len(found.cells))
    return PlayerReport(
        player=player.slug,
        name=player.name,
        academy=player.academy.slug,
        as_of=found.as_of,
        shots=found.shots,
        cells=tuple(
            CellReport(*each, tuple(points), level)
            for *each, points, level in zip(
                *(found.cells, scores, mishits, found.eye_resolution_m, series, _level(found)), strict=True
            )
        ),
    )


def _level(found: PlayerShots) -> list[LevelLanding | None]:
    columns, good = found.columns, ~found.columns.mishit
    figures = (columns.cell, columns.carry_m, columns.target_m, columns.lateral_m, found.elevation_m)
    return level_landings(*(column[good] for column in figures), len(found.cells))


def full_report(player: Player) -> dict:
    """Return the report in the form that scripts rely on: metres, ISO times in UTC, null where there is no figure.

    A cell's own fields are raw; what is pooled over the player's cells, what mishits are suspected, and what balls
    to targets above or below would have done on the level stands apart under `pooled`, `suspected` and `level`.
    """
    found = player_shots(player)
    judgement, progress = judge(found), player_progress(player)
    report = report_on(player, found, judgement.mishits)
    rate = judgement.mishit_rate
    return {
        "player": report.player,
        "name": report.name,
        "academy": report.academy,
        "units": {"distance": "m"},
        "as_of": report.as_of and report.as_of.astimezone(UTC).isoformat(),
        "shots": report.shots,
        "mishit_rate_pct": rate.pct,
        "mishit_rate_ci95_pct": rate.ci95_pct,
        "progress": [_progress_json(one, progress.reference_m) for one in progress.series],
        "watched": [_watched_json(one) for one in progress.watched],
        "cells": [
            {
                "club": scored.cell.club,
                "swing": scored.cell.swing,
                "by": scored.cell.by,
                "resolution_m": scored.resolution_m,
                **asdict(scored.score),
                "near": _near_json(share),
                "pooled": _pooled_json(pooled),
                "suspected": _suspected_json(scored.mishits),
                "level": scored.level and asdict(scored.level),
            }
            for scored, share, pooled in zip(report.cells, judgement.own_shares, judgement.cells, strict=True)
        ],
    }


def _series_json(series: Series) -> dict:
    return {"by": series.by, "work": series.kind, "since": series.since and series.since.isoformat()}


def _progress_json(one: SeriesProgress, reference_m: float) -> dict:
    """Return one series: its errors are floored at what the measurement can tell, unlike the cells' `trend_` fields."""
    progress = one.progress
    change = progress.change and {name: value for name, value in asdict(progress.change).items() if name != "day_sd"}
    return {
        **_series_json(one.series),
        "sessions": progress.sessions,
        "balls": progress.balls,
        "floored_sessions": progress.floored_sessions,
        "reference_m": reference_m,
        "change": change,
        "certainty": progress.certainty,
    }


def _watched_json(one: WatchedSeries) -> dict:
    alarm_day = one.chart.alarm_day
    return {
        **_series_json(one.series),
        "club": one.series.club or None,
        "swing": one.series.swing or None,
        "verdict": one.chart.verdict,
        "alarm_on": alarm_day and date.fromordinal(alarm_day).isoformat(),
    }


def _near_json(share: OwnShare) -> dict:
    return {
        "radius_m": RADIUS_M,
        "n": share.n,
        "within": share.within,
        "within_pct": share.pct,
        "within_ci95_pct": share.ci95_pct,
    }


POOLED = ("bias_pct", "bias_m", "spread_m", "rmse_pct", "rmse_m", "median_miss_m", "within_pct")


def _pooled_json(cell: JudgedCell | None) -> dict | None:
    if cell is None:
        return None
    figures = {}
    for name in POOLED:
        quantity, _, unit = name.rpartition("_")
        figures[name] = getattr(cell, name).value
        figures[f"{quantity}_ci95_{unit}"] = getattr(cell, name).ci95
    return {"n": cell.n, "target_m": cell.target_m, **figures, "distance_only": cell.distance_only}


def _suspected_json(cell: JudgedMishits) -> dict:
    good = cell.good
    return {
        "mishits": cell.suggested,
        "n": good.n,
        "centre_m": good.centre,
        "centre_ci95_m": good.centre_ci95,
        "spread_m": good.spread,
        "spread_ci95_m": good.spread_ci95,
        "spread_withheld": good.withheld,
    }
