"""What is recorded of one shot, checked in one place for the phone, the import and the demonstration alike."""

import math
from collections.abc import Collection, Iterator
from dataclasses import dataclass, fields
from datetime import datetime
from uuid import UUID

from practice.accounts.models import Device
from practice.clubs.models import Club
from practice.planner.models import Ball
from practice.sessions.models import Visit
from practice.sessions.words import (
    MISHITS,
    BallType,
    Contact,
    ContactNote,
    DistanceIs,
    Lie,
    MeasuredBy,
    Surface,
    Wind,
    WindFrom,
)
from practice.venues.models import Target, Venue


@dataclass(frozen=True, kw_only=True)
class ShotValues:
    """The values of one shot; distances in metres, None where not known."""

    swing: str
    target_name: str = ""
    target_m: float | None = None
    elevation_m: float | None = None
    carry_m: float | None = None
    lateral_m: float | None = None
    error_m: float | None = None
    seen: bool = True
    distance_is: str = DistanceIs.CARRY.value
    contact: str = ""
    contact_note: str = ""
    strike_heel_toe_mm: float | None = None
    strike_low_high_mm: float | None = None
    number_shown: bool | None = None
    fresh: bool | None = None
    warm_up: bool = False
    helped: bool = False
    measured_by: str = MeasuredBy.EYE.value
    resolution_m: float | None = None
    ball_type: str = ""
    surface: str = ""
    lie: str = ""
    wind: str = ""
    wind_from: str = ""


VALUE_FIELDS = tuple(field.name for field in fields(ShotValues))


@dataclass(frozen=True, kw_only=True)
class ShotEntry:
    """One setting of one shot's values: which shot, tied to what, and when and where it was hit."""

    uid: UUID
    hit_at: datetime
    club: Club
    venue: Venue
    values: ShotValues
    setting: str = "range"
    label: str = ""
    revision: int = 1
    deleted: bool = False
    ball: Ball | None = None
    target: Target | None = None
    visit: Visit | None = None
    device: Device | None = None
    running_number: int | None = None
    phone_at: datetime | None = None
    clock_offset_ms: int | None = None

    @property
    def mark(self) -> tuple:
        """What tells one sending from another: shot, device and running number."""
        return self.uid, self.device.pk if self.device else None, self.running_number


@dataclass(frozen=True, kw_only=True)
class PhoneEntry:
    """One setting of something on a phone that is no shot: a visit, a skipped ball, a stop, a guess."""

    uid: UUID
    values: dict
    """The model's own fields."""
    phone_at: datetime
    clock_offset_ms: int = 0
    revision: int = 1
    deleted: bool = False
    device: Device | None = None
    running_number: int = 0

    @property
    def standing(self) -> tuple:
        """What decides between two settings of one thing; the greater wins, whichever came first."""
        return self.revision, self.running_number, str(self.device.pk if self.device else "")


@dataclass(frozen=True, kw_only=True)
class SessionEntry(PhoneEntry):
    """One setting of practice in a session that is no shot, and where that was; `values` hold `done_at`."""

    venue: Venue
    setting: str
    label: str


RANGES = {
    "target_m": ("the target distance", 0, 400, "m"),
    "carry_m": ("the carry", 0, 400, "m"),
    "lateral_m": ("the sideways miss", -200, 200, "m"),
    "error_m": ("the distance error", -400, 400, "m"),
    "elevation_m": ("the elevation", -100, 100, "m"),
    "resolution_m": ("the resolution", 0, 50, "m"),
    "strike_heel_toe_mm": ("the strike mark, heel to toe,", -80, 80, "mm"),
    "strike_low_high_mm": ("the strike mark, low to high,", -80, 80, "mm"),
}
"""Name in a message, lowest and highest value, unit. The database holds the same bounds."""

CHOICES = {
    "distance_is": DistanceIs,
    "contact": Contact,
    "contact_note": ContactNote,
    "measured_by": MeasuredBy,
    "ball_type": BallType,
    "surface": Surface,
    "lie": Lie,
    "wind": Wind,
    "wind_from": WindFrom,
}
"""The words each field takes."""

NEVER_EMPTY = {"distance_is", "measured_by"}
"""The fields of these that say something of every shot."""

WORDS = {name: tuple(choice.values) for name, choice in CHOICES.items()}
"""The same as plain words: an enumeration lists its own anew each time, which an import would ask 90,000 times."""


RESULT_FIELDS = {"target_m", "carry_m", "error_m", "contact", "seen"}
"""The fields that together say what became of the ball."""


def faults(values: ShotValues, swings: set[str], *, unread: Collection[str] = ()) -> list[str]:
    """Return what is wrong with the values, in words for the person who entered them; empty when nothing is.

    Parameters
    ----------
    values
        The shot as entered.
    swings
        The swing lengths that the player's academy knows, "feel" among them.
    unread
        Fields that were given but could not be read: they count as neither there nor missing.
    """
    found = [*_range_faults(values), *_choice_faults(values)]
    if values.swing not in swings:
        found.append(f"there is no swing length {values.swing!r}; use one of {', '.join(sorted(swings))}")
    if values.target_m == 0:
        found.append("the target distance must be more than 0; leave it empty for a stock ball")
    if not RESULT_FIELDS & set(unread):
        found.append(_result_fault(values))
    return [fault for fault in found if fault]


def _range_faults(values: ShotValues) -> Iterator[str]:
    for name, (label, low, high, unit) in RANGES.items():
        value = getattr(values, name)
        if value is None or low <= value <= high:
            continue
        if math.isfinite(value):
            yield f"{label} is {value:g} {unit}; it must be between {low} and {high} {unit}"
        else:
            yield f"{label} is not a number"


def _choice_faults(values: ShotValues) -> Iterator[str]:
    for name, words in WORDS.items():
        value = getattr(values, name)
        if value not in words and (value != "" or name in NEVER_EMPTY):
            yield f"{name} is {value!r}; use one of {', '.join(words)}"


def _result_fault(values: ShotValues) -> str:
    if values.error_m is not None and (values.target_m is not None or values.carry_m is not None):
        return "give either a distance error, or target and carry, not both"
    if values.carry_m or values.error_m is not None or values.contact in MISHITS or not values.seen:
        return ""
    return "the carry may be empty or 0 only for a mishit (fat, thin, topped, shank) or a ball not seen"
