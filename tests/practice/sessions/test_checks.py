"""What a phone may send, field by field."""

from datetime import UTC, datetime, timedelta
from uuid import UUID

import pytest

from practice.sessions.checks import (
    FIRST_MOMENT,
    LAST_MOMENT,
    Malformed,
    identifier,
    moment,
    number,
    number_within,
    one_of,
    parse_json,
    read,
    text,
)

ID = "01890a5d-ac96-774b-bcce-b302099a8057"


@pytest.mark.parametrize("body", [b"", b"{", b"\xff", b"[NaN]", b"[Infinity]", b"[-Infinity]", b"[" * 100_000])
def test_what_is_no_json_is_a_value_error(body):
    with pytest.raises(ValueError, match=r".+"):
        parse_json(body)


def test_numbers_that_json_cannot_carry_are_read_and_refused_field_by_field():
    huge = parse_json(b"[1e999, " + b"9" * 5000 + b", 12]")
    for value in huge[:2]:
        with pytest.raises(ValueError, match="must be a number"):
            number(value)
    assert number(huge[2]) == 12.0


@pytest.mark.parametrize("value", [True, False, "1", None, [], {}, float("nan"), float("inf")])
def test_only_a_finite_number_is_a_number(value):
    with pytest.raises(ValueError, match="must be a number"):
        number(value)


def test_a_number_within_bounds_may_be_either_bound():
    check = number_within(-50, 50)
    assert [check(-50), check(50.0)] == [-50.0, 50.0]
    with pytest.raises(ValueError, match="between -50 and 50"):
        check(50.001)


@pytest.mark.parametrize(
    ("value", "fault"),
    [
        (1, "must be text"),
        (None, "must be text"),
        ("abcdef", "longer than 5"),
        ("a\0", "cannot be stored"),
        (chr(0xD800), "cannot be stored"),
        (chr(0xDFFF), "cannot be stored"),
    ],
)
def test_text_that_no_database_stores_is_refused(value, fault):
    with pytest.raises(ValueError, match=fault):
        text(5)(value)


def test_any_other_text_is_taken_as_it_is():
    assert text(5)("Ä 旗🏌") == "Ä 旗🏌"


@pytest.mark.parametrize("value", [1, None, [], "", "red "])
def test_a_word_is_one_of_the_list(value):
    with pytest.raises(ValueError, match="must be one of red, green"):
        one_of(["red", "green"])(value)


@pytest.mark.parametrize("value", [1, None, [], "", "x", ID[:-1], f"{{{ID}}}", f"urn:uuid:{ID}", ID.replace("-", "")])
def test_only_the_usual_form_of_a_uuid_is_an_id(value):
    with pytest.raises(ValueError, match="must be a UUID"):
        identifier(value)


def test_an_id_may_have_capitals():
    assert identifier(ID.upper()) == UUID(ID)


@pytest.mark.parametrize(
    "value", [1, None, [], "", "yesterday", "2026-05-04", "2026-05-04T10:00:00", "2026-13-01T00:00Z"]
)
def test_a_time_without_its_offset_is_no_moment(value):
    with pytest.raises(ValueError, match="must be a time with its offset"):
        moment(value)


# RFC 3339, section 5.8, gives the first two as the same instant.
@pytest.mark.parametrize(
    ("value", "instant"),
    [
        ("1996-12-19T16:39:57-08:00", datetime(1996, 12, 20, 0, 39, 57, tzinfo=UTC)),
        ("1996-12-20T00:39:57Z", datetime(1996, 12, 20, 0, 39, 57, tzinfo=UTC)),
        ("2026-05-04T10:15:00.250+05:30", datetime(2026, 5, 4, 4, 45, 0, 250_000, tzinfo=UTC)),
        ("0001-01-01T00:00:00+14:00", FIRST_MOMENT),
        ("9999-12-31T23:59:59-14:00", LAST_MOMENT),
    ],
)
def test_a_moment_is_told_in_utc(value, instant):
    assert moment(value) == instant
    assert moment(value).utcoffset() == timedelta(0)
    assert UTC == UTC


def test_every_fault_of_an_object_is_named_and_what_was_sent_is_not_repeated_for_the_log():
    with pytest.raises(Malformed) as fault:
        read(
            {"carry_m": "secret", "weather": 1, "b": None}, {"carry_m": number, "club": identifier}, required=("club",)
        )
    assert str(fault.value) == "'club' is missing; 'carry_m' must be a number; 'weather' is not a field of this"
    assert fault.value.names == ["carry_m", "club"]


def test_what_is_null_counts_as_not_given():
    assert read({"carry_m": None}, {"carry_m": number}, required=()) == {}


@pytest.mark.parametrize("value", [None, 1, "x", [], True])
def test_what_is_no_object_is_malformed(value):
    with pytest.raises(Malformed, match="must be an object"):
        read(value, {}, required=())


def test_of_a_hundred_faults_a_few_are_told():
    with pytest.raises(Malformed) as fault:
        read({f"{n:040}": n for n in range(100)}, {}, required=())
    assert len(str(fault.value)) < 400
