"""What every kind of item has in common: the envelope that a phone puts around it, and what a kind must do."""

from abc import ABC, abstractmethod
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from functools import cached_property
from uuid import UUID

from practice.accounts.models import Device, User
from practice.drills.kinds import whole_number, yes_or_no
from practice.players.models import Player
from practice.sessions.actions import Answer, queue_up, store_latest
from practice.sessions.checks import LARGEST, Schema, identifier, moment, text
from practice.sessions.models import PhoneItem
from practice.sessions.values import PhoneEntry, ShotEntry
from practice.statements import Statement

EARLIEST = datetime(1970, 1, 1, tzinfo=UTC)
"""A phone whose clock was never set starts here; earlier times do not survive every time zone."""


class Rejected(Exception):
    """An item that is not stored: the reason for the player, and a short one for the log, without anything sent."""

    def __init__(self, reason: str, code: str):
        super().__init__(reason)
        self.reason = reason
        self.code = code


@dataclass(frozen=True, kw_only=True)
class Item:
    """One item as sent, its fields checked by themselves; `values` by the schema of its kind."""

    kind: str
    id: UUID
    player: UUID
    revision: int
    device: UUID
    number: int
    at: datetime
    values: dict
    deleted: bool = False
    offset_ms: int = 0

    def happened_at(self, received_at: datetime) -> datetime:
        """Return the phone's time by the server's clock, never later than received; no time is too absurd to take."""
        try:
            moment = self.at + timedelta(milliseconds=self.offset_ms)
        except OverflowError:
            moment = received_at if self.offset_ms > 0 else EARLIEST
        return min(max(moment, EARLIEST), received_at)


ENVELOPE: Schema = {
    "kind": text(20),
    "id": identifier,
    "player": identifier,
    "revision": whole_number(1, 2**31 - 1),
    "deleted": yes_or_no,
    "device": identifier,
    "number": whole_number(0, LARGEST),
    "at": moment,
    "offset_ms": whole_number(-LARGEST, LARGEST),
    "values": lambda value: value,
}
REQUIRED = ("kind", "id", "player", "revision", "device", "number", "at", "values")


@dataclass(frozen=True, kw_only=True)
class Delivery:
    """Who sent items, for which of their players, on which devices, and when they came."""

    user: User
    player: Player
    devices: dict[UUID, Device]
    received_at: datetime

    def envelope(self, item: Item) -> dict:
        """Return the fields that an entry of any kind takes from its item."""
        return {
            "uid": item.id,
            "revision": item.revision,
            "deleted": item.deleted,
            "device": self.devices[item.device],
            "running_number": item.number,
            "phone_at": item.at,
            "clock_offset_ms": item.offset_ms,
        }


class Kind(ABC):
    """One kind of item. Made for all items of one delivery at once, so that each table is asked once.

    When it is made it reads what no phone changes: clubs, ranges, what was asked. What another delivery may change is
    read inside the transaction, from `entry` on.
    """

    model: type[PhoneItem]
    schema: Schema
    required: tuple[str, ...] = ()
    elsewhere = "This was entered on the player's phone. Only there can it be changed."
    """Why a coach's change is rejected."""

    def __init__(self, delivery: Delivery, items: Iterable[Item]):
        self.delivery = delivery
        self.player = delivery.player
        self.items = list(items)

    def named(self, statement: Statement, owner: UUID, field: str) -> dict:
        """Return the owner's rows that the items name in a field, by id; no statement where they name none."""
        return statement.by_key(owner, {item.values[field] for item in self.items if field in item.values})

    @abstractmethod
    def entry(self, item: Item):
        """Return what is to be stored, or raise Rejected."""

    def check_change(self, entry):
        """Return the entry, or raise Rejected where a coach would change what somebody else entered or corrected."""
        row = self.of_others.get(entry.uid)
        if row and not self.is_held(entry, row):
            raise Rejected(self.elsewhere, "entered elsewhere")
        return entry

    @cached_property
    def of_others(self) -> dict[UUID, PhoneItem]:
        """What is held under the items' ids and was last set on no device of the coach who sends them, by id.

        None of it on the player's own phone, where all may be changed; for a coach it takes one statement.
        """
        if self.player.user_id == self.delivery.user.pk:
            return {}
        queue_up(self.player)
        # Revision 0 holds the place of something that has not come yet: nobody entered it.
        held = self.model.objects.filter(player=self.player, uid__in={item.id for item in self.items}, revision__gt=0)
        return {row.uid: row for row in held.exclude(device__user=self.delivery.user)}

    @abstractmethod
    def is_held(self, entry: PhoneEntry | ShotEntry, row: PhoneItem) -> bool:
        """Return whether an entry was taken before, so that it changes nothing in the row however often it is sent."""

    @abstractmethod
    def store(self, entries: list) -> list[Answer]:
        """Store entries and answer each."""


class LatestKind(Kind):
    """A kind of which only the latest setting is kept."""

    def is_held(self, entry, row):
        return entry.standing <= row.standing

    def store(self, entries):
        received_at = self.delivery.received_at
        return store_latest(model=self.model, player=self.player, entries=entries, received_at=received_at)
