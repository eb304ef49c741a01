"""Something hurt."""

from practice.accounts.zones import zone
from practice.planner.models import Block
from practice.sessions.actions import store_latest
from practice.sessions.checks import identifier
from practice.sessions.items.kind import Kind
from practice.sessions.models import PainStop
from practice.sessions.values import PhoneEntry


class StopKind(Kind):
    """Something hurt. Never kept out for the block it names."""

    schema = {"block": identifier}

    def __init__(self, delivery, items):
        super().__init__(delivery, items)
        self.blocks = self.named(Block.objects.filter(plan__player=self.player), "block")
        self.zone = zone(self.player.academy.time_zone)

    def entry(self, item):
        stopped_at = item.happened_at(self.delivery.received_at)
        values = {
            "block": self.blocks.get(item.values.get("block")),
            "stopped_at": stopped_at,
            "local_date": stopped_at.astimezone(self.zone).date(),
        }
        return PhoneEntry(**self.delivery.envelope(item), values=values)

    def store(self, entries):
        received_at = self.delivery.received_at
        return store_latest(model=PainStop, player=self.player, entries=entries, received_at=received_at)
