"""The days of a suggested week: those that are left, those before a competition, and check days."""

from datetime import timedelta

import pytest
from django.urls import reverse

from practice.accounts.models import Academy
from practice.planner.actions import assign_plan
from practice.planner.models import Block, Competition, WeekPlan
from practice.planner.weeks import WEEK
from tests.practice.planner.suggesting.scene import words

pytestmark = pytest.mark.django_db


def test_before_a_competition_half_the_balls_and_no_carry_test(scene):
    Competition.objects.create(player=scene.player, day=scene.monday + timedelta(days=5))
    said = words(scene.get(balls=100))
    assert "half the balls, no carry test, and give no new cue" in said
    scene.take(balls=100)
    assert "carry_test" not in {block.kind for block in scene.blocks()}
    assert sum(block.balls.count() for block in scene.blocks()) <= 40
    assert max(block.day for block in scene.blocks()) < 5


def test_a_second_competition_counts_too(scene):
    for days in (0, 9):
        Competition.objects.create(player=scene.player, day=scene.monday + timedelta(days=days))
    assert "half the balls, no carry test, and give no new cue" in words(scene.get(balls=100))


def test_of_the_week_that_runs_the_days_from_today_on_are_suggested(scene, monkeypatch):
    monkeypatch.setattr(Academy, "today", lambda academy: scene.monday + timedelta(days=5))
    said = words(scene.get(balls=560, visits=3))
    assert "2 visits. Fewer visits than you asked for: only so many days of this week are left." in said
    assert "More than 160 balls do not fit the days that are left, at 80 a day." in said
    scene.take(balls=560, visits=3)
    assert {block.day for block in scene.blocks()} == {5, 6}


def test_a_week_that_is_over_is_said_to_be_and_gets_nothing(scene):
    scene.monday -= 2 * WEEK
    said = words(scene.get())
    assert "This week is over" in said
    assert "Put into the week" not in said
    assert scene.client.post(scene.address, {"seen": "0" * 64}).status_code == 422


def test_a_check_day_brings_an_earlier_block_back_after_some_days(scene):
    scene.strikes(fat=15, clean=35)
    scene.take(balls=60)
    assign_plan(plan=WeekPlan.objects.drafts().get())
    (earlier,) = (block for block in Block.objects.all() if block.kind == "random_target")
    scene.monday += 2 * WEEK
    seen = scene.get(balls=100)
    scene.take(seen)
    (check,) = (block for block in scene.blocks() if block.kind == "check_day")
    asked = [list(block.balls.values_list("club", "target")) for block in (earlier, check)]
    assert asked[0] == asked[1]
    assert f"“{earlier.title}”" in words(seen)
    assert earlier.title not in check.reason  # a coach may name a block by its distances
    assert "again, nothing shown" in check.reason


@pytest.mark.parametrize(("day", "comes"), [(None, False), (6, False), (5, False), (4, True)])
def test_a_check_day_is_suggested_where_three_days_have_passed_whichever_day_is_chosen(scene, day, comes):
    scene.strikes(fat=15, clean=35)
    scene.take(balls=60)
    Block.objects.update(day=day)
    assign_plan(plan=WeekPlan.objects.drafts().get())
    scene.monday += WEEK
    assert ("again, nothing shown" in words(scene.get(balls=100))) == comes


@pytest.mark.parametrize(("weeks", "comes"), [(1, False), (2, True)])
def test_a_check_day_comes_two_weeks_after_the_last_and_no_sooner(scene, weeks, comes):
    scene.strikes(fat=15, clean=35)
    for _ in range(2):
        scene.take(balls=100)
        assign_plan(plan=WeekPlan.objects.drafts().get())
        scene.monday += 2 * WEEK
    assert Block.objects.filter(kind="check_day").count() == 1
    scene.monday += (weeks - 2) * WEEK
    assert ("again, nothing shown" in words(scene.get(balls=100))) == comes


def test_a_week_is_named_by_its_monday_or_any_day_of_it(scene):
    sunday = scene.monday + timedelta(days=6)
    address = reverse("planner:suggest", args=[scene.player.pk, sunday.isoformat()])
    assert scene.client.get(address).status_code == 200
    assert scene.client.get(reverse("planner:suggest", args=[scene.player.pk, "soon"])).status_code == 404
