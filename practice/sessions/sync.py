"""Sync: takes what a phone recorded, stores what is right, and answers every item."""

import logging
from collections import Counter
from collections.abc import Callable
from datetime import datetime
from functools import partial
from uuid import UUID

from django.db import transaction

from practice.accounts.models import Device, User
from practice.players.models import Player
from practice.sessions.actions import Answer
from practice.sessions.checks import Malformed, read
from practice.sessions.items import KINDS
from practice.sessions.items.kind import ENVELOPE, REQUIRED, Delivery, Item, Rejected
from practice.sessions.turns import own_turn
from practice.statements import Statement

log = logging.getLogger(__name__)

# Here and in the kinds only what logging a ball asks of a row is read; the rest follows where it is asked for.
PLAYERS = Statement(
    lambda user, players: Player.objects.logged_by(User(pk=user)).filter(pk__in=players).only("academy", "user")
)
DEVICES = Statement(lambda user, devices: Device.objects.filter(pk__in=devices, user=user).only("pk"))

MAX_ITEMS = 500
LONGEST_ECHO = 64


def answer_items(*, user: User, sent: list, received_at: datetime) -> list[dict]:
    """Store the items that a user's phone sent and return one answer for each, in their order.

    Items of one player are stored together, in one transaction; a rejected one keeps none of the others out. What
    belongs to somebody else is answered like what does not exist.
    """
    reply = Reply(sent)
    items = reply.keep(dict(enumerate(sent)), read_item)
    named = {item.player for item in items.values()}
    # Also those who left the roster: what was hit before is not lost.
    players = PLAYERS.by_key(user.pk, named)
    devices = DEVICES.by_key(user.pk, {item.device for item in items.values()})
    items = reply.keep(items, partial(check_sender, players=players, devices=devices))
    for player in players.values():
        delivery = Delivery(user=user, player=player, devices=devices, received_at=received_at)
        store_items(delivery, {place: item for place, item in items.items() if item.player == player.pk}, reply)
    reply.log_rejected()
    return reply.as_json()


class Reply:
    """The answers to what was sent, by place."""

    def __init__(self, sent: list):
        self.sent = sent
        self.answers: dict[int, Answer] = {}
        self.rejected: Counter[tuple[str, str]] = Counter()

    def keep(self, things: dict, step: Callable) -> dict:
        """Put each thing through the step; return what comes out by place, and answer for those that are rejected."""
        kept = {}
        for place, thing in things.items():
            try:
                kept[place] = step(thing)
            except Rejected as rejected:
                self.answers[place] = Answer("rejected", rejected.reason)
                kind = self._sent(place, "kind")
                self.rejected[kind if kind in KINDS else "unknown kind", rejected.code] += 1
        return kept

    def log_rejected(self) -> None:
        """Say in the log what was rejected and why, in words of this program only: nothing that was sent."""
        for (kind, code), count in sorted(self.rejected.items()):
            log.warning("rejected %d item(s), kind %s: %s", count, kind, code)

    def as_json(self) -> list[dict]:
        """Return the answers in the order of the items, each with what names its item."""
        names = ("id", "kind", "revision", "number")
        return [
            {name: self._sent(place, name) for name in names} | vars(self.answers[place])
            for place in range(len(self.sent))
        ]

    def _sent(self, place: int, name: str) -> str | int | None:
        """Return a field of an item as it was sent; None where it is nothing that could name an item."""
        item = self.sent[place]
        value = item.get(name) if isinstance(item, dict) else None
        is_name = isinstance(value, int) or (isinstance(value, str) and len(value) <= LONGEST_ECHO)
        return value if is_name else None


def read_item(sent: object) -> Item:
    """Return one item, every field of it checked by itself, or raise Rejected."""
    try:
        fields = read(sent, ENVELOPE, required=REQUIRED)
        if fields["kind"] not in KINDS:
            raise Rejected("The server does not know this kind of entry. Load the page again.", "not known here")
        kind = KINDS[fields["kind"]]
        values = read(fields["values"], kind.schema, required=kind.required)
    except Malformed as fault:
        reason = f"The server did not understand this: {fault}. Load the page again and correct the entry."
        raise Rejected(reason, f"malformed ({', '.join(fault.names) or 'no known field'})") from None
    return Item(**fields | {"values": values})


def check_sender(item: Item, *, players: dict[UUID, Player], devices: dict[UUID, Device]) -> Item:
    """Return the item if the sender may log for its player and its device is the sender's own, or raise Rejected."""
    if item.player not in players:
        raise Rejected("This is not your player. Sign in as the player who made this entry.", "not your player")
    if item.device not in devices:
        raise Rejected(
            "This phone is not known under your sign-in. Load the page again while you have a signal.",
            "unknown device",
        )
    return item


def store_items(delivery: Delivery, items: dict[int, Item], reply: Reply) -> None:
    """Store the items of one player, in one bulk pass for each kind, and note their answers."""
    sent = {name: {place: item for place, item in items.items() if item.kind == name} for name in KINDS}
    # What no phone changes is read before the transaction, in which one phone waits for the other.
    kinds = [(KINDS[name](delivery, own.values()), own) for name, own in sent.items() if own]
    # All of it or nothing: a phone that got no answer sends everything again.
    with own_turn(), transaction.atomic():
        for kind, own in kinds:
            entries = reply.keep(reply.keep(own, kind.entry), kind.check_change)
            answers = kind.store(list(entries.values()))
            reply.answers |= dict(zip(entries, answers, strict=True))
