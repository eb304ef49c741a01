"""A ball hit."""

from functools import cached_property

from practice.clubs.models import SwingLength
from practice.clubs.swings import CLOCK_SWINGS, FEEL
from practice.drills.kinds import yes_or_no
from practice.sessions.actions import store_shots
from practice.sessions.checks import identifier, number, text
from practice.sessions.items.asked import BALLS, CLUBS
from practice.sessions.items.kind import Kind, Rejected
from practice.sessions.items.places import Places
from practice.sessions.models import Shot, ShotRevision
from practice.sessions.values import CHOICES, RANGES, VALUE_FIELDS, ShotEntry, ShotValues, faults
from practice.sessions.words import Source
from practice.statements import Statement
from practice.venues.models import Target

TARGETS = Statement(lambda academy, targets: Target.objects.filter(pk__in=targets, academy=academy).only("pk"))


class ShotKind(Kind):
    """A ball hit. Only a wrong club or wrong values keep one out: what else it names may have gone meanwhile."""

    model = Shot
    elsewhere = "This ball was entered on the player's phone. Only there can it be corrected."
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
        academy = self.player.academy_id
        self.clubs = self.named(CLUBS, self.player.pk, "club")
        self.balls = self.named(BALLS, self.player.pk, "ball")
        self.targets = {ball.target_id: ball.target for ball in self.balls.values()}
        others = {item.values.get("target") for item in self.items} - {None} - self.targets.keys()
        self.targets |= TARGETS.by_key(academy, others)
        self.places = Places(delivery, self.items)
        self.swings = {*CLOCK_SWINGS, FEEL}
        if any(item.values["swing"] not in self.swings for item in self.items):
            self.swings |= set(SwingLength.objects.filter(academy=academy).values_list("code", flat=True))

    def entry(self, item):
        given = item.values
        club = self.clubs.get(given["club"])
        if club is None:
            reason = "This club is not in your bag any more. Correct this ball with another club, or discard it."
            raise Rejected(reason, "no club")
        ball = self.balls.get(given.get("ball"))
        values = ShotValues(**{name: given[name] for name in VALUE_FIELDS if name in given})
        # A swing length that the academy has dropped since was still what the ball asked for.
        wrong = faults(values, self.swings | ({ball.swing} if ball else set()))
        if wrong:
            raise Rejected(f"Correct this ball: {'; '.join(wrong)}.", "values")
        place = self.places.of(item, ball and ball.block)
        return ShotEntry(
            **self.delivery.envelope(item),
            hit_at=item.happened_at(self.delivery.received_at),
            club=club,
            ball=ball,
            target=self.targets.get(given.get("target")),
            visit=place.visit,
            **place.of_session,
            values=values,
        )

    @cached_property
    def _marks_of_others(self) -> set[tuple]:
        """The mark of every sending from the coach's devices of shots that somebody else corrected since."""
        sent = ShotRevision.objects.filter(shot__in=self.of_others.values(), device__in=self.delivery.devices)
        return set(sent.values_list("shot__uid", "device_id", "running_number"))

    def is_held(self, entry, row):
        return entry.mark in self._marks_of_others

    def store(self, entries):
        self.places.hold(entry.visit for entry in entries)
        return store_shots(
            player=self.player,
            entries=entries,
            source=Source.PHONE.value,
            received_at=self.delivery.received_at,
            made_by=self.delivery.user,
        )
