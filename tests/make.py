"""Typed makers of rows for tests, with the least that each needs."""

from dataclasses import fields
from datetime import date, datetime, timedelta
from itertools import count
from zoneinfo import ZoneInfo

from django.db import transaction
from django.utils import timezone
from django.utils.text import slugify

from practice.accounts.models import Academy, Membership, Role, User
from practice.clubs.models import Club, ClubKind, ClubSetup, StatedCarry
from practice.ids import uuid7
from practice.players.models import Player
from practice.sessions.actions import store_shots
from practice.sessions.models import Shot
from practice.sessions.values import ShotEntry, ShotValues
from practice.venues.models import Target, TeeLine, Venue

_numbers = count(1)
PASSWORD = "a long test password"


def make_academy(name: str = "", **fields) -> Academy:
    name = name or f"Academy {next(_numbers)}"
    return Academy.objects.create(name=name, slug=fields.pop("slug", slugify(name)), **fields)


def make_user(name: str = "", *, email: str | None = None, password: str | None = None) -> User:
    return User.objects.create_user(name=name or f"User {next(_numbers)}", email=email, password=password)


def make_staff(academy: Academy, *, role: str = Role.COACH, password: str | None = None) -> User:
    user = make_user(email=f"{role}{next(_numbers)}@example.org", password=password)
    Membership.objects.create(academy=academy, user=user, role=role)
    return user


def make_player(academy: Academy, name: str = "", *, signs_in: bool = False, **fields) -> Player:
    name = name or f"Player {next(_numbers)}"
    user = None
    if signs_in:
        user = make_user(name)
        Membership.objects.create(academy=academy, user=user, role=Role.PLAYER)
    return Player.objects.create(
        academy=academy, name=name, slug=fields.pop("slug", slugify(name)), user=user, **fields
    )


@transaction.atomic  # a page that is open may ask for the clubs at any moment
def make_club(
    player: Player,
    label: str = "56",
    *,
    loft_deg: float | None = 56.0,
    stated_full_m: float | None = None,
    **fields,
) -> Club:
    club = Club.objects.create(player=player, label=label, **fields)
    ClubSetup.objects.create(club=club, loft_deg=loft_deg)
    if stated_full_m:
        StatedCarry.objects.create(club=club, swing="full", carry_m=stated_full_m, stated_on=date(2026, 1, 5))
    return club


def make_putter(player: Player) -> Club:
    return make_club(player, "Putter", loft_deg=None, kind=ClubKind.PUTTER)


def make_range(academy: Academy, distances_m=(30.0, 45.0, 60.0, 75.0), *, default: bool = True, **fields) -> Venue:
    name = fields.pop("name", f"Range {next(_numbers)}")
    venue = Venue.objects.create(
        academy=academy,
        name=name,
        slug=slugify(name),
        time_zone=fields.pop("time_zone", "UTC"),
        is_default=default,
    )
    line = TeeLine.objects.create(venue=venue, name="Front mats")
    for n, distance_m in enumerate(distances_m, 1):
        Target.objects.create(tee_line=line, name=f"Flag {n}", distance_m=distance_m)
    return venue


def make_entry(club: Club, venue: Venue, *, uid=None, hit_at: datetime | None = None, **values) -> ShotEntry:
    """Return a checked entry; fields of ShotEntry and of ShotValues are told apart by name."""
    for_entry = {name: values.pop(name) for name in list(values) if name in ENTRY_FIELDS}
    shot_values = ShotValues(**{"swing": "feel", "target_m": 50.0, "carry_m": 48.0, **values})
    return ShotEntry(
        uid=uid or uuid7(),
        hit_at=hit_at or timezone.now() - timedelta(hours=1),
        club=club,
        venue=venue,
        values=shot_values,
        **for_entry,
    )


ENTRY_FIELDS = {field.name for field in fields(ShotEntry)} - {"uid", "hit_at", "club", "venue", "values"}


def make_shot(club: Club, venue: Venue, *, source: str = "csv", **values) -> Shot:
    """Store one shot through the one way in which shots are stored."""
    entry = make_entry(club, venue, **values)
    store_shots(player=club.player, entries=[entry], source=source, received_at=timezone.now())
    return Shot.objects.get(player=club.player, uid=entry.uid)


def local(year: int, month: int, day: int, hour: int = 12, *, zone: str = "UTC") -> datetime:
    return datetime(year, month, day, hour, tzinfo=ZoneInfo(zone))
