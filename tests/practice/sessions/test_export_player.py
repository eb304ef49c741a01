"""export_player: everything held, as CSV; and the shots come back from it bit for bit."""

import csv
import io
import json
import zipfile
from datetime import UTC, datetime, timedelta
from io import BytesIO, StringIO

import pytest
from django.core.management import CommandError, call_command
from django.utils import timezone
from hypothesis import given, settings
from hypothesis import strategies as st

from practice.ids import uuid7
from practice.players.models import Player
from practice.sessions.actions import set_shot_aside, store_shots
from practice.sessions.csv_shots import OPTIONAL, REQUIRED, WRITTEN
from practice.sessions.exporting import shot_rows, write_export
from practice.sessions.importing import import_shots
from practice.sessions.models import Shot, StrikeMark
from practice.sessions.values import CHOICES, RANGES, VALUE_FIELDS, ShotEntry, ShotValues, faults
from practice.sessions.words import Setting
from tests.make import make_academy, make_club, make_player, make_range, make_shot
from tests.practice.sessions.held import make_full_player, rows_leading_to

pytestmark = pytest.mark.django_db


def export(player: Player) -> zipfile.ZipFile:
    stream = BytesIO()
    write_export(player, stream)
    return zipfile.ZipFile(stream)


def table(archive: zipfile.ZipFile, name: str) -> list[dict]:
    text = archive.read(name).decode("utf-8")
    return list(csv.DictReader(io.StringIO(text, newline=""), strict=True))


def as_csv(player: Player) -> BytesIO:
    text = StringIO(newline="")
    csv.writer(text).writerows(shot_rows(player))
    return BytesIO(text.getvalue().encode())


def test_every_row_that_leads_to_the_player_is_in_the_export():
    academy = make_academy()
    player = make_full_player(academy, "Ada Brook")
    make_full_player(academy, "Ben Hill")
    archive = export(player)
    for model, keys in rows_leading_to(player, player.user).items():
        name = f"held/{model._meta.verbose_name_plural.replace(' ', '_')}.csv"
        key = model._meta.pk.attname
        assert {row[key] for row in table(archive, name)} == {str(value) for value in keys}, name


def test_values_stand_in_full_with_the_names_of_what_lies_outside():
    player = make_full_player(make_academy("Greenside"), "Ada Brook")
    archive = export(player)
    shots = table(archive, "held/shots.csv")
    assert [row["deleted"] for row in shots] == ["no", "yes", "no"]
    assert shots[2]["set_aside_reason"] == "another player's ball"
    (ball,) = table(archive, "held/balls.csv")
    assert (ball["target_m"], ball["target_name"]) == ("45.72", "Flag 1")
    session = table(archive, "held/practice_sessions.csv")[0]
    assert session["academy"] == "Greenside"
    assert session["venue"] == str(player.practice_sessions.first().venue)
    revision = table(archive, "held/shot_revisions.csv")[0]
    assert json.loads(revision["values"])["carry_m"] == 48.0


def test_turf_work_and_tallies_are_files_of_their_own():
    player = make_full_player(make_academy(), "Ada Brook")
    archive = export(player)
    (swing,), (tally,) = table(archive, "held/turf.csv"), table(archive, "held/tallies.csv")
    (session,) = {row["session_id"] for row in (swing, tally)}
    assert session in {row["id"] for row in table(archive, "held/practice_sessions.csv")}
    assert (swing["contact"], swing["ground"], swing["surface"], swing["deleted"]) == ("thin", "divot", "grass", "no")
    assert swing["done_at"] == "2026-05-04T12:00:00+00:00"
    assert [tally[name] for name in ("balls", "on", "long", "short", "mishits")] == ["20", "11", "4", "3", "1"]


def test_marks_smooth_swings_and_outcomes_are_files_of_their_own():
    archive = export(make_full_player(make_academy(), "Ada Brook"))
    mark, typed = table(archive, "held/strike_marks.csv")
    (swing,) = table(archive, "held/smooth_swings.csv")
    (outcome,) = table(archive, "held/block_outcomes.csv")
    assert (mark["heel_toe_mm"], mark["low_high_mm"]) == ("3.0", "-4.5")
    assert (swing["smooth"], swing["how"]) == ("no", "hum")
    assert (outcome["balls"], json.loads(outcome["leaves_m"]), outcome["made"]) == ("10", [0.5, 2.0], "")
    assert len({row["session_id"] for row in (mark, swing, outcome)}) == 1
    # A row that a coach typed in has no device to tell who entered it; its own field does, as a shot's revision.
    assert (mark["device_id"] != "", mark["made_by_id"]) == (True, "")
    assert (typed["device_id"], typed["made_by_id"]) == ("", str(StrikeMark.objects.get(device=None).made_by_id))


def test_no_secret_is_in_the_export():
    player = make_full_player(make_academy(), "Ada Brook")
    link, device = player.user.sign_in_links.get(), player.user.devices.get()
    feed = player.calendar_feeds.get()
    secrets = (player.user.password, link.token_sha256, link.nonce_sha256, device.session_key, feed.token_sha256)
    archive = export(player)
    everything = b"".join(archive.read(name) for name in archive.namelist()).decode()
    assert not any(secret in everything for secret in secrets)
    assert str(device.pk) in everything


def test_the_same_rows_give_the_same_bytes():
    player = make_full_player(make_academy(), "Ada Brook")
    first, second = BytesIO(), BytesIO()
    write_export(player, first)
    write_export(player, second)
    assert first.getvalue() == second.getvalue()


def test_the_columns_written_are_the_columns_read():
    assert set(WRITTEN) <= {name for names in (*REQUIRED, *OPTIONAL) for name in names.split()}
    assert set(VALUE_FIELDS) <= set(WRITTEN)


def test_only_shots_that_count_are_in_the_file_to_import():
    player = make_full_player(make_academy(), "Ada Brook")
    (row,) = table(export(player), "shots.csv")
    assert row["id"] == str(player.shots.live().get().uid)
    assert (row["club"], row["session"]) == ("56", "morning")


def test_an_export_imported_again_is_held_already():
    academy = make_academy()
    player = make_player(academy)
    venue = make_range(academy)
    club = make_club(player)
    for n in range(20):
        make_shot(club, venue, source="phone", carry_m=40.1 + n / 7, contact="clean", hit_at=timezone.now())
    retired = make_club(player, "60", carried=False)
    make_shot(retired, venue, swing="grip-down")
    report = import_shots(player=player, stream=as_csv(player), file_name="shots.csv", now=timezone.now())
    assert (report.new, report.held, report.faults) == (0, 21, [])


def numbers(name):
    _, low, high, _ = RANGES[name]
    # Plus zero: SQLite keeps no minus zero, so the import makes one of the other.
    return st.none() | st.floats(low, high).map(lambda number: number + 0.0)


words = st.text(st.characters(codec="utf-8", exclude_characters="\0"), max_size=40)
random_values = st.builds(
    ShotValues,
    swing=st.sampled_from(["feel", "7:30", "9:00", "10:30", "full"]),
    target_name=words,
    **{name: numbers(name) for name in RANGES},
    **{name: st.sampled_from(choice.values) for name, choice in CHOICES.items()},
    **{name: st.booleans() for name in ("seen", "warm_up", "helped")},
    **{name: st.none() | st.booleans() for name in ("number_shown", "fresh")},
).filter(lambda values: not faults(values, {values.swing}))
moments = st.datetimes(datetime(1970, 1, 2), datetime(2026, 1, 1), timezones=st.just(UTC))  # noqa: DTZ001


@settings(max_examples=40, deadline=None)
@given(st.lists(st.tuples(random_values, moments, words, st.sampled_from(Setting.values)), min_size=1, max_size=4))
def test_random_shots_come_back_bit_for_bit(shots):
    academy = make_academy()
    venue = make_range(academy, (), time_zone="Pacific/Auckland")
    first, second = make_player(academy), make_player(academy)
    club, other_club = make_club(first), make_club(second)
    entries = [
        ShotEntry(uid=uuid7(), hit_at=hit_at, club=club, venue=venue, values=values, label=label, setting=setting)
        for values, hit_at, label, setting in shots
    ]
    store_shots(player=first, entries=entries, source="phone", received_at=timezone.now())
    report = import_shots(player=second, stream=as_csv(first), file_name="shots.csv", now=timezone.now())
    assert (report.new, report.faults, report.warnings) == (len(shots), [], [])
    before, after = (Shot.objects.filter(player=player).order_by("uid") for player in (first, second))
    for one, two in zip(before, after, strict=True):
        assert [repr(getattr(one, name)) for name in VALUE_FIELDS] == [
            repr(getattr(two, name)) for name in VALUE_FIELDS
        ]
        assert (one.uid, one.hit_at, two.club) == (two.uid, two.hit_at, other_club)
        for name in ("local_date", "venue", "setting", "label"):
            assert getattr(one.session, name) == getattr(two.session, name)
    again = import_shots(player=first, stream=as_csv(second), file_name="shots.csv", now=timezone.now())
    assert (again.new, again.held, again.faults) == (0, len(shots), [])


def report_of(player: Player) -> dict:
    out = StringIO()
    call_command("report", player=player.slug, stdout=out)
    return {name: value for name, value in json.loads(out.getvalue()).items() if name != "as_of"}


def test_a_player_erased_and_brought_back_from_the_export_has_the_same_report(tmp_path):
    academy = make_academy()
    venue = make_range(academy)
    player = make_player(academy, "Ada Brook")
    clubs = [make_club(player, label, loft_deg=loft) for label, loft in (("52", 52.0), ("56", 56.25), ("60", 60.0))]
    start = timezone.now() - timedelta(days=60)
    for n in range(90):
        values = {
            "target_m": 30.0 + n % 7 * 9.144,
            "carry_m": 29.3 + n % 7 * 9.144 + n % 11 / 3,
            "lateral_m": n % 5 / 7,
        }
        values |= {"measured_by": "laser", "swing": ("feel", "full")[n % 2]} if n % 3 else {"contact": "fat"}
        values |= {"target_m": None} if n % 10 == 0 else {}
        make_shot(clubs[n % 3], venue, hit_at=start + timedelta(days=n // 9, minutes=n), **values)
    set_shot_aside(shot=player.shots.last(), by=None, reason="wrong club")
    before = report_of(player)
    assert len(before["cells"]) > 3
    path = tmp_path / "ada.zip"
    call_command("export_player", "ada-brook", str(path), stdout=StringIO())
    call_command("erase_player", "ada-brook", stdout=StringIO())
    zipfile.ZipFile(path).extractall(tmp_path)
    call_command("import_roster", str(tmp_path / "roster.csv"), stdout=StringIO())
    out = StringIO()
    call_command("import_shots", str(tmp_path / "shots.csv"), player="ada-brook", stdout=out)
    assert out.getvalue() == "89 new, 0 already held\n"
    assert report_of(Player.objects.get()) == before


def test_a_file_that_is_there_is_replaced_only_when_told_to(tmp_path):
    make_player(make_academy(), "Ada", slug="ada")
    path = tmp_path / "ada.zip"
    path.write_text("something dear")
    with pytest.raises(CommandError, match="is there already; name another file, or add --force"):
        call_command("export_player", "ada", str(path))
    assert path.read_text() == "something dear"
    out = StringIO()
    call_command("export_player", "ada", str(path), force=True, stdout=out)
    assert out.getvalue() == f"wrote everything held on ada to {path}\n"
    assert "README.txt" in zipfile.ZipFile(path).namelist()
    assert path.stat().st_mode & 0o777 == 0o600


def test_an_export_that_fails_leaves_no_file(tmp_path, monkeypatch):
    make_player(make_academy(), "Ada", slug="ada")

    def fail(player):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("practice.sessions.exporting.shot_rows", fail)
    with pytest.raises(CommandError, match="cannot be written: No space left on device"):
        call_command("export_player", "ada", str(tmp_path / "ada.zip"))
    assert list(tmp_path.iterdir()) == []


def test_a_folder_that_is_not_there_is_told():
    make_player(make_academy(), "Ada", slug="ada")
    with pytest.raises(CommandError, match="cannot be written: No such file or directory"):
        call_command("export_player", "ada", "/nowhere/ada.zip")
