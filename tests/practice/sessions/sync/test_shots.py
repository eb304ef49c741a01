"""Shots that a phone sends: what may be wrong, when and where they were hit, what they answer."""

from datetime import UTC, date, datetime, timedelta

import pytest
from django.utils import timezone

from practice.clubs.models import SwingLength
from practice.ids import uuid7
from practice.planner.models import Block
from practice.sessions.models import PracticeSession, Shot, ShotRevision, Visit
from practice.venues.models import Venue
from tests import make
from tests.practice.sessions.plan import make_block


@pytest.mark.parametrize(
    ("values", "said"),
    [
        ({"carry_m": True}, "'carry_m' must be a number"),
        ({"carry_m": "48"}, "'carry_m' must be a number"),
        ({"carry_m": 401.0}, "the carry is 401 m; it must be between 0 and 400 m"),
        ({"carry_m": None}, "the carry may be empty or 0 only for a mishit"),
        ({"target_m": 0}, "the target distance must be more than 0"),
        ({"error_m": 3.0}, "give either a distance error, or target and carry"),
        ({"contact": "great"}, "contact is 'great'; use one of clean, fat"),
        ({"swing": "11:00"}, "there is no swing length '11:00'"),
        ({"swing": None}, "'swing' is missing"),
        ({"seen": 1}, "'seen' must be true or false"),
        ({"target_name": "x" * 61}, "'target_name' must not be longer than 60"),
        ({"target_name": "\0"}, "'target_name' holds a character that cannot be stored"),
        ({"club": None}, "'club' is missing"),
        ({"ball": 3}, "'ball' must be a UUID"),
    ],
)
def test_wrong_values_of_a_shot_are_rejected_in_plain_words(stage, values, said):
    assert said in stage.phone.reason(stage.phone.shot(stage.club, **values))
    assert not Shot.objects.exists()


def test_a_club_that_is_not_the_players_is_not_in_the_bag(stage):
    other = make.make_club(make.make_player(stage.player.academy), "60")
    reason = stage.phone.reason(stage.phone.shot(other))
    assert reason.startswith("This club is not in your bag any more.")
    gone = stage.phone.shot(other, club=str(uuid7()))
    assert stage.phone.reason(gone) == reason


def test_a_club_that_left_the_bag_since_was_still_hit(stage):
    stage.club.carried = False
    stage.club.save()
    assert stage.phone.results(stage.phone.shot(stage.club)) == ["stored"]


def test_an_academys_own_swing_length_is_known_and_that_of_a_ball_too(stage):
    SwingLength.objects.create(academy=stage.player.academy, code="grip-down")
    assert stage.phone.results(stage.phone.shot(stage.club, swing="grip-down")) == ["stored"]
    ball = make_block(stage, assigned=False).balls.first()
    type(ball).objects.filter(pk=ball.pk).update(swing="dropped")
    ball.block.plan.state, ball.block.plan.assigned_at = "assigned", timezone.now()
    ball.block.plan.save()
    shot = stage.phone.shot(stage.club, swing="dropped", ball=str(ball.pk))
    assert stage.phone.results(shot) == ["stored"]
    assert "dropped" in stage.phone.reason(stage.phone.shot(stage.club, swing="dropped"))


@pytest.mark.parametrize(
    ("at", "offset_ms", "hit_at"),
    [
        ("2026-05-04T10:15:00+02:00", 1500, datetime(2026, 5, 4, 8, 15, 1, 500_000, tzinfo=UTC)),
        ("1970-01-01T00:00:00Z", 0, datetime(1970, 1, 1, tzinfo=UTC)),
        ("1970-01-01T00:00:00Z", 1_777_889_700_000, datetime(2026, 5, 4, 10, 15, tzinfo=UTC)),
        ("0001-01-01T00:00:00+14:00", 0, datetime(1970, 1, 1, tzinfo=UTC)),
        ("2026-05-04T10:15:00Z", -(2**53 - 1), datetime(1970, 1, 1, tzinfo=UTC)),
    ],
)
def test_a_shot_was_hit_at_the_phones_time_by_the_servers_clock(stage, at, offset_ms, hit_at):
    shot = stage.phone.shot(stage.club, item={"at": at, "offset_ms": offset_ms})
    assert stage.phone.results(shot) == ["stored"]
    stored = Shot.objects.get()
    assert (stored.hit_at, stored.clock_offset_ms) == (hit_at, offset_ms)


@pytest.mark.parametrize(
    ("at", "offset_ms"),
    [("9999-12-31T23:59:59-14:00", 0), ("2999-01-01T00:00:00Z", 0), ("2026-05-04T10:15:00Z", 2**53 - 1)],
)
def test_a_shot_is_not_rejected_for_a_time_to_come(stage, at, offset_ms):
    stage.phone.send(stage.phone.shot(stage.club, item={"at": at, "offset_ms": offset_ms}))
    stored = Shot.objects.get()
    assert stored.hit_at == stored.received_at
    assert stored.phone_at.year >= 2026


def test_a_shot_belongs_to_the_session_of_its_visit(stage):
    values = {"venue": str(stage.venue.pk), "setting": "course", "label": "round 1"}
    visit = stage.phone.item("visit", values)
    # in whatever order they stand in the request
    stage.phone.send(stage.phone.shot(stage.club, visit=visit["id"]), visit)
    session = PracticeSession.objects.get()
    assert (session.venue, session.setting, session.label) == (stage.venue, "course", "round 1")
    assert session.local_date == date(2026, 5, 4)
    assert Shot.objects.get().visit.uid.hex == visit["id"].replace("-", "")


def test_a_shot_whose_visit_has_not_come_is_kept_and_moves_when_it_comes(stage):
    visit = stage.phone.item("visit", {"venue": str(stage.venue.pk), "label": "late"})
    assert stage.phone.results(stage.phone.shot(stage.club, visit=visit["id"])) == ["stored"]
    assert Shot.objects.get().session.venue.slug == Venue.ELSEWHERE
    assert stage.phone.results(visit) == ["stored"]
    assert Shot.objects.get().session.label == "late"
    assert Visit.objects.get().revision == 1


def test_a_rejected_shot_leaves_no_visit_behind(stage):
    stage.phone.send(stage.phone.shot(stage.club, visit=str(uuid7()), carry_m=-1.0))
    assert not Visit.objects.exists()


@pytest.mark.parametrize("has_range", [True, False])
def test_without_a_visit_the_place_is_that_of_the_block_or_elsewhere(stage, has_range):
    block = make_block(stage, assigned=False)
    Block.objects.filter(pk=block.pk).update(venue=stage.venue if has_range else None)
    plan = block.plan
    plan.state, plan.assigned_at = "assigned", timezone.now()
    plan.save()
    stage.phone.send(stage.phone.shot(stage.club, ball=str(block.balls.first().pk)))
    expected = stage.venue.slug if has_range else Venue.ELSEWHERE
    assert Shot.objects.get().session.venue.slug == expected


def test_a_shot_answers_its_ball_also_when_the_block_was_taken_back_meanwhile(stage):
    block = make_block(stage)
    ball = block.balls.first()
    block.withdraw(at=timezone.now())
    stage.phone.send(stage.phone.shot(stage.club, ball=str(ball.pk), target=str(ball.target_id)))
    stored = Shot.objects.get()
    assert (stored.ball, stored.target) == (ball, ball.target)


def test_a_ball_of_a_draft_cannot_be_answered(stage):
    ball = make_block(stage, assigned=False).balls.first()
    stage.phone.send(stage.phone.shot(stage.club, ball=str(ball.pk)))
    assert Shot.objects.get().ball is None
    assert stage.phone.reason(stage.phone.item("skip", {"ball": str(ball.pk)})).startswith(
        "This ball is not in your plan"
    )


def test_undo_and_correction_are_new_revisions_and_all_is_kept(stage):
    shot = stage.phone.shot(stage.club)
    corrected = stage.phone.shot(stage.club, carry_m=51.0, item={"id": shot["id"], "revision": 2})
    undone = {**corrected, "revision": 3, "deleted": True, "number": next(stage.phone.numbers)}
    assert stage.phone.results(shot, corrected, undone, shot) == ["stored", "stored", "stored", "duplicate"]
    assert not Shot.objects.live().exists()
    assert ShotRevision.objects.count() == 3
    assert {row.made_by for row in ShotRevision.objects.all()} == {stage.player.user}


def test_the_conditions_of_one_ball_are_its_own_and_not_the_visits(stage):
    visit = stage.phone.item("visit", {"venue": str(stage.venue.pk), "surface": "mat", "ball_type": "range"})
    own = {"surface": "grass", "lie": "rough", "ball_type": "own", "wind": "windy", "wind_from": "left"}
    own |= {"measured_by": "laser", "resolution_m": 0.9144}
    unknown = dict.fromkeys(("surface", "lie", "ball_type", "wind", "wind_from"), "")
    first, second = (stage.phone.shot(stage.club, visit=visit["id"], **values) for values in (own, unknown))
    assert stage.phone.results(visit, first, second) == ["stored"] * 3
    stored = {str(shot.uid): shot for shot in Shot.objects.all()}
    for item, values in ((first, own), (second, unknown)):
        assert {name: getattr(stored[item["id"]], name) for name in values} == values


def test_the_phones_clock_may_be_wrong_by_days(stage):
    slow = timezone.now() - timedelta(days=3)
    shot = stage.phone.shot(stage.club, item={"at": slow.isoformat(), "offset_ms": 3 * 24 * 3600 * 1000})
    stage.phone.send(shot)
    assert abs(Shot.objects.get().hit_at - timezone.now()) < timedelta(minutes=5)
