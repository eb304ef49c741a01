"""When a player competes: before that the plan eases off."""

from django.db import models
from django.db.models import Q
from django.utils import timezone

from practice.accounts.access import AcademyOwned, AcademyQuerySet
from practice.ids import uuid7
from practice.players.models import Player


class CompetitionQuerySet(AcademyQuerySet):
    own = "player__user"

    def between(self, first, last):
        """Return those on a day from first to last, by day."""
        return self.filter(day__range=(first, last)).order_by("day")


class Competition(AcademyOwned):
    """A day on which a player competes."""

    academy_from = "player"

    id = models.UUIDField(primary_key=True, default=uuid7, editable=False)
    player = models.ForeignKey(Player, models.CASCADE, related_name="competitions")
    day = models.DateField()
    title = models.CharField(max_length=80, blank=True)
    created_at = models.DateTimeField(default=timezone.now, editable=False)

    objects = CompetitionQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["player", "day"], name="competition_once_a_day"),
            models.CheckConstraint(condition=Q(day__year__gte=2000, day__year__lt=2100), name="competition_day"),
        ]

    def __str__(self):
        return self.title or "Competition"
