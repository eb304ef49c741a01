"""The one way in which what a player records is stored, corrected, undone and set aside."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime
from typing import NamedTuple
from uuid import UUID

from django.db import connection, transaction
from django.db.models import Model
from django.utils import timezone

from practice.accounts.access import insert_of
from practice.accounts.zones import zone
from practice.clubs.models import Club, ClubSetup, setup_held_on
from practice.columns import Columns, update_columns
from practice.players.models import Player
from practice.sessions.models import SESSION_ITEMS, ImportBatch, PracticeSession, Shot, ShotRevision
from practice.sessions.values import VALUE_FIELDS, PhoneEntry, SessionEntry, ShotEntry
from practice.statements import Statement
from practice.venues.models import Venue

IDS_AT_ONCE = 5000
"""SQLite takes 32,766 parameters in one statement (its documentation, "Implementation Limits")."""


@dataclass(frozen=True)
class Answer:
    """What became of one item: stored, duplicate (held already), or rejected with a reason."""

    result: str
    reason: str = ""


STORED = Answer("stored")
DUPLICATE = Answer("duplicate")


def queue_up(player: Player) -> None:
    """Let whoever stores for this player go one after the other, so that the same item sent twice at once is held once.

    SQLite queues all writers by itself, since every transaction here begins IMMEDIATE.
    """
    if connection.features.has_select_for_update:
        Player.objects.select_for_update(no_key=True).get(pk=player.pk)


# No savepoint: nothing inside is caught, and it would cost two statements a request.
@transaction.atomic(savepoint=False)
def store_shots(
    *,
    player: Player,
    entries: Iterable[ShotEntry],
    source: str,
    received_at: datetime,
    made_by=None,
    batch: ImportBatch | None = None,
) -> list[Answer]:
    """Store checked entries of one player and answer each, in order.

    A shot is known by (player, uid). The highest revision wins; of equal ones the later received, so two phones that
    correct the same shot agree in the end. The same shot, device and running number again is a duplicate, and so is
    an entry without a number whose shot is held. Every value set is kept in ShotRevision, also one that arrives too
    late to become current.

    Parameters
    ----------
    player
        Whose shots they are; each entry's club must be this player's.
    entries
        Values that `values.faults` found nothing wrong with.
    received_at
        When the server got them; `hit_at` is never later.
    """
    queue_up(player)
    entries = [entry if entry.hit_at <= received_at else replace(entry, hit_at=received_at) for entry in entries]
    held = _held_shots(player, {entry.uid for entry in entries})
    marks = _marks_held(held)
    standing = {uid: shot.revision for uid, shot in held.items()}
    answers, winners, kept = [], {}, []
    for entry in entries:
        mark = entry.mark
        if entry.uid in standing and (entry.running_number is None or mark in marks):
            answers.append(DUPLICATE)
            continue
        if entry.revision >= standing.get(entry.uid, 0):
            standing[entry.uid] = entry.revision
            winners[entry.uid] = entry
        marks.add(mark)
        kept.append(entry)
        answers.append(STORED)
    pks = {uid: shot.pk for uid, shot in held.items()}
    if corrected := [entry for uid, entry in winners.items() if uid in held]:
        columns = _set_by(player, corrected, received_at)
        update_columns(Shot, [pks[entry.uid] for entry in corrected], columns)
    if new := [entry for uid, entry in winners.items() if uid not in held]:
        first = {"uid": [entry.uid for entry in new], "player_id": [player.pk] * len(new)}
        first |= {"source": [source] * len(new), "import_batch_id": [_pk(batch)] * len(new)}
        columns = first | _set_by(player, new, received_at)
        pks |= zip(first["uid"], insert_of(Shot, player, columns), strict=True)
    _keep_revisions(player, kept, pks, made_by, received_at)
    return answers


class Held(NamedTuple):
    """What is to be known of a shot that is held before it is stored again."""

    pk: int
    revision: int


HELD_SHOTS = Statement(
    lambda player, uids: Shot.objects.filter(player=player, uid__in=uids).values_list("uid", "pk", "revision")
)


def _held_shots(player: Player, uids: set) -> dict[UUID, Held]:
    """Return the shots held under these ids, by id."""
    uids = list(uids)
    held = {}
    for start in range(0, len(uids), IDS_AT_ONCE):
        found = HELD_SHOTS.rows(player.pk, uids[start : start + IDS_AT_ONCE])
        held |= {uid: Held(pk, revision) for uid, pk, revision in found}
    return held


def _marks_held(held: dict[UUID, Held]) -> set[tuple]:
    """Return the mark of every sending of these shots that is held: shot id, device, running number."""
    uids = {shot.pk: uid for uid, shot in held.items()}
    pks = list(uids)
    marks = set()
    for start in range(0, len(pks), IDS_AT_ONCE):
        sent = ShotRevision.objects.filter(shot__in=pks[start : start + IDS_AT_ONCE])
        marks |= {(uids[pk], *mark) for pk, *mark in sent.values_list("shot_id", "device_id", "running_number")}
    return marks


def session_key(hit_at: datetime, venue: Venue, *, setting: str, label: str) -> tuple:
    """Return (local date, venue, setting, label): the date is the venue's own at the moment of the hit."""
    return hit_at.astimezone(zone(venue.time_zone)).date(), venue.pk, setting, label


SESSIONS = Statement(
    lambda player, days: PracticeSession.objects.filter(player=player, local_date__in=days).only(
        "local_date", "venue", "setting", "label"
    )
)


def _sessions_for(player: Player, wanted: set[tuple]) -> dict:
    """Return the session of each key (local date, venue, setting, label), made where missing."""
    if not wanted:
        return {}
    found = SESSIONS.rows(player.pk, {key[0] for key in wanted})
    sessions = {(s.local_date, s.venue_id, s.setting, s.label): s for s in found}
    missing = {
        key: PracticeSession(
            player=player,
            academy_id=player.academy_id,
            local_date=day,
            venue_id=venue,
            setting=setting,
            label=label,
        )
        for key in sorted(wanted - sessions.keys(), key=str)
        for day, venue, setting, label in [key]
    }
    if missing:
        PracticeSession.objects.bulk_create(missing.values())
    return sessions | missing


def _set_by(player: Player, entries: list[ShotEntry], received_at: datetime) -> Columns:
    """Return what the entries set on their shots, as columns; source and batch stay those of the first."""
    keys = [session_key(each.hit_at, each.venue, setting=each.setting, label=each.label) for each in entries]
    sessions = _sessions_for(player, set(keys))
    setups = _setups_of({entry.club.pk for entry in entries})
    columns = {name: [getattr(entry.values, name) for entry in entries] for name in VALUE_FIELDS}
    columns |= {name: [getattr(entry, name) for entry in entries] for name in ENTRY_FIELDS}
    columns |= {f"{name}_id": [_pk(getattr(entry, name)) for entry in entries] for name in ENTRY_ROWS}
    columns["session_id"] = [sessions[key].pk for key in keys]
    # The server, not the phone, says which setup held on the day: a bend may be entered later than the shot.
    held_on = [setup_held_on(setups[entry.club.pk], key[0]) for entry, key in zip(entries, keys, strict=True)]
    columns["setup_id"] = [setup.pk for setup in held_on]
    columns["received_at"] = columns["changed_at"] = [received_at] * len(entries)
    return columns


def _pk(row: Model | None):
    return row.pk if row else None


SETUPS = Statement(lambda clubs: ClubSetup.objects.filter(club__in=clubs).only("club", "valid_from"))


def _setups_of(clubs: Iterable) -> dict:
    """Return the setups of each club, in one statement for all."""
    setups = defaultdict(list)
    for setup in SETUPS.rows(clubs):
        setups[setup.club_id].append(setup)
    return setups


ENTRY_FIELDS = ("hit_at", "revision", "deleted", "running_number", "phone_at", "clock_offset_ms")
ENTRY_ROWS = ("club", "ball", "target", "visit", "device")
"""What a shot takes from its entry beside the values, and the rows it points to."""


def _save(rows: list[Model], fields: Iterable[str]) -> None:
    """Insert the rows that are new; of the others write the fields, many rows a statement."""
    if not rows:
        return
    objects = type(rows[0]).objects
    changed = [row for row in rows if row.pk]
    objects.bulk_create([row for row in rows if not row.pk])
    objects.bulk_create(changed, update_conflicts=True, unique_fields=["pk"], update_fields=fields)


def _keep_revisions(player: Player, entries: list[ShotEntry], pks: dict, made_by, received_at: datetime) -> None:
    """Add the entries to the revisions of their shots."""
    if not entries:
        return
    columns = {name: [getattr(entry, name) for entry in entries] for name in REVISION_FIELDS}
    columns["shot_id"] = [pks[entry.uid] for entry in entries]
    columns["device_id"] = [_pk(entry.device) for entry in entries]
    columns["values"] = [values_as_json(entry) for entry in entries]
    columns |= {"made_by_id": [_pk(made_by)] * len(entries), "received_at": [received_at] * len(entries)}
    insert_of(ShotRevision, player, columns)


REVISION_FIELDS = ("revision", "deleted", "running_number", "phone_at")


def values_as_json(entry: ShotEntry) -> dict:
    """Return every value of an entry that is given, and where it was hit, as JSON."""
    kept = {name: value for name, value in vars(entry.values).items() if value not in ("", None)}
    kept |= {"club": str(entry.club.pk), "venue": str(entry.venue.pk), "setting": entry.setting}
    kept |= {"hit_at": entry.hit_at.isoformat()} | ({"label": entry.label} if entry.label else {})
    kept |= {name: str(row.pk) for name in ("ball", "target") if (row := getattr(entry, name))}
    return kept | ({"visit": str(entry.visit.uid)} if entry.visit else {})


@transaction.atomic(savepoint=False)
def store_latest(*, model, player: Player, entries: list[PhoneEntry], received_at: datetime) -> list[Answer]:
    """Store a player's visits, skipped balls, stops or guesses, of which only the latest setting is kept; answer each.

    The highest (revision, running number, device) wins, so that the same rows stand in the end in whatever order,
    and however often, the settings arrive. One that does not win is a duplicate: it is held, or outdated.
    """
    queue_up(player)
    found = model.objects.filter(player=player, uid__in={entry.uid for entry in entries})
    held = {row.uid: row for row in found}
    answers, changed = [], {}
    for entry in entries:
        row = held.get(entry.uid)
        if row and entry.standing <= row.standing:
            answers.append(DUPLICATE)
            continue
        row = changed[entry.uid] = held.setdefault(entry.uid, row or model(uid=entry.uid))
        row.player, row.received_at = player, received_at
        for name in PHONE_FIELDS:
            setattr(row, name, getattr(entry, name))
        for name, value in entry.values.items():
            setattr(row, name, value)
        answers.append(STORED)
    if changed:
        _save(list(changed.values()), (*PHONE_FIELDS, "received_at", *entries[0].values))
    return answers


PHONE_FIELDS = ("revision", "deleted", "device", "running_number", "phone_at", "clock_offset_ms")


@transaction.atomic(savepoint=False)
def store_in_sessions(
    *, model, player: Player, entries: list[SessionEntry], received_at: datetime, made_by=None
) -> list[Answer]:
    """Store what a player did beside shots, like `store_latest`, each row with the session it belongs to.

    `made_by` typed it in; of what came from a phone the device tells who did.
    """
    queue_up(player)
    keys = [session_key(each.values["done_at"], each.venue, setting=each.setting, label=each.label) for each in entries]
    sessions = _sessions_for(player, set(keys))
    settled = [
        replace(entry, values=entry.values | {"session": sessions[key], "made_by": made_by})
        for entry, key in zip(entries, keys, strict=True)
    ]
    return store_latest(model=model, player=player, entries=settled, received_at=received_at)


@transaction.atomic(savepoint=False)
def resettle_visits(*, player: Player, uids: Iterable) -> None:
    """Move what was done on visits that were corrected to the session that now is theirs."""
    done = {"player": player, "visit__uid__in": list(uids)}
    shots = Shot.objects.filter(**done).select_related("visit__venue").prefetch_related("club__setups")
    moved = _moved_to_their_sessions(player, {shot: shot.hit_at for shot in shots})
    for shot in moved:
        shot.changed_at = timezone.now()
        shot.setup = shot.club.setup_on(shot.session.local_date)
    _save(moved, ("session", "setup", "changed_at"))
    for model in SESSION_ITEMS:
        rows = model.objects.filter(**done).select_related("visit__venue")
        _save(_moved_to_their_sessions(player, {row: row.done_at for row in rows}), ("session",))


def _moved_to_their_sessions(player: Player, times: dict[Model, datetime]) -> list[Model]:
    """Point rows, each with its time, at the session of their visit; return those for which it is another one."""
    keys = {
        row: session_key(at, row.visit.venue, setting=row.visit.setting, label=row.visit.label)
        for row, at in times.items()
    }
    sessions = _sessions_for(player, set(keys.values()))
    moved = [row for row, key in keys.items() if row.session_id != sessions[key].pk]
    for row in moved:
        row.player, row.session = player, sessions[keys[row]]
    return moved


def set_shot_aside(*, shot: Shot, by, reason: str) -> None:
    """Leave a shot out of every figure, as a coach, with a reason; the player's values stay. Again changes nothing."""
    now = timezone.now()
    in_use = Shot.objects.filter(pk=shot.pk, set_aside_at=None)
    in_use.update(set_aside_at=now, changed_at=now, set_aside_by=by, set_aside_reason=reason)


def take_shot_back_in(*, shot: Shot) -> None:
    """Count a shot again that was set aside. Again changes nothing."""
    aside = Shot.objects.filter(pk=shot.pk, set_aside_at__isnull=False)
    aside.update(set_aside_at=None, changed_at=timezone.now(), set_aside_by=None, set_aside_reason="")


@transaction.atomic
def resettle_setups(*, club: Club) -> int:
    """Point a club's shots at the setup that held on their day, after setups changed; return how many moved."""
    setups = list(club.setups.in_order())
    moved = 0
    for held, following in zip(setups, [*setups[1:], None], strict=True):
        days = {"session__local_date__gte": held.valid_from} if held.valid_from else {}
        days |= {"session__local_date__lt": following.valid_from} if following else {}
        shots = Shot.objects.filter(club=club, **days).exclude(setup=held)
        moved += shots.update(setup=held, changed_at=timezone.now())
    return moved
