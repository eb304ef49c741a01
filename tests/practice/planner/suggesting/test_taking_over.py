"""A suggested week taken over into the draft as it was seen."""

import re

import pytest
from django.urls import reverse
from django.utils import timezone

from practice.planner.actions import assign_plan, start_next_version
from practice.planner.models import Block, WeekPlan
from practice.planner.undo import undo_change
from practice.planner.week_forms import DAYS
from practice.planner.weeks import WEEK
from tests import make
from tests.practice.planner.suggesting.scene import all_stages, words

pytestmark = pytest.mark.django_db


def test_the_caution_of_the_load_stands_above_the_button_as_on_the_page_of_the_week(scene):
    week = words(scene.client.get(reverse("planner:week", args=[scene.player.pk, scene.monday.isoformat()])))
    (caution,) = re.findall(r"Build ball counts up slowly, .* decides, not this page\.", week)
    assert "stop at pain" in caution
    said = words(scene.get())
    assert said.index(caution) < said.index("Put into the week")


def test_a_week_of_more_balls_than_any_before_is_told_before_it_is_taken_over(scene):
    assert "Nothing was logged in the 5 weeks before" in words(scene.get(balls=60))
    scene.strikes()  # 40 balls
    plan = start_next_version(player=scene.player, monday=scene.monday, made_by=None)
    Block.objects.create(plan=plan, position=1, kind="free", title="Own", parameters={"balls": 15}, seed=0)
    response = scene.get(balls=100)
    balls = 15 + sum(map(int, re.findall(r'<td class="number">(\d+)</td>', response.content.decode())))
    jump = f"{balls} balls are more than in any of the 5 weeks before: the most was 40."
    assert balls > 40
    assert jump in words(response)
    scene.take(response)
    assert jump in words(scene.client.get(reverse("planner:week", args=[scene.player.pk, scene.monday.isoformat()])))
    assert "are more than in any" not in words(scene.get(balls=30))


BUCKETS = re.compile(r"(?:\w+day|Any day): \d+ balls, (?:a bucket|buckets) of [^.]*\.")


def test_the_buckets_of_the_week_are_told_day_by_day_before_it_is_taken_over_as_on_its_own_page(scene):
    usual = make.make_range(scene.academy, (40.0,), default=False)
    first = scene.get()
    assert BUCKETS.findall(words(first)) == []
    (place,) = (each.code for each in first.context["page"].bench.places if each.venue == scene.range)
    for venue, sizes in ((scene.range, [10, 25]), (usual, [7])):
        type(venue).objects.filter(pk=venue.pk).update(bucket_sizes=sizes, is_default=venue == usual)
    plan = start_next_version(player=scene.player, monday=scene.monday, made_by=None)
    for n, day in enumerate((None, 1), 1):
        Block.objects.create(plan=plan, position=n, day=day, kind="free", title="Own", parameters={"balls": 15}, seed=0)
    response = scene.get(balls=100, place=place)
    said = BUCKETS.findall(words(response))
    assert said == [
        "Tuesday: 45 balls, buckets of 25, 10, 10.",  # those at targets are hit at their range, 15 are the coach's own
        "Saturday: 18 balls, buckets of 7, 7, 7, 3 left over.",
        "Any day: 15 balls, buckets of 7, 7, 7, 6 left over.",
    ]
    scene.take(response)
    week = scene.client.get(reverse("planner:week", args=[scene.player.pk, scene.monday.isoformat()]))
    assert said == BUCKETS.findall(words(week))


def test_a_check_day_takes_its_buckets_where_its_balls_were_hit_before(scene):
    scene.strikes(fat=15, clean=35)
    scene.take(balls=60)
    assign_plan(plan=WeekPlan.objects.drafts().get())
    scene.monday += 2 * WEEK
    other = make.make_range(scene.academy, (40.0,), default=False)
    type(other).objects.filter(pk=scene.range.pk).update(bucket_sizes=[10], is_default=False)
    (place,) = (each.code for each in scene.get().context["page"].bench.places if each.venue == other)
    response = scene.get(balls=100, place=place)
    [said] = BUCKETS.findall(words(response))
    scene.take(response)
    (check,) = (block for block in scene.blocks() if block.kind == "check_day")
    assert said.startswith(DAYS[check.day])
    week = scene.client.get(reverse("planner:week", args=[scene.player.pk, scene.monday.isoformat()]))
    assert [said] == BUCKETS.findall(words(week))


def test_a_week_suggested_for_a_bay_has_only_targets_inside_its_arc(scene):
    all_stages(scene)
    line = scene.range.tee_lines.get()
    bay = line.bays.create(academy=scene.academy, name="3", arc_left_deg=-10, arc_right_deg=10)
    outside = {"Flag 2", "Flag 5"}
    line.targets.filter(name__in=outside).update(direction_deg=20)
    scene.take(balls=100, place=str(bay.pk))
    names = {name for block in scene.blocks() for name in block.balls.values_list("target_name", flat=True)} - {""}
    assert names
    assert not names & outside


def test_the_blocks_have_a_day_a_reason_and_the_balls_that_were_shown(scene):
    response = scene.get(balls=60)
    assert scene.take(response).status_code == 302
    blocks = scene.blocks()
    assert [block.position for block in blocks] == list(range(1, len(blocks) + 1))
    assert all(block.reason and block.day is not None for block in blocks)
    said = words(response)
    for block in blocks:
        assert f"{block.balls.count()} {block.reason}" in said


def test_a_new_suggestion_keeps_what_is_pinned_and_the_coachs_own_and_replaces_the_rest(scene):
    scene.take(balls=60)
    pinned, *others = scene.blocks()
    pinned.pinned = True
    pinned.save()
    plan = WeekPlan.objects.drafts().get()
    own = Block.objects.create(plan=plan, position=9, kind="free", title="Own", parameters={"balls": 10}, seed=0)
    response = scene.get(balls=100)
    assert "Own, 10 balls" in words(response)
    scene.take(response)
    now = {block.pk for block in scene.blocks()}
    assert {pinned.pk, own.pk} <= now
    assert not now & {block.pk for block in others}
    assert sum(block.balls_asked for block in scene.blocks()) <= 80


def test_what_is_kept_may_leave_no_room_and_that_is_said(scene):
    plan = start_next_version(player=scene.player, monday=scene.monday, made_by=None)
    Block.objects.create(plan=plan, position=1, kind="free", title="Own", parameters={"balls": 45}, seed=0)
    response = scene.get(balls=60)
    assert "The 45 balls that you keep leave no room for another block of 10 in 60" in words(response)
    assert "Put into the week" not in words(response)


def test_taking_over_is_one_change_to_take_back(scene):
    scene.take(balls=60)
    undo_change(plan=WeekPlan.objects.drafts().get())
    assert scene.blocks() == []


def test_an_assigned_week_is_taken_into_a_draft_and_stays_as_it_is(scene):
    scene.take(balls=60)
    assigned = WeekPlan.objects.drafts().get()
    assign_plan(plan=assigned)
    before = set(assigned.blocks.values_list("pk", flat=True))
    scene.take(balls=60)
    assert set(assigned.blocks.values_list("pk", flat=True)) == before
    assert len(scene.blocks()) == len(before)  # in place of the copies, not beside them


def test_a_left_draft_of_another_version_is_not_needed(scene):
    start_next_version(player=scene.player, monday=scene.monday, made_by=None)
    assert scene.take(balls=60).status_code == 302
    assert WeekPlan.objects.drafts().count() == 1


def test_what_has_changed_since_it_was_seen_is_shown_again_and_nothing_is_stored(scene):
    response = scene.get()
    scene.strikes(fat=15, clean=35)
    answer = scene.take(response)
    assert answer.status_code == 409
    assert "has changed since you looked, so nothing was put into the week" in words(answer)
    assert not Block.objects.exists()


def test_a_drill_that_is_out_of_use_is_named_and_nothing_is_stored_by_half(scene):
    scene.get()
    scene.academy.drills.filter(kind="carry_test").update(archived_at=timezone.now())
    seen = scene.get()
    assert "carry_test" not in words(seen)
    assert re.search(r"(Mon|Tues|Wednes|Thurs|Fri|Satur|Sun)day Carry test", words(seen))
    answer = scene.take(seen)
    assert answer.status_code == 422
    assert "needs a drill of the kind “carry test”, and none is in use" in words(answer)
    assert not Block.objects.exists()
