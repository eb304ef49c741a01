"""A swing with a hum or a breath through it."""

from practice.drills.kinds import yes_or_no
from practice.sessions.checks import identifier, one_of
from practice.sessions.items.asked import CLUBS
from practice.sessions.items.in_session import SessionKind
from practice.sessions.models import SmoothSwing
from practice.sessions.words import Voice


class SwingKind(SessionKind):
    """One swing of the smooth-swing drill. Never kept out for the block, club or visit it names."""

    model = SmoothSwing
    schema = {
        **dict.fromkeys(("block", "club", "visit"), identifier),
        "smooth": yes_or_no,
        "how": one_of(["", *Voice.values]),
    }
    required = ("smooth",)

    def __init__(self, delivery, items):
        super().__init__(delivery, items)
        self.clubs = self.named(CLUBS, self.player.pk, "club")

    def entry(self, item):
        given = item.values
        club = self.clubs.get(given.get("club"))
        return self.entry_of(item, club=club, smooth=given["smooth"], how=given.get("how", ""))
