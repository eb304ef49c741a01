"""What all rows share that were recorded on a phone."""

from django.db import models
from django.utils import timezone

from practice.accounts.access import AcademyOwned, AcademyQuerySet
from practice.accounts.models import Device
from practice.ids import uuid7


class OwnQuerySet(AcademyQuerySet):
    """Rows that the player made and may correct."""

    own = "player__user"
    own_is_editable = True

    def editable_by(self, user):
        """Only the player: a coach may look, and set a shot aside, but never rewrites what a player recorded."""
        return self.filter(self._owned_by(user))


class PhoneItem(AcademyOwned):
    """Something recorded on a phone: its id was made there, and its highest revision wins."""

    academy_from = "player"

    uid = models.UUIDField(default=uuid7)
    revision = models.PositiveIntegerField(default=1)
    deleted = models.BooleanField(default=False)
    device = models.ForeignKey(Device, models.SET_NULL, null=True, blank=True, related_name="+")
    running_number = models.PositiveBigIntegerField(null=True, blank=True)
    phone_at = models.DateTimeField(null=True, blank=True)
    clock_offset_ms = models.BigIntegerField(null=True, blank=True)
    received_at = models.DateTimeField(default=timezone.now)

    class Meta:
        abstract = True

    @property
    def standing(self) -> tuple:
        """What decides between this setting and another one, as `PhoneEntry.standing` has it."""
        return self.revision, self.running_number or 0, str(self.device_id or "")
