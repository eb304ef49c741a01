"""The kinds of item that a phone sends. A new kind is one class here: a schema, what it looks up, and where it goes."""

from abc import ABC, abstractmethod
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from functools import cached_property
from uuid import UUID

from practice.accounts.models import Device, User
from practice.accounts.zones import zone
from practice.clubs.models import Club, SwingLength
from practice.clubs.swings import CLOCK_SWINGS, FEEL
from practice.drills.kinds import whole_number, yes_or_no
from practice.planner.models import Ball, Block, PlanState
from practice.players.models import Player
from practice.sessions.actions import Answer, resettle_visits, store_latest, store_shots
from practice.sessions.checks import LARGEST, Schema, identifier, moment, number, number_within, one_of, text
from practice.sessions.models import EyeGuess, PainStop, SkippedBall, Visit
from practice.sessions.values import CHOICES, RANGES, VALUE_FIELDS, PhoneEntry, ShotEntry, ShotValues, faults
from practice.sessions.words import BallType, MeasuredBy, Setting, Source, Stand, Surface, Wind, WindFrom
from practice.venues.models import Bay, Target, TeeLine, Venue

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
    """One kind of item. Made for all items of one delivery at once, so that each table is asked once."""

    schema: Schema
    required: tuple[str, ...] = ()

    def __init__(self, delivery: Delivery, items: Iterable[Item]):
        self.delivery = delivery
        self.player = delivery.player
        self.items = list(items)

    def named(self, queryset, *fields: str) -> dict:
        """Return the rows that the items name in these fields, by id: one statement, and none where they name none."""
        ids = {item.values[field] for item in self.items for field in fields if field in item.values}
        return queryset.in_bulk(ids)

    @abstractmethod
    def entry(self, item: Item):
        """Return what is to be stored, or raise Rejected."""

    @abstractmethod
    def store(self, entries: list) -> list[Answer]:
        """Store entries and answer each."""


class VisitKind(Kind):
    """A stay at a range. A later revision moves the shots of the visit along."""

    schema = {
        "venue": identifier,
        "tee_line": identifier,
        "bay": identifier,
        "setting": one_of(Setting.values),
        "label": text(40),
        "stand": one_of(Stand.values),
        "offset_m": number_within(-50, 50),
        "measured_by": one_of(MeasuredBy.values),
        "resolution_m": number_within(0, 50),
        "ball_type": one_of(["", *BallType.values]),
        "surface": one_of(["", *Surface.values]),
        "wind": one_of(["", *Wind.values]),
        "wind_from": one_of(["", *WindFrom.values]),
    }
    required = ("venue",)
    rows = ("venue", "tee_line", "bay")
    defaults = {name: Visit._meta.get_field(name).get_default() for name in schema.keys() - {*rows}}

    def __init__(self, delivery, items):
        super().__init__(delivery, items)
        academy = delivery.player.academy_id
        self.venues = self.named(Venue.objects.filter(academy=academy), "venue")
        self.tee_lines = self.named(TeeLine.objects.filter(academy=academy), "tee_line")
        self.bays = self.named(Bay.objects.filter(academy=academy), "bay")

    def entry(self, item):
        venue = self.venues.get(item.values["venue"])
        if venue is None:
            raise Rejected("This range is not on your academy's list any more. Choose another one.", "unknown venue")
        # A line or bay that the coach removed meanwhile is no reason to lose the visit.
        tee_line = self.tee_lines.get(item.values.get("tee_line"))
        if tee_line and tee_line.venue_id != venue.pk:
            tee_line = None
        bay = self.bays.get(item.values.get("bay"))
        if bay and (tee_line is None or bay.tee_line_id != tee_line.pk):
            bay = None
        rows = {"venue": venue, "tee_line": tee_line, "bay": bay}
        started_at = item.happened_at(self.delivery.received_at)
        values = self.defaults | item.values | rows | {"started_at": started_at}
        return PhoneEntry(**self.delivery.envelope(item), values=values)

    def store(self, entries):
        received_at = self.delivery.received_at
        answers = store_latest(model=Visit, player=self.player, entries=entries, received_at=received_at)
        resettle_visits(player=self.player, uids={entry.uid for entry in entries})
        return answers


def asked_balls(player: Player):
    """Return the balls that the player was ever asked to hit: also withdrawn ones, which may have been hit before."""
    return Ball.objects.filter(block__plan__player=player).exclude(block__plan__state=PlanState.DRAFT)


class ShotKind(Kind):
    """A ball hit. Only a wrong club or wrong values keep one out: what else it names may have gone meanwhile."""

    schema = {
        **dict.fromkeys(("club", "ball", "target", "visit"), identifier),
        "swing": text(12),
        "target_name": text(60),
        **dict.fromkeys(RANGES, number),
        **dict.fromkeys(CHOICES, text(12)),
        **dict.fromkeys(("seen", "number_shown", "fresh", "warm_up", "helped"), yes_or_no),
    }
    required = ("club", "swing")

    def __init__(self, delivery, items):
        super().__init__(delivery, items)
        player, academy = delivery.player, delivery.player.academy_id
        self.clubs = self.named(Club.objects.filter(player=player), "club")
        self.balls = self.named(asked_balls(player).select_related("target", "block__venue"), "ball")
        self.targets = {ball.target_id: ball.target for ball in self.balls.values()}
        others = {item.values.get("target") for item in self.items} - {None} - self.targets.keys()
        self.targets |= Target.objects.filter(academy=academy).in_bulk(others)
        uids = {item.values["visit"] for item in self.items if "visit" in item.values}
        held = Visit.objects.filter(player=player, uid__in=uids).select_related("venue")
        self.visits = {visit.uid: visit for visit in held}
        self.swings = {*CLOCK_SWINGS, FEEL}
        if any(item.values["swing"] not in self.swings for item in self.items):
            self.swings |= set(SwingLength.objects.filter(academy=academy).values_list("code", flat=True))

    def _visit(self, item: Item) -> Visit | None:
        """Return the visit that a shot names.

        One that has not come yet gets a row that holds its place under revision 0: when it comes it takes the row
        over and its shots move along, so that the order in which a phone sends makes no difference.
        """
        uid = item.values.get("visit")
        if uid is not None and uid not in self.visits:
            self.visits[uid] = Visit(
                player=self.player,
                uid=uid,
                revision=0,
                venue=self._venue_without_visit(item),
                started_at=item.happened_at(self.delivery.received_at),
                received_at=self.delivery.received_at,
            )
        return self.visits.get(uid)

    def _venue_without_visit(self, item: Item) -> Venue:
        """Return where the ball was to be hit, or "Elsewhere"."""
        ball = self.balls.get(item.values.get("ball"))
        return (ball and ball.block.venue) or self._elsewhere

    @cached_property
    def _elsewhere(self) -> Venue:
        return Venue.objects.elsewhere_of(self.player.academy)

    def entry(self, item):
        given = item.values
        club = self.clubs.get(given["club"])
        if club is None:
            raise Rejected("This club is not in your bag any more. Undo this ball or choose another club.", "no club")
        ball = self.balls.get(given.get("ball"))
        values = ShotValues(**{name: given[name] for name in VALUE_FIELDS if name in given})
        # A swing length that the academy has dropped since was still what the ball asked for.
        wrong = faults(values, self.swings | ({ball.swing} if ball else set()))
        if wrong:
            raise Rejected(f"Correct this ball: {'; '.join(wrong)}.", "values")
        visit = self._visit(item)
        return ShotEntry(
            **self.delivery.envelope(item),
            hit_at=item.happened_at(self.delivery.received_at),
            club=club,
            ball=ball,
            target=self.targets.get(given.get("target")),
            visit=visit,
            venue=visit.venue if visit else self._venue_without_visit(item),
            setting=visit.setting if visit else Setting.RANGE.value,
            label=visit.label if visit else "",
            values=values,
        )

    def store(self, entries):
        Visit.objects.bulk_create({id(e.visit): e.visit for e in entries if e.visit and e.visit.pk is None}.values())
        return store_shots(
            player=self.player,
            entries=entries,
            source=Source.PHONE.value,
            received_at=self.delivery.received_at,
            made_by=self.delivery.user,
        )


class SkipKind(Kind):
    """A ball of a block that the player leaves out."""

    schema = {"ball": identifier}
    required = ("ball",)

    def __init__(self, delivery, items):
        super().__init__(delivery, items)
        self.balls = self.named(asked_balls(self.player), "ball")

    def entry(self, item):
        ball = self.balls.get(item.values["ball"])
        if ball is None:
            raise Rejected("This ball is not in your plan any more. Load the plan again.", "unknown ball")
        return PhoneEntry(**self.delivery.envelope(item), values={"ball": ball})

    def store(self, entries):
        received_at = self.delivery.received_at
        return store_latest(model=SkippedBall, player=self.player, entries=entries, received_at=received_at)


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


class EyeCheckKind(Kind):
    """A distance guessed by eye, and, in a later revision, what the laser said."""

    schema = {"guess_m": number_within(0.5, 400), "measured_m": number_within(0.5, 400)}
    required = ("guess_m",)

    def entry(self, item):
        values = {
            "guess_m": item.values["guess_m"],
            "measured_m": item.values.get("measured_m"),
            "guessed_at": item.happened_at(self.delivery.received_at),
        }
        return PhoneEntry(**self.delivery.envelope(item), values=values)

    def store(self, entries):
        received_at = self.delivery.received_at
        return store_latest(model=EyeGuess, player=self.player, entries=entries, received_at=received_at)


KINDS: dict[str, Callable[[Delivery, Iterable[Item]], Kind]] = {
    "visit": VisitKind,
    "shot": ShotKind,
    "skip": SkipKind,
    "stop": StopKind,
    "eye_check": EyeCheckKind,
}
"""In the order in which the items of one delivery are stored: shots point to visits."""
