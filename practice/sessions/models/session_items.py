"""Practice in a session that is no shot: turf swings, tallies, strike marks, smooth swings, outcomes."""

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from practice.clubs.models import Club
from practice.drills.kinds import MAX_BALLS
from practice.planner.models import Block
from practice.players.models import Player
from practice.sessions.models.allowed import one_of, within
from practice.sessions.models.phone_items import OwnQuerySet, PhoneItem
from practice.sessions.models.sessions import PracticeSession
from practice.sessions.models.visits import Visit
from practice.sessions.words import TURF_CONTACTS, Ground, Surface, Voice


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
