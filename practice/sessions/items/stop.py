"""Something hurt."""

from practice.accounts.zones import zone
from practice.sessions.checks import identifier
from practice.sessions.items.asked import BLOCKS
from practice.sessions.items.kind import LatestKind
from practice.sessions.models import PainStop
from practice.sessions.values import PhoneEntry


class StopKind(LatestKind):
    """Something hurt. Never kept out for the block it names."""

    model = PainStop
    schema = {"block": identifier}

    def __init__(self, delivery, items):
        super().__init__(delivery, items)
        self.blocks = self.named(BLOCKS, self.player.pk, "block")
        self.zone = zone(self.player.academy.time_zone)

    def entry(self, item):
        stopped_at = item.happened_at(self.delivery.received_at)
        values = {
            "block": self.blocks.get(item.values.get("block")),
            "stopped_at": stopped_at,
            "local_date": stopped_at.astimezone(self.zone).date(),
        }
        return PhoneEntry(**self.delivery.envelope(item), values=values)
