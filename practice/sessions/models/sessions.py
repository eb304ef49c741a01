"""Practice sessions, by which statistics group."""

from django.db import models

from practice.accounts.access import AcademyOwned, AcademyQuerySet
from practice.players.models import Player
from practice.sessions.models.allowed import one_of
from practice.sessions.words import Setting
from practice.venues.models import Venue


class SessionQuerySet(AcademyQuerySet):
    own = "player__user"


class PracticeSession(AcademyOwned):
    """What statistics group by. Assigned by the server, never by the phone."""

    academy_from = "player"

    player = models.ForeignKey(Player, models.CASCADE, related_name="practice_sessions")
    local_date = models.DateField()
    venue = models.ForeignKey(Venue, models.RESTRICT, related_name="+")
    setting = models.CharField(max_length=6, choices=Setting, default=Setting.RANGE)
    label = models.CharField(max_length=40, blank=True, default="")

    objects = SessionQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["player", "local_date", "venue", "setting", "label"], name="session_once"),
            models.CheckConstraint(condition=one_of("setting", Setting, empty=False), name="session_setting"),
        ]

    def __str__(self):
        return f"{self.player} on {self.local_date}"
