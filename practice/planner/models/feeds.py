"""The secret address at which a player's plan is a calendar."""

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils import timezone

from practice.accounts.access import AcademyOwned, AcademyQuerySet
from practice.ids import uuid7
from practice.players.models import Player


class CalendarFeedQuerySet(AcademyQuerySet):
    own = "player__user"
    own_is_editable = True

    def live(self):
        """Return the feeds whose address works."""
        return self.filter(revoked_at=None, player__archived_at=None)


class CalendarFeed(AcademyOwned):
    """One address, until it is revoked. Only a digest of its secret is kept, so that it can be shown once only."""

    academy_from = "player"

    id = models.UUIDField(primary_key=True, default=uuid7, editable=False)
    player = models.ForeignKey(Player, models.CASCADE, related_name="calendar_feeds")
    token_sha256 = models.CharField(max_length=64, unique=True)
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.SET_NULL, null=True, related_name="+")
    made_at = models.DateTimeField(default=timezone.now, editable=False)
    revoked_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, related_name="+")
    revoked_at = models.DateTimeField(null=True, blank=True)

    objects = CalendarFeedQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["player"], condition=Q(revoked_at=None), name="feed_one_live_a_player"),
            models.CheckConstraint(
                condition=Q(revoked_at=None) | Q(revoked_at__gte=F("made_at")), name="feed_revoked_after_it_was_made"
            ),
        ]

    def __str__(self):
        return f"calendar feed of {self.player}"
