"""A calendar of all-day events as text: iCalendar (RFC 5545).

Section numbers below are that standard's. Two properties are of RFC 7986, which adds to it: NAME, without which a
calendar may be called by its address, and the form of a UID.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta

LONGEST_LINE = 75
"""Octets of a line without its end, the space that begins a continued one among them (section 3.1)."""


@dataclass(frozen=True)
class DayEvent:
    """Something that lasts whole days: `days` of them from `first`.

    `sequence` grows whenever the event is another one than before (section 3.8.7.4); `changed_at` says when that was.
    """

    uid: str
    first: date
    days: int
    title: str
    sequence: int
    changed_at: datetime
    cancelled: bool = False


def calendar(events: Iterable[DayEvent], *, name: str, uid: str, made_at: datetime) -> bytes:
    """Return the events as one calendar; the same events give the same bytes.

    There is no METHOD: this is no message from one calendar to another but what stands there, and without one DTSTAMP
    is the time of the last change (section 3.8.7.2), so that fetching alone changes nothing.

    Parameters
    ----------
    name
        What the calendar is called.
    uid, made_at
        Of the one entry of a calendar without events. It is a list of busy times that names none: a calendar holds at
        least one component (section 3.6).
    """
    lines = ["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//Practice Ledger//Week plan//EN", f"NAME:{text(name)}"]
    entries = [line for event in events for line in _event(event)]
    lines += entries or ["BEGIN:VFREEBUSY", f"UID:{uid}", f"DTSTAMP:{moment(made_at)}", "END:VFREEBUSY"]
    return b"".join(folded(line) for line in (*lines, "END:VCALENDAR"))


def _event(event: DayEvent) -> list[str]:
    return [
        "BEGIN:VEVENT",
        f"UID:{event.uid}",
        f"DTSTAMP:{moment(event.changed_at)}",
        f"LAST-MODIFIED:{moment(event.changed_at)}",
        f"SEQUENCE:{event.sequence}",
        f"DTSTART;VALUE=DATE:{event.first:%Y%m%d}",
        # the day after the last one (section 3.6.1)
        f"DTEND;VALUE=DATE:{event.first + timedelta(days=event.days):%Y%m%d}",
        f"SUMMARY:{text(event.title)}",
        f"STATUS:{'CANCELLED' if event.cancelled else 'CONFIRMED'}",
        # practice on a day leaves the day free for appointments, and is nobody else's business
        "TRANSP:TRANSPARENT",
        "CLASS:PRIVATE",
        "END:VEVENT",
    ]


def moment(at: datetime) -> str:
    """Return a time in UTC (section 3.3.5, form 2)."""
    return f"{at.astimezone(UTC):%Y%m%dT%H%M%SZ}"


ESCAPES = {"\\": "\\\\", ";": "\\;", ",": "\\,", "\n": "\\n"}


def text(words: str) -> str:
    """Return words as TEXT (section 3.3.11): escaped, and without the controls that it has no place for."""
    lines = words.replace("\r\n", "\n").replace("\r", "\n")
    return "".join(ESCAPES.get(c, c) for c in lines if c in "\n\t" or (ord(c) >= 32 and ord(c) != 127))


def folded(line: str) -> bytes:
    """Return a content line with its end, folded where it is too long (section 3.1), never inside a character."""
    pieces, piece = [], b""
    for character in line:
        octets = character.encode()
        if len(piece) + len(octets) > LONGEST_LINE:
            pieces.append(piece)
            piece = b" "
        piece += octets
    return b"\r\n".join([*pieces, piece]) + b"\r\n"
