"""How a week comes about: drafts, blocks, assigning, taking back."""

from datetime import timedelta
from uuid import uuid4

import pytest
from django.core.exceptions import ValidationError

from practice.planner import actions
from practice.planner.marks import PassMark
from practice.planner.models import Ball, Block, FrozenError, PlanState, WeekPlan
from practice.planner.suggest_actions import kept_blocks
from tests import make
from tests.practice.planner.plans import MONDAY, assign, make_recipe, put_block

pytestmark = pytest.mark.django_db


@pytest.fixture
def player():
    return make.make_player(make.make_academy())


def asked(block):
    return list(block.balls.values_list("n", "club__label", "swing", "target_name", "target_m"))


def positions(plan):
    return {block.seed: block.position for block in plan.blocks.all()}


def test_a_block_is_stored_ball_by_ball_as_it_was_drawn(player, clubs):
    recipe = make_recipe(player, clubs)
    drawn = recipe.draw(seed=7)
    block = put_block(player, clubs, seed=7)
    assert asked(block) == [(ball.n, ball.club, ball.swing, ball.target, ball.target_m) for ball in drawn.balls]
    assert (block.seed, block.algorithm, block.inputs_sha256) == (7, drawn.algorithm, drawn.inputs_sha256)
    assert (block.title, block.cautions) == (recipe.drill.title, recipe.drill.cautions)
    assert block.venue == recipe.place.venue


def test_the_balls_of_a_block_have_ids_in_a_row_in_a_copy_of_the_week_too(player, clubs):
    """By ids that share all but their last digits a phone gets a long block over a poor signal."""
    plan = assign(player, clubs)
    copy = actions.start_next_version(player=player, monday=MONDAY, made_by=None)
    for week in (plan, copy):
        ids = [ball.pk.int for ball in week.blocks.get().balls.order_by("n")]
        assert [pk - ids[0] for pk in ids] == list(range(12))


def test_the_two_stock_swings_either_side_are_stored_with_the_ball(player, clubs):
    ball = put_block(player, clubs).balls.filter(target_m=45.0).first()
    assert (ball.below_swing, ball.above_swing, ball.above_carry_m) == ("", "9:00", 60.0)


def test_putting_the_same_block_in_twice_puts_it_in_once(player, clubs):
    first = put_block(player, clubs, block_id=(block_id := uuid4()))
    again = put_block(player, clubs, block_id=block_id)
    assert (again, Block.objects.count(), Ball.objects.count()) == (first, 1, 12)


def test_a_block_sent_again_after_the_week_was_assigned_starts_no_new_draft(player, clubs):
    block_id = uuid4()
    plan = assign(player, clubs, block_id=block_id)
    put_block(player, clubs, block_id=block_id)
    assert list(WeekPlan.objects.all()) == [plan]


def test_a_block_id_of_another_week_is_refused(player, clubs):
    block = put_block(player, clubs)
    with pytest.raises(ValidationError, match="another week"):
        put_block(player, clubs, monday=MONDAY + timedelta(days=7), block_id=block.pk)


def test_a_drawing_that_cannot_be_stored_leaves_nothing_behind(player, clubs):
    recipe = make_recipe(player, clubs)
    drawn = recipe.draw(seed=1)
    without_a_club = make_recipe(player, clubs[:1])
    with pytest.raises(KeyError):
        actions.add_block(
            player=player, monday=MONDAY, made_by=None, block_id=uuid4(), recipe=without_a_club, drawn=drawn
        )
    assert not WeekPlan.objects.exists()


def test_an_assigned_week_refuses_every_change(player, clubs):
    plan = assign(player, clubs)
    block = plan.blocks.get()
    recipe = make_recipe(player, clubs)
    before = asked(block)
    for change in (
        lambda: actions.remove_block(plan=plan, block_id=block.pk),
        lambda: actions.move_block(plan=plan, block_id=block.pk, position=2),
        lambda: actions.write_note(plan=plan, note="later"),
        lambda: actions.set_terms(plan=plan, block_id=block.pk, logging="third"),
        lambda: actions.redraw_block(block=block, recipe=recipe, drawn=recipe.draw(seed=9)),
    ):
        with pytest.raises(FrozenError, match="already assigned"):
            change()
    assert asked(plan.blocks.get()) == before


def test_a_stale_copy_of_the_draft_cannot_slip_past_the_assignment(player, clubs):
    stale = put_block(player, clubs).plan
    actions.assign_plan(plan=WeekPlan.objects.get(pk=stale.pk))
    with pytest.raises(FrozenError):
        actions.write_note(plan=stale, note="slipped in")


def test_redrawing_replaces_the_balls_and_keeps_the_place(player, clubs):
    put_block(player, clubs)
    block = put_block(player, clubs, seed=2)
    recipe = make_recipe(player, clubs, balls=6)
    for _ in range(2):
        actions.redraw_block(block=block, recipe=recipe, drawn=recipe.draw(seed=3))
    block.refresh_from_db()
    assert (block.position, block.seed, block.balls.count()) == (2, 3, 6)


def test_a_block_that_the_coach_draws_again_is_the_coachs_own_and_its_mark_can_still_be_passed(player, clubs):
    block = put_block(player, clubs)
    block.reason, block.pass_mark = "9:00 with the 54: short", PassMark(7, 10, 10)
    block.save()
    assert kept_blocks(player, MONDAY) == []
    recipe = make_recipe(player, clubs, balls=6)
    actions.redraw_block(block=block, recipe=recipe, drawn=recipe.draw(seed=3))
    (kept,) = kept_blocks(player, MONDAY)
    assert (kept, kept.reason, kept.pass_mark) == (block, "", PassMark(4, 6, 10))


def test_a_block_takes_the_position_asked_for_and_the_others_make_room(player, clubs):
    blocks = [put_block(player, clubs, seed=seed) for seed in (1, 2, 3)]
    plan = blocks[0].plan
    for _ in range(2):
        actions.move_block(plan=plan, block_id=blocks[2].pk, position=1)
        assert positions(plan) == {3: 1, 1: 2, 2: 3}


def test_what_the_player_logs_is_changed_in_a_draft_without_drawing_anew(player, clubs):
    block = put_block(player, clubs, logging="end")
    assert Block.objects.get().logging == "end"
    before = asked(block)
    for _ in range(2):
        actions.set_terms(plan=block.plan, block_id=block.pk, logging="third")
    assert (Block.objects.get().logging, asked(block)) == ("third", before)
    actions.set_terms(plan=block.plan, block_id=uuid4(), logging="every")
    assert Block.objects.get().logging == "third"


def test_the_next_version_asks_the_player_to_log_as_much_as_the_one_before(player, clubs):
    assign(player, clubs, logging="third")
    assert actions.start_next_version(player=player, monday=MONDAY, made_by=None).blocks.get().logging == "third"


def test_a_carry_test_is_not_logged_by_counts_alone(player, clubs):
    block = put_block(player, clubs)
    Block.objects.update(kind="carry_test")
    with pytest.raises(ValidationError, match="cannot be logged so"):
        actions.set_terms(plan=block.plan, block_id=block.pk, logging="end")


def test_a_removed_block_is_gone_and_removing_it_again_does_no_harm(player, clubs):
    block = put_block(player, clubs)
    for _ in range(2):
        actions.remove_block(plan=block.plan, block_id=block.pk)
    assert not Ball.objects.exists()


def test_a_block_of_another_plan_is_not_removed(player, clubs):
    block = put_block(player, clubs)
    other = put_block(player, clubs, monday=MONDAY + timedelta(days=7))
    actions.remove_block(plan=block.plan, block_id=other.pk)
    assert Block.objects.count() == 2


def test_assigning_twice_keeps_the_moment_of_the_first(player, clubs):
    plan = assign(player, clubs)
    actions.assign_plan(plan=plan)
    assert WeekPlan.objects.get(pk=plan.pk).assigned_at == plan.assigned_at


def test_an_empty_week_is_not_assigned(player):
    plan = actions.start_next_version(player=player, monday=MONDAY, made_by=None)
    with pytest.raises(ValidationError, match="Add a block"):
        actions.assign_plan(plan=plan)


def test_a_week_taken_back_is_not_assigned_again(player, clubs):
    plan = assign(player, clubs)
    actions.withdraw_plan(plan=plan)
    with pytest.raises(FrozenError):
        actions.assign_plan(plan=plan)


def test_the_next_version_copies_the_assigned_one_and_names_what_each_block_replaces(player, clubs):
    plan = assign(player, clubs)
    draft = actions.start_next_version(player=player, monday=MONDAY, made_by=None)
    copy, original = draft.blocks.get(), plan.blocks.get()
    assert (draft.version, copy.replaces, asked(copy)) == (2, original, asked(original))
    assert set(copy.balls.values_list("pk")).isdisjoint(original.balls.values_list("pk"))
    assert actions.start_next_version(player=player, monday=MONDAY, made_by=None) == draft


def test_a_block_that_was_taken_back_is_not_copied(player, clubs):
    plan = assign(player, clubs)
    plan.blocks.get().withdraw(at=plan.assigned_at)
    assert not actions.start_next_version(player=player, monday=MONDAY, made_by=None).blocks.exists()


def test_assigning_the_next_version_takes_the_one_before_back(player, clubs):
    first = assign(player, clubs)
    second = assign(player, clubs, seed=2)
    first.refresh_from_db()
    assert (first.state, second.state, second.blocks.count()) == (PlanState.WITHDRAWN, PlanState.ASSIGNED, 2)


def test_a_draft_thrown_away_leaves_the_assigned_week_as_it_is(player, clubs):
    plan = assign(player, clubs)
    draft = actions.start_next_version(player=player, monday=MONDAY, made_by=None)
    for _ in range(2):
        actions.withdraw_plan(plan=draft)
    assert list(WeekPlan.objects.assigned()) == [plan]


def test_versions_go_on_counting_after_a_week_was_taken_back(player, clubs):
    actions.withdraw_plan(plan=assign(player, clubs))
    assert put_block(player, clubs).plan.version == 2


def test_copying_a_week_takes_no_more_queries_with_more_blocks(player, clubs, django_assert_max_num_queries):
    for seed in range(4):
        put_block(player, clubs, seed=seed)
    actions.assign_plan(plan=WeekPlan.objects.get())
    with django_assert_max_num_queries(12):
        actions.start_next_version(player=player, monday=MONDAY, made_by=None)
