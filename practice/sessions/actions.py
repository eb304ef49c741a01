"""The one way in which shots are stored, corrected, undone and set aside."""

from collections.abc import Iterable
from dataclasses import asdict, dataclass, replace
from datetime import datetime

from django.db import transaction
from django.utils import timezone

from practice.accounts.zones import zone
from practice.clubs.models import Club
from practice.players.models import Player
from practice.sessions.models import ImportBatch, PracticeSession, Shot, ShotRevision
from practice.sessions.values import VALUE_FIELDS, ShotEntry


@dataclass(frozen=True)
class Answer:
    """What became of one item: stored, duplicate (held already), or rejected with a reason."""

    result: str
    reason: str = ""


STORED = Answer("stored")
DUPLICATE = Answer("duplicate")


@transaction.atomic
def store_shots(
    *,
    player: Player,
    entries: Iterable[ShotEntry],
    source: str,
    received_at: datetime,
    made_by=None,
    device=None,
    batch: ImportBatch | None = None,
) -> list[Answer]:
    """Store checked entries of one player and answer each, in order.

    A shot is known by (player, uid). The highest revision wins; of equal ones the later received, so two phones that
    correct the same shot agree in the end. The same shot, device and running number again is a duplicate. Every value
    set is kept in ShotRevision, also one that arrives too late to become current.

    Parameters
    ----------
    player
        Whose shots they are; each entry's club must be this player's.
    entries
        Values that `values.faults` found nothing wrong with.
    received_at
        When the server got them; `hit_at` is never later.
    """
    entries = [replace(entry, hit_at=min(entry.hit_at, received_at)) for entry in entries]
    held = {shot.uid: shot for shot in Shot.objects.filter(player=player, uid__in=[e.uid for e in entries])}
    seen_numbers = _numbers_of(held.values(), device)
    sessions = _sessions_for(player, entries)
    made = {"source": source, "import_batch": batch}
    answers, new, changed, revisions = [], [], {}, []
    for entry in entries:
        shot = held.get(entry.uid)
        number = (entry.uid, entry.running_number)
        if shot and (entry.running_number is None or number in seen_numbers):
            answers.append(DUPLICATE)
            continue
        if shot is None:
            shot = held[entry.uid] = Shot(player=player, academy_id=player.academy_id, uid=entry.uid, **made)
            _take_values(shot, entry, sessions, device, received_at)
            new.append(shot)
        elif entry.revision >= shot.revision:
            _take_values(shot, entry, sessions, device, received_at)
            changed[shot.uid] = shot
        seen_numbers.add(number)
        revisions.append(_revision(shot, entry, device, made_by, received_at))
        answers.append(STORED)
    Shot.objects.bulk_create(new)
    _save_changed([shot for shot in changed.values() if shot not in new])
    ShotRevision.objects.bulk_create(revisions)
    return answers


def _numbers_of(shots, device) -> set:
    """Return the (uid, running number) pairs of these shots that the device already sent."""
    by_pk = {shot.pk: shot.uid for shot in shots}
    if not by_pk or device is None:
        return set()
    rows = ShotRevision.objects.filter(shot__in=by_pk, device=device).values_list("shot_id", "running_number")
    return {(by_pk[pk], number) for pk, number in rows}


def session_key(player: Player, entry: ShotEntry) -> tuple:
    """Return (local date, venue, setting, label): the date is the venue's own at the moment of the hit."""
    local = entry.hit_at.astimezone(zone(entry.venue.time_zone))
    return local.date(), entry.venue.pk, entry.setting, entry.label


def _sessions_for(player: Player, entries: list[ShotEntry]) -> dict:
    """Return the session of each key among the entries, made where missing."""
    wanted = {session_key(player, entry) for entry in entries}
    if not wanted:
        return {}
    found = PracticeSession.objects.filter(player=player, local_date__in={key[0] for key in wanted})
    sessions = {(s.local_date, s.venue_id, s.setting, s.label): s for s in found}
    for day, venue, setting, label in sorted(wanted - sessions.keys(), key=str):
        sessions[day, venue, setting, label], _ = PracticeSession.objects.get_or_create(
            player=player,
            local_date=day,
            venue_id=venue,
            setting=setting,
            label=label,
            defaults={"academy_id": player.academy_id},
        )
    return sessions


def _take_values(shot: Shot, entry: ShotEntry, sessions: dict, device, received_at: datetime) -> None:
    key = session_key(shot.player, entry)
    for name in VALUE_FIELDS:
        setattr(shot, name, getattr(entry.values, name))
    shot.session = sessions[key]
    shot.hit_at = entry.hit_at
    shot.club = entry.club
    # The server, not the phone, says which setup held on the day: a bend may be entered later than the shot.
    shot.setup = entry.club.setup_on(key[0])
    shot.ball, shot.target, shot.visit = entry.ball, entry.target, entry.visit
    shot.revision, shot.deleted = entry.revision, entry.deleted
    shot.device, shot.running_number = device, entry.running_number
    shot.phone_at, shot.clock_offset_ms = entry.phone_at, entry.clock_offset_ms
    shot.received_at = shot.changed_at = received_at


CHANGING_FIELDS = (
    *VALUE_FIELDS,
    *("session", "hit_at", "club", "setup", "ball", "target", "visit", "revision", "deleted", "device"),
    *("running_number", "phone_at", "clock_offset_ms", "received_at", "changed_at"),
)
"""What a new revision sets; source and batch stay those of the first."""


def _save_changed(shots: list[Shot]) -> None:
    if shots:
        Shot.objects.bulk_update(shots, CHANGING_FIELDS, batch_size=100)


def _revision(shot: Shot, entry: ShotEntry, device, made_by, received_at: datetime) -> ShotRevision:
    return ShotRevision(
        shot=shot,
        academy_id=shot.academy_id,
        revision=entry.revision,
        deleted=entry.deleted,
        values=values_as_json(entry),
        device=device,
        running_number=entry.running_number,
        made_by=made_by,
        phone_at=entry.phone_at,
        received_at=received_at,
    )


def values_as_json(entry: ShotEntry) -> dict:
    """Return every value of an entry that differs from the field's default, as JSON."""
    given = asdict(entry.values)
    kept = {name: value for name, value in given.items() if value not in ("", None)}
    kept |= {"club": str(entry.club.pk), "hit_at": entry.hit_at.isoformat()}
    kept |= {name: str(row.pk) for name in ("ball", "target", "visit") if (row := getattr(entry, name))}
    return kept


def set_shot_aside(*, shot: Shot, by, reason: str) -> None:
    """Leave a shot out of every figure, as a coach, with a reason; the player's values stay."""
    shot.set_aside_at = shot.changed_at = timezone.now()
    shot.set_aside_by = by
    shot.set_aside_reason = reason
    shot.save(update_fields=["set_aside_at", "changed_at", "set_aside_by", "set_aside_reason"])


def take_shot_back_in(*, shot: Shot) -> None:
    """Count a shot again that was set aside."""
    shot.set_aside_at = shot.set_aside_by = None
    shot.set_aside_reason = ""
    shot.changed_at = timezone.now()
    shot.save(update_fields=["set_aside_at", "changed_at", "set_aside_by", "set_aside_reason"])


def resettle_setups(*, club: Club) -> int:
    """Point a club's shots at the setup that held on their day, after setups changed; return how many moved."""
    moved = []
    for shot in Shot.objects.filter(club=club).select_related("session"):
        held = club.setup_on(shot.session.local_date)
        if shot.setup_id != held.pk:
            shot.setup, shot.changed_at = held, timezone.now()
            moved.append(shot)
    Shot.objects.bulk_update(moved, ["setup", "changed_at"], batch_size=500)
    return len(moved)
