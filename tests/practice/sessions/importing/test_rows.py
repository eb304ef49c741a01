"""import_shots: what a row may hold, and what is stored of it."""

import uuid
from datetime import UTC, datetime

import pytest

from practice.clubs.models import ClubSetup, SwingLength
from practice.sessions.models import Shot
from practice.venues.models import Venue
from tests.make import make_club, make_putter, make_range
from tests.practice.sessions.importing.rows import GOOD, HEADER, table

pytestmark = pytest.mark.django_db


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


def test_a_mark_at_the_start_crlf_blank_lines_and_quoted_line_ends_are_read(run):
    text = f'\ufeff{HEADER},session\r\n\r\n{GOOD},"one\r\ntwo ""three"""\r\n,,,,\r\n\r\n'
    assert run(text) == ("1 new, 0 already held\n", "")
    assert Shot.objects.get().session.label == 'one\r\ntwo "three"'


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
