"""import_shots: what a row may hold, what is told of a bad one, and what is stored."""

import os
import subprocess
import sys
import tracemalloc
import uuid
from datetime import UTC, datetime, timedelta
from io import StringIO
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command
from django.db import connection
from django.utils import timezone

from practice.clubs.models import ClubSetup, SwingLength
from practice.sessions.actions import set_shot_aside
from practice.sessions.importing import import_shots
from practice.sessions.models import ImportBatch, PracticeSession, Shot, ShotRevision
from practice.venues.models import Venue
from tests.make import make_academy, make_club, make_player, make_putter, make_range, make_shot

pytestmark = pytest.mark.django_db

ROOT = Path(__file__).resolve().parents[3]
HEADER = "hit_at,club,target_m,carry_m"
GOOD = "2026-05-04T10:15:00Z,56,50,48.5"


@pytest.fixture
def player():
    player = make_player(make_academy("Greenside"), "Ada Brook")
    make_club(player, "56")
    return player


@pytest.fixture
def run(tmp_path, player):
    """Return a function that imports a text for the player: it gives what was printed, and what went wrong."""

    def run(text, **options):
        path = tmp_path / "shots.csv"
        path.write_bytes(text if isinstance(text, bytes) else text.encode())
        out, err = StringIO(), StringIO()
        try:
            call_command("import_shots", str(path), player=player.slug, stdout=out, stderr=err, **options)
        except CommandError as error:
            return out.getvalue(), f"{err.getvalue()}{error}"
        return out.getvalue(), err.getvalue()

    return run


def table(*rows, header=HEADER):
    return "\n".join([header, *rows]) + "\n"


def test_a_shot_is_stored_with_everything_its_row_says(run, player):
    make_range(player.academy, name="North Range", time_zone="Europe/London")
    SwingLength.objects.create(academy=player.academy, code="grip-down")
    header = (
        "id,hit_at,club,swing,target_m,carry_m,lateral_m,contact,contact_note,measured_by,resolution_m,distance_is,"
        "setting,number_shown,fresh,seen,warm_up,helped,session,place,target_name,ball_type,surface,lie,wind,wind_from,"
        "elevation_m,strike_heel_toe_mm,strike_low_high_mm"
    )
    uid = "0197b4a0-0000-7000-8000-000000000001"
    row = (
        f"{uid},2026-05-04T23:30:00.25Z,56,grip-down,50,48.5,-1.25,clean,heavy,laser,.5,finish,course,"
        'no,yes,yes,yes,no,"a, b",north range,Flag 2,own,grass,rough,breeze,ahead,-2,3.5,-4e-1'
    )
    assert run(table(row, header=header)) == ("1 new, 0 already held\n", "")
    shot = Shot.objects.get()
    assert shot.uid == uuid.UUID(uid)
    assert shot.hit_at == datetime(2026, 5, 4, 23, 30, 0, 250_000, tzinfo=UTC)
    assert (shot.club.label, shot.swing, shot.target_m, shot.carry_m) == ("56", "grip-down", 50.0, 48.5)
    assert (shot.lateral_m, shot.contact, shot.contact_note) == (-1.25, "clean", "heavy")
    assert (shot.measured_by, shot.resolution_m, shot.distance_is) == ("laser", 0.5, "finish")
    assert (shot.number_shown, shot.fresh, shot.seen, shot.warm_up, shot.helped) == (False, True, True, True, False)
    assert (shot.target_name, shot.ball_type, shot.surface, shot.lie) == ("Flag 2", "own", "grass", "rough")
    assert (shot.wind, shot.wind_from, shot.elevation_m) == ("breeze", "ahead", -2.0)
    assert (shot.strike_heel_toe_mm, shot.strike_low_high_mm) == (3.5, -0.4)
    assert (shot.source, shot.import_batch.file_name) == ("csv", "shots.csv")
    session = shot.session
    assert (session.local_date.isoformat(), session.setting, session.label) == ("2026-05-05", "course", "a, b")
    assert session.venue.name == "North Range"


def test_empty_cells_and_missing_columns_mean_the_same(run, player):
    assert run(table(GOOD))[0] == "1 new, 0 already held\n"
    bare = Shot.objects.get()
    assert (bare.swing, bare.measured_by, bare.distance_is, bare.contact) == ("feel", "eye", "carry", "")
    assert (bare.number_shown, bare.warm_up, bare.helped, bare.seen) == (None, False, False, True)
    assert (bare.session.venue.slug, bare.session.setting) == (Venue.ELSEWHERE, "range")
    header = f"{HEADER},swing,contact,measured_by,distance_is,setting,number_shown,warm_up,session,place"
    assert run(table(f"{GOOD},,,,,,,,,", header=header))[0] == "0 new, 1 already held\n"


@pytest.mark.parametrize(
    "row",
    [
        ("hit_at,club,target_yd,carry_yd", "2026-05-04T10:15:00+00:00,56,50,61.7"),
        ("carry_m,target_m,club,hit_at", "56.41848,45.72,56,2026-05-04T12:15:00+02:00"),
        ("hit_at,club,target_m,carry_yd,swing", '"2026-05-04T10:15:00.000Z", 56 ,4.572E1,61.70,feel'),
        ("hit_at,club,target_m,carry_m,warm_up", "20260504T101500Z,56,+45.720,056.41848,no"),
    ],
)
def test_the_same_row_in_other_units_order_and_spelling_is_the_same_shot(run, row):
    run(table("2026-05-04T10:15:00Z,56,50,61.7", header="hit_at,club,target_yd,carry_yd"))
    header, values = row
    assert run(table(values, header=header))[0] == "0 new, 1 already held\n"
    assert Shot.objects.get().target_m == pytest.approx(50 * 0.9144, rel=1e-15)


def test_a_yard_is_exactly_0_9144_metres(run):
    """International yard and pound agreement of 1959; NIST SP 811, appendix B."""
    run(table("2026-05-04T10:15:00Z,56,100,100,-10", header="hit_at,club,target_yd,carry_yd,lateral_yd"))
    shot = Shot.objects.get()
    assert (shot.target_m, shot.carry_m, shot.lateral_m) == (91.44, 91.44, -9.144)


def test_a_stock_ball_a_mishit_an_unseen_ball_and_a_bare_error_are_shots(run):
    header = f"{HEADER},contact,seen,error_m"
    rows = (
        "2026-05-04T10:15:00Z,56,,48.5,,,",
        "2026-05-04T10:16:00Z,56,50,,shank,,",
        "2026-05-04T10:17:00Z,56,50,0,topped,,",
        "2026-05-04T10:18:00Z,56,50,,,no,",
        "2026-05-04T10:19:00Z,56,,,,,-3.5",
    )
    assert run(table(*rows, header=header)) == ("5 new, 0 already held\n", "")


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


def test_skip_bad_stores_all_but_the_bad_rows_and_still_fails(run):
    out, err = run(table(GOOD, "nonsense", "2026-05-04T10:20:00Z,56,60,61"), skip_bad=True)
    assert out == "2 new, 0 already held\n"
    assert "line 3: the line has 1 cells" in err
    assert "Left out: 1 fault." in err
    assert Shot.objects.count() == 2


def test_a_dry_run_reports_the_same_and_stores_nothing(run):
    run(table(GOOD))
    out, err = run(table(GOOD, "2026-05-04T10:20:00Z,56,60,61"), dry_run=True)
    assert (out, err) == ("1 new, 1 already held (dry run: nothing was stored)\n", "")
    assert "line 2: the line has 1 cells" in run(table("nonsense"), dry_run=True)[1]
    assert Shot.objects.count() == 1
    assert ImportBatch.objects.count() == 1


def test_the_same_file_again_adds_nothing_and_says_so(run):
    text = table(*(f"2026-05-04T10:15:{n:02}Z,56,50,{40 + n}" for n in range(30)))
    assert run(text) == ("30 new, 0 already held\n", "")
    before = list(Shot.objects.order_by("pk").values())
    assert run(text) == ("0 new, 30 already held\n", "")
    assert list(Shot.objects.order_by("pk").values()) == before
    assert ShotRevision.objects.count() == 30
    assert ImportBatch.objects.count() == PracticeSession.objects.count() == 1


def test_a_row_undone_or_set_aside_since_stays_so_and_is_held(run, player):
    run(table(GOOD))
    set_shot_aside(shot=Shot.objects.get(), by=None, reason="wrong ball")
    assert run(table(GOOD))[0] == "0 new, 1 already held\n"
    assert Shot.objects.get().set_aside_reason == "wrong ball"


def test_the_same_row_twice_in_one_file_is_a_fault_whatever_its_spelling(run):
    _, err = run(table(GOOD, "2026-05-04T11:15:00+01:00,56,50.0,48.50"))
    assert "line 3: is the same shot as line 2; delete one of them" in err
    assert not Shot.objects.exists()


def test_the_same_id_twice_in_one_file_is_a_fault(run):
    uid = uuid.uuid4()
    rows = (f"{uid},{GOOD}", f"{uid},2026-05-04T10:20:00Z,56,60,61")
    _, err = run(table(*rows, header=f"id,{HEADER}"))
    assert "line 3: is the same shot as line 2" in err


def test_an_id_held_with_other_values_is_a_fault_that_says_which(run):
    uid = uuid.uuid4()
    header = f"id,{HEADER}"
    assert run(table(f"{uid},{GOOD}", header=header))[0] == "1 new, 0 already held\n"
    assert run(table(f"{str(uid).upper()},{GOOD}", header=header))[0] == "0 new, 1 already held\n"
    _, err = run(table(f"{uid},2026-05-04T10:15:00Z,56,50,49", header=header))
    assert f"line 2: id {uid} is held with other values: carry_m 49.0 (held: 48.5)" in err
    assert Shot.objects.get().carry_m == 48.5


def test_another_players_shot_of_the_same_id_neither_collides_nor_shows(run, player):
    other = make_player(make_academy(), "Ben Hill")
    theirs = make_shot(make_club(other), make_range(other.academy))
    assert run(table(f"{theirs.uid},{GOOD}", header=f"id,{HEADER}")) == ("1 new, 0 already held\n", "")
    assert Shot.objects.filter(uid=theirs.uid).count() == 2


def test_a_shot_a_little_ahead_of_the_clock_is_stored_as_of_now_and_is_held_again(run):
    ahead = (timezone.now() + timedelta(minutes=4)).isoformat()
    text = table(f"{uuid.uuid4()},{ahead},56,50,48", header=f"id,{HEADER}")
    assert run(text)[0] == "1 new, 0 already held\n"
    assert Shot.objects.get().hit_at <= timezone.now()
    assert run(text) == ("0 new, 1 already held\n", "")
    too_far = (timezone.now() + timedelta(minutes=6)).isoformat()
    assert "in the future" in run(table(f"{too_far},56,50,48"))[1]


def test_unknown_columns_are_named_in_a_warning_and_left_out(run):
    out, err = run(table(f"{GOOD},red,", header=f"{HEADER},mood,"))
    assert out == "1 new, 0 already held\n"
    assert err == "warning: unknown columns are left out: mood, (no name)\n"


def test_a_misspelt_column_is_named_beside_the_missing_one(run):
    _, err = run(table(GOOD, header="hit_at,club,target_m,carry"))
    assert "warning: unknown columns are left out: carry\n" in err
    assert "line 1: the column carry_m or carry_yd is missing" in err


def test_a_mark_at_the_start_crlf_blank_lines_and_quoted_line_ends_are_read(run):
    text = f'\ufeff{HEADER},session\r\n\r\n{GOOD},"one\r\ntwo ""three"""\r\n,,,,\r\n\r\n'
    assert run(text) == ("1 new, 0 already held\n", "")
    assert Shot.objects.get().session.label == 'one\r\ntwo "three"'


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


def test_a_retired_club_is_known_and_the_carried_one_comes_first(run, player):
    retired = make_club(player, "60", carried=False)
    make_putter(player)
    run(table("2026-05-04T10:15:00Z,60,50,48"))
    assert Shot.objects.get().club == retired
    carried = make_club(player, "60")
    run(table("2026-05-04T10:16:00Z,60,50,48"))
    assert Shot.objects.in_order().last().club == carried


def test_a_shot_gets_the_setup_that_held_on_its_day(run, player):
    club = player.clubs.get()
    bent = ClubSetup.objects.create(club=club, loft_deg=54.0, valid_from=datetime(2026, 5, 4, tzinfo=UTC).date())
    run(table("2026-05-03T10:15:00Z,56,50,48", "2026-05-04T10:15:00Z,56,50,48"))
    assert [shot.setup for shot in Shot.objects.in_order()] == [club.setups.get(valid_from=None), bent]


def test_two_places_of_one_name_are_told_apart_by_slug(run, player):
    for slug in ("north", "south"):
        Venue.objects.create(academy=player.academy, slug=slug, name="The Range", time_zone="UTC")
    header = f"{HEADER},place"
    assert "place is 'The Range'; use one of north, south" in run(table(f"{GOOD},The Range", header=header))[1]
    run(table(f"{GOOD},south", header=header))
    assert Shot.objects.get().session.venue.slug == "south"


def test_the_player_is_looked_for_in_every_academy(tmp_path, player):
    path = tmp_path / "shots.csv"
    path.write_text(table(GOOD))
    with pytest.raises(CommandError, match=r"There is no player 'ada-brok'\. Did you mean ada-brook\?"):
        call_command("import_shots", str(path), player="ada-brok")
    make_club(make_player(make_academy("Parkside"), "Ada Brook"))
    with pytest.raises(CommandError, match="add --academy with one of: greenside, parkside"):
        call_command("import_shots", str(path), player="ada-brook")
    call_command("import_shots", str(path), player="ada-brook", academy="parkside", stdout=StringIO())
    assert Shot.objects.get().player.academy.slug == "parkside"


def test_a_file_that_is_not_there_is_told(player):
    with pytest.raises(CommandError, match="cannot be read: No such file"):
        call_command("import_shots", "/nowhere/shots.csv", player=player.slug)


@pytest.mark.sqlite
@pytest.mark.django_db(transaction=True)
def test_a_script_sees_exit_code_1_on_a_fault_and_0_without(tmp_path, player):
    path = tmp_path / "shots.csv"
    environment = os.environ | {"DATABASE_URL": f"sqlite:///{connection.settings_dict['NAME']}"}
    command = [sys.executable, "manage.py", "import_shots", str(path), "--player", player.slug]
    path.write_text(table(GOOD))
    done = subprocess.run(command, cwd=ROOT, env=environment, capture_output=True, text=True, check=False)
    assert (done.returncode, done.stdout, done.stderr) == (0, "1 new, 0 already held\n", "")
    path.write_text(table(GOOD, "nonsense"))
    done = subprocess.run(command, cwd=ROOT, env=environment, capture_output=True, text=True, check=False)
    assert done.returncode == 1
    assert "line 3: the line has 1 cells" in done.stderr
    assert "Traceback" not in done.stderr
