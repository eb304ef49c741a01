"""A swing over the turf."""

from practice.sessions.checks import identifier, one_of
from practice.sessions.items.asked import CLUBS
from practice.sessions.items.in_session import SessionKind
from practice.sessions.models import TurfSwing
from practice.sessions.words import TURF_CONTACTS, Ground, Surface


class TurfKind(SessionKind):
    """One practice swing or ball of turf work. Never kept out for the block, club or visit it names."""

    model = TurfSwing
    schema = {
        **dict.fromkeys(("block", "club", "visit"), identifier),
        "contact": one_of([word.value for word in TURF_CONTACTS]),
        "ground": one_of(Ground.values),
        "surface": one_of(["", *Surface.values]),
    }
    required = ("contact", "ground")

    def __init__(self, delivery, items):
        super().__init__(delivery, items)
        self.clubs = self.named(CLUBS, self.player.pk, "club")

    def entry(self, item):
        given = item.values
        club = self.clubs.get(given.get("club"))
        return self.entry_of(
            item, club=club, contact=given["contact"], ground=given["ground"], surface=given.get("surface", "")
        )
