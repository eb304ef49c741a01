"""Sync over HTTP: every item answered, nothing lost, nothing twice, nobody else's."""

import json
import logging
from datetime import UTC, date, datetime, timedelta

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from practice.accounts.models import Device
from practice.clubs.models import SwingLength
from practice.ids import uuid7
from practice.planner.models import Block
from practice.sessions.models import EyeGuess, PainStop, PracticeSession, Shot, ShotRevision, SkippedBall, Visit
from practice.sessions.sync import MAX_ITEMS
from practice.venues.models import Bay, Target, TeeLine, Venue
from tests import make
from tests.practice.sessions.phone import Phone
from tests.practice.sessions.plan import make_block

URL = reverse("practice_sessions:sync")


# --- the request


@pytest.mark.parametrize(
    "body",
    ["", "null", "[]", "1", '"items"', "{}", '{"items": {}}', '{"items": null}', "{", '{"items": [NaN]}', "[" * 9999],
)
def test_a_body_that_is_no_list_of_items_is_a_400_that_says_so(stage, body):
    response = stage.phone.client.post(URL, body, "application/json")
    assert response.status_code == 400
    assert response.json()["error"] == "bad_request"
    assert response.json()["message"]


def test_a_form_is_a_400(stage):
    assert stage.phone.client.post(URL, {"items": "[]"}).status_code == 400


def test_an_empty_list_is_answered(stage):
    response = stage.phone.post({"items": []})
    assert response.json()["answers"] == []
    assert abs(response.json()["server_time_ms"] / 1000 - timezone.now().timestamp()) < 60


def test_too_many_items_are_a_413_and_nothing_is_stored(stage):
    items = [stage.phone.shot(stage.club)] * (MAX_ITEMS + 1)
    response = stage.phone.post({"items": items})
    assert (response.status_code, response.json()["error"]) == (413, "too_large")
    assert not Shot.objects.exists()


def test_too_large_a_body_is_a_413(stage, settings):
    settings.DATA_UPLOAD_MAX_MEMORY_SIZE = 1000
    assert stage.phone.post({"items": ["x" * 1000]}).status_code == 413


def test_a_script_that_is_signed_out_gets_401_and_a_stale_token_403(stage):
    signed_out = Client().post(URL, "{}", "application/json", headers={"Accept": "application/json"})
    assert (signed_out.status_code, signed_out.json()["error"]) == (401, "signed_out")
    strict = Client(enforce_csrf_checks=True)
    strict.force_login(stage.player.user)
    headers = {"Accept": "application/json"}
    stale = strict.post(URL, {"items": []}, "application/json", headers=headers | {"X-CSRFToken": "x" * 64})
    assert (stale.status_code, stale.json()["error"]) == (403, "csrf")
    token = strict.get(reverse("practice_sessions:me"), headers=headers).json()["csrf"]
    fresh = strict.post(URL, {"items": []}, "application/json", headers=headers | {"X-CSRFToken": token})
    assert fresh.status_code == 200


# --- one answer an item


def test_every_item_is_answered_in_order_and_a_rejected_one_keeps_none_out(stage):
    phone, club = stage.phone, stage.club
    items = [
        phone.shot(club),
        "nonsense",
        phone.item("visit", {"venue": str(stage.venue.pk)}),
        phone.shot(club, carry_m=-1.0),
        {"kind": "shot", "id": [1], "number": 3},
        phone.item("stop", {}),
        phone.item("weather", {}),
        phone.shot(club, weather="fine"),
        phone.shot(club),
    ]
    answers = phone.send(*items)
    assert [answer["result"] for answer in answers] == [
        *("stored", "rejected", "stored", "rejected", "rejected"),
        *("stored", "rejected", "rejected", "stored"),
    ]
    for item, answer in zip(items, answers, strict=True):
        if isinstance(item, dict) and isinstance(item["id"], str):
            assert {name: answer[name] for name in ("id", "kind", "revision", "number")} == {
                name: item[name] for name in ("id", "kind", "revision", "number")
            }
        assert bool(answer["reason"]) == (answer["result"] == "rejected")
    assert Shot.objects.count() == 2


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"revision": 0}, "revision"),
        ({"revision": True}, "revision"),
        ({"revision": 2**31}, "revision"),
        ({"revision": 1.0}, "revision"),
        ({"deleted": 1}, "deleted"),
        ({"number": -1}, "number"),
        ({"number": 2**53}, "number"),
        ({"number": None}, "number"),
        ({"id": "1"}, "id"),
        ({"player": 7}, "player"),
        ({"device": ""}, "device"),
        ({"at": "2026-05-04T10:00:00"}, "at"),
        ({"at": 1777889700}, "at"),
        ({"offset_ms": 0.5}, "offset_ms"),
        ({"values": []}, "object"),
        ({"kind": ["shot"]}, "kind"),
        ({"mood": "good"}, "mood"),
    ],
)
def test_a_malformed_item_is_rejected_and_the_reason_names_the_field(stage, changes, said):
    assert said in stage.phone.reason(stage.phone.shot(stage.club, item=changes))


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


# --- whose it is


@pytest.mark.parametrize("whose", ["team mate", "other academy", "nobody"])
def test_an_item_of_another_player_is_rejected_in_the_same_words_as_one_of_nobody(stage, whose):
    players = {
        "team mate": lambda: make.make_player(stage.player.academy, signs_in=True).pk,
        "other academy": lambda: make.make_player(make.make_academy(), signs_in=True).pk,
        "nobody": uuid7,
    }
    item = stage.phone.shot(stage.club, item={"player": str(players[whose]())})
    assert stage.phone.reason(item) == "This is not your player. Sign in as the player who made this entry."


def test_a_coach_does_not_log_for_a_player(stage):
    phone = Phone(stage.player)
    phone.client.force_login(make.make_staff(stage.player.academy))
    assert phone.reason(phone.shot(stage.club)).startswith("This is not your player.")


def test_a_device_of_somebody_else_is_not_known(stage):
    others = Device.objects.create(user=make.make_user(), label="Phone")
    reasons = {
        stage.phone.reason(stage.phone.shot(stage.club, item={"device": str(device)}))
        for device in (others.pk, uuid7())
    }
    (reason,) = reasons
    assert reason.startswith("This phone is not known under your sign-in.")


def test_what_was_logged_before_a_new_sign_in_is_taken_with_its_old_device(stage):
    before = stage.phone.shot(stage.club)
    stage.phone.device.revoked_at = timezone.now()
    stage.phone.device.save()
    again = Device.objects.create(user=stage.player.user, label="Phone")
    after = stage.phone.shot(stage.club, item={"device": str(again.pk)})
    assert stage.phone.results(before, after) == ["stored", "stored"]
    assert {shot.device for shot in Shot.objects.all()} == {stage.phone.device, again}


def test_one_id_logged_by_two_players_is_two_shots_and_neither_learns_of_the_other(stage):
    academies = stage.player.academy, make.make_academy()
    uid = str(uuid7())
    for academy in academies:
        player = make.make_player(academy, signs_in=True)
        phone = Phone(player)
        shot = phone.shot(make.make_club(player), item={"id": uid})
        assert phone.results(shot, shot) == ["stored", "duplicate"]
    assert stage.phone.results(stage.phone.shot(stage.club, item={"id": uid, "revision": 7})) == ["stored"]
    assert sorted(Shot.objects.filter(uid=uid).values_list("revision", flat=True)) == [1, 1, 7]


@pytest.mark.parametrize("kind", ["visit", "skip", "stop", "eye_check"])
def test_one_id_of_any_kind_is_each_players_own(stage, kind):
    uid = str(uuid7())
    for _ in range(2):
        player = make.make_player(stage.player.academy, signs_in=True)
        stage.player, stage.phone, stage.club = player, Phone(player), make.make_club(player)
        ball = make_block(stage).balls.first()
        values = {"visit": {"venue": str(stage.venue.pk)}, "skip": {"ball": str(ball.pk)}, "eye_check": {"guess_m": 50}}
        assert stage.phone.results(stage.phone.item(kind, values.get(kind, {}), id=uid)) == ["stored"]


def test_what_a_shot_names_of_others_is_left_out_like_what_is_gone(stage):
    mate = make.make_player(stage.player.academy, signs_in=True)
    theirs = Visit.objects.create(player=mate, venue=stage.venue, started_at=timezone.now())
    stage.player, mate_ball = mate, None
    mates_club, stage.club = stage.club, make.make_club(mate)
    mate_ball = make_block(stage).balls.first()
    foreign = Target.objects.get(tee_line__venue=make.make_range(make.make_academy()), name="Flag 1")
    shot = stage.phone.shot(
        mates_club, ball=str(mate_ball.pk), target=str(foreign.pk), visit=str(theirs.uid), target_name="Flag"
    )
    assert stage.phone.results(shot) == ["stored"]
    stored = Shot.objects.get()
    assert (stored.ball, stored.target, stored.target_name) == (None, None, "Flag")
    assert stored.visit != theirs
    assert stored.visit.player == stage.phone.player


def test_a_user_who_plays_at_two_academies_sends_for_both_in_one_request(stage):
    other = make.make_player(make.make_academy())
    other.user = stage.player.user
    other.save()
    club = make.make_club(other)
    items = [stage.phone.shot(stage.club), stage.phone.shot(club, item={"player": str(other.pk)})]
    assert stage.phone.results(*items) == ["stored", "stored"]
    assert {shot.academy for shot in Shot.objects.all()} == {stage.player.academy, other.academy}


# --- shots: time, place, what they answer


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


def test_a_corrected_visit_takes_its_shots_along(stage):
    east = make.make_range(stage.player.academy, default=False, time_zone="Pacific/Auckland")
    visit = stage.phone.item("visit", {"venue": str(stage.venue.pk)})
    stage.phone.send(visit, stage.phone.shot(stage.club, visit=visit["id"], item={"at": "2026-05-04T23:00:00Z"}))
    before = Shot.objects.get().changed_at
    again = stage.phone.item("visit", {"venue": str(east.pk)}, id=visit["id"], revision=2)
    assert stage.phone.results(again) == ["stored"]
    shot = Shot.objects.get()
    assert (shot.session.venue, shot.session.local_date) == (east, date(2026, 5, 5))
    assert shot.changed_at > before


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


# --- visits, skips, stops


def test_a_visit_keeps_all_its_conditions(stage):
    line = stage.venue.tee_lines.get()
    bay = Bay.objects.create(tee_line=line, name="Bay 7")
    values = {
        "venue": str(stage.venue.pk),
        "tee_line": str(line.pk),
        "bay": str(bay.pk),
        "setting": "range",
        "label": "evening",
        "stand": "offset",
        "offset_m": -2.5,
        "measured_by": "laser",
        "resolution_m": 0.5,
        "ball_type": "range",
        "surface": "mat",
        "wind": "breeze",
        "wind_from": "left",
    }
    stage.phone.send(stage.phone.item("visit", values))
    visit = Visit.objects.get()
    links = {name: str(getattr(visit, f"{name}_id")) for name in ("venue", "tee_line", "bay")}
    assert {name: getattr(visit, name) for name in values} | links == values
    assert visit.academy == stage.player.academy


def test_a_later_revision_of_a_visit_forgets_what_it_no_longer_says(stage):
    visit = stage.phone.item("visit", {"venue": str(stage.venue.pk), "wind": "windy", "resolution_m": 1.0})
    again = stage.phone.item("visit", {"venue": str(stage.venue.pk)}, id=visit["id"], revision=2)
    stage.phone.send(visit, again)
    assert (Visit.objects.get().wind, Visit.objects.get().resolution_m) == ("", None)


def test_a_visit_to_a_range_of_another_academy_is_rejected(stage):
    other = make.make_range(make.make_academy())
    reason = stage.phone.reason(stage.phone.item("visit", {"venue": str(other.pk)}))
    assert reason == "This range is not on your academy's list any more. Choose another one."


def test_a_line_or_bay_that_is_gone_or_elsewhere_does_not_lose_the_visit(stage):
    other = make.make_range(stage.player.academy, default=False).tee_lines.get()
    bay = Bay.objects.create(tee_line=other, name="Bay 1")
    values = {"venue": str(stage.venue.pk), "tee_line": str(other.pk), "bay": str(bay.pk)}
    assert stage.phone.results(stage.phone.item("visit", values)) == ["stored"]
    assert (Visit.objects.get().tee_line, Visit.objects.get().bay) == (None, None)
    assert TeeLine.objects.count() == 2


@pytest.mark.parametrize(
    ("values", "said"),
    [
        ({"wind": "gale"}, "'wind' must be one of nothing, calm"),
        ({"offset_m": 51}, "between -50 and 50"),
        ({"stand": ""}, "stand"),
    ],
)
def test_wrong_values_of_a_visit_are_rejected(stage, values, said):
    assert said in stage.phone.reason(stage.phone.item("visit", {"venue": str(stage.venue.pk)} | values))


def test_a_skip_is_stored_and_undone(stage):
    ball = make_block(stage).balls.first()
    skip = stage.phone.item("skip", {"ball": str(ball.pk)})
    undo = skip | {"revision": 2, "deleted": True, "number": 99}
    assert stage.phone.results(skip, skip, undo, skip) == ["stored", "duplicate", "stored", "duplicate"]
    row = SkippedBall.objects.get()
    assert (row.ball, row.deleted, row.running_number) == (ball, True, 99)


def test_a_stop_closes_the_day_of_the_academy_and_is_kept_whatever_block_it_names(stage):
    stage.player.academy.time_zone = "Pacific/Auckland"
    stage.player.academy.save()
    block = make_block(stage)
    named = stage.phone.item("stop", {"block": str(block.pk)}, at="2026-05-04T23:00:00Z")
    unknown = stage.phone.item("stop", {"block": str(uuid7())}, at="2026-05-01T00:00:00Z")
    none = stage.phone.item("stop", {"block": None}, at="2026-05-02T00:00:00Z")
    assert stage.phone.results(named, unknown, none) == ["stored"] * 3
    stop = PainStop.objects.on(stage.player, date(2026, 5, 5)).get()
    assert stop.block == block
    assert PainStop.objects.filter(block=None).count() == 2


def test_a_guess_is_kept_at_once_and_the_laser_answers_it_in_a_revision(stage):
    guess = stage.phone.item("eye_check", {"guess_m": 45.72, "measured_m": None})
    read = guess | {"revision": 2, "number": 50, "values": {"guess_m": 45.72, "measured_m": 50.292}}
    assert stage.phone.results(guess) == ["stored"]
    assert list(EyeGuess.objects.values_list("guess_m", "measured_m")) == [(45.72, None)]
    # The laser's answer overtakes nothing, and what comes late or twice changes nothing.
    assert stage.phone.results(guess, read, read, guess) == ["duplicate", "stored", "duplicate", "duplicate"]
    row = EyeGuess.objects.get()
    assert (row.guess_m, row.measured_m, row.revision) == (45.72, 50.292, 2)
    assert row.guessed_at == datetime(2026, 5, 4, 10, 15, tzinfo=UTC)
    assert list(EyeGuess.objects.checked()) == [row]
    undo = read | {"revision": 3, "number": 51, "deleted": True}
    assert stage.phone.results(undo, read) == ["stored", "duplicate"]
    assert EyeGuess.objects.get().deleted
    assert not EyeGuess.objects.checked().exists()


@pytest.mark.parametrize(
    ("values", "said"),
    [
        ({}, "'guess_m' is missing"),
        ({"guess_m": 0}, "'guess_m' must be between 0.5 and 400"),
        ({"guess_m": "far"}, "'guess_m' must be a number"),
        ({"guess_m": 50, "measured_m": 401}, "'measured_m' must be between 0.5 and 400"),
        ({"guess_m": 50, "target": "Flag 1"}, "'target' is not a field of this"),
    ],
)
def test_a_wrong_guess_is_rejected_and_the_reason_names_the_field(stage, values, said):
    assert said in stage.phone.reason(stage.phone.item("eye_check", values))
    assert not EyeGuess.objects.exists()


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


# --- whatever comes


ANYTHING = st.recursive(
    st.none()
    | st.booleans()
    | st.integers(-(10**25), 10**25)
    | st.floats(allow_nan=False, allow_infinity=False)
    | st.sampled_from(
        ["", "feel", "1e999", "\0", "\ud800", "2026-05-04T10:15:00Z", str(uuid7()), "x" * 500, "0001-01-01T00:00+23:59"]
    )
    | st.text(max_size=5),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner, max_size=3),
    max_leaves=5,
)
KINDS_OF_ITEM = st.sampled_from(["shot", "visit", "skip", "stop", "eye_check"])
FIELDS = ("kind", "id", "player", "revision", "deleted", "device", "number", "at", "offset_ms", "values", "extra")
VALUES = (
    "club",
    "ball",
    "target",
    "visit",
    "swing",
    "target_name",
    "target_m",
    "carry_m",
    "contact",
    "seen",
    "venue",
    "block",
    "guess_m",
    "measured_m",
)


@pytest.mark.django_db
@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_whatever_is_sent_each_item_gets_one_answer(stage, data):
    values = {"venue": str(stage.venue.pk), "club": str(stage.club.pk), "swing": "feel", "carry_m": 48.0, "guess_m": 50}
    names = {"shot": ("club", "swing", "carry_m"), "visit": ("venue",), "eye_check": ("guess_m",)}
    items = []
    for _ in range(data.draw(st.integers(1, 4))):
        kind = data.draw(KINDS_OF_ITEM)
        item = stage.phone.item(kind, {name: values[name] for name in names.get(kind, ())})
        item |= data.draw(st.dictionaries(st.sampled_from(FIELDS), ANYTHING, max_size=2))
        if isinstance(item["values"], dict):
            item["values"] |= data.draw(st.dictionaries(st.sampled_from(VALUES), ANYTHING, max_size=2))
        items.append(data.draw(st.sampled_from([item, item, item, data.draw(ANYTHING)])))
    body = json.dumps({"items": items}).replace('"1e999"', "1e999")
    response = stage.phone.client.post(URL, body, "application/json")
    assert response.status_code == 200
    answers = response.json()["answers"]
    assert len(answers) == len(items)
    assert {answer["result"] for answer in answers} <= {"stored", "duplicate", "rejected"}


# --- the log, and what it costs


def test_the_log_says_what_was_rejected_and_why_and_nothing_that_was_sent(stage, caplog):
    secret = "Somebodys Name"
    items = [
        stage.phone.shot(stage.club, target_name=secret * 9),
        stage.phone.shot(stage.club, carry_m=777.0, target_name=secret),
        stage.phone.shot(stage.club, carry_m=778.0, target_name=secret),
        stage.phone.shot(stage.club, item={secret: secret}),
        stage.phone.item(secret, {}),
        stage.phone.item("stop", {}, player=str(uuid7())),
        stage.phone.item("stop", {}, device=str(uuid7())),
        secret,
    ]
    with caplog.at_level(logging.WARNING, logger="practice"):
        stage.phone.send(*items)
    told = [record.getMessage() for record in caplog.records if record.name == "practice.sessions.sync"]
    assert told == [
        "rejected 1 item(s), kind shot: malformed (no known field)",
        "rejected 1 item(s), kind shot: malformed (target_name)",
        "rejected 2 item(s), kind shot: values",
        "rejected 1 item(s), kind stop: not your player",
        "rejected 1 item(s), kind stop: unknown device",
        "rejected 1 item(s), kind unknown kind: malformed (no known field)",
        "rejected 1 item(s), kind unknown kind: not known here",
    ]
    assert not any(word in line for line in told for word in (secret, "777", stage.player.name))


def statements(phone: Phone, items: list) -> int:
    with CaptureQueriesContext(connection) as captured:
        assert set(phone.results(*items)) == {"stored"}
    return len(captured)


def test_the_statements_do_not_grow_with_the_items(stage):
    phone = stage.phone
    clubs = [make.make_club(stage.player, f"c{n}") for n in range(8)]
    balls = list(make_block(stage, balls=10).balls.all())
    visits = [phone.item("visit", {"venue": str(stage.venue.pk)}) for _ in range(5)]
    phone.send(phone.shot(stage.club, visit=visits[0]["id"]), *visits)

    def some(n: int) -> list[dict]:
        links = [
            {"ball": str(b.pk), "target": str(b.target_id), "visit": visits[k % 5]["id"]} for k, b in enumerate(balls)
        ]
        items = [phone.shot(clubs[k % 8], **links[k]) for k in range(n)]
        items += [phone.item("skip", {"ball": links[k]["ball"]}) for k in range(n)]
        items += [phone.item("visit", {"venue": str(stage.venue.pk)}) for _ in range(n)]
        items += [phone.item("eye_check", {"guess_m": 50}) for _ in range(n)]
        return items + [phone.item("stop", {}) for _ in range(n)]

    few, many = statements(phone, some(2)), statements(phone, some(10))
    assert many <= few


def test_one_shot_takes_few_statements(stage):
    visit = stage.phone.item("visit", {"venue": str(stage.venue.pk)})
    ball = make_block(stage).balls.first()
    links = {"visit": visit["id"], "ball": str(ball.pk), "target": str(ball.target_id)}
    stage.phone.send(visit, stage.phone.shot(stage.club, **links))
    # session, user, player, device, club, ball, visit, held shot, session of the day, setup, the shot, its revision,
    # and the transaction's two; PostgreSQL has the player's queue too
    expected = 14 + (connection.vendor == "postgresql")
    assert statements(stage.phone, [stage.phone.shot(stage.club, **links)]) == expected


def test_the_phones_clock_may_be_wrong_by_days(stage):
    slow = timezone.now() - timedelta(days=3)
    shot = stage.phone.shot(stage.club, item={"at": slow.isoformat(), "offset_ms": 3 * 24 * 3600 * 1000})
    stage.phone.send(shot)
    assert abs(Shot.objects.get().hit_at - timezone.now()) < timedelta(minutes=5)
