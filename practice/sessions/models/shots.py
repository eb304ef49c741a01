"""The shots a player logged, and every value a shot ever had."""

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils import timezone

from practice.accounts.access import AcademyOwned, AcademyQuerySet
from practice.accounts.models import Device
from practice.clubs.models import Club, ClubSetup
from practice.planner.models import Ball
from practice.players.models import Player
from practice.sessions.models.allowed import one_of, within
from practice.sessions.models.imports import ImportBatch
from practice.sessions.models.phone_items import OwnQuerySet, PhoneItem
from practice.sessions.models.sessions import PracticeSession
from practice.sessions.models.visits import Visit
from practice.sessions.words import (
    MISHITS,
    BallType,
    Contact,
    ContactNote,
    DistanceIs,
    Lie,
    MeasuredBy,
    Source,
    Surface,
    Wind,
    WindFrom,
)
from practice.venues.models import Target


class ShotQuerySet(OwnQuerySet):
    def live(self):
        """Return the shots that count: not undone, not set aside."""
        return self.filter(deleted=False, set_aside_at=None)

    def in_order(self):
        """Return shots as they were hit.

        Running numbers do not help: a shot that was corrected carries the number of its correction.
        """
        return self.order_by("hit_at", "pk")

    def settable_aside_by(self, user):
        """Return the shots that the user, as a coach, may set aside."""
        return self.filter(self._staffed_by(user))


class Shot(PhoneItem):
    """One ball hit, with all that is needed to judge it later. Holds the current values; see ShotRevision."""

    player = models.ForeignKey(Player, models.CASCADE, related_name="shots")
    session = models.ForeignKey(PracticeSession, models.CASCADE, related_name="shots")
    visit = models.ForeignKey(Visit, models.SET_NULL, null=True, blank=True, related_name="shots")
    ball = models.ForeignKey(Ball, models.SET_NULL, null=True, blank=True, related_name="shots")
    source = models.CharField(max_length=5, choices=Source)
    import_batch = models.ForeignKey(ImportBatch, models.SET_NULL, null=True, blank=True, related_name="shots")

    hit_at = models.DateTimeField()
    club = models.ForeignKey(Club, models.RESTRICT, related_name="+")
    setup = models.ForeignKey(ClubSetup, models.RESTRICT, related_name="+")
    swing = models.CharField(max_length=12)
    target = models.ForeignKey(Target, models.SET_NULL, null=True, blank=True, related_name="+")
    target_name = models.CharField(max_length=60, blank=True)
    target_m = models.FloatField(null=True, blank=True)
    elevation_m = models.FloatField(null=True, blank=True)
    carry_m = models.FloatField(null=True, blank=True)
    lateral_m = models.FloatField(null=True, blank=True)
    error_m = models.FloatField(null=True, blank=True)
    seen = models.BooleanField(default=True)
    distance_is = models.CharField(max_length=6, choices=DistanceIs, default=DistanceIs.CARRY)
    contact = models.CharField(max_length=6, choices=Contact, blank=True)
    contact_note = models.CharField(max_length=5, choices=ContactNote, blank=True)
    strike_heel_toe_mm = models.FloatField(null=True, blank=True)
    strike_low_high_mm = models.FloatField(null=True, blank=True)
    number_shown = models.BooleanField(null=True, blank=True)
    fresh = models.BooleanField(null=True, blank=True)
    warm_up = models.BooleanField(default=False)
    helped = models.BooleanField(default=False)
    measured_by = models.CharField(max_length=7, choices=MeasuredBy, default=MeasuredBy.EYE)
    resolution_m = models.FloatField(null=True, blank=True)
    ball_type = models.CharField(max_length=7, choices=BallType, blank=True)
    surface = models.CharField(max_length=5, choices=Surface, blank=True)
    lie = models.CharField(max_length=7, choices=Lie, blank=True)
    wind = models.CharField(max_length=6, choices=Wind, blank=True)
    wind_from = models.CharField(max_length=6, choices=WindFrom, blank=True)

    set_aside_at = models.DateTimeField(null=True, blank=True)
    set_aside_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, related_name="+")
    set_aside_reason = models.CharField(max_length=200, blank=True)
    changed_at = models.DateTimeField(default=timezone.now)

    objects = ShotQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["player", "uid"], name="shot_id_once_a_player"),
            models.CheckConstraint(condition=one_of("source", Source, empty=False), name="shot_source"),
            models.CheckConstraint(
                condition=Q(target_m=None) | Q(target_m__gt=0, target_m__lte=400), name="shot_target"
            ),
            models.CheckConstraint(condition=within("carry_m", 0, 400), name="shot_carry"),
            models.CheckConstraint(condition=within("lateral_m", -200, 200), name="shot_lateral"),
            models.CheckConstraint(condition=within("error_m", -400, 400), name="shot_error"),
            models.CheckConstraint(
                condition=Q(error_m=None) | Q(target_m=None, carry_m=None), name="shot_error_or_distances"
            ),
            models.CheckConstraint(
                # isnull first: a CHECK that comes out as NULL passes
                condition=Q(carry_m__isnull=False, carry_m__gt=0)
                | Q(error_m__isnull=False)
                | Q(contact__in=MISHITS)
                | Q(seen=False),
                name="shot_has_a_result",
            ),
            models.CheckConstraint(condition=one_of("distance_is", DistanceIs, empty=False), name="shot_distance_is"),
            models.CheckConstraint(condition=one_of("contact", Contact), name="shot_contact"),
            models.CheckConstraint(condition=one_of("contact_note", ContactNote), name="shot_contact_note"),
            models.CheckConstraint(condition=within("elevation_m", -100, 100), name="shot_elevation"),
            models.CheckConstraint(condition=within("strike_heel_toe_mm", -80, 80), name="shot_strike_heel_toe"),
            models.CheckConstraint(condition=within("strike_low_high_mm", -80, 80), name="shot_strike_low_high"),
            models.CheckConstraint(condition=one_of("measured_by", MeasuredBy, empty=False), name="shot_measured_by"),
            models.CheckConstraint(condition=within("resolution_m", 0, 50), name="shot_resolution"),
            models.CheckConstraint(condition=one_of("ball_type", BallType), name="shot_ball_type"),
            models.CheckConstraint(condition=one_of("surface", Surface), name="shot_surface"),
            models.CheckConstraint(condition=one_of("lie", Lie), name="shot_lie"),
            models.CheckConstraint(condition=one_of("wind", Wind), name="shot_wind"),
            models.CheckConstraint(condition=one_of("wind_from", WindFrom), name="shot_wind_from"),
            models.CheckConstraint(
                condition=Q(set_aside_at=None, set_aside_reason="")
                | Q(set_aside_at__isnull=False) & ~Q(set_aside_reason=""),
                name="shot_set_aside_with_reason",
            ),
        ]
        indexes = [
            # Covers what the scores read, so that a player's page costs the same beside a million other shots. The two
            # columns of its condition stand in it as well: without them SQLite looks each shot up in the table.
            models.Index(
                fields=[
                    "player",
                    "session",
                    "setup",
                    "swing",
                    "measured_by",
                    "contact",
                    "distance_is",
                    "warm_up",
                    "target_m",
                    "carry_m",
                    "error_m",
                    "lateral_m",
                    "resolution_m",
                    "elevation_m",
                    "deleted",
                    "set_aside_at",
                ],
                condition=Q(deleted=False, set_aside_at=None),
                name="shot_scoring",
            ),
            models.Index(fields=["player", "changed_at"], name="shot_newest_change"),
        ]

    def __str__(self):
        return f"{self.club} by {self.player}"


class ShotRevision(AcademyOwned):
    """Every value that was ever set on a shot; rows are only added."""

    academy_from = "shot"

    shot = models.ForeignKey(Shot, models.CASCADE, related_name="revisions")
    revision = models.PositiveIntegerField()
    deleted = models.BooleanField(default=False)
    values = models.JSONField()
    device = models.ForeignKey(Device, models.SET_NULL, null=True, blank=True, related_name="+")
    running_number = models.PositiveBigIntegerField(null=True, blank=True)
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.SET_NULL, null=True, related_name="+")
    phone_at = models.DateTimeField(null=True, blank=True)
    received_at = models.DateTimeField(default=timezone.now)

    class OfShot(AcademyQuerySet):
        own = "shot__player__user"

    objects = OfShot.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["shot", "device", "running_number"],
                condition=Q(device__isnull=False),
                name="shot_revision_once_a_device_number",
            )
        ]

    def __str__(self):
        return f"revision {self.revision} of shot {self.shot_id}"
