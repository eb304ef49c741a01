"""What every player's weeks are played on: the academy, its staff, drills, range and course."""

from dataclasses import dataclass
from datetime import date

from django.utils.text import slugify

from practice.accounts.models import Academy, Membership, Role, User
from practice.drills.actions import add_default_drills
from practice.drills.models import Drill
from practice.planner.places import Place
from practice.sessions.demo import people
from practice.units import YARD_M
from practice.venues.models import Bay, Target, TargetKind, TeeLine, Venue


@dataclass
class Stage:
    """What every player's weeks are played on."""

    academy: Academy
    coach: User
    place: Place
    targets: list[Target]
    course: Venue
    drills: dict[str, Drill]
    monday: date


def set_stage(monday: date) -> Stage:
    academy = Academy.objects.create(name=people.ACADEMY, slug=slugify(people.ACADEMY), time_zone=people.TIME_ZONE)
    _staff(academy, people.OWNER, Role.OWNER)
    coach = _staff(academy, people.COACH, Role.COACH)
    add_default_drills(academy)
    line = _range(academy)
    course = Venue.objects.create(
        academy=academy, name=people.COURSE, slug=slugify(people.COURSE), time_zone=people.TIME_ZONE
    )
    drills = {drill.kind: drill for drill in Drill.objects.filter(academy=academy)}
    place = Place(line.venue, line)
    return Stage(academy, coach, place, list(place.targets()), course, drills, monday)


def _staff(academy: Academy, who: tuple[str, str], role: str) -> User:
    name, email = who
    user = User.objects.create_user(name=name, email=email, password=people.PASSWORD)
    Membership.objects.create(academy=academy, user=user, role=role)
    return user


def _range(academy: Academy) -> TeeLine:
    venue = Venue.objects.create(
        academy=academy,
        name=people.RANGE,
        slug=slugify(people.RANGE),
        time_zone=people.TIME_ZONE,
        is_default=True,
    )
    line = TeeLine.objects.create(venue=venue, name=people.TEE_LINE)
    for name, left, right in people.BAYS:
        Bay.objects.create(tee_line=line, name=name, arc_left_deg=left, arc_right_deg=right)
    for name, yards, degrees, up_m, checked in people.TARGETS:
        Target.objects.create(
            tee_line=line,
            name=name,
            kind=TargetKind.FLAG if "flag" in name else TargetKind.MARK,
            distance_m=yards * YARD_M,
            direction_deg=degrees,
            elevation_m=up_m,
            checked_on=date(2026, 3, 2) if checked else None,
        )
    return line
