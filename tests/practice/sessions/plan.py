"""An assigned block for tests of what is done with one."""

from datetime import date

from django.utils import timezone

from practice.planner.models import Ball, Block, WeekPlan
from practice.venues.models import Target


def make_block(stage, *, balls: int = 3, monday: date = date(2026, 5, 4), assigned: bool = True, **fields) -> Block:
    """Make a week of one block at the flags of the stage's range, one after the other."""
    plan = WeekPlan.objects.create(player=stage.player, monday=monday, **fields)
    block = Block.objects.create(
        plan=plan, position=1, kind="random_target", title="Mixed targets", seed=1, venue=stage.venue
    )
    flags = list(Target.objects.filter(tee_line__venue=stage.venue).order_by("distance_m"))
    for n in range(1, balls + 1):
        flag = flags[n % len(flags)]
        asked = {"target": flag, "target_name": flag.name, "target_m": flag.distance_m}
        Ball.objects.create(block=block, n=n, club=stage.club, swing="feel", **asked)
    if assigned:
        WeekPlan.objects.filter(pk=plan.pk).update(state="assigned", assigned_at=timezone.now())
    return Block.objects.get(pk=block.pk)
