"""The kinds of item that a phone sends. A new kind is one module here, with a class, and one line below."""

from collections.abc import Callable, Iterable

from practice.sessions.items.eye_check import EyeCheckKind
from practice.sessions.items.kind import Delivery, Item, Kind
from practice.sessions.items.outcome import OutcomeKind
from practice.sessions.items.shot import ShotKind
from practice.sessions.items.skip import SkipKind
from practice.sessions.items.stop import StopKind
from practice.sessions.items.strike_mark import StrikeMarkKind
from practice.sessions.items.swing import SwingKind
from practice.sessions.items.tally import TallyKind
from practice.sessions.items.turf import TurfKind
from practice.sessions.items.visit import VisitKind

KINDS: dict[str, Callable[[Delivery, Iterable[Item]], Kind]] = {
    "visit": VisitKind,
    "shot": ShotKind,
    "skip": SkipKind,
    "stop": StopKind,
    "eye_check": EyeCheckKind,
    "turf": TurfKind,
    "tally": TallyKind,
    "strike_mark": StrikeMarkKind,
    "swing": SwingKind,
    "outcome": OutcomeKind,
}
"""In the order in which the items of one delivery are stored: what is done points to visits."""
