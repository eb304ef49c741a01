"""Academies, the people who sign in, what they are there, and the devices they sign in with."""

from datetime import date

from django.contrib.auth.base_user import AbstractBaseUser, BaseUserManager
from django.db import models
from django.db.models import F, Q
from django.db.models.functions import Lower
from django.utils import timezone
from django.utils.functional import cached_property

from practice.accounts.access import AcademyOwned, AcademyQuerySet
from practice.accounts.zones import validate_time_zone, zone
from practice.ids import uuid7
from practice.units import DistanceUnit

MOST_BEND_DEG = 6.0
"""The farthest that any limit on bending goes, or a slip of the hand would ask too much; common practice, no source."""


class Academy(models.Model):
    """The tenant: its coaches, players, ranges and drills are seen by nobody else."""

    id = models.UUIDField(primary_key=True, default=uuid7, editable=False)
    slug = models.SlugField(unique=True)
    name = models.CharField(max_length=120)
    time_zone = models.CharField(max_length=64, default="UTC", validators=[validate_time_zone])
    distance_unit = models.CharField(max_length=2, choices=DistanceUnit, default=DistanceUnit.YARDS)
    carry_chart_days = models.PositiveSmallIntegerField(default=120)
    # The coaches' own values for players without one of their own, no medical ones.
    daily_ball_limit = models.PositiveSmallIntegerField(null=True, blank=True)
    junior_daily_ball_limit = models.PositiveSmallIntegerField(default=60)
    # What the coaches let pass before a suggested week goes on to the next stage; common practice, no source.
    passing_mishit_pct = models.PositiveSmallIntegerField(default=10)
    passing_strike_mm = models.PositiveSmallIntegerField(default=8)
    passing_fresh_pct = models.PositiveSmallIntegerField(default=30)
    passing_course_pct = models.PositiveSmallIntegerField(default=50)
    # How far a club may be bent where its own row says nothing, and how long a look at the bag holds; common practice,
    # no source.
    bend_limit_deg = models.FloatField(default=2.0)
    bag_review_days = models.PositiveSmallIntegerField(default=180)
    created_at = models.DateTimeField(default=timezone.now, editable=False)

    class Meta:
        verbose_name_plural = "academies"
        constraints = [
            models.CheckConstraint(condition=Q(distance_unit__in=DistanceUnit.values), name="academy_distance_unit"),
            models.CheckConstraint(condition=Q(carry_chart_days__gte=1), name="academy_carry_chart_days"),
            models.CheckConstraint(
                condition=Q(daily_ball_limit=None) | Q(daily_ball_limit__gte=F("junior_daily_ball_limit")),
                name="academy_juniors_hit_less",
            ),
            models.CheckConstraint(
                condition=Q(passing_mishit_pct__gte=1, passing_mishit_pct__lte=100, passing_strike_mm__gte=1),
                name="academy_passing_values",
            ),
            models.CheckConstraint(
                condition=Q(bend_limit_deg__gte=0, bend_limit_deg__lte=MOST_BEND_DEG), name="academy_bend_limit"
            ),
            models.CheckConstraint(condition=Q(bag_review_days__gte=1), name="academy_bag_review_days"),
        ]

    def __str__(self):
        return self.name

    def today(self) -> date:
        """Return the date by the academy's own calendar."""
        return timezone.now().astimezone(zone(self.time_zone)).date()


class UserManager(BaseUserManager):
    """Makes users with e-mails in lower case, or with none."""

    def create_user(self, *, name: str, email: str | None = None, password: str | None = None) -> "User":
        """Create a user; without a password the account can only be entered by a sign-in link."""
        user = self.model(name=name, email=email.strip().lower() if email else None)
        user.set_password(password)
        user.save()
        return user

    def get_by_natural_key(self, username):
        return self.get(email=username.strip().lower())


class User(AbstractBaseUser):
    """Someone who signs in. A junior has no e-mail, and a password that can't be used."""

    id = models.UUIDField(primary_key=True, default=uuid7, editable=False)
    email = models.EmailField(null=True, blank=True, unique=True)
    name = models.CharField(max_length=120)
    is_active = models.BooleanField(default=True)
    created_at = models.DateTimeField(default=timezone.now, editable=False)

    USERNAME_FIELD = "email"
    REQUIRED_FIELDS = ["name"]
    objects = UserManager()

    class Meta:
        constraints = [
            # With the unique constraint this makes e-mails unique without regard to case.
            models.CheckConstraint(condition=Q(email=Lower("email")) | Q(email=None), name="user_email_lower"),
        ]

    def __str__(self):
        return self.name

    @cached_property
    def coaches(self) -> bool:
        """Whether this user looks after players anywhere; every page asks more than once."""
        return self.memberships.staff().exists()

    def staffed_academies(self):
        """Return the academies in which this user is owner or coach, by name."""
        return Academy.objects.filter(pk__in=self.memberships.staff().values("academy")).order_by("name")

    def owned_academies(self):
        """Return the academies that this user owns, by name."""
        owned = self.memberships.filter(role=Role.OWNER).values("academy")
        return Academy.objects.filter(pk__in=owned).order_by("name")


class Role(models.TextChoices):
    OWNER = "owner"
    COACH = "coach"
    PLAYER = "player"


class MembershipQuerySet(AcademyQuerySet):
    own = "user"

    def staff(self):
        """Return owners and coaches."""
        return self.filter(role__in=(Role.OWNER, Role.COACH))

    def editable_by(self, user):
        """Only an owner changes who belongs to the academy."""
        return self.filter(academy__in=user.memberships.filter(role=Role.OWNER).values("academy"))


class Membership(AcademyOwned):
    """What a user is in an academy."""

    academy = models.ForeignKey(Academy, models.CASCADE, related_name="memberships")
    user = models.ForeignKey(User, models.CASCADE, related_name="memberships")
    role = models.CharField(max_length=8, choices=Role)
    since = models.DateTimeField(default=timezone.now, editable=False)

    objects = MembershipQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["user", "academy", "role"], name="membership_once"),
            models.CheckConstraint(condition=Q(role__in=Role.values), name="membership_role"),
        ]

    def __str__(self):
        return f"{self.user}, {self.role}"


class DeviceQuerySet(models.QuerySet):
    """Devices belong to a user, not to an academy: a coach reaches those of the players they look after."""

    def signed_in(self):
        """Return the devices that nobody signed out or revoked, the last seen first."""
        return self.filter(revoked_at=None).order_by("-last_seen_at", "-pk")

    def visible_to(self, user):
        """Return the user's own devices and those of players of academies where the user is on the staff."""
        staffed = user.memberships.filter(role__in=(Role.OWNER, Role.COACH)).values("academy")
        players = Membership.objects.filter(academy__in=staffed, role=Role.PLAYER).values("user")
        return self.filter(Q(user=user) | Q(user__in=players))

    def editable_by(self, user):
        """Whoever sees a device may revoke it."""
        return self.visible_to(user)


class Device(models.Model):
    """One sign-in on one phone or computer. Revoking it ends that sign-in."""

    id = models.UUIDField(primary_key=True, default=uuid7, editable=False)
    user = models.ForeignKey(User, models.CASCADE, related_name="devices")
    label = models.CharField(max_length=120)
    session_key = models.CharField(max_length=40, blank=True, db_index=True)
    created_at = models.DateTimeField(default=timezone.now, editable=False)
    last_seen_at = models.DateTimeField(default=timezone.now)
    revoked_at = models.DateTimeField(null=True, blank=True)

    objects = DeviceQuerySet.as_manager()

    def __str__(self):
        return self.label


class SignInLinkQuerySet(AcademyQuerySet):
    def open(self):
        """Return the links that can still be used."""
        return self.filter(redeemed_at=None, expires_at__gt=timezone.now())


class SignInLink(AcademyOwned):
    """A coach's one-use invitation to sign in, shown as a QR code. Only a digest of its token is kept."""

    id = models.UUIDField(primary_key=True, default=uuid7, editable=False)
    user = models.ForeignKey(User, models.CASCADE, related_name="sign_in_links")
    made_by = models.ForeignKey(User, models.CASCADE, related_name="+")
    token_sha256 = models.CharField(max_length=64, unique=True)
    created_at = models.DateTimeField(default=timezone.now, editable=False)
    expires_at = models.DateTimeField()
    redeemed_at = models.DateTimeField(null=True, blank=True)
    nonce_sha256 = models.CharField(max_length=64, blank=True)
    device = models.ForeignKey(Device, models.CASCADE, null=True, blank=True, related_name="+")

    objects = SignInLinkQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(redeemed_at=None, nonce_sha256="", device=None)
                | Q(redeemed_at__isnull=False, device__isnull=False) & ~Q(nonce_sha256=""),
                name="sign_in_link_redeemed_whole",
            )
        ]

    def __str__(self):
        return f"sign-in link for {self.user}"
