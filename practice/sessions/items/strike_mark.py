"""Where a ball met the face."""

from practice.sessions.checks import identifier, number_within
from practice.sessions.items.asked import CLUBS
from practice.sessions.items.in_session import SessionKind
from practice.sessions.items.kind import Rejected
from practice.sessions.models import StrikeMark


class StrikeMarkKind(SessionKind):
    """One mark on the face, among others of the same club. Never kept out for the block or visit it names."""

    model = StrikeMark
    schema = {
        **dict.fromkeys(("block", "club", "visit"), identifier),
        "heel_toe_mm": number_within(-80, 80),
        "low_high_mm": number_within(-80, 80),
        "resolution_mm": number_within(0, 50),
    }
    required = ("club", "heel_toe_mm", "low_high_mm")

    def __init__(self, delivery, items):
        super().__init__(delivery, items)
        self.clubs = self.named(CLUBS, self.player.pk, "club")

    def entry(self, item):
        given = item.values
        club = self.clubs.get(given["club"])
        if club is None:
            raise Rejected("This club is not in your bag any more. Discard this mark.", "no club")
        mark = {name: given.get(name) for name in ("heel_toe_mm", "low_high_mm", "resolution_mm")}
        return self.entry_of(item, club=club, **mark)
