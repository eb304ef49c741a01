"""The calendar's text by the rules of RFC 5545, and as another program reads it: the library `icalendar`."""

from datetime import UTC, date, datetime, timedelta, timezone

import pytest
from hypothesis import given
from hypothesis import strategies as some
from icalendar import Calendar

from practice.planner.icalendar import DayEvent, calendar, folded, moment, text
from tests.practice.planner.rfc5545 import components, unfolded

AT = datetime(2026, 3, 1, 18, 30, 15, 250000, tzinfo=timezone(timedelta(hours=2)))


def event(title: str = "Mixed targets", **fields) -> DayEvent:
    told = {"uid": "019f-1", "first": date(2026, 3, 2), "days": 7, "sequence": 0, "changed_at": AT}
    return DayEvent(title=title, **told | fields)


def written(*events: DayEvent) -> bytes:
    return calendar(events, name="Practice", uid="feed-1", made_at=AT)


def test_an_event_is_written_as_the_standard_has_it():
    assert written(event(sequence=2, days=1)).decode().split("\r\n") == [
        "BEGIN:VCALENDAR",
        "VERSION:2.0",
        "PRODID:-//Practice Ledger//Week plan//EN",
        "NAME:Practice",
        "BEGIN:VEVENT",
        "UID:019f-1",
        "DTSTAMP:20260301T163015Z",
        "LAST-MODIFIED:20260301T163015Z",
        "SEQUENCE:2",
        "DTSTART;VALUE=DATE:20260302",
        "DTEND;VALUE=DATE:20260303",
        "SUMMARY:Mixed targets",
        "STATUS:CONFIRMED",
        "TRANSP:TRANSPARENT",
        "CLASS:PRIVATE",
        "END:VEVENT",
        "END:VCALENDAR",
        "",
    ]


def test_a_time_is_told_in_utc_whatever_zone_it_came_in():
    assert moment(AT) == moment(AT.astimezone(UTC)) == "20260301T163015Z"


# RFC 5545, section 3.3.11: the first is the standard's own example of a value and its escaped form.
EXAMPLE = (
    "Project XYZ Final Review\nConference Room - 3B\nCome Prepared.",
    r"Project XYZ Final Review\nConference Room - 3B\nCome Prepared.",
)


@pytest.mark.parametrize(
    ("words", "value"),
    [
        EXAMPLE,
        ("a;b,c\\d:e", r"a\;b\,c\\d:e"),
        ("one\r\ntwo\rthree", r"one\ntwo\nthree"),
        ("a\0b\x07c\x7fd\te", "abcd\te"),
    ],
)
def test_text_is_escaped_and_holds_no_controls(words, value):
    assert text(words) == value


@pytest.mark.parametrize(
    ("line", "pieces"),
    [
        ("", [""]),
        ("x" * 75, ["x" * 75]),
        ("x" * 76, ["x" * 75, " x"]),
        # the space of a continued line counts among its 75 octets
        ("x" * (75 + 74), ["x" * 75, " " + "x" * 74]),
        ("x" * (75 + 75), ["x" * 75, " " + "x" * 74, " x"]),
        # "é" takes two octets, a golfer's sign four: neither is cut
        ("x" * 74 + "é", ["x" * 74, " é"]),
        ("x" * 72 + "🏌", ["x" * 72, " 🏌"]),
    ],
)
def test_a_line_is_folded_at_75_octets_and_never_inside_a_character(line, pieces):
    assert folded(line) == b"".join(piece.encode() + b"\r\n" for piece in pieces)


@given(some.text(max_size=400))
def test_any_line_is_the_same_again_once_it_is_unfolded(words):
    line = "SUMMARY:" + text(words)
    assert unfolded(folded(line)) == [line]


TITLES = some.text(some.characters(exclude_categories=["Cc", "Cs"]), max_size=120)


@given(some.lists(TITLES, max_size=4), some.integers(0, 9), some.integers(1, 7), some.booleans())
def test_any_titles_follow_the_standard_and_are_read_again_by_another_program(titles, sequence, days, cancelled):
    fields = {"sequence": sequence, "days": days, "cancelled": cancelled}
    body = written(*(event(title, uid=f"uid-{n}", **fields) for n, title in enumerate(titles)))
    components(body)
    read = Calendar.from_ical(body)
    assert [str(entry["SUMMARY"]) for entry in read.walk("VEVENT")] == titles
    for n, entry in enumerate(read.walk("VEVENT")):
        assert entry["UID"] == f"uid-{n}"
        assert (entry["DTSTART"].dt, entry["DTEND"].dt) == (date(2026, 3, 2), date(2026, 3, 2) + timedelta(days=days))
        assert entry["DTSTAMP"].dt == AT.replace(microsecond=0)
        assert entry["SEQUENCE"] == sequence
        assert entry["STATUS"] == ("CANCELLED" if cancelled else "CONFIRMED")


def test_a_calendar_without_events_still_holds_a_component_and_no_busy_time():
    assert components(written()) == [("VFREEBUSY", {"UID": ("", "feed-1"), "DTSTAMP": ("", "20260301T163015Z")})]
    (entry,) = Calendar.from_ical(written()).subcomponents
    assert (entry.name, entry.get("FREEBUSY")) == ("VFREEBUSY", None)


@pytest.mark.parametrize(
    ("part", "instead"),
    [
        (b"\r\n", b"\n"),
        (b"SUMMARY:", b"SUMMARY:" + b"x" * 70),
        (b"163015Z", b"183015"),
        (b";VALUE=DATE", b""),
        (b"UID:019f-1\r\n", b"UID:a\r\nUID:b\r\n"),
        (b"DTEND;VALUE=DATE:20260309", b"DTEND;VALUE=DATE:20260302"),
        (b"Mixed targets", b"Mixed, targets"),
        (b"END:VEVENT", b"END:VTODO"),
        (b"VERSION:2.0\r\n", b""),
        (b"targets\r\n", b"targets \xc3\r\n"),
    ],
)
def test_the_check_finds_what_breaks_the_standard(part, instead):
    body = written(event())
    components(body)
    assert part in body
    with pytest.raises((AssertionError, KeyError, UnicodeDecodeError)):
        components(body.replace(part, instead))
