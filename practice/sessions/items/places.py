"""Where something was done: on the visit it names, else at the range of its block, else "Elsewhere"."""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from uuid import UUID

from practice.planner.models import Block
from practice.sessions.items.kind import Delivery, Item
from practice.sessions.models import Visit
from practice.sessions.words import Setting
from practice.statements import Statement
from practice.venues.models import Venue

VISITS = Statement(
    lambda player, uids: (
        Visit.objects.filter(player=player, uid__in=uids)
        .select_related("venue")
        .only("uid", "setting", "label", "venue__time_zone")
    )
)


@dataclass(frozen=True)
class Place:
    visit: Visit | None
    venue: Venue

    @property
    def of_session(self) -> dict:
        """What a session is known by, beside player and day."""
        visit = self.visit
        setting, label = (visit.setting, visit.label) if visit else (Setting.RANGE.value, "")
        return {"venue": self.venue, "setting": setting, "label": label}


class Places:
    """The places of the items of one delivery."""

    def __init__(self, delivery: Delivery, items: Iterable[Item]):
        self.delivery, self.player, self.items = delivery, delivery.player, items

    @cached_property
    def visits(self) -> dict[UUID, Visit]:
        """The visits that the items name, by id, those without a row of their own yet as they are met."""
        uids = {item.values["visit"] for item in self.items if "visit" in item.values}
        return {visit.uid: visit for visit in VISITS.rows(self.player.pk, uids)}

    def of(self, item: Item, block: Block | None) -> Place:
        """Return where an item that answers the block was done.

        A visit that has not come yet gets a row that holds its place under revision 0: when it comes it takes the row
        over and what was done on it moves along, so that the order in which a phone sends makes no difference.
        """
        uid = item.values.get("visit")
        if uid is None:
            return Place(None, self._without_visit(block))
        if uid not in self.visits:
            self.visits[uid] = Visit(
                player=self.player,
                uid=uid,
                revision=0,
                venue=self._without_visit(block),
                started_at=item.happened_at(self.delivery.received_at),
                received_at=self.delivery.received_at,
            )
        return Place(self.visits[uid], self.visits[uid].venue)

    def _without_visit(self, block: Block | None) -> Venue:
        return (block and block.venue) or self._elsewhere

    @cached_property
    def _elsewhere(self) -> Venue:
        return Venue.objects.elsewhere_of(self.player.academy)

    def hold(self, visits: Iterable[Visit | None]) -> None:
        """Store the rows that hold the place of visits to come, of these."""
        if to_come := {visit.uid: visit for visit in visits if visit and visit.pk is None}:
            Visit.objects.bulk_create(to_come.values())
