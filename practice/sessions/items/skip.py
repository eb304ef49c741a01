"""A ball left out."""

from practice.sessions.checks import identifier
from practice.sessions.items.asked import BALLS
from practice.sessions.items.kind import LatestKind, Rejected
from practice.sessions.models import SkippedBall
from practice.sessions.values import PhoneEntry


class SkipKind(LatestKind):
    """A ball of a block that the player leaves out."""

    model = SkippedBall
    schema = {"ball": identifier}
    required = ("ball",)

    def __init__(self, delivery, items):
        super().__init__(delivery, items)
        self.balls = self.named(BALLS, self.player.pk, "ball")

    def entry(self, item):
        ball = self.balls.get(item.values["ball"])
        if ball is None:
            raise Rejected("This ball is not in your plan any more. Load the plan again.", "unknown ball")
        return PhoneEntry(**self.delivery.envelope(item), values={"ball": ball})
