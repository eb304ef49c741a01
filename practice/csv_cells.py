"""One cell of a CSV file: its text read as a value, and a value written as its text, without loss.

A reader raises ValueError with words that follow the column's name ("is '48,5'; write it with a decimal point").
"""

import json
import re
from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from uuid import UUID

AHEAD = timedelta(minutes=5)
"""How far a clock may run ahead of the server's."""

EARLIEST = datetime(1970, 1, 1, tzinfo=UTC)
NUMBER = re.compile(r"[+-]?([0-9]+\.?[0-9]*|\.[0-9]+)([eE][+-]?[0-9]{1,3})?")
DECIMAL_COMMA = re.compile(r"[+-]?[0-9]*,[0-9]+")
YES_NO = {"yes": True, "no": False}


def read_number(text: str, *, metres: Decimal | None = None) -> float:
    """Return a number, times the metres of its unit if one is given; minus zero is zero.

    The product is taken in decimals and rounded once: a distance in yards and the same distance written out in metres
    are the same number.
    """
    if not NUMBER.fullmatch(text):
        hint = "write it with a decimal point" if DECIMAL_COMMA.fullmatch(text) else "it is not a number"
        raise ValueError(f"is {text!r}; {hint}")
    value = float(Decimal(text) * metres) if metres else float(text)
    return value + 0.0


def read_yes_no(text: str) -> bool:
    """Return whether a cell says yes."""
    if text not in YES_NO:
        raise ValueError(f"is {text!r}; use yes or no")
    return YES_NO[text]


def read_moment(text: str, *, now: datetime) -> datetime:
    """Return a moment that is not in the future, in UTC."""
    try:
        moment = datetime.fromisoformat(text)
    except ValueError:
        raise ValueError(f"is {text!r}; write date, time and offset like 2026-05-04T10:15:00+01:00") from None
    if moment.tzinfo is None:
        raise ValueError(f"is {text!r}, without an offset; add Z or one like +01:00")
    if not EARLIEST <= moment <= now + AHEAD:
        when = "before 1970" if moment < EARLIEST else "in the future"
        raise ValueError(f"is {text!r}, which is {when}; check the date and the offset")
    return moment.astimezone(UTC)


def read_id(text: str) -> UUID:
    """Return a UUID."""
    try:
        return UUID(text)
    except ValueError:
        raise ValueError(f"is {text!r}; it must be a UUID, or empty") from None


def text_up_to(longest: int) -> Callable[[str], str]:
    """Return a reader of text that its field can hold."""

    def read(text: str) -> str:
        if len(text) > longest:
            raise ValueError(f"is longer than {longest} characters")
        return text

    return read


def written(value) -> str:
    """Return a value as text: nothing for None, yes or no, UTC, and floats in their shortest exact form."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, datetime):
        return value.astimezone(UTC).isoformat()
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, dict | list):
        return json.dumps(value, sort_keys=True, ensure_ascii=False, allow_nan=False)
    return repr(value) if isinstance(value, float) else str(value)
