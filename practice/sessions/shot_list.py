"""A player's shots as a page shows them: session by session, the newest first."""

from dataclasses import dataclass
from datetime import date
from functools import reduce
from operator import or_
from uuid import UUID

from django.core.paginator import Page, Paginator
from django.db.models import Exists, OuterRef, QuerySet, Subquery, UUIDField
from django.db.models.functions import Coalesce

from practice.accounts.zones import zone
from practice.clubs.swings import swing_name
from practice.players.models import Player
from practice.sessions.models import SESSION_ITEMS, PracticeSession, Shot, ShotRevision
from practice.sessions.session_counts import count_sentences, entered_by, swing_sentences
from practice.sessions.words import MISHITS, Contact, ContactNote, MeasuredBy, Setting, Surface
from practice.units import DistanceUnit

SESSIONS_A_PAGE = 4

LAST_SET = ShotRevision.objects.filter(shot=OuterRef("pk")).order_by("-revision", "-pk")
ENTERED = {
    "by": Coalesce("device__user", Subquery(LAST_SET.values("made_by")[:1]), output_field=UUIDField()),
    "by_name": Coalesce("device__user__name", Subquery(LAST_SET.values("made_by__name")[:1])),
}
"""Who entered a shot: whose device it came from, else who typed its last values in."""


@dataclass(frozen=True)
class ShotLine:
    """One shot in the words of a page."""

    uid: UUID
    at: str
    club: str
    swing: str
    target: str
    carry: str
    sideways: str
    contact: str
    off: str
    """Surface and lie; empty where nobody said."""
    measured: str
    notes: str
    set_aside: str
    """Why it is set aside; empty where it counts."""
    entered_by: str
    """Whoever logged it for the player; empty where the player did."""


@dataclass(frozen=True)
class SessionLines:
    """One session: its shots, the newest first, and in words what was counted beside them."""

    day: date
    place: str
    lines: list[ShotLine]
    swings: list[str]
    counts: list[str]


def shot_pages(player: Player, number: str | None) -> tuple[Page, list[SessionLines]]:
    """Return one page of the sessions in which something was logged, and what it shows."""
    page = Paginator(_sessions_held(player), SESSIONS_A_PAGE).get_page(number)
    by_session = {session.pk: [] for session in page}
    shown = Shot.objects.filter(deleted=False, session__in=by_session).select_related("club", "target")
    for shot in shown.annotate(**ENTERED).in_order().reverse():
        shot.player = player  # the same object, not one fetched again for every shot
        by_session[shot.session_id].append(shot)
    swings, counts = swing_sentences(player, by_session), count_sentences(player, by_session)
    return page, [
        SessionLines(
            day=session.local_date,
            place=_place_words(session),
            lines=_lines(session, by_session[session.pk], player.shown_unit),
            swings=swings.get(session.pk, []),
            counts=counts.get(session.pk, []),
        )
        for session in page
    ]


def _sessions_held(player: Player) -> QuerySet:
    done = (model.objects.filter(deleted=False, session=OuterRef("pk")) for model in (Shot, *SESSION_ITEMS))
    held = PracticeSession.objects.filter(reduce(or_, map(Exists, done)), player=player)
    return held.select_related("venue").order_by("-local_date", "-pk")


def _place_words(session: PracticeSession) -> str:
    course = "on the course" if session.setting == Setting.COURSE else ""
    return ", ".join(word for word in (session.venue.name, course, session.label) if word)


def _lines(session: PracticeSession, shots: list[Shot], unit: DistanceUnit) -> list[ShotLine]:
    here = zone(session.venue.time_zone)
    return [
        shot_line(
            shot,
            unit,
            at=f"{shot.hit_at.astimezone(here):%H:%M}",
            by=entered_by(shot.player, shot.by, shot.by_name),
        )
        for shot in shots
    ]


def shot_line(shot: Shot, unit: DistanceUnit, *, at: str, by: str = "") -> ShotLine:
    """Return a shot in words, distances rounded in the player's unit."""
    return ShotLine(
        uid=shot.uid,
        at=at,
        club=shot.club.label,
        swing=swing_name(shot.swing),
        target=_target_words(shot, unit),
        carry=_carry_words(shot, unit),
        sideways=unit.show(shot.lateral_m, signed=True),
        contact=_contact_words(shot),
        off=", ".join(dict.fromkeys(word for word in (shot.surface, shot.lie) if word)),
        measured=MeasuredBy(shot.measured_by).label.lower(),
        notes=", ".join(word for said, word in ((shot.warm_up, "warm-up"), (shot.helped, "helped")) if said),
        set_aside=shot.set_aside_reason,
        entered_by=by,
    )


def _target_words(shot: Shot, unit: DistanceUnit) -> str:
    name = shot.target_name or (shot.target.name if shot.target else "")
    if shot.target_m is not None:
        return f"{name} {unit.show(shot.target_m)}".strip()
    return name or ("a spot" if shot.error_m is not None else "stock ball")


def _carry_words(shot: Shot, unit: DistanceUnit) -> str:
    if shot.error_m is not None:
        return f"{unit.show(abs(shot.error_m))} {'long' if shot.error_m > 0 else 'short'}"
    if not shot.seen and shot.carry_m is None:
        return "not seen"
    return unit.show(shot.carry_m)


def _contact_words(shot: Shot) -> str:
    if shot.contact in MISHITS:
        # The club slides on along a mat, so that a fat ball flies nearly as a clean one (common practice, no source).
        doubt = " (on a mat, hard to tell)" if (shot.contact, shot.surface) == (Contact.FAT, Surface.MAT) else ""
        return Contact(shot.contact).label.lower() + doubt
    note = ContactNote(shot.contact_note).label if shot.contact_note else ""
    return note or ("clean" if shot.contact else "")
