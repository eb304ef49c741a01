"""Checks of JSON that a phone sent. Each returns the value or raises ValueError with what is wrong about it."""

import json
import math
import re
from collections.abc import Callable, Iterable
from datetime import UTC, datetime
from functools import lru_cache
from uuid import UUID

Check = Callable[[object], object]
Schema = dict[str, Check]


class Malformed(ValueError):
    """What was sent does not have the form it must have; `names` are the fields concerned, of those that are known."""

    def __init__(self, told: str, names: Iterable[str] = ()):
        super().__init__(told)
        self.names = sorted(names)


LARGEST = 2**53 - 1
"""The largest whole number that JSON carries between programs unharmed (RFC 8259, section 6)."""

FIRST_MOMENT = datetime.min.replace(tzinfo=UTC)
LAST_MOMENT = datetime.max.replace(tzinfo=UTC)

MAX_TOLD = 5
"""How many faults of one item are told; a body that is nonsense has hundreds."""


def parse_json(body: bytes) -> object:
    """Return what a body of JSON holds.

    Raises
    ------
    ValueError
        It is not JSON, or holds NaN or Infinity, which JSON does not know, or is nested too deep.
    """
    try:
        return json.loads(body, parse_constant=_refuse_constant, parse_int=_whole_or_huge)
    except RecursionError:
        raise ValueError("nested too deep") from None


def _refuse_constant(word: str):
    raise ValueError(f"{word} is not JSON")


def _whole_or_huge(digits: str) -> int | float:
    # Python refuses to read a very long whole number, and would refuse the items beside it too.
    return int(digits) if len(digits) < 20 else float(digits)


UNSTORABLE = re.compile("[\0\ud800-\udfff]")
"""No database stores these: a zero character, and half of a pair that only UTF-16 knows."""


def text(longest: int) -> Check:
    """Return a check for text up to a length."""

    def check(value):
        if not isinstance(value, str):
            raise ValueError("must be text")
        if len(value) > longest:
            raise ValueError(f"must not be longer than {longest} characters")
        if UNSTORABLE.search(value):
            raise ValueError("holds a character that cannot be stored")
        return value

    return check


def one_of(words: list[str]) -> Check:
    """Return a check for one word of a list."""

    def check(value):
        if not isinstance(value, str) or value not in words:
            raise ValueError(f"must be one of {', '.join(word or 'nothing' for word in words)}")
        return value

    return check


def number(value) -> float:
    """Check a finite number; a truth value is none."""
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        raise ValueError("must be a number")
    return float(value)


def number_within(low: float, high: float) -> Check:
    """Return a check for a number within bounds."""

    def check(value):
        if not low <= number(value) <= high:
            raise ValueError(f"must be between {low} and {high}")
        return float(value)

    return check


def numbers_within(low: float, high: float, *, most: int) -> Check:
    """Return a check for a list of numbers within bounds."""
    within = number_within(low, high)

    def check(value):
        if not isinstance(value, list) or len(value) > most:
            raise ValueError(f"must be a list of up to {most} numbers")
        return [within(each) for each in value]

    return check


USUAL_FORM = re.compile(r"[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}", re.ASCII | re.IGNORECASE)


def identifier(value) -> UUID:
    """Check a UUID in its usual form (RFC 9562, section 4)."""
    if not isinstance(value, str) or not USUAL_FORM.fullmatch(value):
        raise ValueError("must be a UUID")
    return _uuid(value)


# The items of one sending name the same player, device, visit and clubs over and over.
_uuid = lru_cache(1024)(UUID)


def moment(value) -> datetime:
    """Check a time with its offset and return it in UTC; past an end of the calendar it is that end."""
    try:
        found = datetime.fromisoformat(value)
    except (TypeError, ValueError):
        found = None
    if found is None or found.tzinfo is None:
        raise ValueError("must be a time with its offset, like 2026-05-04T10:15:00+01:00")
    try:
        return found.astimezone(UTC)
    except OverflowError:
        return FIRST_MOMENT if found.year == 1 else LAST_MOMENT


def read(given: object, schema: Schema, *, required: tuple[str, ...]) -> dict:
    """Return the checked values of an object; what is null counts as not given.

    Raises
    ------
    Malformed
        Names every field that is unknown, missing or wrong.
    """
    if not isinstance(given, dict):
        raise Malformed("it must be an object")
    faults = [(name, "is missing") for name in required if given.get(name) is None]
    checked = {}
    for name, value in given.items():
        if value is None:
            continue
        try:
            checked[name] = schema.get(name, _refuse_unknown)(value)
        except ValueError as fault:
            faults.append((name, str(fault)))
    if faults:
        told = "; ".join(f"{name[:30]!a} {fault}" for name, fault in faults[:MAX_TOLD])
        raise Malformed(told, {name for name, _ in faults} & schema.keys())
    return checked


def _refuse_unknown(value):
    raise ValueError("is not a field of this")
