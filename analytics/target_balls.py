"""Rows -> balls at targets, in the series whose form may be followed over time."""

from bisect import bisect_right
from collections import defaultdict
from dataclasses import dataclass
from datetime import date

import numpy as np
from django.db.models import Q

from analytics.frames import BY_EYE, MEASURED
from analytics.metrics.form import SessionForms, TargetBalls, session_forms
from practice.clubs.models import ClubSetup
from practice.players.models import Player
from practice.sessions.models import Shot
from practice.sessions.words import MISHITS, DistanceIs, MeasuredBy, Setting


@dataclass(frozen=True)
class Series:
    """Balls that may be compared: one kind of work, the same equipment, the same way of knowing the distance.

    `kind` is the kind of the block the balls were asked in, "" for balls of the player's own choice; `since` is the
    date of the last change of equipment before them, None where there was none. A series of one club and swing names
    them; one of the player's every ball has "" there.
    """

    by: str
    kind: str
    since: date | None
    club: str = ""
    swing: str = ""


@dataclass(frozen=True)
class BallSeries:
    """Balls whose `series` counts along `series`."""

    balls: TargetBalls
    series: tuple[Series, ...]

    def only(self, wanted) -> "BallSeries":
        """Return the series for which `wanted` holds, and their balls."""
        kept = [code for code, series in enumerate(self.series) if wanted(series)]
        new_code = np.full(len(self.series), -1)
        new_code[kept] = np.arange(len(kept))
        code = new_code[self.balls.series]
        columns = vars(self.balls) | {"series": code}
        balls = TargetBalls(**{name: column[code >= 0] for name, column in columns.items()})
        return BallSeries(balls, tuple(self.series[code] for code in kept))


COLUMNS = (
    *("session", "session__local_date", "measured_by", "ball__block__kind", "setup", "club__label", "swing"),
    *("target_m", "carry_m", "resolution_m"),
)


def target_balls(player: Player) -> tuple[BallSeries, BallSeries]:
    """Return the player's fresh, unhelped balls at known targets: in series of every ball, and of each club and swing.

    A ball that is not known to repeat the one before counts as fresh: an imported file does not say.
    """
    live = Shot.objects.live().filter(player=player, session__setting=Setting.RANGE)
    at_targets = live.filter(
        distance_is=DistanceIs.CARRY, warm_up=False, helped=False, target_m__isnull=False, carry_m__isnull=False
    ).exclude(Q(fresh=False) | Q(contact__in=MISHITS))
    rows = list(at_targets.order_by("session__local_date", "session", "hit_at", "pk").values_list(*COLUMNS))
    changes = sorted(_changes_of_equipment(player))
    every = [_series(row, changes) for row in rows]
    by_cell = [_series(row, changes, in_cells=True) for row in rows]
    return _coded(rows, every), _coded(rows, by_cell)


def _changes_of_equipment(player: Player) -> set[date]:
    """Return the dates from which a club of the player was bent or otherwise set up anew."""
    later = ClubSetup.objects.filter(club__player=player, valid_from__isnull=False)
    return set(later.values_list("valid_from", flat=True))


def _series(row: tuple, changes: list[date], *, in_cells: bool = False) -> Series:
    _, day, measured_by, kind, _, club, swing, *_ = row
    since = changes[place - 1] if (place := bisect_right(changes, day)) else None
    by = BY_EYE if measured_by == MeasuredBy.EYE else MEASURED
    return Series(by, kind or "", since, club, swing) if in_cells else Series(by, kind or "", since)


def _coded(rows: list[tuple], keys: list[Series]) -> BallSeries:
    code_of = {key: code for code, key in enumerate(dict.fromkeys(keys))}
    sessions = {session: code for code, session in enumerate(dict.fromkeys(row[0] for row in rows))}
    target_m = np.array([row[7] for row in rows], dtype=float)
    return BallSeries(
        balls=TargetBalls(
            series=np.array([code_of[key] for key in keys], dtype=np.intp),
            session=np.array([sessions[row[0]] for row in rows], dtype=np.intp),
            day=np.array([row[1].toordinal() for row in rows], dtype=np.intp),
            target_m=target_m,
            error_m=np.array([row[8] for row in rows], dtype=float) - target_m,
            resolution_m=np.array([row[9] or 0.0 for row in rows], dtype=float),
        ),
        series=tuple(code_of),
    )


FRESH, REPEAT, COURSE = "fresh", "repeat", "course"
"""Kinds of balls at targets that are compared: on a range, where one of which nothing is known is neither of the first
two, and on a course."""


def forms_by_kind(player: Player, since: date) -> dict[tuple[str, str], SessionForms]:
    """Return the form of each session since a day, by kind and by how the distances were known."""
    live = Shot.objects.live().filter(player=player, session__local_date__gte=since)
    at_targets = live.filter(
        distance_is=DistanceIs.CARRY, warm_up=False, helped=False, target_m__isnull=False, carry_m__isnull=False
    ).exclude(contact__in=MISHITS)
    by_kind = defaultdict(list)
    names = ("session__setting", "fresh", "measured_by", "session", "session__local_date")
    for setting, fresh, measured_by, *ball in at_targets.order_by("session__local_date", "session", "pk").values_list(
        *names, "target_m", "carry_m", "resolution_m"
    ):
        kind = COURSE if setting == Setting.COURSE else {True: FRESH, False: REPEAT}.get(fresh)
        if kind:
            by_kind[kind, BY_EYE if measured_by == MeasuredBy.EYE else MEASURED].append(ball)
    return {key: session_forms(_one_series(rows)) for key, rows in by_kind.items()}


def _one_series(rows: list[list]) -> TargetBalls:
    """Return rows of session, day, target, carry and resolution as balls of one series."""
    session, day, target_m, carry_m, resolution_m = zip(*rows, strict=True)
    place = {key: code for code, key in enumerate(dict.fromkeys(session))}
    return TargetBalls(
        series=np.zeros(len(rows), dtype=np.intp),
        session=np.array([place[key] for key in session], dtype=np.intp),
        day=np.array([each.toordinal() for each in day], dtype=np.intp),
        target_m=np.array(target_m, dtype=float),
        error_m=np.array(carry_m, dtype=float) - np.array(target_m, dtype=float),
        resolution_m=np.array([each or 0.0 for each in resolution_m], dtype=float),
    )
