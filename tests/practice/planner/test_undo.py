"""Every change of a draft can be taken back, as far as ten changes, and nothing else is touched by that."""

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse

from practice.planner import actions
from practice.planner.models import Block, DraftSnapshot, FrozenError, WeekPlan
from practice.planner.undo import DEPTH, undo_change
from tests import make
from tests.practice.litany import make_cast
from tests.practice.planner.plans import MONDAY, assign, equip, make_recipe, put_block, rows_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def player():
    return make.make_player(make.make_academy())


@pytest.fixture
def draft(player, clubs):
    """A draft of two blocks, one of which replaces an assigned one."""
    assign(player, clubs)
    return put_block(player, clubs, seed=2).plan


CHANGES = {
    "remove": lambda plan, block: actions.remove_block(plan=plan, block_id=block.pk),
    "move": lambda plan, block: actions.move_block(plan=plan, block_id=block.pk, position=2),
    "terms": lambda plan, block: actions.set_terms(plan=plan, block_id=block.pk, day=3, cue="Slow", pinned=True),
    "note": lambda plan, block: actions.write_note(plan=plan, note="another"),
    "redraw": lambda plan, block: redraw(plan, block),
    "add": lambda plan, block: put_block(plan.player, list(plan.player.clubs.exclude(kind="putter")), seed=9),
}


def redraw(plan, block):
    recipe = make_recipe(plan.player, list(plan.player.clubs.exclude(kind="putter")), balls=5)
    actions.redraw_block(block=block, recipe=recipe, drawn=recipe.draw(seed=4))


@pytest.mark.parametrize("change", CHANGES)
def test_each_change_is_taken_back_to_the_last_value(draft, change):
    before = rows_of(draft)
    CHANGES[change](draft, draft.blocks.get(position=1))
    assert rows_of(draft) != before
    undo_change(plan=draft)
    assert rows_of(draft) == before


def test_changes_are_taken_back_one_after_the_other_as_far_as_they_are_kept(draft):
    DraftSnapshot.objects.all().delete()
    notes = [f"note {n}" for n in range(DEPTH + 3)]
    for note in notes:
        actions.write_note(plan=draft, note=note)
    for note in notes[-2 : -DEPTH - 2 : -1]:
        undo_change(plan=draft)
        assert WeekPlan.objects.get(pk=draft.pk).note == note
    with pytest.raises(ValidationError, match="nothing left"):
        undo_change(plan=draft)
    assert WeekPlan.objects.get(pk=draft.pk).note == notes[2]


def test_a_change_that_changed_nothing_is_none_to_take_back(draft):
    kept = DraftSnapshot.objects.count()
    gone = draft.blocks.get(position=2)
    actions.remove_block(plan=draft, block_id=gone.pk)
    actions.remove_block(plan=draft, block_id=gone.pk)
    actions.move_block(plan=draft, block_id=gone.pk, position=1)
    assert DraftSnapshot.objects.count() == kept + 1


def test_what_is_assigned_is_not_taken_back_and_keeps_no_older_states(draft):
    actions.assign_plan(plan=draft)
    assert not DraftSnapshot.objects.exists()
    with pytest.raises(FrozenError):
        undo_change(plan=draft)


def test_a_draft_thrown_away_keeps_no_older_states(draft):
    actions.withdraw_plan(plan=draft)
    assert not DraftSnapshot.objects.exists()


def test_the_week_offers_to_take_back_the_last_change_by_its_name():
    cast = make_cast()
    block = put_block(cast.player, equip(cast.player)[1])
    coach = cast.client("coach")
    actions.remove_block(plan=block.plan, block_id=block.pk)
    address = reverse("planner:week", args=[cast.player.pk, str(MONDAY)])
    assert f"Take back: removing “{block.title}”" in coach.get(address).content.decode()
    assert coach.post(reverse("planner:undo", args=[block.plan_id])).status_code == 302
    assert Block.objects.get().pk == block.pk
    coach.post(reverse("planner:undo", args=[block.plan_id]))
    assert not Block.objects.exists()
    response = coach.post(reverse("planner:undo", args=[block.plan_id]))
    assert response.status_code == 422
    assert "nothing left to take back" in response.content.decode()
