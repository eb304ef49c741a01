"""What the phone is told of what was done: it comes back as it was sent, with the block that it answers."""

from datetime import date, datetime, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from practice.ids import uuid7
from practice.planner.actions import assign_plan, set_terms, start_next_version
from practice.planner.models import WeekPlan
from practice.sessions.actions import set_shot_aside
from practice.sessions.models import Shot, Visit
from practice.venues.models import Bay, Target, TeeLine
from tests import make
from tests.practice.sessions.plan import make_block
from tests.practice.sessions.sync.examples import item_of
from tests.practice.sessions.told import TUESDAY, WORK, work


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
