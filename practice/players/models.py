"""Players: each belongs to one academy and may or may not have a sign-in."""

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils import timezone

from practice.accounts.access import AcademyOwned, AcademyQuerySet
from practice.accounts.models import Academy
from practice.ids import uuid7
from practice.units import DistanceUnit


class Handed(models.TextChoices):
    RIGHT = "right"
    LEFT = "left"


class PlayerQuerySet(AcademyQuerySet):
    own = "user"

    def logged_by(self, user):
        """Return the players for whom the user may log: those the user is, and those the user looks after."""
        return self.filter(self._owned_by(user) | self._staffed_by(user))

    def on_the_roster(self):
        """Return the players that the academy looks after now, by name."""
        return self.filter(archived_at=None).order_by("name", "slug")

    def archived(self):
        """Return the players that the academy no longer looks after, by name."""
        return self.exclude(archived_at=None).order_by("name", "slug")


class Player(AcademyOwned):
    """Someone whose practice is planned and logged."""

    id = models.UUIDField(primary_key=True, default=uuid7, editable=False)
    academy = models.ForeignKey(Academy, models.CASCADE, related_name="players")
    user = models.ForeignKey(settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, related_name="players")
    slug = models.SlugField(max_length=80)
    name = models.CharField(max_length=120)
    handed = models.CharField(max_length=5, choices=Handed, default=Handed.RIGHT)
    distance_unit = models.CharField(max_length=2, choices=DistanceUnit, blank=True)
    is_junior = models.BooleanField(default=False)
    consent_noted_on = models.DateField(null=True, blank=True)
    consent_note = models.CharField(max_length=200, blank=True)
    daily_ball_limit = models.PositiveSmallIntegerField(null=True, blank=True)
    created_at = models.DateTimeField(default=timezone.now, editable=False)
    archived_at = models.DateTimeField(null=True, blank=True)

    objects = PlayerQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["academy", "slug"], name="player_slug_once_an_academy"),
            models.UniqueConstraint(
                fields=["academy", "user"],
                condition=Q(user__isnull=False),
                name="player_user_once_an_academy",
            ),
            models.CheckConstraint(condition=Q(handed__in=Handed.values), name="player_handed"),
            models.CheckConstraint(
                condition=Q(distance_unit__in=["", *DistanceUnit.values]), name="player_distance_unit"
            ),
        ]

    def __str__(self):
        return self.name

    def archive(self) -> None:
        """Take the player off the roster; everything held stays. Again changes nothing."""
        type(self).objects.filter(pk=self.pk, archived_at=None).update(archived_at=timezone.now())

    def restore(self) -> None:
        """Put the player back on the roster."""
        type(self).objects.filter(pk=self.pk).update(archived_at=None)

    @property
    def ball_limit(self) -> int | None:
        """The most balls a day that the coach wants: the player's own limit, else the academy's, less for juniors."""
        of_academy = self.academy.junior_daily_ball_limit if self.is_junior else self.academy.daily_ball_limit
        return self.daily_ball_limit or of_academy

    @property
    def shown_unit(self) -> DistanceUnit:
        """The unit this player reads: their own choice, or the academy's."""
        return DistanceUnit(self.distance_unit or self.academy.distance_unit)
