"""Shots as rows of CSV: the columns, and how a row is read and written.

The same columns are read by import_shots and written by export_player, without loss.
"""

from collections.abc import Callable
from datetime import datetime
from decimal import Decimal
from functools import partial

from practice.clubs.models import Club, SwingLength
from practice.clubs.roster import bag_by_label
from practice.clubs.swings import CLOCK_SWINGS, FEEL
from practice.csv_cells import read_id, read_moment, read_number, read_yes_no, text_up_to, written
from practice.players.models import Player
from practice.sessions.models import Shot
from practice.sessions.row_identity import normal_form, row_id
from practice.sessions.values import VALUE_FIELDS, ShotEntry, ShotValues, faults
from practice.sessions.words import Setting
from practice.units import YARD_M
from practice.venues.models import Venue

REQUIRED = ("hit_at", "club", "target_m target_yd", "carry_m carry_yd")
OPTIONAL = (
    *("id", "swing", "lateral_m lateral_yd", "error_m error_yd", "contact", "contact_note", "measured_by"),
    *("resolution_m", "distance_is", "setting", "number_shown", "fresh", "seen", "warm_up", "helped", "session"),
    *("place", "target_name", "ball_type", "surface", "lie", "wind", "wind_from", "elevation_m"),
    *("strike_heel_toe_mm", "strike_low_high_mm"),
)
WRITTEN = tuple(names.split()[0] for names in ("id", *REQUIRED, *OPTIONAL[1:]))
"""The columns of an export, in order: distances in metres."""

read_yards = partial(read_number, metres=Decimal(str(YARD_M)))
DISTANCES = ("target", "carry", "lateral", "error")
VALUE_READERS: dict[str, tuple[str, Callable[[str], object]]] = {
    **{name: (name, str) for name in ("swing", "contact", "contact_note", "measured_by", "distance_is")},
    **{name: (name, str) for name in ("ball_type", "surface", "lie", "wind", "wind_from")},
    **{f"{name}_m": (f"{name}_m", read_number) for name in (*DISTANCES, "elevation", "resolution")},
    **{f"{name}_yd": (f"{name}_m", read_yards) for name in DISTANCES},
    **{name: (name, read_number) for name in ("strike_heel_toe_mm", "strike_low_high_mm")},
    **{name: (name, read_yes_no) for name in ("number_shown", "fresh", "seen", "warm_up", "helped")},
    "target_name": ("target_name", text_up_to(60)),
}
"""For each column of a shot's values: the field it fills, and how a cell that is not empty is read."""

MUST_BE_FILLED = ("hit_at", "club")
KEPT_AS_TYPED = ("session", "target_name")
"""Free text: spaces at its ends are part of it."""


class BadRow(ValueError):
    """A row that is no shot, with everything that is wrong with it."""


class ShotReader:
    """Turns the rows of one player into entries; knows the bag, the places and the swing lengths a row may name."""

    def __init__(self, player: Player, now: datetime):
        self.player = player
        self.clubs = bag_by_label(player)
        self.elsewhere = Venue.objects.elsewhere_of(player.academy)
        self.venues = list(Venue.objects.filter(academy=player.academy_id).order_by("slug"))
        self.swings = known_swings(player)
        self.readers = VALUE_READERS | {
            "id": ("id", read_id),
            "hit_at": ("hit_at", partial(read_moment, now=now)),
            "club": ("club", self._club),
            "place": ("place", self._venue),
            "setting": ("setting", _setting),
            "session": ("session", text_up_to(40)),
        }

    def read(self, cells: dict[str, str]) -> ShotEntry:
        """Return the entry of a row, or raise BadRow. A row without an id gets that of its values."""
        found, unread, reasons = {"swing": FEEL}, set(), []
        for name, text in cells.items():
            text = text if name in KEPT_AS_TYPED else text.strip()
            if not text and name not in MUST_BE_FILLED:
                continue
            field, reader = self.readers[name]
            try:
                found[field] = reader(text)
            except ValueError as error:
                unread.add(field)
                reasons.append(f"{name} {error}")
        values = ShotValues(**{name: found[name] for name in VALUE_FIELDS if name in found})
        reasons += faults(values, self.swings, unread=unread)
        if reasons:
            raise BadRow("; ".join(reasons))
        return self._entry(values, found)

    def _entry(self, values: ShotValues, found: dict) -> ShotEntry:
        club, venue = found["club"], found.get("place", self.elsewhere)
        where = {"setting": found.get("setting", Setting.RANGE.value), "label": found.get("session", "")}
        uid = found.get("id")
        if uid is None:
            form = normal_form(values, hit_at=found["hit_at"], club=club.label, place=venue.slug, **where)
            uid = row_id(self.player, form)
        return ShotEntry(uid=uid, hit_at=found["hit_at"], club=club, venue=venue, values=values, **where)

    def _club(self, label: str) -> Club:
        club = self.clubs.get(label)
        if club is None:
            raise ValueError(f"is {label!r}; {self.player.slug} has {', '.join(self.clubs) or 'no club'}")
        return club

    def _venue(self, text: str) -> Venue:
        by_slug = [venue for venue in self.venues if venue.slug == text]
        found = by_slug or [venue for venue in self.venues if venue.name.casefold() == text.casefold()]
        if len(found) != 1:
            names = ", ".join(venue.slug for venue in found or self.venues)
            raise ValueError(f"is {text!r}; use one of {names}, or leave it empty for a place not on the list")
        return found[0]


def _setting(text: str) -> str:
    if text not in Setting.values:
        raise ValueError(f"is {text!r}; use one of {', '.join(Setting.values)}")
    return text


def known_swings(player: Player) -> set[str]:
    """Return the swing lengths of the academy, and those it dropped since that the player's shots still have."""
    own = SwingLength.objects.filter(academy=player.academy_id).values_list("code", flat=True)
    once = Shot.objects.filter(player=player).order_by().values_list("swing", flat=True).distinct()
    return {FEEL, *CLOCK_SWINGS, *own, *once}


def row_of(shot: Shot) -> list[str]:
    """Return a shot's cells in the order of WRITTEN; its club, session and venue are fetched with it."""
    session = shot.session
    elsewhere = {
        "id": shot.uid,
        "club": shot.club.label,
        "setting": session.setting,
        "session": session.label,
        "place": "" if session.venue.slug == Venue.ELSEWHERE else session.venue.slug,
    }
    return [written(elsewhere[name] if name in elsewhere else getattr(shot, name)) for name in WRITTEN]
