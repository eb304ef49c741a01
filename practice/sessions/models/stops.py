"""Days that ended because something hurt."""

from django.db import models

from practice.planner.models import Block
from practice.players.models import Player
from practice.sessions.models.phone_items import OwnQuerySet, PhoneItem


class PainStopQuerySet(OwnQuerySet):
    def on(self, player, day):
        """Return the stops that close a player's local day."""
        return self.filter(player=player, local_date=day, deleted=False)


class PainStop(PhoneItem):
    """Something hurt and the player stopped: closes that day's balls, and the coach sees it at once."""

    player = models.ForeignKey(Player, models.CASCADE, related_name="pain_stops")
    block = models.ForeignKey(Block, models.SET_NULL, null=True, blank=True, related_name="+")
    stopped_at = models.DateTimeField()
    local_date = models.DateField()

    objects = PainStopQuerySet.as_manager()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["player", "uid"], name="stop_id_once_a_player")]

    def __str__(self):
        return f"{self.player} stopped on {self.local_date}"
