"""Where practice happens: ranges and courses, their tee lines, bays and targets."""

from django.db import models
from django.db.models import F, Q
from django.utils import timezone

from practice.accounts.access import AcademyOwned, AcademyQuerySet
from practice.accounts.models import Academy
from practice.accounts.zones import validate_time_zone
from practice.ids import uuid7


class SharedQuerySet(AcademyQuerySet):
    """What every player of the academy may read and the staff may change."""

    shared = True


class VenueQuerySet(SharedQuerySet):
    def in_use(self):
        """Return the venues that can be chosen, the default first."""
        return self.filter(archived_at=None).order_by("-is_default", "name")

    def default_of(self, academy):
        """Return the academy's default venue, or None."""
        return self.filter(academy=academy, is_default=True).first()

    def elsewhere_of(self, academy):
        """Return the academy's venue for shots whose place is not known, made when first needed."""
        return self.get_or_create(
            academy=academy,
            slug=Venue.ELSEWHERE,
            defaults={"name": "Elsewhere", "time_zone": academy.time_zone},
        )[0]


class Venue(AcademyOwned):
    """A range, a course, or "Elsewhere"."""

    ELSEWHERE = "elsewhere"

    id = models.UUIDField(primary_key=True, default=uuid7, editable=False)
    academy = models.ForeignKey(Academy, models.CASCADE, related_name="venues")
    slug = models.SlugField(max_length=80)
    name = models.CharField(max_length=120)
    time_zone = models.CharField(max_length=64, validators=[validate_time_zone])
    is_default = models.BooleanField(default=False)
    bucket_sizes = models.JSONField(default=list, blank=True)  # balls in a bucket, smallest first
    archived_at = models.DateTimeField(null=True, blank=True)
    created_at = models.DateTimeField(default=timezone.now, editable=False)

    objects = VenueQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["academy", "slug"], name="venue_slug_once_an_academy"),
            models.UniqueConstraint(fields=["academy"], condition=Q(is_default=True), name="venue_one_default"),
        ]

    def __str__(self):
        return self.name


class TeeLine(AcademyOwned):
    """A named line that distances are measured from."""

    academy_from = "venue"

    id = models.UUIDField(primary_key=True, default=uuid7, editable=False)
    venue = models.ForeignKey(Venue, models.CASCADE, related_name="tee_lines")
    name = models.CharField(max_length=60)

    objects = SharedQuerySet.as_manager()

    class Meta:
        ordering = ["name"]
        constraints = [models.UniqueConstraint(fields=["venue", "name"], name="tee_line_name_once_a_venue")]

    def __str__(self):
        return self.name


class Bay(AcademyOwned):
    """A place on a tee line, with the arc that may be hit into: degrees from straight ahead, + to the right."""

    academy_from = "tee_line"

    id = models.UUIDField(primary_key=True, default=uuid7, editable=False)
    tee_line = models.ForeignKey(TeeLine, models.CASCADE, related_name="bays")
    name = models.CharField(max_length=60)
    arc_left_deg = models.FloatField(default=-90.0)
    arc_right_deg = models.FloatField(default=90.0)

    objects = SharedQuerySet.as_manager()

    class Meta:
        ordering = ["name"]
        constraints = [
            models.UniqueConstraint(fields=["tee_line", "name"], name="bay_name_once_a_tee_line"),
            models.CheckConstraint(
                condition=Q(arc_left_deg__gte=-90, arc_right_deg__lte=90, arc_left_deg__lt=F("arc_right_deg")),
                name="bay_arc",
            ),
        ]

    def __str__(self):
        return self.name


class TargetKind(models.TextChoices):
    FLAG = "flag"
    MARK = "mark"
    SPOT = "spot"


class TargetQuerySet(SharedQuerySet):
    def in_use(self):
        """Return the targets that can be chosen, nearest first."""
        return self.filter(archived_at=None).order_by("distance_m", "name")

    def inside(self, bay: Bay):
        """Return the targets that may be hit at from the bay."""
        return self.filter(
            tee_line=bay.tee_line_id,
            direction_deg__gte=bay.arc_left_deg,
            direction_deg__lte=bay.arc_right_deg,
        )


class Target(AcademyOwned):
    """A flag, a mark or a spot seen from one tee line. Its distance may be unknown, or stated and never checked."""

    academy_from = "tee_line"

    id = models.UUIDField(primary_key=True, default=uuid7, editable=False)
    tee_line = models.ForeignKey(TeeLine, models.CASCADE, related_name="targets")
    name = models.CharField(max_length=60)
    kind = models.CharField(max_length=4, choices=TargetKind, default=TargetKind.FLAG)
    distance_m = models.FloatField(null=True, blank=True)
    direction_deg = models.FloatField(default=0.0)
    elevation_m = models.FloatField(default=0.0)
    checked_on = models.DateField(null=True, blank=True)
    archived_at = models.DateTimeField(null=True, blank=True)

    objects = TargetQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["tee_line", "name"], name="target_name_once_a_tee_line"),
            models.CheckConstraint(condition=Q(kind__in=TargetKind.values), name="target_kind"),
            models.CheckConstraint(
                condition=Q(distance_m=None) | Q(distance_m__gt=0, distance_m__lte=400),
                name="target_distance",
            ),
            models.CheckConstraint(condition=Q(direction_deg__gte=-90, direction_deg__lte=90), name="target_direction"),
            models.CheckConstraint(condition=Q(elevation_m__gte=-100, elevation_m__lte=100), name="target_elevation"),
        ]

    def __str__(self):
        return self.name
