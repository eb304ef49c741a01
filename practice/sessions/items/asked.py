"""What a player was asked to do, for the kinds of item that answer it."""

from practice.planner.models import Ball, PlanState
from practice.players.models import Player


def asked_balls(player: Player):
    """Return the balls that the player was ever asked to hit: also withdrawn ones, which may have been hit before."""
    return Ball.objects.filter(block__plan__player=player).exclude(block__plan__state=PlanState.DRAFT)
