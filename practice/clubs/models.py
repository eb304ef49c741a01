"""The bag: clubs, how they were set up over time, loft readings, and carries the coach states."""

from datetime import date

from django.conf import settings
from django.core.validators import RegexValidator
from django.db import models
from django.db.models import Q
from django.utils import timezone

from practice.accounts.access import AcademyOwned, AcademyQuerySet
from practice.accounts.models import MOST_BEND_DEG, Academy
from practice.ids import uuid7
from practice.players.models import Player

MAX_CARRIED = 14
"""Rules of Golf, Rule 4.1b: not more than 14 clubs in a round."""


class OfPlayerQuerySet(AcademyQuerySet):
    """Rows that lead to a player through `player`; the player reads them."""

    own = "player__user"


FACE_MM = 80.0
"""How far from its zero a spot of the face may lie, either way: as far as a strike mark may."""

HEAD_BOUNDS = {"head_g": (150, 500), "tilt_inertia_g_cm2": (200, 4000), "turn_inertia_g_cm2": (800, 6000)}
"""What a head may weigh, and how hard it may be to turn: wide enough for a driver and a putter; common practice, no
source."""


LENGTH_MM = (400, 1400)
"""From a very short junior club to a long putter; common practice, no source."""

LIE_DEG = (40, 80)
"""Up to what a shaft may stand: at least 10 degrees from the vertical (Equipment Rules, Part 2, 1d, from memory)."""

CAST_LIMIT_DEG = 1.0
"""How far a cast head is bent at most where nobody said otherwise; common practice, no source."""


def spot_or_none(*names: str) -> Q:
    """Return the condition that both coordinates of a spot of the face are known, or neither."""
    known = Q()
    for name in names:
        # A comparison with NULL is no refusal, so that both are there has to be asked for.
        known &= Q(**{f"{name}__isnull": False, f"{name}__gte": -FACE_MM, f"{name}__lte": FACE_MM})
    return Q(**dict.fromkeys(names)) | known


def head_in_bounds() -> Q:
    """Return the condition that each value of a head is left open or lies within its bounds."""
    condition = Q()
    for name, (least, most) in HEAD_BOUNDS.items():
        condition &= within(name, least, most)
    return condition


def within(name: str, least: float, most: float) -> Q:
    """Return the condition that a value is left open or lies within its bounds."""
    return Q(**{name: None}) | Q(**{f"{name}__gte": least, f"{name}__lte": most})


class ClubKind(models.TextChoices):
    WEDGE = "wedge"
    IRON = "iron"
    HYBRID = "hybrid"
    WOOD = "wood"
    PUTTER = "putter"


class HeadType(models.TextChoices):
    """How a head was made; a forged one bends more easily. Empty is unknown."""

    FORGED = "forged"
    CAST = "cast"


class ClubQuerySet(OfPlayerQuerySet):
    def carried(self):
        """Return the clubs in the bag now."""
        return self.filter(carried=True)

    def for_pitching(self):
        """Return the carried clubs that a block may ask for: all but the putter."""
        return self.carried().exclude(kind=ClubKind.PUTTER)

    def with_setups(self):
        """Fetch the setups too, oldest first."""
        return self.prefetch_related(models.Prefetch("setups", ClubSetup.objects.in_order()))


class Club(AcademyOwned):
    """One club of one player. Its loft lives in its setups, because it can change.

    Spots of the face are counted from the same point as the strike marks, + is high and toe; both coordinates or none.
    The sweet spot is where it lies on this head; the intended spot is the one that the coach wants hit, if any. Values
    of the head left open are estimated where a strike is judged.
    """

    academy_from = "player"

    id = models.UUIDField(primary_key=True, default=uuid7, editable=False)
    player = models.ForeignKey(Player, models.CASCADE, related_name="clubs")
    label = models.CharField(max_length=20)
    kind = models.CharField(max_length=6, choices=ClubKind, default=ClubKind.WEDGE)
    carried = models.BooleanField(default=True)
    head_type = models.CharField(max_length=6, choices=HeadType, blank=True)
    length_mm = models.FloatField(null=True, blank=True)
    lie_deg = models.FloatField(null=True, blank=True)
    bend_limit_deg = models.FloatField(null=True, blank=True)
    sweet_spot_heel_toe_mm = models.FloatField(null=True, blank=True)
    sweet_spot_low_high_mm = models.FloatField(null=True, blank=True)
    intended_heel_toe_mm = models.FloatField(null=True, blank=True)
    intended_low_high_mm = models.FloatField(null=True, blank=True)
    head_g = models.FloatField(null=True, blank=True)
    tilt_inertia_g_cm2 = models.FloatField(null=True, blank=True)
    turn_inertia_g_cm2 = models.FloatField(null=True, blank=True)
    notes = models.CharField(max_length=200, blank=True)
    created_at = models.DateTimeField(default=timezone.now, editable=False)

    objects = ClubQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["player", "label"], condition=Q(carried=True), name="club_label_once_in_the_bag"
            ),
            models.CheckConstraint(condition=Q(kind__in=ClubKind.values), name="club_kind"),
            models.CheckConstraint(condition=~Q(label=""), name="club_label_given"),
            models.CheckConstraint(
                condition=spot_or_none("sweet_spot_low_high_mm", "sweet_spot_heel_toe_mm"), name="club_sweet_spot"
            ),
            models.CheckConstraint(
                condition=spot_or_none("intended_low_high_mm", "intended_heel_toe_mm"), name="club_intended_spot"
            ),
            models.CheckConstraint(condition=head_in_bounds(), name="club_head"),
            models.CheckConstraint(condition=Q(head_type__in=["", *HeadType.values]), name="club_head_type"),
            models.CheckConstraint(condition=within("length_mm", *LENGTH_MM), name="club_length"),
            models.CheckConstraint(condition=within("lie_deg", *LIE_DEG), name="club_lie"),
            models.CheckConstraint(condition=within("bend_limit_deg", 0, MOST_BEND_DEG), name="club_bend_limit"),
        ]

    def __str__(self):
        return self.label

    def setup_on(self, day):
        """Return the setup that held on a local date; uses prefetched setups where there are any."""
        return setup_held_on(self.setups.all(), day)

    @property
    def setup_now(self) -> "ClubSetup":
        """The newest setup."""
        return max(self.setups.all(), key=ClubSetup.age_key)

    @property
    def sweet_spot_mm(self) -> tuple[float, float] | None:
        """Where the sweet spot lies on the face, (low-high, heel-toe); None = unknown."""
        return _spot(self.sweet_spot_low_high_mm, self.sweet_spot_heel_toe_mm)

    @property
    def intended_spot_mm(self) -> tuple[float, float] | None:
        """The spot that the coach wants hit, (low-high, heel-toe); None = no spot is the right one."""
        return _spot(self.intended_low_high_mm, self.intended_heel_toe_mm)

    @property
    def limit_deg(self) -> float:
        """How far the head may be bent from the loft it was made with, either way, in degrees.

        The club's own limit; else none for a hybrid, a wood or a putter, the academy's for the others, but no more than
        1 degree for a cast head (common practice, no source). The club is fetched with player and academy.
        """
        if self.bend_limit_deg is not None:
            return self.bend_limit_deg
        if self.kind not in (ClubKind.WEDGE, ClubKind.IRON):
            return 0.0
        of_academy = self.player.academy.bend_limit_deg
        return min(of_academy, CAST_LIMIT_DEG) if self.head_type == HeadType.CAST else of_academy

    def loft_key(self) -> tuple:
        """Sort key: by loft now, then label; a club of unknown loft last."""
        loft_deg = self.setup_now.loft_deg
        return loft_deg is None, loft_deg or 0.0, self.label


def _spot(low_high_mm: float | None, heel_toe_mm: float | None) -> tuple[float, float] | None:
    return None if low_high_mm is None or heel_toe_mm is None else (low_high_mm, heel_toe_mm)


def setup_held_on(setups, day) -> "ClubSetup":
    """Return the one of a club's setups that held on a local date; before all of them it is the first."""
    by_age = sorted(setups, key=ClubSetup.age_key)
    held = [setup for setup in by_age if setup.valid_from is None or setup.valid_from <= day]
    return held[-1] if held else by_age[0]


class SetupReason(models.TextChoices):
    NEW = "new"
    BENT = "bent"
    REGRIPPED = "regripped"


class ClubSetupQuerySet(AcademyQuerySet):
    own = "club__player__user"

    def in_order(self):
        """Return setups oldest first; the first is open to the past."""
        return self.order_by(models.F("valid_from").asc(nulls_first=True))


class ClubSetup(AcademyOwned):
    """How a club was from a date on. Each setup is one series: figures never run across a bend unseen."""

    academy_from = "club"

    club = models.ForeignKey(Club, models.CASCADE, related_name="setups")
    loft_deg = models.FloatField(null=True, blank=True)
    bounce_deg = models.FloatField(null=True, blank=True)
    valid_from = models.DateField(null=True, blank=True)
    reason = models.CharField(max_length=9, choices=SetupReason, default=SetupReason.NEW)
    created_at = models.DateTimeField(default=timezone.now, editable=False)

    objects = ClubSetupQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["club", "valid_from"], name="setup_once_a_day"),
            models.UniqueConstraint(fields=["club"], condition=Q(valid_from=None), name="setup_one_first"),
            models.CheckConstraint(condition=Q(loft_deg=None) | Q(loft_deg__gt=0, loft_deg__lt=90), name="setup_loft"),
            models.CheckConstraint(
                condition=Q(bounce_deg=None) | Q(bounce_deg__gte=-10, bounce_deg__lte=30), name="setup_bounce"
            ),
            models.CheckConstraint(condition=Q(reason__in=SetupReason.values), name="setup_reason"),
        ]

    def __str__(self):
        return f"{self.club} from {self.valid_from or 'the start'}"

    def age_key(self) -> tuple:
        """Sort key: the setup open to the past first; a club has no second one."""
        return (self.valid_from is not None, self.valid_from or date.min)


class LoftReading(AcademyOwned):
    """A measurement of a loft. Any number a setup; it starts no new series."""

    academy_from = "setup"

    setup = models.ForeignKey(ClubSetup, models.CASCADE, related_name="readings")
    loft_deg = models.FloatField()
    measured_on = models.DateField()
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.SET_NULL, null=True, related_name="+")

    class OfSetup(AcademyQuerySet):
        own = "setup__club__player__user"

    objects = OfSetup.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(loft_deg__gt=0, loft_deg__lt=90), name="reading_loft"),
        ]

    def __str__(self):
        return f"{self.loft_deg} on {self.measured_on}"


class BagReview(AcademyOwned):
    """A coach's look through a player's bag on one day: what is due once a season.

    `lofts_checked` says that afterwards no loft of the clubs it asks for was without a reading of the last
    `bag_review_days`; the readings themselves are rows of their own, like any other.
    """

    academy_from = "player"

    id = models.UUIDField(primary_key=True, default=uuid7, editable=False)
    player = models.ForeignKey(Player, models.CASCADE, related_name="bag_reviews")
    done_on = models.DateField()
    done_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.SET_NULL, null=True, related_name="+")
    lofts_checked = models.BooleanField(default=False)
    gaps_looked_at = models.BooleanField(default=False)
    notes = models.CharField(max_length=400, blank=True)

    objects = OfPlayerQuerySet.as_manager()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["player", "done_on"], name="bag_review_once_a_day")]

    def __str__(self):
        return f"{self.player} on {self.done_on}"


class Grooves(models.TextChoices):
    FINE = "fine"
    WORN = "worn"
    REPLACE = "replace", "to be replaced"


class GrooveLook(AcademyOwned):
    """How worn the grooves of one club looked at a review; a club that nobody looked at has none."""

    academy_from = "review"

    review = models.ForeignKey(BagReview, models.CASCADE, related_name="groove_looks")
    club = models.ForeignKey(Club, models.CASCADE, related_name="groove_looks")
    grooves = models.CharField(max_length=7, choices=Grooves)

    class OfReview(AcademyQuerySet):
        own = "review__player__user"

    objects = OfReview.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["review", "club"], name="groove_look_once_a_review"),
            models.CheckConstraint(condition=Q(grooves__in=Grooves.values), name="groove_look_grooves"),
        ]

    def __str__(self):
        return f"{self.club}: {self.grooves}"


class StatedCarry(AcademyOwned):
    """A carry that the coach states until it is tested: used for reach only, never shown as measured."""

    academy_from = "club"

    club = models.ForeignKey(Club, models.CASCADE, related_name="stated_carries")
    swing = models.CharField(max_length=12)
    carry_m = models.FloatField()
    stated_on = models.DateField()
    stated_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.SET_NULL, null=True, related_name="+")

    class OfClub(AcademyQuerySet):
        own = "club__player__user"

    objects = OfClub.as_manager()

    class Meta:
        verbose_name_plural = "stated carries"
        constraints = [
            models.UniqueConstraint(fields=["club", "swing"], name="stated_carry_once_a_swing"),
            models.CheckConstraint(condition=Q(carry_m__gt=0, carry_m__lte=300), name="stated_carry_range"),
        ]

    def __str__(self):
        return f"{self.club} {self.swing}"


class SwingLength(AcademyOwned):
    """A swing length that an academy adds to the clock's, e.g. gripped down."""

    academy = models.ForeignKey(Academy, models.CASCADE, related_name="swing_lengths")
    code = models.CharField(max_length=12, validators=[RegexValidator(r"^[a-z0-9:.-]+$")])
    position = models.PositiveSmallIntegerField(default=0)

    class Shared(AcademyQuerySet):
        shared = True

    objects = Shared.as_manager()

    class Meta:
        ordering = ["position", "code"]
        constraints = [
            models.UniqueConstraint(fields=["academy", "code"], name="swing_length_once"),
            models.CheckConstraint(
                condition=~Q(code__in=["", "feel", "7:30", "9:00", "10:30", "full"]),
                name="swing_length_is_own",
            ),
        ]

    def __str__(self):
        return self.code


class PuttingTable(AcademyOwned):
    """The putts that an academy expects from each distance, in place of the published ones.

    `rows` is a list of [feet, putts]; `source` says where they come from, and stands beside every figure.
    """

    academy = models.OneToOneField(Academy, models.CASCADE, related_name="putting_table")
    source = models.CharField(max_length=200)
    rows = models.JSONField()

    class Shared(AcademyQuerySet):
        shared = True

    objects = Shared.as_manager()

    class Meta:
        constraints = [models.CheckConstraint(condition=~Q(source=""), name="putting_table_source_given")]

    def __str__(self):
        return self.source
