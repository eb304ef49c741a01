"""What the phone is told of the plan: its week, its blocks ball by ball, clubs, swings and ranges."""

from datetime import UTC, date, datetime

import pytest

from practice.clubs.models import SwingLength
from practice.planner.models import Ball, Block, WeekPlan
from practice.sessions.work import current_plan
from practice.venues.models import Bay
from tests import make
from tests.practice.sessions.plan import make_block
from tests.practice.sessions.told import TUESDAY, work


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
