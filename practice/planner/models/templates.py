"""A week that a coach keeps to give it again: its blocks as recipes, without anybody's clubs."""

from django.db import models
from django.db.models import Q
from django.utils import timezone

from practice.accounts.access import AcademyOwned, AcademyQuerySet
from practice.accounts.models import Academy
from practice.ids import uuid7


class WeekTemplate(AcademyOwned):
    """A named week. `blocks` are recipes, as `BlockRecipe.as_json` writes them: each player hits them with the own
    clubs."""

    id = models.UUIDField(primary_key=True, default=uuid7, editable=False)
    academy = models.ForeignKey(Academy, models.CASCADE, related_name="week_templates")
    name = models.CharField(max_length=60)
    blocks = models.JSONField(default=list)
    created_at = models.DateTimeField(default=timezone.now, editable=False)

    objects = AcademyQuerySet.as_manager()

    class Meta:
        ordering = ["name"]
        constraints = [
            models.UniqueConstraint(fields=["academy", "name"], name="week_template_name_once_an_academy"),
            models.CheckConstraint(condition=~Q(name=""), name="week_template_named"),
        ]

    def __str__(self):
        return self.name
