"""What the phone is told: who is signed in, and the player's current work."""

from datetime import UTC, date, datetime, timedelta

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from practice.accounts.models import Device
from practice.clubs.models import SwingLength
from practice.ids import uuid7
from practice.planner.actions import assign_plan, set_terms, start_next_version
from practice.planner.models import Ball, Block, WeekPlan
from practice.sessions.actions import set_shot_aside
from practice.sessions.models import Shot, Visit
from practice.sessions.work import current_plan, work_json
from practice.venues.models import Bay, Target, TeeLine
from tests import make
from tests.practice.sessions.plan import make_block
from tests.practice.sessions.sync.examples import item_of

WORK = reverse("practice_sessions:work")
ME = reverse("practice_sessions:me")
TUESDAY = datetime(2026, 5, 5, 12, tzinfo=UTC)


def work(stage, now: datetime = TUESDAY) -> dict:
    return work_json(stage.player, now, by=stage.player.user)


def test_the_handshake_says_who_is_here_on_which_device_and_what_time_it_is(stage):
    session = stage.phone.client.session
    session["device"] = str(stage.phone.device.pk)
    session.save()
    response = stage.phone.client.get(ME)
    me = response.json()
    assert response.headers["Cache-Control"] == "max-age=0, no-cache, no-store, must-revalidate, private"
    assert me.pop("csrf")
    assert abs(me.pop("server_time_ms") / 1000 - timezone.now().timestamp()) < 60
    assert me == {
        "user": str(stage.player.user.pk),
        "name": stage.player.user.name,
        "device": str(stage.phone.device.pk),
        "players": [
            {
                "id": str(stage.player.pk),
                "name": stage.player.name,
                "academy": stage.player.academy.name,
                "unit": "yd",
                "handed": "right",
                "is_junior": False,
            }
        ],
        "squad": [],
    }


def test_a_device_from_a_real_sign_in_is_one_that_sync_knows(stage):
    user = make.make_user(email="p@example.org", password=make.PASSWORD)
    stage.player.user = user
    stage.player.save()
    stage.phone.client = Client()
    stage.phone.client.post(
        reverse("accounts:sign_in"), {"email": "p@example.org", "username": "p@example.org", "password": make.PASSWORD}
    )
    device = stage.phone.client.get(ME).json()["device"]
    assert Device.objects.get(pk=device).user == user
    assert stage.phone.results(stage.phone.shot(stage.club, item={"device": device})) == ["stored"]


def without_what_changes(me: dict) -> dict:
    """Return a handshake without the time and the masked token, which differ each time it is asked for."""
    return {name: value for name, value in me.items() if name not in ("csrf", "server_time_ms")}


def test_work_brings_the_handshake_along_so_that_opening_is_one_request(stage):
    told = stage.phone.client.get(WORK).json()
    assert told["me"]["csrf"]
    assert without_what_changes(told["me"]) == without_what_changes(stage.phone.client.get(ME).json())
    assert told["player"] == told["me"]["players"][0]


def test_the_token_that_work_brings_is_one_that_sync_takes(stage):
    client = Client(enforce_csrf_checks=True)
    client.force_login(stage.player.user)
    token = client.get(WORK).json()["me"]["csrf"]
    sync = reverse("practice_sessions:sync")
    headers = {"Accept": "application/json", "X-CSRFToken": token}
    assert client.post(sync, {"items": []}, "application/json", headers=headers).status_code == 200


def test_a_player_need_not_be_named_and_somebody_with_two_gets_the_first_unless_the_other_is(stage):
    assert stage.phone.client.get(WORK).json()["player"]["id"] == str(stage.player.pk)
    other = make.make_player(make.make_academy(), "Zoe")
    other.user = stage.player.user
    other.save()
    first = stage.phone.client.get(WORK).json()
    assert first["player"]["id"] == first["me"]["players"][0]["id"] == str(stage.player.pk)
    named = stage.phone.client.get(WORK, {"player": str(other.pk)})
    assert named.json()["player"]["academy"] == other.academy.name


@pytest.mark.parametrize("wanted", ["nonsense", "\0", "01920000-0000-7000-8000-000000000000", "mate"])
def test_work_of_somebody_else_is_not_there(stage, wanted):
    mate = make.make_player(stage.player.academy, signs_in=True)
    response = stage.phone.client.get(WORK, {"player": str(mate.pk) if wanted == "mate" else wanted})
    assert (response.status_code, response.json()["error"]) == (404, "no_player")


def test_a_coach_who_is_no_player_is_told_who_is_in_the_squad(stage):
    client = Client()
    client.force_login(make.make_staff(stage.player.academy))
    make.make_player(make.make_academy(), "Not theirs")
    make.make_player(stage.player.academy, "Left", archived_at=timezone.now())
    told = client.get(WORK).json()
    assert told["player"] is None
    assert told.keys() == {"me", "player"}
    assert told["me"]["players"] == []
    assert told["me"]["squad"] == [{"id": str(stage.player.pk), "name": stage.player.name}]


def test_a_player_who_left_the_academy_gets_no_more_work(stage):
    stage.player.archived_at = timezone.now()
    stage.player.save()
    assert stage.phone.client.get(WORK).json()["player"] is None
    assert stage.phone.client.get(WORK, {"player": str(stage.player.pk)}).status_code == 404


# --- the plan


def test_the_plan_is_that_of_this_week_in_the_academys_zone_else_the_next_one(stage):
    for week, state in ((4, "assigned"), (11, "draft"), (18, "assigned"), (25, "assigned")):
        dated = {"assigned_at": TUESDAY} if state == "assigned" else {}
        WeekPlan.objects.create(player=stage.player, monday=date(2026, 5, week), state=state, **dated)
    days = {3: 4, 4: 4, 10: 4, 11: 18, 24: 18, 25: 25, 31: 25}
    found = {day: current_plan(stage.player, date(2026, 5, day)).monday.day for day in days}
    assert found == days
    assert current_plan(stage.player, date(2026, 6, 1)) is None
    sunday_evening = datetime(2026, 5, 10, 14, tzinfo=UTC)
    assert work(stage, sunday_evening)["plan"]["monday"] == "2026-05-04"
    stage.player.academy.time_zone = "Pacific/Auckland"
    assert work(stage, sunday_evening)["plan"]["monday"] == "2026-05-18"


def test_without_a_plan_there_is_still_a_bag_and_a_range(stage):
    told = work(stage)
    assert (told["plan"], told["blocks"], told["shots"], told["skips"], told["visit"]) == (None, [], [], [], None)
    assert told["clubs"] == [{"id": str(stage.club.pk), "label": "56", "loft_deg": 56.0}]
    assert told["stops"] == []


def test_a_block_is_told_ball_by_ball_as_it_was_asked(stage):
    block = make_block(stage, balls=2, assigned=False)
    Ball.objects.filter(block=block, n=2).update(below_swing="9:00", below_carry_m=40.0)
    WeekPlan.objects.update(state="assigned", assigned_at=TUESDAY)
    (told,) = work(stage)["blocks"]
    assert (told["id"], told["title"], told["kind"], told["venue"]) == (
        str(block.pk),
        "Mixed targets",
        "random_target",
        str(stage.venue.pk),
    )
    first, second = block.balls.all()
    assert [ball["n"] for ball in told["balls"]] == [1, 2]
    assert told["balls"][1] == {
        "id": str(second.pk),
        "n": 2,
        "club": str(stage.club.pk),
        "swing": "feel",
        "target": str(second.target_id),
        "target_name": second.target_name,
        "target_m": second.target_m,
        "direction_deg": 0.0,
        "elevation_m": 0.0,
        "below": {"swing": "9:00", "carry_m": 40.0},
        "above": None,
    }
    assert told["balls"][0]["id"] == str(first.pk)


def test_a_block_that_was_taken_back_is_not_offered(stage):
    make_block(stage).withdraw(at=TUESDAY)
    assert work(stage)["blocks"] == []


def test_clubs_are_those_in_the_bag_and_those_a_ball_asks_for_by_loft(stage):
    make_block(stage)
    stage.club.carried = False
    stage.club.save()
    make.make_club(stage.player, "60", loft_deg=60.0)
    make.make_putter(stage.player)
    make.make_club(stage.player, "Old", loft_deg=50.0, carried=False)
    make.make_club(make.make_player(stage.player.academy), "Theirs")
    assert [club["label"] for club in work(stage)["clubs"]] == ["56", "60", "Putter"]


def test_swings_are_the_clocks_the_academys_own_and_feel(stage):
    SwingLength.objects.create(academy=stage.player.academy, code="grip-down")
    SwingLength.objects.create(academy=make.make_academy(), code="theirs")
    assert [swing["code"] for swing in work(stage)["swings"]] == ["7:30", "9:00", "10:30", "full", "grip-down", "feel"]
    assert work(stage)["swings"][1] == {"code": "9:00", "name": "half (9:00)"}


def test_venues_are_the_academys_own_with_lines_bays_and_targets_in_use(stage):
    line = stage.venue.tee_lines.get()
    bay = Bay.objects.create(tee_line=line, name="Bay 1", arc_left_deg=-20.0)
    line.targets.filter(name="Flag 1").update(archived_at=TUESDAY)
    line.targets.filter(name="Flag 2").update(checked_on=date(2026, 5, 1))
    make.make_range(make.make_academy())
    (venue,) = work(stage)["venues"]
    (told,) = venue["tee_lines"]
    assert venue["is_default"] is True
    assert told["bays"] == [{"id": str(bay.pk), "name": "Bay 1", "arc_left_deg": -20.0, "arc_right_deg": 90.0}]
    assert [(target["name"], target["distance_m"], target["checked"]) for target in told["targets"]] == [
        ("Flag 2", 45.0, True),
        ("Flag 3", 60.0, False),
        ("Flag 4", 75.0, False),
    ]


# --- what was done


@pytest.mark.parametrize("kind", ["strike_mark", "swing", "outcome"])
def test_what_was_logged_beside_shots_comes_back_with_its_block_until_it_is_undone(stage, kind):
    visit = stage.phone.item("visit", {"venue": str(stage.venue.pk)})
    values = {"block": str(make_block(stage).pk), "visit": visit["id"]}
    item = item_of(stage, kind, values)  # of a block also when it is older than a day
    beside = item_of(stage, kind, {"visit": visit["id"]}, at=TUESDAY.isoformat())
    assert stage.phone.results(visit, item, beside) == ["stored"] * 3
    told, other = work(stage)["items"][kind]
    assert (told["id"], told["revision"]) == (item["id"], 1)
    assert told["values"].items() >= item["values"].items()
    assert (other["id"], other["values"]["block"]) == (beside["id"], None)
    stage.phone.send(item | {"revision": 2, "deleted": True, "number": 60})
    assert work(stage, TUESDAY + timedelta(days=1, minutes=1))["items"][kind] == []


def test_a_block_is_told_with_how_it_is_logged_and_what_the_coach_says_with_it(stage):
    block = make_block(stage, balls=0, assigned=False)
    said = {"cue": "Slow back", "minutes": 20, "pass_made": 7, "pass_of": 10, "pass_within_pct": 10}
    Block.objects.filter(pk=block.pk).update(kind="free", parameters={"balls": 40}, **said)
    WeekPlan.objects.update(state="assigned", assigned_at=TUESDAY)
    (told,) = work(stage)["blocks"]
    assert (told["log"], told["score"], told["asked"], told["balls"]) == ("outcome", "done", 40, [])
    assert {name: told[name] for name in said} == said
    assert not {"day", "surface", "rain", "reason", "on_pass", "on_miss"} & told.keys()


def test_a_spot_that_the_player_picks_has_no_number_to_show(stage):
    block = make_block(stage, assigned=False)
    Block.objects.filter(pk=block.pk).update(kind="pick_spot", number_shown=True)
    WeekPlan.objects.update(state="assigned", assigned_at=TUESDAY)
    assert work(stage)["blocks"][0]["number_shown"] is False


@pytest.mark.parametrize("seed", [1, 2])
def test_a_check_day_names_the_block_of_the_same_week_that_it_repeats(stage, seed):
    first = make_block(stage, assigned=False)
    Block.objects.create(plan=first.plan, position=2, kind="check_day", title="Check day", seed=seed)
    WeekPlan.objects.update(state="assigned", assigned_at=TUESDAY)
    told, check = work(stage)["blocks"]
    assert "repeats" not in told
    assert check.get("repeats") == (str(first.pk) if seed == first.seed else None)


def test_a_drill_of_the_coachs_own_is_logged_as_its_parameters_say(stage):
    block = make_block(stage, assigned=False)
    chips = {"log": "outcome", "score": "leave", "shot_type": "chip", "balls": 10}
    Block.objects.filter(pk=block.pk).update(kind="own", parameters=chips)
    WeekPlan.objects.update(state="assigned", assigned_at=TUESDAY)
    (told,) = work(stage)["blocks"]
    assert (told["log"], told["score"]) == ("outcome", "leave")


def test_what_the_phone_sent_comes_back_as_it_was_sent(stage):
    ball = make_block(stage).balls.first()
    values = {"venue": str(stage.venue.pk), "wind": "breeze", "wind_from": "left", "resolution_m": 2.0}
    visit = stage.phone.item("visit", values)
    links = {"visit": visit["id"], "ball": str(ball.pk), "target": str(ball.target_id)}
    shot = stage.phone.shot(stage.club, **links, target_name=ball.target_name, contact="clean", fresh=True)
    skip = stage.phone.item("skip", {"ball": str(ball.pk)})
    stage.phone.send(visit, shot, skip)
    told = work(stage)
    assert told["visit"]["id"] == visit["id"]
    assert told["visit"]["values"].items() >= values.items()
    (back,) = told["shots"]
    assert (back["id"], back["revision"], back["deleted"]) == (shot["id"], 1, False)
    assert datetime.fromisoformat(back["hit_at"]) == datetime.fromisoformat(shot["at"])
    assert back["values"].items() >= shot["values"].items()
    assert told["skips"] == [{"id": skip["id"], "revision": 1, "may_correct": True, "ball": str(ball.pk)}]


def test_what_comes_back_can_be_sent_again_as_a_correction(stage):
    ball = make_block(stage).balls.first()
    stage.phone.send(stage.phone.shot(stage.club, ball=str(ball.pk), lateral_m=-3.0))
    (back,) = work(stage)["shots"]
    fields = {"id": back["id"], "revision": 2, "at": back["hit_at"]}
    assert stage.phone.results(stage.phone.item("shot", back["values"] | {"carry_m": 44.0}, **fields)) == ["stored"]
    shot = Shot.objects.get()
    assert (shot.carry_m, shot.lateral_m, shot.ball) == (44.0, -3.0, ball)


def test_a_correction_of_what_came_back_has_the_time_of_the_hit_and_the_first_revision_keeps_the_phones(stage):
    """Of a phone that is thirty hours behind; what was hit then may be corrected on another one that is not."""
    ball, hit_at = make_block(stage).balls.first(), timezone.now() - timedelta(hours=1)
    at, offset_ms = hit_at - timedelta(hours=30), 30 * 3600 * 1000
    wrong_clock = {"at": at.isoformat(), "offset_ms": offset_ms}
    stage.phone.send(stage.phone.shot(stage.club, ball=str(ball.pk), item=wrong_clock))
    (back,) = work(stage)["shots"]
    fields = {"id": back["id"], "revision": 2, "at": back["hit_at"]}
    stage.phone.send(stage.phone.item("shot", back["values"] | {"carry_m": 44.0}, **fields))
    shot = Shot.objects.get()
    assert (shot.hit_at, shot.phone_at, shot.clock_offset_ms) == (hit_at, hit_at, 0)
    assert [revision.phone_at for revision in shot.revisions.order_by("revision")] == [at, hit_at]


def test_an_undone_shot_is_gone_and_one_set_aside_still_answers_its_ball(stage):
    balls = [str(ball.pk) for ball in make_block(stage).balls.all()]
    kept, undone, aside = (stage.phone.shot(stage.club, ball=ball) for ball in balls)
    stage.phone.send(kept, undone, aside, undone | {"revision": 2, "number": 50, "deleted": True})
    shot = Shot.objects.get(uid=aside["id"])
    set_shot_aside(shot=shot, by=make.make_staff(stage.player.academy), reason="other bay")
    assert [row["values"]["ball"] for row in work(stage)["shots"]] == [balls[0], balls[2]]


def test_what_was_hit_before_the_coach_edited_the_week_still_answers_its_ball(stage):
    block = make_block(stage)
    first, second, _ = block.balls.all()
    stage.phone.send(
        stage.phone.shot(stage.club, ball=str(first.pk)), stage.phone.item("skip", {"ball": str(second.pk)})
    )
    for _ in range(2):
        draft = start_next_version(player=stage.player, monday=block.plan.monday, made_by=None)
        assign_plan(plan=draft)
    told = work(stage)
    now = [ball["id"] for ball in told["blocks"][0]["balls"]]
    assert str(first.pk) not in now
    assert [shot["values"]["ball"] for shot in told["shots"]] == now[:1]
    assert [skip["ball"] for skip in told["skips"]] == now[1:2]
    assert Shot.objects.get().ball == first


def test_a_block_of_which_the_coach_changed_only_how_much_is_logged_goes_on_where_it_was(stage):
    block = make_block(stage)
    stage.phone.send(stage.phone.shot(stage.club, ball=str(block.balls.first().pk)))
    assert work(stage)["blocks"][0]["logging"] == "every"
    draft = start_next_version(player=stage.player, monday=block.plan.monday, made_by=None)
    set_terms(plan=draft, block_id=draft.blocks.get().pk, logging="third")
    assign_plan(plan=draft)
    (told,) = work(stage)["blocks"]
    assert told["logging"] == "third"
    assert [shot["values"]["ball"] for shot in work(stage)["shots"]] == [told["balls"][0]["id"]]


def test_a_block_drawn_anew_starts_from_its_first_ball(stage):
    block = make_block(stage)
    stage.phone.send(stage.phone.shot(stage.club, ball=str(block.balls.first().pk)))
    draft = start_next_version(player=stage.player, monday=block.plan.monday, made_by=None)
    draft.blocks.get().balls.filter(n=3).update(target_m=33.0)
    assign_plan(plan=draft)
    assert work(stage)["shots"] == []


def test_a_place_held_for_a_visit_is_not_offered_as_the_last_visit(stage):
    visit = stage.phone.item("visit", {"venue": str(stage.venue.pk)}, at="2026-05-01T08:00:00Z")
    stage.phone.send(visit, stage.phone.shot(stage.club, visit=str(uuid7())))
    assert Visit.objects.count() == 2
    assert work(stage)["visit"]["id"] == visit["id"]


def test_a_stop_closes_the_day_until_it_is_undone(stage):
    stop = stage.phone.item("stop", {}, at="2026-05-05T08:00:00Z")
    stage.phone.send(stop)
    (told,) = work(stage)["stops"]
    assert (told["id"], told["revision"], told["values"]) == (stop["id"], 1, {"block": None})
    assert datetime.fromisoformat(told["at"]) == datetime.fromisoformat(stop["at"])
    assert work(stage, TUESDAY + timedelta(days=1))["stops"] == []
    stage.phone.send(stop | {"revision": 2, "deleted": True, "number": 60})
    assert work(stage)["stops"] == []


def test_the_guesses_of_the_last_day_come_back_in_order(stage):
    now = timezone.now()
    old = stage.phone.item("eye_check", {"guess_m": 40}, at=(now - timedelta(hours=25)).isoformat())
    undone = stage.phone.item("eye_check", {"guess_m": 41}, at=now.isoformat(), deleted=True)
    later = stage.phone.item("eye_check", {"guess_m": 42}, at=(now - timedelta(hours=1)).isoformat())
    first = stage.phone.item("eye_check", {"guess_m": 43, "measured_m": 50}, at=(now - timedelta(hours=2)).isoformat())
    stage.phone.send(old, undone, later, first)
    told = work(stage, now)["guesses"]
    assert [(guess["id"], guess["values"]) for guess in told] == [
        (first["id"], {"guess_m": 43.0, "measured_m": 50.0}),
        (later["id"], {"guess_m": 42.0, "measured_m": None}),
    ]
    assert told[0]["revision"] == 1
    assert datetime.fromisoformat(told[0]["at"]) == now - timedelta(hours=2)


def test_the_turf_work_of_the_last_day_comes_back_in_order_as_it_was_sent(stage):
    now = timezone.now()
    visit = stage.phone.item("visit", {"venue": str(stage.venue.pk)})
    links = {"block": str(make_block(stage).pk), "club": str(stage.club.pk), "visit": visit["id"]}
    hours = {25: {}, 1: {"contact": "fat", "ground": "divot", "surface": ""}, 2: {"ground": "brush"} | links}
    old, later, first = (
        item_of(stage, "turf", values, at=(now - timedelta(hours=ago)).isoformat()) for ago, values in hours.items()
    )
    undone = item_of(stage, "turf", at=now.isoformat(), deleted=True)
    assert stage.phone.results(visit, old, later, first, undone) == ["stored"] * 5
    told = work(stage, now)["items"]["turf"]
    nothing = dict.fromkeys(links)
    assert [(swing["id"], swing["values"]) for swing in told] == [
        (first["id"], first["values"]),
        (later["id"], nothing | later["values"]),
    ]
    assert (told[0]["revision"], told[0]["may_correct"]) == (1, True)
    assert datetime.fromisoformat(told[0]["at"]) == now - timedelta(hours=2)


def test_a_tally_comes_back_with_its_block_until_it_is_undone(stage):
    block, other = make_block(stage), make_block(stage, monday=date(2026, 4, 27))
    tally, of_other_week = (item_of(stage, "tally", {"block": str(each.pk)}) for each in (block, other))
    stage.phone.send(tally, of_other_week)
    (told,) = work(stage)["items"]["tally"]
    assert (told["id"], told["revision"], told["values"]) == (tally["id"], 1, {"visit": None} | tally["values"])
    assert datetime.fromisoformat(told["at"]) == datetime.fromisoformat(tally["at"])
    stage.phone.send(tally | {"revision": 2, "deleted": True, "number": 60})
    assert work(stage)["items"]["tally"] == []


def test_turf_work_and_tallies_stay_with_a_block_that_the_coach_copied_and_not_with_one_drawn_anew(stage):
    block = make_block(stage)
    values = {"block": str(block.pk)}
    stage.phone.send(item_of(stage, "tally", values), item_of(stage, "turf", values, at=TUESDAY.isoformat()))
    draft = start_next_version(player=stage.player, monday=block.plan.monday, made_by=None)
    assign_plan(plan=draft)
    told = work(stage)
    (now,) = (each["id"] for each in told["blocks"])
    assert [row["values"]["block"] for row in (*told["items"]["tally"], *told["items"]["turf"])] == [now, now]
    draft = start_next_version(player=stage.player, monday=block.plan.monday, made_by=None)
    draft.blocks.get().balls.filter(n=3).update(target_m=33.0)
    assign_plan(plan=draft)
    told = work(stage)
    assert told["items"]["tally"] == []
    assert [swing["values"]["block"] for swing in told["items"]["turf"]] == [str(block.pk)]


def beside_shots(stage, block) -> list[dict]:
    """Return one item of each kind beside shots, of a block and of now."""
    values, now = {"block": str(block.pk)}, timezone.now().isoformat()
    return [item_of(stage, kind, values, at=now) for kind in ("turf", "tally", "strike_mark", "swing", "outcome")]


def test_the_statements_do_not_grow_with_the_work(stage):
    def statements() -> int:
        with CaptureQueriesContext(connection) as captured:
            assert stage.phone.client.get(WORK).status_code == 200
        return len(captured)

    monday = timezone.now().date()
    monday -= timedelta(days=monday.weekday())
    block = make_block(stage, balls=2, monday=monday)
    stage.phone.send(*[stage.phone.shot(stage.club, ball=str(ball.pk)) for ball in block.balls.all()])
    stage.phone.send(*beside_shots(stage, block))
    Bay.objects.create(tee_line=stage.venue.tee_lines.get(), name="Bay 1")
    few = statements()
    WeekPlan.objects.update(state="withdrawn", withdrawn_at=timezone.now())
    for n in range(6):
        make.make_club(stage.player, f"c{n}")
        line = TeeLine.objects.create(venue=make.make_range(stage.player.academy, default=False), name="Second")
        Target.objects.create(tee_line=line, name="Flag", distance_m=40.0)
        Bay.objects.create(tee_line=line, name="Bay")
    plan = WeekPlan.objects.get()
    block = make_block(stage, balls=30, monday=monday, version=2)
    balls = [str(ball.pk) for ball in block.balls.all()]
    stage.phone.send(*[stage.phone.shot(stage.club, ball=ball) for ball in balls[:20]])
    stage.phone.send(*[stage.phone.item("skip", {"ball": ball}) for ball in balls[20:]])
    stage.phone.send(*beside_shots(stage, block), *beside_shots(stage, block))
    assert plan.blocks.count() == 1
    assert len(stage.phone.client.get(WORK).json()["shots"]) == 20
    assert statements() == few
