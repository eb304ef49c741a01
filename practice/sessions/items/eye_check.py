"""A distance guessed by eye."""

from practice.sessions.checks import number_within
from practice.sessions.items.kind import LatestKind
from practice.sessions.models import EyeGuess
from practice.sessions.values import PhoneEntry


class EyeCheckKind(LatestKind):
    """A distance guessed by eye, and, in a later revision, what the laser said."""

    model = EyeGuess
    schema = {"guess_m": number_within(0.5, 400), "measured_m": number_within(0.5, 400)}
    required = ("guess_m",)

    def entry(self, item):
        values = {
            "guess_m": item.values["guess_m"],
            "measured_m": item.values.get("measured_m"),
            "guessed_at": item.happened_at(self.delivery.received_at),
        }
        return PhoneEntry(**self.delivery.envelope(item), values=values)
