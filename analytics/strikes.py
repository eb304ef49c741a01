"""A player's strike marks on a range: of balls logged one by one, and of those tapped on one face afterwards."""

from collections import Counter, defaultdict
from collections.abc import Collection
from dataclasses import dataclass
from datetime import date
from uuid import UUID

import numpy as np
from django.db.models import Count, F, Max

from analytics.metrics.strike import Point
from practice.clubs.models import Club
from practice.players.models import Player
from practice.sessions.models import Shot, ShotQuerySet, StrikeMark
from practice.sessions.words import MISHITS, Setting


@dataclass(frozen=True)
class MarkedBall:
    """One ball with its mark, (low-high, heel-toe) in mm; swing and contact are empty where nobody noted them."""

    mark_mm: Point
    swing: str
    contact: str
    ball_type: str
    surface: str

    @property
    def mishit(self) -> bool:
        return self.contact in MISHITS


def mark_columns(balls: list[MarkedBall]) -> tuple[np.ndarray, np.ndarray]:
    """Return the marks as columns, low-high first."""
    low_high_mm, heel_toe_mm = np.array([ball.mark_mm for ball in balls], dtype=float).reshape(-1, 2).T
    return low_high_mm, heel_toe_mm


@dataclass(frozen=True)
class MarkSession:
    """The marks of one club in one session."""

    club: UUID
    session: int
    day: date
    marks: int


def mark_sessions(player: Player) -> list[MarkSession]:
    """Return the sessions with marks, club by club, oldest first."""
    marks, last = Counter(), {}
    for rows, time in ((_marked_shots(player), "hit_at"), (_marks(player), "done_at")):
        by_session = rows.order_by().values_list("club", "session", "session__local_date")
        for *key, n, newest in by_session.annotate(marks=Count("pk"), last=Max(time)):
            key = tuple(key)
            marks[key] += n
            last[key] = max(newest, last.get(key, newest))
    in_order = sorted(marks, key=lambda key: (key[2], last[key]))
    return [MarkSession(*key, marks[key]) for key in in_order]


def marks_of(player: Player, club: Club, sessions: Collection[int]) -> dict[int, list[MarkedBall]]:
    """Return the club's marked balls of these sessions, by session, in the order in which they were logged."""
    here = {"club": club, "session__in": sessions}
    shots = _marked_shots(player).filter(**here).values_list("session", "hit_at", "pk", *SHOT_COLUMNS)
    marks = _marks(player).filter(**here).annotate(ball_type=F("visit__ball_type"), surface=F("visit__surface"))
    rows = [(*row, False) for row in shots]
    rows += [
        (*row[:5], "", "", row[5] or "", row[6] or "", True)
        for row in marks.values_list("session", "done_at", "pk", *MARK, "ball_type", "surface")
    ]
    found = defaultdict(list)
    for session, _, _, low_high_mm, heel_toe_mm, *rest, _ in sorted(rows, key=lambda row: (row[1], row[-1], row[2])):
        found[session].append(MarkedBall((low_high_mm, heel_toe_mm), *rest))
    return found


SHOT_COLUMNS = ("strike_low_high_mm", "strike_heel_toe_mm", "swing", "contact", "ball_type", "surface")
MARK = ("low_high_mm", "heel_toe_mm")


def _marked_shots(player: Player) -> ShotQuerySet:
    """Return the balls of which both coordinates of the mark are known, mishits too."""
    marked = Shot.objects.live().filter(player=player, session__setting=Setting.RANGE).order_by()
    return marked.exclude(strike_low_high_mm=None).exclude(strike_heel_toe_mm=None)


def _marks(player: Player):
    return StrikeMark.objects.live().filter(player=player, session__setting=Setting.RANGE)
