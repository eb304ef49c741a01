"""Balls that were not hit."""

from django.db import models

from practice.planner.models import Ball
from practice.players.models import Player
from practice.sessions.models.phone_items import OwnQuerySet, PhoneItem


class SkippedBall(PhoneItem):
    """A ball of a block that the player chose not to hit."""

    player = models.ForeignKey(Player, models.CASCADE, related_name="skipped_balls")
    ball = models.ForeignKey(Ball, models.CASCADE, related_name="skips")

    objects = OwnQuerySet.as_manager()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["player", "uid"], name="skip_id_once_a_player")]

    def __str__(self):
        return f"{self.ball} skipped"
