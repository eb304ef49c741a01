"""The only place that turns rows into columns for the metrics.

A player's rows are read through the player, whom the caller fetched through a door: that keeps the read inside
the covering index, so that its cost does not grow with other players' shots.
"""

from dataclasses import dataclass
from datetime import datetime

import numpy as np
from django.db import connection
from django.db.models import F, Max, Q

from analytics.metrics.cells import ShotColumns
from practice.clubs.models import ClubSetup, SwingLength
from practice.clubs.swings import swing_position
from practice.players.models import Player
from practice.sessions.models import PracticeSession, Shot, ShotQuerySet
from practice.sessions.words import MISHITS, DistanceIs, MeasuredBy, Setting

MEASURED, BY_EYE = "measured", "eye"


@dataclass(frozen=True)
class Cell:
    """A club and a swing, with how the distance was known: measured and by eye are never pooled."""

    club: str
    loft_deg: float | None
    swing: str
    by: str


@dataclass(frozen=True)
class PlayerShots:
    """A player's shots as columns; `columns.cell` counts along `cells`, which are in order of loft, then swing.

    `eye_resolution_m` is the coarsest step to which the balls of each cell were judged by eye: None for a measured
    cell, and where nobody said. `elevation_m` is the height of each ball's target above the tee, NaN where not known.
    """

    cells: tuple[Cell, ...]
    columns: ShotColumns
    elevation_m: np.ndarray
    eye_resolution_m: tuple[float | None, ...]
    shots: int
    as_of: datetime | None


METRES = ("target_m", "carry_m", "error_m", "lateral_m", "resolution_m", "elevation_m")
COLUMNS = ("session", "setup", "swing", "by_eye", "mishit", *METRES)


def player_shots(player: Player) -> PlayerShots:
    """Read what counts in cells: live shots on a range, carry known, no warm-up balls."""
    live = Shot.objects.live().filter(player=player)
    days = _days_of_range_sessions(player)
    rows = [row for row in _fetched(live.filter(distance_is=DistanceIs.CARRY, warm_up=False)) if row[0] in days]
    session, setup, swing, by_eye, mishit, *metres = zip(*rows, strict=True) if rows else [()] * len(COLUMNS)
    keys = list(zip(setup, swing, by_eye, strict=True))
    cells, code_of = _cells_in_order(player, set(keys))
    session_code = {session: code for code, session in enumerate(days)}
    metres = [np.array(column, dtype=float) for column in metres]
    # The same shots give the same report to the last digit, in whatever order the database held them.
    order = np.lexsort(metres)
    target_m, carry_m, error_m, lateral_m, resolution_m, elevation_m = (column[order] for column in metres)
    cell = np.array([code_of[key] for key in keys], dtype=np.intp)[order]
    return PlayerShots(
        cells=cells,
        columns=ShotColumns(
            cell=cell,
            session=np.array([session_code[key] for key in session], dtype=np.intp)[order],
            day=np.array([days[key] for key in session], dtype=np.intp)[order],
            mishit=np.array(mishit, dtype=bool)[order],
            stock=np.isnan(target_m) & np.isnan(error_m),
            target_m=target_m,
            carry_m=carry_m,
            error_m=error_m,
            lateral_m=lateral_m,
        ),
        elevation_m=elevation_m,
        eye_resolution_m=_coarsest_by_eye(cells, cell, resolution_m),
        shots=live.count(),
        as_of=Shot.objects.filter(player=player).aggregate(newest=Max("changed_at"))["newest"],
    )


def _coarsest_by_eye(cells: tuple[Cell, ...], cell: np.ndarray, resolution_m: np.ndarray) -> tuple[float | None, ...]:
    coarsest_m = np.zeros(len(cells))
    known = np.flatnonzero(~np.isnan(resolution_m))
    np.maximum.at(coarsest_m, cell[known], resolution_m[known])
    return tuple(
        step_m if step_m and each.by == BY_EYE else None
        for each, step_m in zip(cells, coarsest_m.tolist(), strict=True)
    )


def _fetched(shots: ShotQuerySet) -> list[tuple]:
    """Return the COLUMNS of the shots as the database driver gives them.

    Fetching costs a page more than all its scoring. So words that only tell two things apart come as 0 and 1, and
    nothing is converted row by row.
    """
    told_apart = shots.annotate(by_eye=Q(measured_by=MeasuredBy.EYE), mishit=Q(contact__in=MISHITS))
    sql, parameters = told_apart.values_list(*COLUMNS).query.sql_with_params()
    with connection.cursor() as cursor:
        cursor.execute(sql, parameters)
        return cursor.fetchall()


def _days_of_range_sessions(player: Player) -> dict[int, int]:
    """Return the ordinal of the local date of each session on a range, by session, oldest first."""
    on_range = PracticeSession.objects.filter(player=player, setting=Setting.RANGE)
    found = on_range.order_by("local_date", "venue__slug", "label")
    return {pk: day.toordinal() for pk, day in found.values_list("pk", "local_date")}


def _cells_in_order(player: Player, keys: set[tuple]) -> tuple[tuple[Cell, ...], dict[tuple, int]]:
    """Return the cells of the (setup, swing, by eye) keys in order, and each key's place among them."""
    label_of, loft_of = _clubs_by_setup(player)
    own_swings = dict(SwingLength.objects.filter(academy=player.academy_id).values_list("code", "position"))
    cell_of = {
        (setup, swing, by_eye): Cell(
            club=label_of[setup],
            loft_deg=loft_of[label_of[setup]],
            swing=swing,
            by=BY_EYE if by_eye else MEASURED,
        )
        for setup, swing, by_eye in keys
    }

    def place(cell: Cell) -> tuple:
        missing = cell.loft_deg is None
        return missing, cell.loft_deg or 0.0, cell.club, swing_position(cell.swing, own_swings), cell.by == BY_EYE

    cells = tuple(sorted(set(cell_of.values()), key=place))
    code = {cell: n for n, cell in enumerate(cells)}
    return cells, {key: code[cell] for key, cell in cell_of.items()}


def _clubs_by_setup(player: Player) -> tuple[dict[int, str], dict[str, float | None]]:
    """Return the club label of each setup, and the loft each label has now (of the carried club, if two share it)."""
    rows = ClubSetup.objects.filter(club__player=player).order_by(
        "club__carried", F("valid_from").asc(nulls_first=True)
    )
    label_of, loft_of = {}, {}
    for setup, label, loft_deg in rows.values_list("pk", "club__label", "loft_deg"):
        label_of[setup] = label
        loft_of[label] = loft_deg
    return label_of, loft_of
