"""Files of shots that were read in."""

from django.conf import settings
from django.db import models
from django.utils import timezone

from practice.accounts.access import AcademyOwned
from practice.players.models import Player
from practice.sessions.models.sessions import SessionQuerySet


class ImportBatch(AcademyOwned):
    """One file of shots that was read in."""

    academy_from = "player"

    player = models.ForeignKey(Player, models.CASCADE, related_name="import_batches")
    file_name = models.CharField(max_length=200)
    file_sha256 = models.CharField(max_length=64)
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.SET_NULL, null=True, related_name="+")
    created_at = models.DateTimeField(default=timezone.now)

    objects = SessionQuerySet.as_manager()

    class Meta:
        verbose_name_plural = "import batches"

    def __str__(self):
        return self.file_name
