"""The drill library: recipes that blocks follow."""

from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import Q
from django.utils import timezone

from practice.accounts.access import AcademyOwned, AcademyQuerySet
from practice.accounts.models import Academy
from practice.drills.kinds import KINDS, check_parameters
from practice.ids import uuid7


class DrillQuerySet(AcademyQuerySet):
    shared = True

    def in_use(self):
        """Return the drills that a plan may use, by title."""
        return self.filter(archived_at=None).order_by("title")


class Drill(AcademyOwned):
    """A recipe: its kind says how balls are drawn and logged, its parameters are validated by that kind."""

    id = models.UUIDField(primary_key=True, default=uuid7, editable=False)
    academy = models.ForeignKey(Academy, models.CASCADE, related_name="drills")
    kind = models.CharField(max_length=20)
    title = models.CharField(max_length=80)
    instructions = models.TextField(max_length=2000, blank=True)
    cautions = models.TextField(max_length=1000, blank=True)
    parameters = models.JSONField(default=dict)
    created_at = models.DateTimeField(default=timezone.now, editable=False)
    archived_at = models.DateTimeField(null=True, blank=True)

    objects = DrillQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["academy", "title"], name="drill_title_once_an_academy"),
            models.CheckConstraint(condition=Q(kind__in=list(KINDS)), name="drill_kind"),
        ]

    def __str__(self):
        return self.title

    def save(self, *args, **kwargs):
        self.parameters = check_parameters(self.kind, self.parameters)
        super().save(*args, **kwargs)

    @property
    def aims(self) -> str:
        """What its balls are drawn from; DrillKind says which there are."""
        return KINDS[self.kind].parts(self.parameters)[0]

    @property
    def log(self) -> str:
        """How the player logs a block of it."""
        return KINDS[self.kind].parts(self.parameters)[1]

    @property
    def score(self) -> str:
        """What is made of the log."""
        return KINDS[self.kind].parts(self.parameters)[2]

    def clean(self):
        if self.kind not in KINDS:
            raise ValidationError({"kind": "Choose one of the drill kinds."})
