"""What a player was asked to do, for the kinds of item that answer it: also what was withdrawn since.

A draft was never asked.
"""

from practice.clubs.models import Club
from practice.planner.models import Ball, Block, PlanState
from practice.statements import Statement

BALLS = Statement(
    lambda player, balls: (
        Ball.objects.filter(pk__in=balls, block__plan__player=player)
        .exclude(block__plan__state=PlanState.DRAFT)
        .select_related("target", "block__venue")
    )
)
BLOCKS = Statement(
    lambda player, blocks: (
        Block.objects.filter(pk__in=blocks, plan__player=player)
        .exclude(plan__state=PlanState.DRAFT)
        .select_related("venue")
    )
)
CLUBS = Statement(lambda player, clubs: Club.objects.filter(pk__in=clubs, player=player).only("pk"))
