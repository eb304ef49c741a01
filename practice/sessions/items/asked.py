"""What a player was asked to do, for the kinds of item that answer it: also what was withdrawn since.

A draft was never asked.
"""

from practice.planner.models import Ball, Block, PlanState
from practice.players.models import Player


def asked_balls(player: Player):
    return Ball.objects.filter(block__plan__player=player).exclude(block__plan__state=PlanState.DRAFT)


def asked_blocks(player: Player):
    return Block.objects.filter(plan__player=player).exclude(plan__state=PlanState.DRAFT)
