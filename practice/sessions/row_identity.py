"""What makes two rows the same shot: a normal form of their values, and an id made of it.

The normal form is a JSON object with sorted keys and no spaces (ASCII, as json.dumps writes it) of `hit_at` (UTC,
ISO 8601 with +00:00), `club` (label), `place` (slug), `setting`, `label` (the session's) and every value of the shot
that differs from its default: distances in metres as float64 in shortest exact form, true and false, words. The id is
the UUID version 5 (RFC 9562, section 5.5) in the namespace ROWS of the player's id, a space, and that object.

So yards and metres, Z and +00:00, 50 and 50.0, an empty cell and a missing column make no difference.
"""

import json
import math
from dataclasses import fields
from datetime import UTC, datetime
from uuid import UUID, uuid5

from practice.csv_cells import written
from practice.players.models import Player
from practice.sessions.models import Shot
from practice.sessions.values import ShotEntry, ShotValues

ROWS = UUID("6c0f8a4e-2f0b-4f5e-9a57-1f1c3b1f7d52")
"""The namespace of the ids of rows that bring none: drawn at random once, fixed for good."""

DEFAULTS = {field.name: field.default for field in fields(ShotValues)}
AS_JSON = json.JSONEncoder(sort_keys=True, separators=(",", ":"), allow_nan=False)


def normal_form(
    values: ShotValues | Shot, *, hit_at: datetime, club: str, place: str, setting: str, label: str
) -> dict:
    """Return what a shot's row says, in the one form that equal rows share."""
    given = {name: getattr(values, name) for name in DEFAULTS}
    form = {name: value for name, value in given.items() if value != DEFAULTS[name]}
    moment = hit_at.astimezone(UTC).isoformat()
    return form | {"hit_at": moment, "club": club, "place": place, "setting": setting, "label": label}


def row_id(player: Player, form: dict) -> UUID:
    """Return the id of a row that brings none."""
    return uuid5(ROWS, f"{player.pk} {AS_JSON.encode(form)}")


def differences(entry: ShotEntry, held: Shot) -> list[str]:
    """Return in words where an entry says something else than the shot held under its id."""
    session = held.session
    # A shot is never held later than it was received; a clock may run ahead by minutes.
    hit_at = min(entry.hit_at, held.received_at)
    where = {"place": entry.venue.slug, "setting": entry.setting, "label": entry.label}
    new = normal_form(entry.values, hit_at=hit_at, club=entry.club.label, **where)
    where = {"place": session.venue.slug, "setting": session.setting, "label": session.label}
    old = normal_form(held, hit_at=held.hit_at, club=held.club.label, **where)
    names = sorted(name for name in new.keys() | old.keys() if not _same(new.get(name), old.get(name)))
    return [f"{name} {written(new.get(name)) or 'empty'} (held: {written(old.get(name)) or 'empty'})" for name in names]


def _same(new, old) -> bool:
    """Compare two values; distances to 12 digits, since phones convert yards in binary."""
    if isinstance(new, float) and isinstance(old, float):
        return math.isclose(new, old, rel_tol=1e-12)
    return new == old
