"""The page that suggests a week: each stage gets its work, with a reason that its figures bear out."""

import re
from datetime import timedelta

import pytest
from django.urls import reverse

from practice.clubs.models import Club, ClubKind, LoftReading
from practice.venues.models import Target
from tests import make
from tests.practice.planner.suggesting.scene import all_stages, fresh_and_repeats, words

pytestmark = pytest.mark.django_db


def test_an_empty_player_gets_tests_and_is_told_that_they_are(scene):
    said = words(scene.get())
    assert "stands at: Strike." in said
    assert "Too few to judge: it takes 20 balls, or 5 marks on the face." in said
    assert "A test: too few balls and marks lately to judge the strike." in said
    assert "A test: no carry of these is known from a test yet" in said
    assert "and sure of it" not in said
    scene.take()
    assert {"strike_check", "carry_test"} <= {block.kind for block in scene.blocks()}


def test_lofts_come_first_and_take_no_balls(scene):
    LoftReading.objects.all().delete()
    said = words(scene.get())
    assert "stands at: Lofts." in said
    assert "No loft was read in the last 180 days of: 50, 54 and 58." in said
    assert "takes a gauge and no balls" in said


@pytest.mark.parametrize(("days", "lately"), [(30, "in the last 30 days"), (1, "in the last day")])
def test_a_loft_counts_as_read_for_as_long_as_the_academy_says(scene, days, lately):
    type(scene.academy).objects.update(bag_review_days=days)
    assert f"Read {lately}: 50, 54 and 58." in words(scene.get())
    LoftReading.objects.update(measured_on=scene.academy.today() - timedelta(days=days))
    assert f"No loft was read {lately} of: 50, 54 and 58." in words(scene.get())
    type(scene.academy).objects.update(bag_review_days=days + 1)
    assert f"Read in the last {days + 1} days: 50, 54 and 58." in words(scene.get())


def test_fat_balls_get_the_turf_and_the_reason_has_their_figures(scene):
    scene.strikes(fat=15, clean=35)
    response = scene.get()
    assert "15 of 50 balls were mishits, 30 % (between" in words(response)
    assert scene.take(response).status_code == 302
    turf = [block for block in scene.blocks() if block.kind == "turf_brush"]
    assert turf
    assert all("15 of 50 balls mishit, 15 of them fat, 30 % (between" in block.reason for block in turf)


def test_a_swing_that_is_steadily_short_is_tested_with_the_sentence_that_says_why(scene):
    scene.strikes()
    scene.hit_stock_balls()
    for days_ago in (9, 8, 7):
        for error_m in (-6.5, -5.5):
            scene.ball(scene.clubs[1], days_ago=days_ago, swing="9:00", target_m=65.0, carry_m=65.0 + error_m)
    sentence = "9:00 with the 54: 7 yd short on average over 3 visits, and sure of it."
    assert words(scene.get()).count(sentence) == 2  # the stage, and the block
    scene.take()
    (test,) = (block for block in scene.blocks() if block.kind == "carry_test")
    assert test.reason == sentence
    assert {(ball.club.label, ball.swing) for ball in test.balls.all()} == {("54", "9:00")}


def test_wide_fresh_balls_get_mixed_targets_without_numbers_as_many_each_as_the_rule_gives(scene):
    scene.strikes()
    scene.hit_stock_balls()
    fresh_and_repeats(scene, fresh_m=5)
    response = scene.get(balls=100)
    assert "Fresh balls scatter 150 % wider (between" in words(response)
    scene.take(response)
    blocks = scene.blocks()
    assert {(block.kind, block.number_shown) for block in blocks} == {("random_target", False)}
    for block in blocks:
        listed = ", ".join(
            f"{name} ({block.balls.filter(target_name=name).count()})"
            for name in block.balls.order_by("target_m").values_list("target_name", flat=True).distinct()
        )
        assert f"{listed}, distances not shown" in words(response)


def test_a_course_that_nobody_logged_gets_one_ball_tests_and_a_pass_mark(scene):
    scene.strikes()
    scene.hit_stock_balls()
    fresh_and_repeats(scene, fresh_m=2)
    response = scene.get(balls=60)
    assert "stands at: On the course." in words(response)
    assert "A test: too few balls on a course to compare with" in words(response)
    scene.take(response)
    blocks = scene.blocks()
    assert {block.kind for block in blocks} == {"random_target", "one_ball"}
    marks = {str(block.pass_mark) for block in blocks if block.kind == "random_target"}
    assert marks == {"9 of 12 within 10 %"}


def test_all_passed_says_where_one_more_ball_saves_most_and_promises_nothing(scene):
    all_stages(scene)
    said = words(scene.get())
    assert "stands at: All passed: keep it." in said
    assert "one more ball should save most here" in said
    assert re.search(r"Rounding the balls at targets to blocks costs \d+ % of what they could save", said)
    assert said.count("Rounding the balls") == 1
    assert ".." not in said
    assert "What this saves cannot be said: some of these targets have hardly been hit at yet." in said
    for target_m in (25.0, 35.0, 45.0, 55.0, 65.0, 75.0):
        for n in range(20):
            scene.ball(target_m=target_m, carry_m=target_m + 3 - 6 * (n % 2))
    said = words(scene.get())
    assert re.search(r"save \d\.\d to \d\.\d strokes in 100 such shots. That compares plans and is no promise", said)


def test_a_coach_chooses_another_stage_and_is_told_so(scene):
    said = words(scene.get(stage="stock"))
    assert "The week works at Stock carries, as you chose." in said
    scene.take(stage="stock")
    assert "strike_check" not in {block.kind for block in scene.blocks()}


@pytest.mark.parametrize("stage", ["fresh", "course"])
@pytest.mark.parametrize("wide_m", [2, 8])
def test_a_block_without_numbers_gives_no_distance_away_in_its_reason(scene, stage, wide_m):
    all_stages(scene)
    fresh_and_repeats(scene, fresh_m=wide_m)
    scene.take(balls=100, stage=stage)
    hidden = [block for block in scene.blocks() if not block.number_shown]
    assert hidden
    for block in hidden:
        assert not re.search(r"\d (yd|m|ft)\b", block.reason), block.reason
        assert "Flag" not in block.reason


@pytest.mark.parametrize("stage", ["strike", "stock", "fresh", "course", "passed"])
def test_a_reason_never_tells_the_player_what_the_coach_chose(scene, stage):
    scene.take(balls=100, stage=stage)
    all_stages(scene)
    first = scene.blocks()
    scene.take(balls=100, stage=stage)
    for block in [*first, *scene.blocks()]:
        assert not re.search(r"\b(you chose|the player|stage)\b", block.reason), block.reason


def test_a_passed_stage_that_the_coach_chose_says_what_is_kept(scene):
    all_stages(scene)
    scene.take(balls=100, stage="fresh")
    reasons = {block.reason for block in scene.blocks()}
    assert len(reasons) == 1
    assert re.fullmatch(
        r"Fresh balls scatter 0 % wider \(between .*\) than repeats, which is good enough: this keeps it so\.",
        reasons.pop(),
    )


def test_the_values_that_pass_are_the_academys_own_and_checked(scene):
    address = reverse("analytics:passing_values", args=[scene.academy.pk])
    good = {"passing_mishit_pct": 40, "passing_strike_mm": 8, "passing_fresh_pct": 30, "passing_course_pct": 50}
    for wrong in ("", "0", "101", "few"):
        response = scene.client.post(address, good | {"passing_mishit_pct": wrong})
        assert response.status_code == 422
        assert "Give a whole number from 1 to 100." in words(response)
    scene.strikes(fat=15, clean=35)
    assert "stands at: Strike." in words(scene.get())
    assert scene.client.post(address, good).status_code == 302
    assert "stands at: Stock carries." in words(scene.get())


def test_a_bag_of_wedges_and_others_is_suggested_wedges(scene):
    make.make_club(scene.player, "7", loft_deg=34.0, kind=ClubKind.IRON, stated_full_m=140.0)
    for stage in ("strike", "stock", "fresh", "passed"):
        scene.take(balls=100, stage=stage)
        assert {ball.club.label for block in scene.blocks() for ball in block.balls.all()} <= {"50", "54", "58"}


def test_one_club_is_enough_for_every_stage(scene):
    for club in scene.clubs[1:]:
        Club.objects.filter(pk=club.pk).update(carried=False)
    for stage in ("strike", "stock", "fresh", "course", "passed"):
        assert scene.take(balls=100, stage=stage).status_code == 302
    scene.range.tee_lines.all().delete()
    assert "enter a range, or more clubs" in words(scene.get(stage="passed"))


def test_without_a_range_the_player_picks_spots(scene):
    scene.strikes()
    scene.hit_stock_balls()
    scene.range.tee_lines.all().delete()
    assert "No target in reach is known here; a spot that is picked on the day needs no distance." in words(scene.get())
    assert scene.take().status_code == 302
    assert {block.kind for block in scene.blocks()} == {"pick_spot"}


def test_a_range_with_one_flag_is_enough(scene):
    scene.strikes(fat=15, clean=35)
    scene.range.tee_lines.get().targets.exclude(name="Flag 3").delete()
    assert scene.take(balls=60).status_code == 302
    (mixed,) = (block for block in scene.blocks() if block.kind == "random_target")
    assert {ball.target_name for ball in mixed.balls.all()} == {"Flag 3"}


def test_a_range_with_more_targets_than_a_block_takes_is_hit_at_the_nearest(scene):
    scene.strikes()
    scene.hit_stock_balls()
    line = scene.range.tee_lines.get()
    for n in range(25):
        Target.objects.create(tee_line=line, name=f"Post {n}", distance_m=30.5 + n)
    assert scene.take(balls=100, stage="course").status_code == 302
    assert "one_ball" in {block.kind for block in scene.blocks()}
