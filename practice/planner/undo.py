"""Taking back what was changed in a draft: how it stood before each of the last changes is kept with it."""

import json
from collections import Counter
from collections.abc import Collection
from uuid import UUID

from django.core.exceptions import ValidationError
from django.core.serializers.json import DjangoJSONEncoder
from django.db import models, transaction

from practice.planner.models import Ball, Block, DraftSnapshot, FrozenError, WeekPlan

DEPTH = 10
"""Changes that can be taken back, one after the other."""

FROZEN = "This week was already assigned or taken back, so it stays as it is. Press “Edit this week” to change it."


def lock_draft(plan: WeekPlan) -> WeekPlan:
    """Return the plan, locked, or refuse: only a draft changes."""
    plan = WeekPlan.objects.select_for_update().get(pk=plan.pk)
    if not plan.is_draft:
        raise FrozenError(FROZEN)
    return plan


def open_draft(plan: WeekPlan, change: str) -> WeekPlan:
    """Return the plan, locked for a change that can be taken back; `change` says which, as in "Take back: ..."."""
    plan = lock_draft(plan)
    keep_standing([plan], change)
    return plan


def keep_standing(drafts: Collection[WeekPlan], change: str) -> None:
    """Keep how drafts, locked, stand before a change: as few statements for many as for one."""
    held: dict[UUID, list[dict]] = {plan.pk: [] for plan in drafts}
    for block in Block.objects.filter(plan__in=drafts).prefetch_related("balls"):
        balls = [_values_of(ball) for ball in block.balls.all()]
        held[block.plan_id].append(_values_of(block) | {"balls": balls})
    DraftSnapshot.objects.bulk_create(
        [DraftSnapshot(plan=plan, change=change[:120], note=plan.note, blocks=held[plan.pk]) for plan in drafts]
    )
    kept: Counter[UUID] = Counter()
    too_old = []
    for snapshot, plan in DraftSnapshot.objects.filter(plan__in=drafts).values_list("pk", "plan"):
        kept[plan] += 1
        too_old += [snapshot] if kept[plan] > DEPTH else []
    DraftSnapshot.objects.filter(pk__in=too_old).delete()


@transaction.atomic
def undo_change(*, plan: WeekPlan) -> None:
    """Put a draft back to how it stood before its last change."""
    plan = lock_draft(plan)
    before = plan.snapshots.first()
    if before is None:
        raise ValidationError("There is nothing left to take back in this draft.")
    plan.note = before.note
    plan.save(update_fields=["note"])
    plan.blocks.all().delete()
    rows = [(_row_of(Block, held, plan=plan), held["balls"]) for held in before.blocks]
    Block.objects.bulk_create([block for block, _ in rows])
    Ball.objects.bulk_create([_row_of(Ball, ball, block=block) for block, balls in rows for ball in balls])
    before.delete()


def _values_of(row: models.Model) -> dict:
    """Return a row's values by name, as JSON holds them."""
    values = {field.attname: getattr(row, field.attname) for field in row._meta.concrete_fields}
    return json.loads(json.dumps(values, cls=DjangoJSONEncoder))


def _row_of(model: type[models.Model], values: dict, **parent) -> models.Model:
    """Return the row that `_values_of` was given, not stored; its parent is given as it is now."""
    fields = [field for field in model._meta.concrete_fields if field.name not in parent]
    return model(**{field.attname: field.to_python(values[field.attname]) for field in fields}, **parent)
