"""How a draft stood before a change, so that the change can be taken back."""

from django.db import models
from django.utils import timezone

from practice.accounts.access import AcademyOwned, AcademyQuerySet
from practice.ids import uuid7
from practice.planner.models.weeks import WeekPlan


class DraftSnapshot(AcademyOwned):
    """A draft before a change: its note, and its blocks with their balls, every field by its name.

    Kept as text and not as rows, for it is read whole or not at all, and goes with the draft, or once the week is
    assigned by itself: where a squad's week was assigned over a draft, it waits for the next one.
    """

    academy_from = "plan"

    id = models.UUIDField(primary_key=True, default=uuid7, editable=False)
    plan = models.ForeignKey(WeekPlan, models.CASCADE, related_name="snapshots")
    change = models.CharField(max_length=120)
    note = models.CharField(max_length=400, blank=True)
    blocks = models.JSONField(default=list)
    created_at = models.DateTimeField(default=timezone.now, editable=False)

    objects = AcademyQuerySet.as_manager()

    class Meta:
        ordering = ["-created_at", "-pk"]

    def __str__(self):
        return self.change
