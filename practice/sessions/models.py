"""What was done: visits, sessions, shots and every value a shot ever had."""

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils import timezone

from practice.accounts.access import AcademyOwned, AcademyQuerySet
from practice.accounts.models import Device
from practice.clubs.models import Club, ClubSetup
from practice.drills.kinds import MAX_BALLS
from practice.ids import uuid7
from practice.planner.models import Ball, Block
from practice.players.models import Player
from practice.sessions.words import (
    MISHITS,
    TURF_CONTACTS,
    BallType,
    Contact,
    ContactNote,
    DistanceIs,
    Ground,
    Lie,
    MeasuredBy,
    Setting,
    Source,
    Stand,
    Surface,
    Voice,
    Wind,
    WindFrom,
)
from practice.venues.models import Bay, Target, TeeLine, Venue


def one_of(field: str, words, *, empty: bool = True) -> Q:
    """Return the condition that a field holds one of the words, or nothing."""
    return Q(**{f"{field}__in": [*([""] if empty else []), *words.values]})


def within(field: str, low: float, high: float) -> Q:
    """Return the condition that a number is missing or within bounds; NaN is neither."""
    return Q(**{field: None}) | Q(**{f"{field}__gte": low, f"{field}__lte": high})


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


class Visit(PhoneItem):
    """One stay at a range or course: where the player stood and how distances were known. Shots copy its conditions."""

    player = models.ForeignKey(Player, models.CASCADE, related_name="visits")
    venue = models.ForeignKey(Venue, models.RESTRICT, related_name="+")
    tee_line = models.ForeignKey(TeeLine, models.SET_NULL, null=True, blank=True, related_name="+")
    bay = models.ForeignKey(Bay, models.SET_NULL, null=True, blank=True, related_name="+")
    started_at = models.DateTimeField()
    setting = models.CharField(max_length=6, choices=Setting, default=Setting.RANGE)
    label = models.CharField(max_length=40, blank=True)
    stand = models.CharField(max_length=9, choices=Stand, default=Stand.UNCHECKED)
    offset_m = models.FloatField(default=0.0)
    measured_by = models.CharField(max_length=7, choices=MeasuredBy, default=MeasuredBy.EYE)
    resolution_m = models.FloatField(null=True, blank=True)
    ball_type = models.CharField(max_length=7, choices=BallType, blank=True)
    surface = models.CharField(max_length=5, choices=Surface, blank=True)
    wind = models.CharField(max_length=6, choices=Wind, blank=True)
    wind_from = models.CharField(max_length=6, choices=WindFrom, blank=True)

    objects = OwnQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["player", "uid"], name="visit_id_once_a_player"),
            models.CheckConstraint(condition=one_of("setting", Setting, empty=False), name="visit_setting"),
            models.CheckConstraint(condition=one_of("stand", Stand, empty=False), name="visit_stand"),
            models.CheckConstraint(condition=Q(offset_m__gte=-50, offset_m__lte=50), name="visit_offset"),
            models.CheckConstraint(condition=one_of("measured_by", MeasuredBy, empty=False), name="visit_measured_by"),
            models.CheckConstraint(condition=within("resolution_m", 0, 50), name="visit_resolution"),
            models.CheckConstraint(condition=one_of("ball_type", BallType), name="visit_ball_type"),
            models.CheckConstraint(condition=one_of("surface", Surface), name="visit_surface"),
            models.CheckConstraint(condition=one_of("wind", Wind), name="visit_wind"),
            models.CheckConstraint(condition=one_of("wind_from", WindFrom), name="visit_wind_from"),
        ]

    def __str__(self):
        return f"{self.player} at {self.venue}"


class SessionQuerySet(AcademyQuerySet):
    own = "player__user"


class PracticeSession(AcademyOwned):
    """What statistics group by. Assigned by the server, never by the phone."""

    academy_from = "player"

    player = models.ForeignKey(Player, models.CASCADE, related_name="practice_sessions")
    local_date = models.DateField()
    venue = models.ForeignKey(Venue, models.RESTRICT, related_name="+")
    setting = models.CharField(max_length=6, choices=Setting, default=Setting.RANGE)
    label = models.CharField(max_length=40, blank=True, default="")

    objects = SessionQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["player", "local_date", "venue", "setting", "label"], name="session_once"),
            models.CheckConstraint(condition=one_of("setting", Setting, empty=False), name="session_setting"),
        ]

    def __str__(self):
        return f"{self.player} on {self.local_date}"


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


class SkippedBall(PhoneItem):
    """A ball of a block that the player chose not to hit."""

    player = models.ForeignKey(Player, models.CASCADE, related_name="skipped_balls")
    ball = models.ForeignKey(Ball, models.CASCADE, related_name="skips")

    objects = OwnQuerySet.as_manager()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["player", "uid"], name="skip_id_once_a_player")]

    def __str__(self):
        return f"{self.ball} skipped"


class PainStopQuerySet(OwnQuerySet):
    def on(self, player, day):
        """Return the stops that close a player's local day."""
        return self.filter(player=player, local_date=day, deleted=False)


class PainStop(PhoneItem):
    """Something hurt and the player stopped: closes that day's balls, and the coach sees it at once."""

    player = models.ForeignKey(Player, models.CASCADE, related_name="pain_stops")
    block = models.ForeignKey(Block, models.SET_NULL, null=True, blank=True, related_name="+")
    stopped_at = models.DateTimeField()
    local_date = models.DateField()

    objects = PainStopQuerySet.as_manager()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["player", "uid"], name="stop_id_once_a_player")]

    def __str__(self):
        return f"{self.player} stopped on {self.local_date}"


class EyeGuessQuerySet(OwnQuerySet):
    def checked(self):
        """Return the guesses that a laser answered."""
        return self.filter(deleted=False, measured_m__isnull=False)


class EyeGuess(PhoneItem):
    """A distance judged by eye, kept before the laser was read; `measured_m` is missing where it never was."""

    player = models.ForeignKey(Player, models.CASCADE, related_name="eye_guesses")
    guessed_at = models.DateTimeField()
    guess_m = models.FloatField()
    measured_m = models.FloatField(null=True, blank=True)

    objects = EyeGuessQuerySet.as_manager()

    class Meta:
        verbose_name_plural = "eye guesses"
        constraints = [
            models.UniqueConstraint(fields=["player", "uid"], name="eye_guess_id_once_a_player"),
            models.CheckConstraint(condition=Q(guess_m__gte=0.5, guess_m__lte=400), name="eye_guess_guess"),
            models.CheckConstraint(condition=within("measured_m", 0.5, 400), name="eye_guess_measured"),
        ]

    def __str__(self):
        return f"{self.player} guessed {self.guess_m:g} m"


class SessionItem(PhoneItem):
    """Practice in a session that is no shot. The server says which session, as it does of a shot."""

    visit = models.ForeignKey(Visit, models.SET_NULL, null=True, blank=True, related_name="+")
    session = models.ForeignKey(PracticeSession, models.CASCADE, related_name="+")
    done_at = models.DateTimeField()
    # Of what came from a phone its device tells; a sheet that was typed in has none.
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, related_name="+")

    class Meta:
        abstract = True


class SessionItemQuerySet(OwnQuerySet):
    def live(self):
        """Return what was not undone."""
        return self.filter(deleted=False)


class TurfSwing(SessionItem):
    """One swing over the turf, with or without a ball, judged by how it met the ground: not by where a ball went."""

    player = models.ForeignKey(Player, models.CASCADE, related_name="turf_swings")
    block = models.ForeignKey(Block, models.SET_NULL, null=True, blank=True, related_name="+")
    club = models.ForeignKey(Club, models.RESTRICT, null=True, blank=True, related_name="+")
    contact = models.CharField(max_length=6, choices=[(word.value, word.label) for word in TURF_CONTACTS])
    ground = models.CharField(max_length=5, choices=Ground)
    surface = models.CharField(max_length=5, choices=Surface, blank=True)

    objects = SessionItemQuerySet.as_manager()

    class Meta:
        verbose_name_plural = "turf"
        constraints = [
            models.UniqueConstraint(fields=["player", "uid"], name="turf_id_once_a_player"),
            models.CheckConstraint(condition=Q(contact__in=TURF_CONTACTS), name="turf_contact"),
            models.CheckConstraint(condition=one_of("ground", Ground, empty=False), name="turf_ground"),
            models.CheckConstraint(condition=one_of("surface", Surface), name="turf_surface"),
        ]

    def __str__(self):
        return f"{self.contact}, {Ground(self.ground).label}"


class BlockTally(SessionItem):
    """What a player remembers at the end of a block of which no ball was logged. Never pooled with shots."""

    player = models.ForeignKey(Player, models.CASCADE, related_name="block_tallies")
    block = models.ForeignKey(Block, models.CASCADE, related_name="tallies")
    balls = models.PositiveSmallIntegerField()
    on = models.PositiveSmallIntegerField()
    long = models.PositiveSmallIntegerField()
    short = models.PositiveSmallIntegerField()
    mishits = models.PositiveSmallIntegerField()

    objects = SessionItemQuerySet.as_manager()

    class Meta:
        verbose_name_plural = "tallies"
        constraints = [
            models.UniqueConstraint(fields=["player", "uid"], name="tally_id_once_a_player"),
            models.CheckConstraint(condition=Q(balls__gte=1, balls__lte=MAX_BALLS), name="tally_balls"),
            models.CheckConstraint(
                condition=Q(balls__gte=F("on") + F("long") + F("short") + F("mishits")), name="tally_within_balls"
            ),
        ]

    def __str__(self):
        return f"{self.block}: {self.on} of {self.balls} on target"

    @property
    def not_seen(self) -> int:
        return self.balls - self.on - self.long - self.short - self.mishits


class StrikeMark(SessionItem):
    """Where a ball met the face, read from what was sprayed, drawn or taped on it after some balls.

    It tells nothing of where its ball went, and of what was on the face nothing is known but the mark.
    """

    player = models.ForeignKey(Player, models.CASCADE, related_name="strike_marks")
    block = models.ForeignKey(Block, models.SET_NULL, null=True, blank=True, related_name="+")
    club = models.ForeignKey(Club, models.RESTRICT, related_name="+")
    heel_toe_mm = models.FloatField()
    low_high_mm = models.FloatField()
    resolution_mm = models.FloatField(null=True, blank=True)

    objects = SessionItemQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["player", "uid"], name="mark_id_once_a_player"),
            models.CheckConstraint(condition=Q(heel_toe_mm__gte=-80, heel_toe_mm__lte=80), name="mark_heel_toe"),
            models.CheckConstraint(condition=Q(low_high_mm__gte=-80, low_high_mm__lte=80), name="mark_low_high"),
            models.CheckConstraint(condition=within("resolution_mm", 0, 50), name="mark_resolution"),
        ]

    def __str__(self):
        return f"{self.club}: {self.heel_toe_mm:g} mm to the toe, {self.low_high_mm:g} mm high"


class SmoothSwing(SessionItem):
    """One swing with a hum or a breath out through it, and whether that broke."""

    player = models.ForeignKey(Player, models.CASCADE, related_name="smooth_swings")
    block = models.ForeignKey(Block, models.SET_NULL, null=True, blank=True, related_name="+")
    club = models.ForeignKey(Club, models.RESTRICT, null=True, blank=True, related_name="+")
    smooth = models.BooleanField()
    how = models.CharField(max_length=6, choices=Voice, blank=True)

    objects = SessionItemQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["player", "uid"], name="swing_id_once_a_player"),
            models.CheckConstraint(condition=one_of("how", Voice), name="swing_how"),
        ]

    def __str__(self):
        return "smooth" if self.smooth else "broken"


class BlockOutcome(SessionItem):
    """What a block came to where no ball of it is logged by itself: how many balls were hit, and one answer.

    Which answer there is follows from the block's score; the others are empty. Without a block it is what was hit
    beside the plan. `leaves_m` are distances from the hole where balls stopped.
    """

    player = models.ForeignKey(Player, models.CASCADE, related_name="outcomes")
    block = models.ForeignKey(Block, models.SET_NULL, null=True, blank=True, related_name="outcomes")
    balls = models.PositiveSmallIntegerField()
    made = models.PositiveSmallIntegerField(null=True, blank=True)
    best_run = models.PositiveSmallIntegerField(null=True, blank=True)
    yes = models.BooleanField(null=True, blank=True)
    leaves_m = models.JSONField(null=True, blank=True)

    objects = SessionItemQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["player", "uid"], name="outcome_id_once_a_player"),
            models.CheckConstraint(condition=Q(balls__lte=MAX_BALLS), name="outcome_balls"),
            models.CheckConstraint(condition=Q(made=None) | Q(made__lte=F("balls")), name="outcome_made"),
            models.CheckConstraint(condition=Q(best_run=None) | Q(best_run__lte=F("balls")), name="outcome_best_run"),
        ]

    def __str__(self):
        return f"{self.block or 'Other balls'}: {self.balls} hit"


SESSION_ITEMS = (TurfSwing, BlockTally, StrikeMark, SmoothSwing, BlockOutcome)
"""Whatever moves along when its visit is corrected."""
