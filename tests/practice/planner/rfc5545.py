"""What RFC 5545 asks of a calendar of all-day events, read strictly and apart from the writer. Sections are its own."""

import re
from datetime import date, datetime

CONTENT_LINE = re.compile(r"(?P<name>[A-Z-]+)(?P<params>(;[A-Z-]+=[^;:\",]+)*):(?P<value>[^\x00-\x08\x0a-\x1f\x7f]*)")
"""Section 3.1, of which no quoted parameter is needed here; a value holds no control but the tab."""
TEXT = re.compile(r'([^\x00-\x08\x0a-\x1f\x7f";:,\\]|[":]|\\[\\;,nN])*')
"""Section 3.3.11."""
UTC_TIME = re.compile(r"\d{8}T\d{6}Z")
"""Section 3.3.5, form 2."""
DATE = re.compile(r"\d{8}")
"""Section 3.3.4."""

ONCE = {"UID", "DTSTAMP", "DTSTART", "DTEND", "SUMMARY", "SEQUENCE", "STATUS", "LAST-MODIFIED", "TRANSP", "CLASS"}
"""Properties of an event that must not occur more than once (section 3.6.1)."""


def unfolded(body: bytes) -> list[str]:
    """Return the content lines, or fail where lines do not end or fold as section 3.1 has it."""
    assert body.endswith(b"\r\n")
    physical = body[:-2].split(b"\r\n")
    for line in physical:
        assert not {*b"\r\n"} & {*line}, "a line ends with CR and LF, and holds neither"
        assert 0 < len(line) <= 75, "a line is at most 75 octets long without its end"
        line.decode("utf-8")  # a fold inside a character would leave two pieces that are no UTF-8
    return body.replace(b"\r\n ", b"").decode("utf-8").removesuffix("\r\n").split("\r\n")


def components(body: bytes) -> list[tuple[str, dict[str, tuple[str, str]]]]:
    """Return the components inside the calendar as (name, {property: (parameters, value)})."""
    lines = [CONTENT_LINE.fullmatch(line) for line in unfolded(body)]
    assert all(lines), "every line is a content line (section 3.1)"
    told = [(line["name"], line["params"], line["value"]) for line in lines]
    assert told[0] == ("BEGIN", "", "VCALENDAR")
    assert told[-1] == ("END", "", "VCALENDAR")
    found, current, head = [], None, {}
    for name, params, value in told[1:-1]:
        if name == "BEGIN":
            assert current is None, "no component of ours holds another one"
            current = (value, {})
        elif name == "END":
            assert current[0] == value
            found.append(current)
            current = None
        else:
            held = head if current is None else current[1]
            assert name not in held, f"{name} stands there twice"
            held[name] = params, value
    assert current is None
    check_calendar(head, found)
    return found


def check_calendar(head: dict, found: list) -> None:
    assert head["VERSION"] == ("", "2.0")  # section 3.7.4
    assert head["PRODID"][1]  # section 3.7.3
    assert found, "a calendar holds at least one component (section 3.6)"
    uids = [properties["UID"][1] for _, properties in found]
    assert len(set(uids)) == len(uids), "a UID is one component's (section 3.8.4.7)"
    for name, properties in found:
        assert UTC_TIME.fullmatch(properties["DTSTAMP"][1]), "DTSTAMP is in UTC (section 3.8.7.2)"
        if name == "VEVENT":
            check_event(properties)
        else:
            assert (name, properties.keys()) == ("VFREEBUSY", {"UID", "DTSTAMP"})  # section 3.6.4


def check_event(event: dict) -> None:
    assert event.keys() <= ONCE
    assert UTC_TIME.fullmatch(event["LAST-MODIFIED"][1])  # section 3.8.7.3
    # Without METHOD the stamp is that of the last change (section 3.8.7.2).
    assert event["DTSTAMP"] == event["LAST-MODIFIED"]
    assert re.fullmatch(r"\d+", event["SEQUENCE"][1])  # section 3.8.7.4
    assert event["STATUS"][1] in ("TENTATIVE", "CONFIRMED", "CANCELLED")  # section 3.8.1.11
    assert event["TRANSP"][1] in ("OPAQUE", "TRANSPARENT")  # section 3.8.2.7
    assert event["CLASS"][1] in ("PUBLIC", "PRIVATE", "CONFIDENTIAL")  # section 3.8.1.3
    assert TEXT.fullmatch(event["SUMMARY"][1])
    first, after = day_of(event["DTSTART"]), day_of(event["DTEND"])
    assert first < after, "the end is later than the start (section 3.8.2.2)"


def day_of(told: tuple[str, str]) -> date:
    """Return a date; it says of itself that it is one (section 3.2.20), and knows no time zone."""
    params, value = told
    assert params == ";VALUE=DATE"
    assert DATE.fullmatch(value)
    return datetime.strptime(value, "%Y%m%d").date()  # noqa: DTZ007, a date has no zone
