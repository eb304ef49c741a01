"""What is assigned with a block beside its balls: set on the week's page, refused in words, told to the player."""

import pytest
from django.urls import reverse
from django.utils import timezone

from practice.planner import actions
from practice.planner.buckets import bucket_words, buckets_for
from practice.planner.marks import PassMark
from practice.planner.models import Block, Logging
from practice.planner.sheet_codes import is_noted
from practice.sessions.models import BlockOutcome, SmoothSwing, TurfSwing
from tests import make
from tests.practice.planner.plans import MONDAY, assign, make_drill, put_block

pytestmark = pytest.mark.django_db
GOOD = {
    "day": "2",
    "minutes": "40",
    "surface": "grass",
    "logging": "every",
    "number_shown": "on",
    "cue": "  Brush   the grass ",
    "pass_made": "7",
    "pass_of": "10",
    "pass_within_pct": "10",
    "on_pass": "number hidden",
    "on_miss": "the same again",
    "rain": "eye checks at home",
    "pinned": "on",
}


@pytest.fixture
def block(cast, clubs):
    return put_block(cast.player, clubs)


def send(coach, block, **changes):
    sent = {"block_id": block.pk, **GOOD, **changes}
    address = reverse("planner:set_terms", args=[block.plan_id])
    return coach.post(address, {name: value for name, value in sent.items() if value is not None})


def asked(block):
    return list(Block.objects.get(pk=block.pk).balls.values_list("club__label", "target_name"))


def test_everything_that_goes_with_a_block_is_set_by_one_form_and_stands_on_the_week(coach, cast, block):
    before = asked(block)
    assert send(coach, block, logging="third", pass_made="3", pass_of="4").status_code == 302
    block.refresh_from_db()
    assert (block.day, block.minutes, block.surface, block.cue) == (2, 40, "grass", "Brush the grass")
    assert (block.pass_mark, block.on_pass, block.on_miss) == (PassMark(3, 4, 10), "number hidden", "the same again")
    assert (block.rain, block.pinned, block.logging, asked(block)) == ("eye checks at home", True, "third", before)
    page = coach.get(reverse("planner:week", args=[cast.player.pk, str(MONDAY)])).content.decode()
    for words in (
        "Wednesday · 40 minutes · off grass",
        "“Brush the grass”",
        "3 of 4 within 10 %",
        "pinned",
        "eye checks",
    ):
        assert words in page


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"cue": "x" * 81}, "at most 80 characters"),
        ({"day": "7"}, "Select a valid choice"),
        ({"minutes": "0"}, "1 to 300 minutes"),
        ({"minutes": "301"}, "1 to 300 minutes"),
        ({"minutes": "an hour"}, "whole number"),
        ({"surface": "ice"}, "Select a valid choice"),
        ({"pass_of": ""}, "Fill in the whole mark"),
        ({"pass_made": "11"}, "Nobody makes 11 out of 10"),
        ({"pass_of": "13"}, "Only 12 balls of this block are judged. Enter at most 12."),
        ({"logging": "third"}, "Only 4 balls of this block are judged, as it is logged. Enter at most 4."),
        ({"logging": "end"}, "no ball of it is judged. Let every ball be logged, or leave the mark empty."),
        ({"pass_within_pct": "101"}, "less than or equal to 100"),
        ({"pass_made": "", "pass_of": "", "pass_within_pct": ""}, "Say first what passes"),
        ({"rain": "x" * 201}, "at most 200 characters"),
    ],
)
def test_what_cannot_be_assigned_comes_back_with_its_fault_and_what_was_typed(coach, block, wrong, words):
    response = send(coach, block, **wrong)
    assert response.status_code == 422
    page = response.content.decode()
    assert words in page
    assert "the same again" in page
    assert Block.objects.get().cue == ""


def test_a_mark_on_what_a_block_came_to_is_out_of_no_more_than_its_balls(coach, block):
    block.balls.all().delete()
    Block.objects.update(kind="own", logging="every", parameters={"log": "outcome", "balls": 9})
    response = send(coach, block)
    assert response.status_code == 422
    assert "Only 9 balls of this block are judged. Enter at most 9." in response.content.decode()
    assert send(coach, block, pass_of="9").status_code == 302


@pytest.mark.parametrize("logging", ["every", "third"])
def test_a_block_has_as_many_results_as_a_sheet_has_balls_to_note(logging):
    noted = [sum(is_noted(logging, n, last) for n in range(1, last + 1)) for last in range(1, 40)]
    assert [Logging(logging).results_of(last) for last in range(1, 40)] == noted


@pytest.mark.parametrize(
    ("typed", "told"), [("Full swings.", "Full swings."), ("full swings", "full swings."), ("What now?", "What now?")]
)
def test_what_follows_from_the_mark_ends_with_one_stop(coach, cast, block, typed, told):
    send(coach, block, on_pass=typed, on_miss=typed)
    page = coach.get(reverse("planner:week", args=[cast.player.pk, str(MONDAY)])).content.decode()
    assert f"When passed: {told} When missed: {told}</p>" in page


def test_a_block_without_targets_takes_no_pass_mark(coach, cast, clubs):
    block = put_block(cast.player, clubs)
    block.balls.update(target_m=None)
    assert send(coach, block).status_code == 302
    assert Block.objects.get().pass_mark is None
    with pytest.raises(Exception, match="nothing that a pass mark could count"):
        actions.set_terms(plan=block.plan, block_id=block.pk, pass_made=7, pass_of=10, pass_within_pct=10)


@pytest.mark.parametrize(
    ("kind", "offered"),
    [("random_target", {"logging", "number_shown", "pass_within_pct"}), ("carry_test", {"logging"}), ("free", set())],
)
def test_only_what_means_something_for_a_block_is_offered(coach, cast, block, kind, offered):
    Block.objects.update(kind=kind, logging="every")
    if kind != "random_target":
        block.balls.update(target_m=None)
    page = coach.get(reverse("planner:week", args=[cast.player.pk, str(MONDAY)])).context["page"]
    asked = {"logging", "number_shown", "pass_within_pct"} & page.draft.blocks[0].form.fields.keys()
    assert asked == offered


def test_hiding_the_number_draws_the_same_balls_to_be_hit_by_feel(coach, block):
    for club in block.plan.player.clubs.all():
        make.StatedCarry.objects.get_or_create(club=club, swing="9:00", defaults={"carry_m": 60.0, "stated_on": MONDAY})
    send(coach, block)
    shown = asked(block)
    assert send(coach, block, number_shown=None).status_code == 302
    hidden = Block.objects.get()
    assert not hidden.number_shown
    assert set(hidden.balls.values_list("swing", "below_swing", "above_swing")) == {("feel", "", "")}
    assert hidden.seed == block.seed
    assert len(asked(block)) == len(shown)
    assert hidden.cue == "Brush the grass"


def test_a_number_that_cannot_be_hidden_any_more_says_why_and_changes_nothing(coach, block):
    block.venue.tee_lines.all().delete()
    response = send(coach, block, number_shown=None, cue="new")
    assert response.status_code == 422
    assert "was not changed" in response.content.decode()
    assert (Block.objects.get().number_shown, Block.objects.get().cue) == (True, "")


def test_a_block_that_is_gone_meanwhile_leads_back_to_the_week(coach, block):
    actions.remove_block(plan=block.plan, block_id=block.pk)
    assert send(coach, block).status_code == 302


def test_terms_of_an_assigned_week_stay(coach, cast, clubs):
    block = assign(cast.player, clubs).blocks.get()
    assert send(coach, block).status_code == 409
    assert Block.objects.get().cue == ""


def test_an_edited_week_keeps_what_was_assigned_with_its_blocks(cast, coach, block):
    send(coach, block)
    actions.assign_plan(plan=block.plan)
    copy = actions.start_next_version(player=cast.player, monday=MONDAY, made_by=None).blocks.get()
    assert (copy.day, copy.cue, copy.pass_mark) == (2, "Brush the grass", PassMark(7, 10, 10))


def test_a_block_redrawn_to_no_targets_loses_its_pass_mark(cast, clubs, coach, block):
    send(coach, block)
    drill = make_drill(cast.player.academy, "carry_test")
    asked = {"asked": "1", "drill": str(drill.pk), "clubs": [str(clubs[0].pk)], "swings": ["9:00"], "balls_each": "3"}
    address = reverse("planner:redraw_block", args=[block.pk])
    seen = coach.get(address, asked)
    coach.post(address, asked | {name: str(value) for name, value in seen.context["seen"].items()})
    block.refresh_from_db()
    assert (block.kind, block.pass_mark, block.cue) == ("carry_test", None, "Brush the grass")


@pytest.mark.parametrize(
    ("mark", "balls", "smaller"),
    [((7, 10), 10, (7, 10)), ((7, 10), 6, (4, 6)), ((7, 10), 1, (1, 1)), ((1, 10), 3, (1, 3)), ((7, 10), 0, None)],
)
def test_a_mark_out_of_more_balls_than_are_judged_becomes_nearly_the_same_share_of_those(mark, balls, smaller):
    assert PassMark(*mark, 10).within_reach(balls) == (smaller and PassMark(*smaller, 10))


# Scoring


def hit(block, misses_pct, **values):
    """Hit a block's balls in order with these misses, in percent of the distance; None is a mishit."""
    venue = block.venue
    for ball, miss in zip(block.balls.all(), misses_pct, strict=False):
        result = {"contact": "fat", "carry_m": None} if miss is None else {"carry_m": ball.target_m * (1 + miss / 100)}
        make.make_shot(ball.club, venue, ball=ball, target_m=ball.target_m, **{**result, **values})


def result_on_the_week(coach, player):
    return coach.get(reverse("planner:week", args=[player.pk, str(MONDAY)])).context["page"].assigned.blocks[0].result


@pytest.mark.parametrize(
    ("misses", "words"),
    [
        ([], ""),
        ([0, 5, -10, 10.1], "3 of 4 within 10 %: not enough balls yet"),
        ([0] * 7 + [None, 20, -20], "7 of 10 within 10 %: passed"),
        ([0] * 6 + [None, 20, -20, 11], "6 of 10 within 10 %: missed"),
        ([0] * 8 + [30] * 4, "8 of 12 within 10 %: missed"),
        ([10.0] * 12, "12 of 12 within 10 %: passed"),
    ],
)
def test_the_pass_mark_is_scored_from_the_shots_of_the_block(coach, cast, block, misses, words):
    send(coach, block)
    actions.assign_plan(plan=block.plan)
    hit(block, misses)
    assert result_on_the_week(coach, cast.player) == words


def test_a_ball_wide_of_the_target_misses_too_and_warm_up_and_unseen_balls_are_not_judged(coach, cast, block):
    send(coach, block)
    actions.assign_plan(plan=block.plan)
    hit(block, [0], lateral_m=20.0)
    hit(block, [0], warm_up=True)
    hit(block, [0], seen=False, carry_m=None)
    assert result_on_the_week(coach, cast.player).startswith("0 of 1 ")


def test_what_was_hit_before_the_week_was_edited_counts_for_the_mark(coach, cast, block):
    send(coach, block)
    actions.assign_plan(plan=block.plan)
    hit(block, [0] * 4)
    draft = actions.start_next_version(player=cast.player, monday=MONDAY, made_by=None)
    actions.assign_plan(plan=draft)
    assert result_on_the_week(coach, cast.player).startswith("4 of 4 ")


@pytest.mark.parametrize(("kind", "log"), [("turf_brush", "turf"), ("smooth_swing", "swing"), ("own", "outcome")])
def test_of_other_logs_those_count_that_were_made_clean_or_smooth(coach, cast, clubs, block, kind, log):
    Block.objects.update(kind=kind, logging="every", parameters={"log": log} if kind == "own" else {})
    assert send(coach, block, logging="every").status_code == 302
    assert Block.objects.get().pass_mark == PassMark(7, 10)
    actions.assign_plan(plan=block.plan)
    (shot,) = [make.make_shot(clubs[0], block.venue)]
    done = {"player": cast.player, "session": shot.session, "block": block, "done_at": timezone.now()}
    for n in range(10):
        if log == "turf":
            TurfSwing.objects.create(contact="clean" if n < 8 else "fat", ground="brush", **done)
        elif log == "swing":
            SmoothSwing.objects.create(smooth=n < 8, **done)
    if log == "outcome":
        BlockOutcome.objects.create(balls=10, made=8, **done)
    assert result_on_the_week(coach, cast.player) == "8 of 10: passed"


# Buckets


def brute_force(balls, sizes):
    """The least balls too many, then the fewest buckets, by looking at every combination."""
    from itertools import combinations_with_replacement

    options = [
        combination
        for count in range(1, balls // min(sizes) + 2)
        for combination in combinations_with_replacement(sizes, count)
        if sum(combination) >= balls
    ]
    return min((sum(option), len(option)) for option in options)


@pytest.mark.parametrize("sizes", [[30], [30, 50], [20, 45, 70]])
@pytest.mark.parametrize("balls", [1, 29, 30, 31, 60, 80, 99])
def test_buckets_are_as_few_balls_too_many_as_can_be(balls, sizes):
    taken = buckets_for(balls, sizes)
    assert (sum(taken), len(taken)) == brute_force(balls, sizes)


def test_buckets_are_said_in_words():
    assert bucket_words(60, [30, 60]) == "a bucket of 60"
    assert bucket_words(85, [30, 60]) == "buckets of 60, 30, 5 left over"
    assert bucket_words(0, [30]) == bucket_words(40, []) == ""


def test_the_week_says_day_by_day_which_buckets_its_balls_come_to(coach, cast, block):
    block.venue.bucket_sizes = [10, 25]
    block.venue.save()
    send(coach, block)
    page = coach.get(reverse("planner:week", args=[cast.player.pk, str(MONDAY)])).context["page"]
    assert page.draft.buckets == ["Wednesday: 12 balls, buckets of 10, 10, 8 left over."]
