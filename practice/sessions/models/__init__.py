"""What was done: visits, sessions, shots and every value a shot ever had."""

from practice.sessions.models.eye_guesses import EyeGuess
from practice.sessions.models.imports import ImportBatch
from practice.sessions.models.phone_items import PhoneItem
from practice.sessions.models.session_items import (
    SESSION_ITEMS,
    BlockOutcome,
    BlockTally,
    SessionItem,
    SmoothSwing,
    StrikeMark,
    TurfSwing,
)
from practice.sessions.models.sessions import PracticeSession
from practice.sessions.models.shots import Shot, ShotQuerySet, ShotRevision
from practice.sessions.models.skips import SkippedBall
from practice.sessions.models.stops import PainStop
from practice.sessions.models.visits import Visit

__all__ = [
    "SESSION_ITEMS",
    "BlockOutcome",
    "BlockTally",
    "EyeGuess",
    "ImportBatch",
    "PainStop",
    "PhoneItem",
    "PracticeSession",
    "SessionItem",
    "Shot",
    "ShotQuerySet",
    "ShotRevision",
    "SkippedBall",
    "SmoothSwing",
    "StrikeMark",
    "TurfSwing",
    "Visit",
]
