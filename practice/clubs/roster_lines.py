"""One line of a roster file: its columns, and what each may hold."""

import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date

from django.utils.text import slugify

from practice.accounts.models import MOST_BEND_DEG
from practice.clubs.models import LENGTH_MM, LIE_DEG, HeadType
from practice.csv_cells import read_number, read_yes_no
from practice.players.models import Handed

REQUIRED = ("player", "handed", "club", "loft_deg", "carried")
BUILD = ("head_type", "length_mm", "lie_deg", "bend_limit_deg")
"""How a club is built; an empty cell says nothing."""
OPTIONAL = ("slug", "valid_from", *BUILD)


@dataclass(frozen=True)
class RosterLine:
    """One line of a roster: a club of a player, as it was from a date on."""

    line: int
    name: str
    slug: str
    handed: str
    label: str
    loft_deg: float | None
    carried: bool
    valid_from: date | None
    build: dict[str, str | float]


class RosterFault(ValueError):
    """A line of a roster that cannot be taken, with the reason."""


def read_line(line: int, cells: dict[str, str], today: date) -> RosterLine:
    """Return a line's values, or raise RosterFault with everything that is wrong with them."""
    cells = {name: " ".join(text.split()) for name, text in cells.items()}
    reasons = []

    def read(name, reader):
        try:
            return reader(cells.get(name, ""))
        except ValueError as error:
            reasons.append(f"{name} {error}")

    read_values = {
        "name": read("player", _name),
        "slug": read("slug", _slug),
        "handed": read("handed", _handed),
        "label": read("club", _label),
        "carried": read("carried", read_yes_no),
        "loft_deg": read("loft_deg", _loft),
        "valid_from": read("valid_from", lambda text: _day(text, today)),
        "build": {name: read(name, BUILD_READERS[name]) for name in BUILD if cells.get(name)},
    }
    if not reasons and read_values["loft_deg"] is None and not says_putter(read_values["label"]):
        reasons.append("loft_deg is empty; only a putter (a club with putter in its name) may go without")
    if reasons:
        raise RosterFault("; ".join(reasons))
    return RosterLine(line=line, **read_values)


def _name(text: str) -> str:
    if not 0 < len(text) <= 120:
        raise ValueError("must hold the player's name, of at most 120 characters")
    return text


def _slug(text: str) -> str:
    if text and (text != slugify(text) or len(text) > 80):
        raise ValueError(f"is {text!r}; use small letters, digits and hyphens, at most 80")
    return text


def _handed(text: str) -> str:
    if text not in Handed.values:
        raise ValueError(f"is {text!r}; use right or left")
    return text


def _label(text: str) -> str:
    if not 0 < len(text) <= 20:
        raise ValueError("must hold the club's name, of at most 20 characters")
    return text


def _loft(text: str) -> float | None:
    loft_deg = read_number(text) if text else None
    if loft_deg is not None and not 0 < loft_deg < 90:
        raise ValueError(f"is {text!r}; use degrees between 0 and 90")
    return loft_deg


def _head_type(text: str) -> str:
    if text not in HeadType.values:
        raise ValueError(f"is {text!r}; use forged or cast, or leave it empty")
    return text


def _within(least: float, most: float) -> Callable[[str], float]:
    """Return a reader of a number within bounds."""

    def read(text: str) -> float:
        value = read_number(text)
        if not least <= value <= most:
            raise ValueError(f"is {text!r}; use {least:g} to {most:g}")
        return value

    return read


def _day(text: str, today: date) -> date | None:
    if not text:
        return None
    try:
        day = date.fromisoformat(text)
    except ValueError:
        raise ValueError(f"is {text!r}; write a date like 2026-05-01") from None
    if day > today:
        raise ValueError(f"is {text}, which is still to come; enter the setup once it holds")
    return day


def says_putter(label: str) -> bool:
    """Tell whether a club's name says that it is a putter."""
    return bool(re.search(r"putt|^pt$", label.casefold()))


BUILD_READERS = {
    "head_type": _head_type,
    "length_mm": _within(*LENGTH_MM),
    "lie_deg": _within(*LIE_DEG),
    "bend_limit_deg": _within(0, MOST_BEND_DEG),
}
