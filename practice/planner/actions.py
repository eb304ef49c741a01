"""How a week comes about: drafts, blocks, and the moment from which nothing changes any more."""

import uuid
from datetime import date

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import F, Max
from django.utils import timezone

from practice.ids import with_ids_in_a_row
from practice.planner.check_day import too_early
from practice.planner.generator import DrawnBlock
from practice.planner.models import Ball, Block, DraftSnapshot, PlanState, WeekPlan
from practice.planner.recipes import Recipe
from practice.planner.undo import lock_draft, open_draft
from practice.players.models import Player

PARKED = 1000
"""Added to positions while blocks change places, because a position is unique at every moment."""


@transaction.atomic
def start_next_version(*, player: Player, monday: date, made_by) -> WeekPlan:
    """Return the week's draft; where there is none, make it: a copy of what is assigned, or empty."""
    # One at a time for a player, or two coaches who press at once would both make the next version.
    Player.objects.select_for_update().get(pk=player.pk)
    versions = WeekPlan.objects.for_week(player, monday)
    if draft := versions.drafts().first():
        return draft
    newest, assigned = versions.first(), versions.assigned().first()
    draft = WeekPlan.objects.create(
        player=player,
        monday=monday,
        version=newest.version + 1 if newest else 1,
        note=assigned.note if assigned else "",
        made_by=made_by,
    )
    if assigned:
        _copy_blocks(assigned, draft)
    # How a draft stood that a squad's week replaced, where that was assigned at once: it can be brought back from here.
    DraftSnapshot.objects.filter(plan__in=versions).update(plan=draft)
    return draft


def _copy_blocks(assigned: WeekPlan, draft: WeekPlan) -> None:
    """Copy the blocks that were not taken back, with their balls as they were asked."""
    blocks = assigned.blocks.filter(withdrawn_at=None).order_by("position").prefetch_related("balls")
    copies = [_copied(block, plan=draft, replaces=block) for block in blocks]
    Block.objects.bulk_create(copies)
    pairs = zip(blocks, copies, strict=True)
    balls = [_copied(ball, block=copy) for block, copy in pairs for ball in block.balls.all()]
    Ball.objects.bulk_create(with_ids_in_a_row(balls))


def _copied(row, **changes):
    """Return a new row with the same values but for its id, when it was made, and what is given."""
    fields = [field for field in row._meta.concrete_fields if field.name not in ("id", "created_at", *changes)]
    return type(row)(**{field.attname: getattr(row, field.attname) for field in fields}, **changes)


@transaction.atomic
def add_block(
    *, player: Player, monday: date, made_by, block_id: uuid.UUID, recipe: Recipe, drawn: DrawnBlock
) -> Block:
    """Put a drawn block at the end of the week's draft; the same id again is the block that is there already."""
    if held := Block.objects.filter(pk=block_id).select_related("plan").first():
        if (held.plan.player_id, held.plan.monday) == (player.pk, monday):
            return held
        raise ValidationError("Draw the balls again: this block was meant for another week.")
    if recipe.earlier and (fault := too_early(recipe.earlier.when, (monday, None))):
        raise ValidationError(fault)
    plan = start_next_version(player=player, monday=monday, made_by=made_by)
    open_draft(plan, f"adding “{recipe.drill.title}”")
    last = plan.blocks.aggregate(last=Max("position"))["last"] or 0
    block = Block(id=block_id, plan=plan, position=last + 1)
    _take_drawing(block, recipe, drawn)
    return block


@transaction.atomic
def redraw_block(*, block: Block, recipe: Recipe, drawn: DrawnBlock) -> None:
    """Replace a draft block's recipe and balls; its place in the week stays, and from now on it is the coach's own."""
    block.plan = open_draft(block.plan, f"changing “{block.title}”")
    block.reason = ""
    block.balls.all().delete()
    _take_drawing(block, recipe, drawn)


def _take_drawing(block: Block, recipe: Recipe, drawn: DrawnBlock) -> None:
    kind_before = block.kind
    set_drawing(block, recipe, drawn)
    block.save()
    Ball.objects.bulk_create(with_ids_in_a_row(balls_of(block, recipe, drawn)))
    if mark := block.pass_mark:
        counts_the_same = block.kind == kind_before and block.marked_by  # else its mark was about something else
        block.pass_mark = mark.within_reach(block.balls_judged(block.logging)) if counts_the_same else None
        block.save()


def balls_of(block: Block, recipe: Recipe, drawn: DrawnBlock) -> list[Ball]:
    """Return a drawn block's balls, not stored."""
    balls = recipe.balls(drawn)
    for ball in balls:
        ball.block = block
    return balls


def set_drawing(block: Block, recipe: Recipe, drawn: DrawnBlock) -> None:
    """Set what a block takes from its recipe and drawing, without storing it."""
    drill = recipe.drill
    block.drill, block.kind, block.title = drill, drill.kind, drill.title
    block.instructions, block.cautions = drill.instructions, drill.cautions
    block.parameters, block.number_shown = recipe.parameters, recipe.number_shown
    block.logging = recipe.logging
    block.venue = recipe.venue
    block.seed, block.algorithm, block.inputs_sha256 = drawn.seed, drawn.algorithm, drawn.inputs_sha256
    block.notes = list(drawn.notes)


@transaction.atomic
def remove_block(*, plan: WeekPlan, block_id: uuid.UUID) -> None:
    """Take a block out of a draft; nothing happens where it is gone already."""
    if block := _block_of_draft(plan, block_id):
        open_draft(plan, f"removing “{block.title}”")
        block.delete()


@transaction.atomic
def move_block(*, plan: WeekPlan, block_id: uuid.UUID, position: int) -> None:
    """Give a draft's block this position, counted from 1; the others make room."""
    moving = _block_of_draft(plan, block_id)
    if moving is None:
        return
    open_draft(plan, f"moving “{moving.title}”")
    blocks = list(plan.blocks.exclude(pk=block_id).order_by("position"))
    blocks.insert(max(position, 1) - 1, moving)
    plan.blocks.update(position=F("position") + PARKED)
    for place, block in enumerate(blocks, 1):
        plan.blocks.filter(pk=block.pk).update(position=place)


@transaction.atomic
def set_terms(
    *, plan: WeekPlan, block_id: uuid.UUID, redrawn: tuple[Recipe, DrawnBlock] | None = None, **terms
) -> None:
    """Set what is assigned with a draft's block, by field; its balls stay unless they were `redrawn`.

    Nothing happens where the block is gone.
    """
    block = _block_of_draft(plan, block_id)
    if block is None:
        return
    if terms.get("logging", block.logging) not in dict(block.loggings):
        raise ValidationError(f"A block “{block.title}” cannot be logged so. Choose from the list beside it.")
    if terms.get("pass_of") and not block.marked_by:
        raise ValidationError(f"“{block.title}” has nothing that a pass mark could count. Leave the mark empty.")
    open_draft(plan, f"changing “{block.title}”")
    if redrawn:
        block.balls.all().delete()
        _take_drawing(block, *redrawn)
    for name, value in terms.items():
        setattr(block, name, value)
    block.save()


def _block_of_draft(plan: WeekPlan, block_id: uuid.UUID) -> Block | None:
    """Return a block of the plan, which must be a draft and is locked; None where the block is gone already."""
    return lock_draft(plan).blocks.select_related("plan").filter(pk=block_id).first()


@transaction.atomic
def write_note(*, plan: WeekPlan, note: str) -> None:
    """Set the note that the player reads above a draft week."""
    draft = open_draft(plan, "the note")
    draft.note = note
    draft.save(update_fields=["note"])


@transaction.atomic
def assign_plan(*, plan: WeekPlan) -> None:
    """Give the draft to the player, and take back the version that it follows; from now on it never changes."""
    plan = WeekPlan.objects.select_for_update().get(pk=plan.pk)
    if plan.state == PlanState.ASSIGNED:
        return
    plan = lock_draft(plan)
    if not plan.blocks.exists():
        raise ValidationError("There is nothing in this week yet. Add a block, then assign it.")
    now = timezone.now()
    versions = WeekPlan.objects.for_week(plan.player_id, plan.monday)
    versions.assigned().update(state=PlanState.WITHDRAWN, withdrawn_at=now)
    plan.state, plan.assigned_at = PlanState.ASSIGNED, now
    plan.save(update_fields=["state", "assigned_at"])
    DraftSnapshot.objects.filter(plan__in=versions).delete()


@transaction.atomic
def withdraw_plan(*, plan: WeekPlan) -> None:
    """Take a week back, draft or assigned; balls already hit stay tied to what was asked."""
    plan = WeekPlan.objects.select_for_update().get(pk=plan.pk)
    if plan.is_draft:
        plan.snapshots.all().delete()
    if plan.state != PlanState.WITHDRAWN:
        plan.state, plan.withdrawn_at = PlanState.WITHDRAWN, timezone.now()
        plan.save(update_fields=["state", "withdrawn_at"])
