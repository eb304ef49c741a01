"""What was done of a player's current work, as the phone is told it, so that a page opened anew knows what is held."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from uuid import UUID

from django.db.models import Q

from practice.accounts.models import User
from practice.planner.models import Block
from practice.planner.versions import versions_of
from practice.players.models import Player
from practice.sessions.models import (
    BlockOutcome,
    BlockTally,
    EyeGuess,
    PainStop,
    SessionItem,
    Shot,
    SkippedBall,
    SmoothSwing,
    StrikeMark,
    TurfSwing,
    Visit,
)
from practice.sessions.values import VALUE_FIELDS

VISIT_WORDS = (
    *("setting", "label", "stand", "offset_m", "measured_by", "resolution_m"),
    *("ball_type", "surface", "wind", "wind_from"),
)
ENVELOPE = ("uid", "revision", "device__user")
LAST = timedelta(days=1)
"""How long what belongs to no block is told."""


@dataclass(frozen=True)
class Told:
    """How one kind of practice in a session is told: its own fields, the rows it points to beside the block, and
    whether also what was done lately for other blocks or none is told."""

    model: type[SessionItem]
    words: tuple[str, ...]
    links: tuple[str, ...] = ("visit__uid",)
    lately: bool = True


WITH_CLUB = ("club_id", "visit__uid")
TOLD = {
    "turf": Told(TurfSwing, ("contact", "ground", "surface"), WITH_CLUB),
    "tally": Told(BlockTally, ("balls", "on", "long", "short", "mishits"), lately=False),
    "strike_mark": Told(StrikeMark, ("heel_toe_mm", "low_high_mm", "resolution_mm"), WITH_CLUB),
    "swing": Told(SmoothSwing, ("smooth", "how"), WITH_CLUB),
    "outcome": Told(BlockOutcome, ("balls", "made", "best_run", "yes", "leaves_m")),
}
"""Practice in a session that is no shot, by the kind of its item."""


def id_json(pk: UUID | None) -> str | None:
    return None if pk is None else str(pk)


@dataclass(frozen=True)
class Done:
    """What a player did of these blocks, for a user who may log for the player."""

    player: Player
    by: User
    blocks: list[Block]
    now: datetime
    today: date
    """By the academy's clocks."""

    def as_json(self) -> dict:
        """Return it kind by kind; the number of statements does not grow with what there is."""
        versions = versions_of(self.blocks)
        pairs = [zip(old.balls.all(), new.balls.all(), strict=True) for old, new in versions.items()]
        balls = {old.pk: new.pk for pair in pairs for old, new in pair}
        current = {old.pk: new.pk for old, new in versions.items()}
        return {
            "visit": self._last_visit(),
            "shots": self._shots(balls),
            "skips": self._skips(balls),
            "stops": self._stops(),
            "guesses": self._guesses(),
            "items": {kind: self._items(told, current) for kind, told in TOLD.items()},
        }

    def _told(self, row: dict, **more) -> dict:
        """Return what each kind is told with.

        The player may correct everything, a coach what was last set on the coach's own devices.
        """
        may_correct = self.by.pk in (self.player.user_id, row["device__user"])
        return {"id": str(row["uid"]), "revision": row["revision"], "may_correct": may_correct, **more}

    def _last_visit(self) -> dict | None:
        """Return the last visit, whose choices the phone offers again; one that only holds a place is none."""
        own = Visit.objects.filter(player=self.player, deleted=False, revision__gt=0)
        links = ("venue_id", "tee_line_id", "bay_id")
        row = own.order_by("-started_at", "-pk").values(*ENVELOPE, "started_at", *VISIT_WORDS, *links).first()
        if row is None:
            return None
        values = {name: row[name] for name in VISIT_WORDS} | {name[:-3]: id_json(row[name]) for name in links}
        return self._told(row, values=values, started_at=row["started_at"].isoformat())

    def _shots(self, balls: dict) -> list[dict]:
        """Return the shots at these balls; also those a coach set aside, for they were hit."""
        shots = Shot.objects.filter(player=self.player, ball__in=balls, deleted=False).in_order()
        links = ("club_id", "target_id", "visit__uid")
        return [
            self._told(
                shot,
                deleted=False,
                hit_at=shot["hit_at"].isoformat(),
                values={name: shot[name] for name in VALUE_FIELDS}
                | _linked(shot, links)
                | {"ball": str(balls[shot["ball_id"]])},
            )
            for shot in shots.values(*ENVELOPE, "hit_at", "ball_id", *links, *VALUE_FIELDS)
        ]

    def _skips(self, balls: dict) -> list[dict]:
        skips = SkippedBall.objects.filter(player=self.player, ball__in=balls, deleted=False)
        return [self._told(skip, ball=str(balls[skip["ball_id"]])) for skip in skips.values(*ENVELOPE, "ball_id")]

    def _stops(self) -> list[dict]:
        """Return today's stops, each of which closes the day until it is taken back."""
        stops = PainStop.objects.on(self.player, self.today).order_by("stopped_at", "pk")
        return [
            self._told(stop, at=stop["stopped_at"].isoformat(), values={"block": id_json(stop["block_id"])})
            for stop in stops.values(*ENVELOPE, "stopped_at", "block_id")
        ]

    def _guesses(self) -> list[dict]:
        """Return the guesses of the last day, so that an eye check goes on where it was left."""
        guesses = EyeGuess.objects.filter(player=self.player, deleted=False, guessed_at__gt=self.now - LAST)
        words = ("guess_m", "measured_m")
        return [
            self._told(guess, at=guess["guessed_at"].isoformat(), values={name: guess[name] for name in words})
            for guess in guesses.order_by("guessed_at", "pk").values(*ENVELOPE, "guessed_at", *words)
        ]

    def _items(self, told: Told, current: dict) -> list[dict]:
        """Return what was done of these blocks, and within the last day beside them: so the page goes on counting."""
        ours = Q(block__in=current)
        if told.lately:
            ours |= Q(done_at__gt=self.now - LAST)
        rows = told.model.objects.live().filter(ours, player=self.player)
        return [
            self._told(
                row,
                at=row["done_at"].isoformat(),
                values={name: row[name] for name in told.words}
                | _linked(row, told.links)
                | {"block": id_json(current.get(row["block_id"], row["block_id"]))},
            )
            for row in rows.order_by("done_at", "pk").values(*ENVELOPE, "done_at", "block_id", *told.links, *told.words)
        ]


def _linked(row: dict, links: tuple[str, ...]) -> dict:
    """Return the rows that a row points to, as an item names them: `club_id` as "club", `visit__uid` as "visit"."""
    return {name.partition("_")[0]: id_json(row[name]) for name in links}
