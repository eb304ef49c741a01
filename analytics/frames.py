"""The only place that turns rows into columns for the metrics.

A player's rows are read through the player, whom the caller fetched through a door: that keeps the read inside
the covering index, so that its cost does not grow with other players' shots.
"""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

import numpy as np
from django.db import connection
from django.db.models import Count, F, Max, Q

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
    return shots_of([player])[player.pk]


def shots_of(players: Collection[Player]) -> dict[UUID, PlayerShots]:
    """Read each player's shots as `player_shots` does; the number of statements does not grow with the players."""
    live = Shot.objects.live().filter(player__in=players).order_by()
    days = _days_of_range_sessions(players)
    rows: dict[UUID, list[tuple]] = {player.pk: [] for player in players}
    rows_of = {session: rows[player] for player, own in days.items() for session in own}
    for row in _fetched(live.filter(distance_is=DistanceIs.CARRY, warm_up=False)):
        if row[0] in rows_of:
            rows_of[row[0]].append(row)
    clubs, own_swings = _Clubs(players), _own_swings(players)
    shots = dict(live.values_list("player").annotate(Count("pk")))
    held = Shot.objects.filter(player__in=players).order_by()
    as_of = dict(held.values_list("player").annotate(Max("changed_at")))
    return {
        player.pk: _as_columns(
            rows[player.pk],
            days[player.pk],
            clubs,
            own_swings[player.academy_id],
            shots=shots.get(player.pk, 0),
            as_of=as_of.get(player.pk),
        )
        for player in players
    }


def _as_columns(
    rows: list[tuple], days: dict[int, int], clubs: "_Clubs", own_swings: dict[str, float], **beside
) -> PlayerShots:
    session, setup, swing, by_eye, mishit, *metres = zip(*rows, strict=True) if rows else [()] * len(COLUMNS)
    keys = list(zip(setup, swing, by_eye, strict=True))
    cells, code_of = _cells_in_order(clubs, own_swings, set(keys))
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
        **beside,
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


def _days_of_range_sessions(players: Collection[Player]) -> dict[UUID, dict[int, int]]:
    """Return by player the ordinal of the local date of each session on a range, by session, oldest first."""
    days: dict[UUID, dict[int, int]] = {player.pk: {} for player in players}
    on_range = PracticeSession.objects.filter(player__in=players, setting=Setting.RANGE)
    found = on_range.order_by("local_date", "venue__slug", "label")
    for player, pk, day in found.values_list("player", "pk", "local_date"):
        days[player][pk] = day.toordinal()
    return days


def _own_swings(players: Collection[Player]) -> dict[UUID, dict[str, float]]:
    """Return by academy the positions of its own swing lengths."""
    own: dict[UUID, dict[str, float]] = {player.academy_id: {} for player in players}
    rows = SwingLength.objects.filter(academy__in=own)
    for academy, code, position in rows.values_list("academy", "code", "position"):
        own[academy][code] = position
    return own


def _cells_in_order(
    clubs: "_Clubs", own_swings: dict[str, float], keys: set[tuple]
) -> tuple[tuple[Cell, ...], dict[tuple, int]]:
    """Return the cells of the (setup, swing, by eye) keys in order, and each key's place among them."""
    cell_of = {
        (setup, swing, by_eye): Cell(
            club=clubs.label_of[setup],
            loft_deg=clubs.loft_deg(setup),
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


class _Clubs:
    """The club label of each setup, and the loft each label of a player has now (of the carried club, if two share
    it)."""

    def __init__(self, players: Collection[Player]):
        rows = ClubSetup.objects.filter(club__player__in=players).order_by(
            "club__carried", F("valid_from").asc(nulls_first=True)
        )
        self.label_of: dict[int, str] = {}
        self._player_of: dict[int, UUID] = {}
        self._loft_of: dict[tuple[UUID, str], float | None] = {}
        for setup, player, label, loft_deg in rows.values_list("pk", "club__player", "club__label", "loft_deg"):
            self.label_of[setup] = label
            self._player_of[setup] = player
            self._loft_of[player, label] = loft_deg

    def loft_deg(self, setup: int) -> float | None:
        return self._loft_of[self._player_of[setup], self.label_of[setup]]
