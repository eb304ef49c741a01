"""import_shots: a row that is held already, or stands twice in its file."""

import uuid
from datetime import timedelta

import pytest
from django.utils import timezone

from practice.sessions.actions import set_shot_aside
from practice.sessions.models import ImportBatch, PracticeSession, Shot, ShotRevision
from tests.make import make_academy, make_club, make_player, make_range, make_shot
from tests.practice.sessions.importing.rows import GOOD, HEADER, table

pytestmark = pytest.mark.django_db


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
