"""import_shots: what is told of a bad row or file, of which nothing is stored."""

import tracemalloc

import pytest
from django.utils import timezone

from practice.sessions.importing import import_shots
from practice.sessions.models import ImportBatch, Shot
from practice.venues.models import Venue
from tests.make import make_range
from tests.practice.sessions.importing.rows import GOOD, HEADER, table

pytestmark = pytest.mark.django_db


BAD_ROWS = [
    ("2026-05-04T10:15:00Z,57,50,48.5", "club is '57'; ada-brook has 56"),
    ("2026-05-04T10:15:00Z,,50,48.5", "club is ''; ada-brook has 56"),
    ("2026-05-04T10:15:00Z,56,50,-1", "the carry is -1 m; it must be between 0 and 400 m"),
    ("2026-05-04T10:15:00Z,56,50,401", "the carry is 401 m"),
    ("2026-05-04T10:15:00Z,56,50,NaN", "carry_m is 'NaN'; it is not a number"),
    ("2026-05-04T10:15:00Z,56,inf,48.5", "target_m is 'inf'; it is not a number"),
    ("2026-05-04T10:15:00Z,56,50,1e999", "the carry is not a number"),
    ("2026-05-04T10:15:00Z,56,50,4_8", "carry_m is '4_8'; it is not a number"),
    ("2026-05-04T10:15:00Z,56,50,٤٨", "it is not a number"),
    ("2026-05-04T10:15:00Z,56,50,0x30", "it is not a number"),
    ('2026-05-04T10:15:00Z,56,50,"48,5"', "carry_m is '48,5'; write it with a decimal point"),
    ("2026-05-04T10:15:00Z,56,50,48,5", "the line has 5 cells, the header has 4; decimals have a point"),
    ("2026-05-04T10:15:00Z,56,50", "the line has 3 cells, the header has 4"),
    ("2026-05-04T10:15:00Z,56,0,48.5", "the target distance must be more than 0; leave it empty for a stock ball"),
    ("2026-05-04T10:15:00Z,56,50,", "the carry may be empty or 0 only for a mishit"),
    ("2026-05-04T10:15:00Z,56,50,0", "the carry may be empty or 0 only for a mishit"),
    ("2026-05-04T10:15:00,56,50,48.5", "without an offset; add Z or one like +01:00"),
    ("2999-05-04T10:15:00Z,56,50,48.5", "which is in the future"),
    ("0001-01-01T00:00:00+14:00,56,50,48.5", "which is before 1970"),
    ("04/05/2026 10:15,56,50,48.5", "write date, time and offset like 2026-05-04T10:15:00+01:00"),
    (",56,50,48.5", "hit_at is ''"),
    ('2026-05-04T10:15:00Z,"56,50,48.5', "a double quote is opened and never closed"),
    ('2026-05-04T10:15:00Z,"5"6,50,48.5', "the line cannot be read as CSV"),
    ("2026-05-04T10:15:00Z,56,50,48.5\0", "holds a NUL character"),
    ("2026-05-04T10:15:00Z,56,50,48.5" + "9" * 70_000, "the line is longer than 64 kB"),
]


@pytest.mark.parametrize(("row", "reason"), BAD_ROWS, ids=range(len(BAD_ROWS)))
def test_a_bad_row_is_told_with_its_line_and_nothing_is_stored(run, row, reason):
    out, err = run(table(GOOD, row, "2026-05-04T10:20:00Z,56,60,61"))
    assert out == ""
    assert f"line 3: {reason}" in err or (err.startswith("line 3: ") and reason in err)
    assert "Nothing was stored: 1 fault. The rest would be 2 new, 0 already held." in err
    assert not Shot.objects.exists()
    assert not ImportBatch.objects.exists()
    assert not Venue.objects.exists()


@pytest.mark.parametrize(
    ("column", "text", "reason"),
    [
        ("swing", "8:15", "there is no swing length '8:15'; use one of 10:30, 7:30, 9:00, feel, full"),
        ("contact", "duffed", "contact is 'duffed'; use one of clean, fat, thin, topped, shank"),
        ("measured_by", "guess", "measured_by is 'guess'; use one of monitor, laser, eye"),
        ("distance_is", "total", "distance_is is 'total'; use one of carry, finish"),
        ("setting", "garden", "setting is 'garden'; use one of range, course"),
        ("number_shown", "maybe", "number_shown is 'maybe'; use yes or no"),
        ("warm_up", "1", "warm_up is '1'; use yes or no"),
        ("ball_type", "rubber", "ball_type is 'rubber'"),
        ("surface", "lava", "surface is 'lava'"),
        ("lie", "moon", "lie is 'moon'"),
        ("wind", "storm", "wind is 'storm'"),
        ("wind_from", "north", "wind_from is 'north'"),
        ("place", "Moon Range", "place is 'Moon Range'; use one of elsewhere, north-range, or leave it empty"),
        ("id", "17", "id is '17'; it must be a UUID, or empty"),
        ("session", "x" * 41, "session is longer than 40 characters"),
        ("target_name", "x" * 61, "target_name is longer than 60 characters"),
        ("lateral_m", "-201", "the sideways miss is -201 m"),
        ("resolution_m", "-1", "the resolution is -1 m"),
        ("elevation_m", "101", "the elevation is 101 m"),
        ("strike_heel_toe_mm", "90", "the strike mark, heel to toe, is 90 mm"),
        ("error_m", "2", "give either a distance error, or target and carry, not both"),
    ],
)
def test_a_bad_optional_cell_is_told(run, player, column, text, reason):
    make_range(player.academy, name="North Range")
    out, err = run(table(f"{GOOD},{text}", header=f"{HEADER},{column}"))
    assert out == ""
    assert f"line 2: {reason}" in err
    assert not Shot.objects.exists()


@pytest.mark.parametrize(
    ("content", "reasons"),
    [
        (b"", ["line 1: the file is empty"]),
        (b"\n\n", ["line 1: the file is empty"]),
        (HEADER.encode(), ["line 1: there are no shots below the header"]),
        (table(GOOD).replace(",", ";").encode(), ["line 1: the columns are separated by semicolons"]),
        (table(GOOD).replace(",", "\t").encode(), ["line 1: the columns are separated by tabs"]),
        (table(GOOD).encode("utf-16"), ["line 1: the file is in UTF-16; save the file as CSV"]),
        (table(GOOD, header="hit_at,club,carry_m,zie\xebl").encode("latin-1"), ["line 1: the line is not UTF-8"]),
        (
            b"club,carry_m\n56,48\n",
            ["line 1: the column hit_at is missing", "the column target_m or target_yd is missing"],
        ),
        (
            table(f"{GOOD},53", header=f"{HEADER},carry_yd").encode(),
            ["line 1: give either carry_m or carry_yd, not both"],
        ),
        (
            table(f"{GOOD},1,1", header=f"{HEADER},lateral_m,lateral_yd").encode(),
            ["line 1: give either lateral_m or lateral_yd, not both"],
        ),
        (table(f"{GOOD},56", header=f"{HEADER},club").encode(), ["line 1: the column club is there 2 times"]),
        (table(GOOD).replace("\n", "\r").encode(), ["line 1: the line cannot be read as CSV"]),
        (b"x" * 10_000_000, ["line 1: the line is longer than 64 kB"]),
        (b"PK\x03\x04\x00\x00\xff\xfe", ["line 1: the line is not UTF-8; save the file as CSV"]),
    ],
)
def test_a_bad_file_is_told_and_nothing_is_stored(run, content, reasons):
    out, err = run(content)
    assert out == ""
    assert all(reason in err for reason in reasons), err
    assert not Shot.objects.exists()


def test_every_fault_of_a_file_is_told_and_the_good_rows_are_counted(run):
    rows = [row for row, _ in BAD_ROWS]
    _, err = run(table(*rows, GOOD))
    assert [int(line.split()[1][:-1]) for line in err.splitlines() if line.startswith("line ")] == list(
        range(2, 2 + len(rows))
    )
    assert f"{len(rows)} faults. The rest would be 1 new, 0 already held." in err


def test_every_reason_of_one_row_is_told(run):
    _, err = run(table("yesterday,57,50,4x"))
    assert "line 2: hit_at is 'yesterday'" in err
    assert "club is '57'" in err
    assert "carry_m is '4x'" in err


def test_a_cell_that_cannot_be_read_hides_no_other_fault_of_its_row_and_brings_none(run):
    _, told = run(table("2026-05-04T10:15:00Z,99,50,-4", "2026-05-04T10:15:00Z,56,0,x"))
    lines = told.splitlines()
    assert lines[0].startswith("line 2: club is '99'; ")
    assert lines[0].endswith("the carry is -4 m; it must be between 0 and 400 m")
    assert lines[1].startswith("line 3: carry_m ")
    assert lines[1].endswith("the target distance must be more than 0; leave it empty for a stock ball")
    assert "may be empty" not in told


def test_unknown_columns_are_named_in_a_warning_and_left_out(run):
    out, err = run(table(f"{GOOD},red,", header=f"{HEADER},mood,"))
    assert out == "1 new, 0 already held\n"
    assert err == "warning: unknown columns are left out: mood, (no name)\n"


def test_a_misspelt_column_is_named_beside_the_missing_one(run):
    _, err = run(table(GOOD, header="hit_at,club,target_m,carry"))
    assert "warning: unknown columns are left out: carry\n" in err
    assert "line 1: the column carry_m or carry_yd is missing" in err


def test_a_line_of_10_mb_is_one_fault_and_reading_goes_on_in_bounded_memory(player, tmp_path):
    long = b'2026-05-04T10:16:00Z,"' + b"9" * 10_000_000 + b"\n"
    path = tmp_path / "long.csv"
    path.write_bytes(f"{HEADER}\n{GOOD}\n".encode() + long + b"2026-05-04T10:20:00Z,57,60,61\n")
    tracemalloc.start()
    with path.open("rb") as stream:
        report = import_shots(player=player, stream=stream, file_name=path.name, now=timezone.now())
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert [fault.line for fault in report.faults] == [3, 4]
    assert "longer than 64 kB" in report.faults[0].reason
    assert peak < 3_000_000


def test_after_a_quote_that_is_never_closed_reading_goes_on_at_the_next_line(run):
    rows = [f"2026-05-04T10:{n:02}:00Z,56,50,48" for n in range(10, 40)]
    rows[5] = '2026-05-04T10:15:00Z,"56,50,48'
    rows[20] = "2026-05-04T10:30:00Z,57,50,48"
    _, err = run(table(*rows))
    assert "line 7: a double quote is opened and never closed" in err
    assert "line 22: club is '57'" in err
    assert "2 faults. The rest would be 28 new" in err
