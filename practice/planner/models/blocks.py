"""What is asked in a week: its blocks, and every ball of a block, stored as the player was shown it."""

from datetime import date
from math import ceil

from django.db import models
from django.db.models import F, Q
from django.utils import timezone

from practice.accounts.access import AcademyOwned, AcademyQuerySet
from practice.clubs.models import Club
from practice.drills.kinds import KINDS
from practice.drills.models import Drill
from practice.ids import uuid7
from practice.planner.marks import PassMark
from practice.planner.models.weeks import FrozenError, PlanState, WeekPlan
from practice.venues.models import Target, Venue


class Logging(models.TextChoices):
    """Which balls of a block get a result. Under THIRD every third and the last; under END only counts, afterwards."""

    EVERY = "every", "Every ball"
    THIRD = "third", "Every third ball"
    END = "end", "Once at the end"

    @classmethod
    def choices_for(cls, kind: str) -> list[tuple[str, str]]:
        """Return what a block of this kind may have."""
        return [choice for choice in cls.choices if choice[0] in KINDS[kind].loggings]

    def results_of(self, balls: int) -> int:
        """Return how many of so many balls get a result."""
        return {Logging.EVERY: balls, Logging.THIRD: ceil(balls / 3), Logging.END: 0}[self]


def kinds_without(logging: str) -> list[str]:
    """Return the kinds of which a block may not be logged so."""
    return [kind for kind, drill in KINDS.items() if logging not in drill.loggings]


SURFACES = ("mat", "grass", "sand")
"""What a block may have to be hit off; the codes are those of a visit's surface."""

COUNTED = ("k_of_n", "clean_share", "smooth_share")
"""Scores that are so many out of so many."""


class BlockQuerySet(AcademyQuerySet):
    own = "plan__player__user"

    def _owned_by(self, user) -> Q:
        return super()._owned_by(user) & ~Q(plan__state=PlanState.DRAFT)

    def to_do(self):
        """Return the blocks of assigned plans that were not taken back, in order."""
        return self.filter(plan__state=PlanState.ASSIGNED, withdrawn_at=None).order_by("plan__monday", "position")

    def update(self, **values):
        """Change drafts only; of an assigned block only the withdrawal may be noted."""
        if set(values) - {"withdrawn_at"} and self.exclude(plan__state=PlanState.DRAFT).exists():
            raise FrozenError("A block that was assigned is never changed; make a new one.")
        return super().update(**values)

    def bulk_create(self, objs, *args, **kwargs):
        """Add blocks to drafts only."""
        objs = list(objs)
        if not all(block.plan.is_draft for block in objs):
            raise FrozenError("A week that was assigned gets no more blocks; make a new version.")
        return super().bulk_create(objs, *args, **kwargs)


class Block(AcademyOwned):
    """A set of balls with one purpose. Holds its own copy of the drill's words: what was asked stays as it was."""

    academy_from = "plan"

    id = models.UUIDField(primary_key=True, default=uuid7, editable=False)
    plan = models.ForeignKey(WeekPlan, models.CASCADE, related_name="blocks")
    position = models.PositiveSmallIntegerField()
    drill = models.ForeignKey(Drill, models.SET_NULL, null=True, related_name="blocks")
    kind = models.CharField(max_length=20)
    title = models.CharField(max_length=80)
    instructions = models.TextField(max_length=2000, blank=True)
    cautions = models.TextField(max_length=1000, blank=True)
    parameters = models.JSONField(default=dict)
    number_shown = models.BooleanField(default=True)
    logging = models.CharField(max_length=5, choices=Logging, default=Logging.EVERY)
    day = models.PositiveSmallIntegerField(null=True, blank=True)  # from Monday, 0, to Sunday, 6; null is any day
    minutes = models.PositiveSmallIntegerField(null=True, blank=True)
    surface = models.CharField(max_length=10, blank=True)
    cue = models.CharField(max_length=80, blank=True)
    rain = models.CharField(max_length=200, blank=True)
    reason = models.CharField(max_length=300, blank=True)
    pinned = models.BooleanField(default=False)
    pass_made = models.PositiveSmallIntegerField(null=True, blank=True)
    pass_of = models.PositiveSmallIntegerField(null=True, blank=True)
    pass_within_pct = models.PositiveSmallIntegerField(null=True, blank=True)
    on_pass = models.CharField(max_length=120, blank=True)
    on_miss = models.CharField(max_length=120, blank=True)
    venue = models.ForeignKey(Venue, models.SET_NULL, null=True, blank=True, related_name="+")
    seed = models.PositiveBigIntegerField()
    algorithm = models.CharField(max_length=40)
    inputs_sha256 = models.CharField(max_length=64)
    notes = models.JSONField(default=list)
    replaces = models.ForeignKey("self", models.SET_NULL, null=True, blank=True, related_name="replaced_by")
    withdrawn_at = models.DateTimeField(null=True, blank=True)
    created_at = models.DateTimeField(default=timezone.now, editable=False)

    objects = BlockQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["plan", "position"], name="block_position_once_a_plan"),
            models.CheckConstraint(condition=Q(kind__in=list(KINDS)), name="block_kind"),
            models.CheckConstraint(
                condition=Q(logging__in=Logging.values)
                & ~Q(logging="third", kind__in=kinds_without("third"))
                & ~Q(logging="end", kind__in=kinds_without("end")),
                name="block_logging",
            ),
            models.CheckConstraint(condition=Q(day=None) | Q(day__lte=6), name="block_day"),
            models.CheckConstraint(
                condition=Q(minutes=None) | Q(minutes__gte=1, minutes__lte=300), name="block_minutes"
            ),
            models.CheckConstraint(condition=Q(surface__in=["", *SURFACES]), name="block_surface"),
            models.CheckConstraint(
                condition=Q(pass_made=None, pass_of=None, pass_within_pct=None)
                | Q(pass_made__gte=1, pass_of__gte=F("pass_made"), pass_within_pct__gte=1, pass_within_pct__lte=100),
                name="block_pass_mark",
            ),
        ]

    def __str__(self):
        return self.title

    def save(self, *args, **kwargs):
        if not self.plan.is_draft:
            raise FrozenError("A block that was assigned is never changed, and its week gets no more; make a new one.")
        super().save(*args, **kwargs)

    @property
    def when(self) -> tuple[date, int | None]:
        """The Monday of its week, and its day."""
        return self.plan.monday, self.day

    @property
    def loggings(self) -> list[tuple[str, str]]:
        """What the player may be asked to log of this block, each with its words."""
        return Logging.choices_for(self.kind)

    @property
    def pass_mark(self) -> PassMark | None:
        """What the player should make, where the coach set that."""
        if not self.pass_of:
            return None
        return PassMark(self.pass_made, self.pass_of, None if self.marked_by == "count" else self.pass_within_pct)

    @pass_mark.setter
    def pass_mark(self, mark: PassMark | None) -> None:
        values = (mark.made, mark.of, mark.within_pct or 100) if mark else (None, None, None)
        self.pass_made, self.pass_of, self.pass_within_pct = values

    @property
    def marked_by(self) -> str:
        """What a pass mark of it counts: "landing", balls that land near enough; "count", those that its log says were
        made, clean or smooth; "", nothing. Its balls should be fetched."""
        _, log, score = KINDS[self.kind].parts(self.parameters)
        if log == "shots":
            return "landing" if any(ball.target_m for ball in self.balls.all()) else ""
        return "count" if score in COUNTED else ""

    @property
    def balls_asked(self) -> int:
        """How many balls the block takes; of some kinds none is listed. Its balls should be fetched."""
        return len(self.balls.all()) or self.parameters.get("balls", 0)

    def balls_judged(self, logging: str) -> int:
        """Return how many of the balls a pass mark can count, where the block is logged so."""
        return Logging(logging).results_of(self.balls_asked) if self.marked_by == "landing" else self.balls_asked

    def withdraw(self, *, at) -> None:
        """Take the block back: it stays as it was asked, and is offered no more."""
        type(self).objects.filter(pk=self.pk, withdrawn_at=None).update(withdrawn_at=at)


class BallQuerySet(AcademyQuerySet):
    own = "block__plan__player__user"

    def _owned_by(self, user) -> Q:
        return super()._owned_by(user) & ~Q(block__plan__state=PlanState.DRAFT)

    def update(self, **values):
        """Change drafts only."""
        if self.exclude(block__plan__state=PlanState.DRAFT).exists():
            raise FrozenError("A ball that was assigned is never changed.")
        return super().update(**values)

    def bulk_create(self, objs, *args, **kwargs):
        """Add balls to drafts only."""
        objs = list(objs)
        if not all(ball.block.plan.is_draft for ball in objs):
            raise FrozenError("A block that was assigned gets no more balls.")
        return super().bulk_create(objs, *args, **kwargs)


class Ball(AcademyOwned):
    """One ball as it was asked: club, swing, target and distance, and the stock swings either side of it."""

    academy_from = "block"

    id = models.UUIDField(primary_key=True, default=uuid7, editable=False)
    block = models.ForeignKey(Block, models.CASCADE, related_name="balls")
    n = models.PositiveSmallIntegerField()
    club = models.ForeignKey(Club, models.RESTRICT, related_name="+")
    swing = models.CharField(max_length=12)
    target = models.ForeignKey(Target, models.SET_NULL, null=True, blank=True, related_name="+")
    target_name = models.CharField(max_length=60, blank=True)
    target_m = models.FloatField(null=True, blank=True)
    direction_deg = models.FloatField(default=0.0)
    elevation_m = models.FloatField(default=0.0)
    below_swing = models.CharField(max_length=12, blank=True)
    below_carry_m = models.FloatField(null=True, blank=True)
    above_swing = models.CharField(max_length=12, blank=True)
    above_carry_m = models.FloatField(null=True, blank=True)

    objects = BallQuerySet.as_manager()

    class Meta:
        ordering = ["n"]
        constraints = [
            models.UniqueConstraint(fields=["block", "n"], name="ball_number_once_a_block"),
            models.CheckConstraint(condition=Q(n__gte=1), name="ball_number_from_one"),
            models.CheckConstraint(
                condition=Q(target_m=None) | Q(target_m__gt=0, target_m__lte=400), name="ball_target"
            ),
            models.CheckConstraint(
                condition=Q(above_carry_m=None) | Q(below_carry_m=None) | Q(above_carry_m__gte=F("below_carry_m")),
                name="ball_neighbours_in_order",
            ),
        ]

    def __str__(self):
        return f"ball {self.n}"

    def save(self, *args, **kwargs):
        if not self.block.plan.is_draft:
            raise FrozenError("A ball that was assigned is never changed.")
        super().save(*args, **kwargs)
