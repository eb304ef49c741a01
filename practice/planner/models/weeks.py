"""A player's week: a draft, then assigned and never changed, or withdrawn."""

from django.conf import settings
from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import Q
from django.utils import timezone

from practice.accounts.access import AcademyOwned, AcademyQuerySet
from practice.ids import uuid7
from practice.players.models import Player


class PlanState(models.TextChoices):
    DRAFT = "draft"
    ASSIGNED = "assigned"
    WITHDRAWN = "withdrawn"


class WeekPlanQuerySet(AcademyQuerySet):
    own = "player__user"

    def _owned_by(self, user) -> Q:
        """A player sees what was assigned, and nothing else."""
        return super()._owned_by(user) & Q(state=PlanState.ASSIGNED)

    def drafts(self):
        return self.filter(state=PlanState.DRAFT)

    def assigned(self):
        return self.filter(state=PlanState.ASSIGNED)

    def for_week(self, player, monday):
        """Return the versions of a player's week, newest first."""
        return self.filter(player=player, monday=monday).order_by("-version")


class WeekPlan(AcademyOwned):
    """The work of one player in one week: a draft, then assigned and never changed, or withdrawn."""

    academy_from = "player"

    id = models.UUIDField(primary_key=True, default=uuid7, editable=False)
    player = models.ForeignKey(Player, models.CASCADE, related_name="plans")
    monday = models.DateField()
    version = models.PositiveSmallIntegerField(default=1)
    state = models.CharField(max_length=9, choices=PlanState, default=PlanState.DRAFT)
    note = models.CharField(max_length=400, blank=True)
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.SET_NULL, null=True, related_name="+")
    created_at = models.DateTimeField(default=timezone.now, editable=False)
    assigned_at = models.DateTimeField(null=True, blank=True)
    withdrawn_at = models.DateTimeField(null=True, blank=True)

    objects = WeekPlanQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["player", "monday", "version"], name="plan_version_once_a_week"),
            models.UniqueConstraint(
                fields=["player", "monday"], condition=Q(state="assigned"), name="plan_one_assigned_a_week"
            ),
            models.UniqueConstraint(
                fields=["player", "monday"], condition=Q(state="draft"), name="plan_one_draft_a_week"
            ),
            models.CheckConstraint(condition=Q(monday__iso_week_day=1), name="plan_week_starts_on_monday"),
            models.CheckConstraint(
                condition=Q(state="draft", assigned_at=None, withdrawn_at=None)
                | Q(state="assigned", assigned_at__isnull=False, withdrawn_at=None)
                | Q(state="withdrawn", withdrawn_at__isnull=False),
                name="plan_state_dates",
            ),
        ]

    def __str__(self):
        return f"{self.player}, week of {self.monday}"

    @property
    def is_draft(self) -> bool:
        return self.state == PlanState.DRAFT


class FrozenError(ValidationError):
    """Raised when something already assigned would be changed."""
