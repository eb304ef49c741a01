"""One function a page: shots -> metrics -> report."""

from dataclasses import asdict, dataclass
from datetime import UTC, datetime

from analytics.frames import Cell, player_shots
from analytics.metrics.cells import CellScore, score_cells
from analytics.metrics.trend import SessionPoint, session_series
from practice.players.models import Player


@dataclass(frozen=True)
class CellReport:
    """One cell with its raw figures and its sessions."""

    cell: Cell
    score: CellScore
    series: tuple[SessionPoint, ...]


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
    scores = score_cells(found.columns, len(found.cells))
    series = session_series(found.columns, len(found.cells))
    return PlayerReport(
        player=player.slug,
        name=player.name,
        academy=player.academy.slug,
        as_of=found.as_of,
        shots=found.shots,
        cells=tuple(
            CellReport(cell, score, tuple(points))
            for cell, score, points in zip(found.cells, scores, series, strict=True)
        ),
    )


def report_as_json(report: PlayerReport) -> dict:
    """Return the report in the form that scripts rely on: metres, ISO times in UTC, null where there is no figure."""
    return {
        "player": report.player,
        "name": report.name,
        "academy": report.academy,
        "units": {"distance": "m"},
        "as_of": report.as_of and report.as_of.astimezone(UTC).isoformat(),
        "shots": report.shots,
        "cells": [
            {"club": found.cell.club, "swing": found.cell.swing, "by": found.cell.by, **asdict(found.score)}
            for found in report.cells
        ],
    }
