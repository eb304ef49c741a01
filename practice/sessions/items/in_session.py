"""Practice in a session that is no shot."""

from practice.sessions.actions import store_in_sessions
from practice.sessions.items.asked import BLOCKS
from practice.sessions.items.kind import Item, LatestKind
from practice.sessions.items.places import Places
from practice.sessions.values import SessionEntry


class SessionKind(LatestKind):
    """A kind whose rows belong to a session. The block and the visit it names may have gone, or not come yet."""

    def __init__(self, delivery, items):
        super().__init__(delivery, items)
        self.blocks = self.named(BLOCKS, self.player.pk, "block")
        self.places = Places(delivery, self.items)

    def entry_of(self, item: Item, **values) -> SessionEntry:
        """Return the entry with these values, beside them when, where and for which block it was done."""
        block = self.blocks.get(item.values.get("block"))
        place = self.places.of(item, block)
        done_at = item.happened_at(self.delivery.received_at)
        values |= {"block": block, "visit": place.visit, "done_at": done_at}
        return SessionEntry(**self.delivery.envelope(item), **place.of_session, values=values)

    def store(self, entries):
        self.places.hold(entry.values["visit"] for entry in entries)
        received_at = self.delivery.received_at
        return store_in_sessions(model=self.model, player=self.player, entries=entries, received_at=received_at)
