"""What was counted in a session beside shots, in words: swings, strike marks, and what a block came to."""

from collections import defaultdict
from collections.abc import Collection, Iterator
from statistics import fmean
from uuid import UUID

from django.db.models import Count, Q
from django.db.models.functions import Coalesce

from practice.players.models import Player
from practice.sessions.models import BlockOutcome, BlockTally, SmoothSwing, StrikeMark, TurfSwing
from practice.sessions.words import TURF_CONTACTS, Ground
from practice.units import DistanceUnit

ENTERED = {
    "by": Coalesce("device__user", "made_by"),
    "by_name": Coalesce("device__user__name", "made_by__name"),
}
"""Who entered a row: whose device it came from, else who typed it in."""

Sentences = dict[int, list[str]]
"""By session."""


def entered_by(player: Player, user: UUID | None, name: str | None) -> str:
    """Return who entered something where that was not the player; empty where it was, or nobody can say."""
    return name if user and user != player.user_id else ""


def swing_sentences(player: Player, sessions: Collection[int]) -> Sentences:
    """Return a sentence a person who entered some, on turf work, on smooth swings, and on the marks of each club."""
    found = defaultdict(list)
    for sentences in (_turf, _smooth_swings, _strike_marks):
        for session, told in sentences(player, sessions).items():
            found[session] += told
    return found


def _smooth_swings(player: Player, sessions: Collection[int]) -> Sentences:
    swings = SmoothSwing.objects.live().filter(session__in=sessions).values("session", **ENTERED)
    counted = swings.annotate(swings=Count("pk"), smooth=Count("pk", filter=Q(smooth=True)))
    found = defaultdict(list)
    for row in counted.order_by("session", *ENTERED):
        told = f"Smooth swing: {row['smooth']} of {_some(row['swings'], 'swing')} smooth"
        found[row["session"]].append(told + _by(player, row["by"], row["by_name"]))
    return found


def _strike_marks(player: Player, sessions: Collection[int]) -> Sentences:
    marks = StrikeMark.objects.live().filter(session__in=sessions).values("session", "club__label", **ENTERED)
    found = defaultdict(list)
    for row in marks.annotate(marks=Count("pk")).order_by("session", "club__label", *ENTERED):
        told = f"Strike: {_some(row['marks'], 'mark')} with the {row['club__label']}"
        found[row["session"]].append(told + _by(player, row["by"], row["by_name"]))
    return found


def _turf(player: Player, sessions: Collection[int]) -> Sentences:
    counts = {word.value: Count("pk", filter=Q(contact=word)) for word in TURF_CONTACTS}
    counts |= {word.value: Count("pk", filter=Q(ground=word)) for word in Ground}
    swings = TurfSwing.objects.live().filter(session__in=sessions).values("session", **ENTERED)
    found = defaultdict(list)
    for row in swings.annotate(swings=Count("pk"), **counts).order_by("session", *ENTERED):
        contacts = [f"{row[word]} {word.label.lower()}" for word in TURF_CONTACTS if row[word]]
        grounds = [f"{word.label} {row[word]}" for word in Ground if row[word]]
        told = f"Turf: {', '.join([_some(row['swings'], 'swing'), *contacts])}; {', '.join(grounds).lower()}"
        found[row["session"]].append(told + _by(player, row["by"], row["by_name"]))
    return found


def count_sentences(player: Player, sessions: Collection[int]) -> Sentences:
    """Return a sentence for each tally and for each block's outcome, in the order in which they were made."""
    found = _tallies(player, sessions)
    unit = player.shown_unit
    outcomes = BlockOutcome.objects.live().filter(session__in=sessions).annotate(**ENTERED).select_related("block")
    for outcome in outcomes.order_by("done_at", "pk"):
        title = outcome.block.title if outcome.block else "Other balls"
        answers = [f"{outcome.balls} hit", *_answers(outcome, unit)]
        found[outcome.session_id].append(f"{title}: {', '.join(answers)}{_by(player, outcome.by, outcome.by_name)}")
    return found


def _answers(outcome: BlockOutcome, unit: DistanceUnit) -> Iterator[str]:
    """Yield what a block came to, beside the balls hit."""
    if outcome.made is not None:
        yield f"{outcome.made} made"
    if outcome.best_run is not None:
        yield f"best run {outcome.best_run}"
    if outcome.yes is not None:
        yield "yes" if outcome.yes else "no"
    if outcome.leaves_m:
        # Short enough for tenths to tell.
        mean = f"{unit.from_m(fmean(outcome.leaves_m)):.1f} {unit.value}"
        yield f"{mean} from the hole on average ({_some(len(outcome.leaves_m), 'ball')})"


def _tallies(player: Player, sessions: Collection[int]) -> Sentences:
    tallies = BlockTally.objects.live().filter(session__in=sessions).annotate(**ENTERED).select_related("block")
    found = defaultdict(list)
    for tally in tallies.order_by("done_at", "pk"):
        counts = {"on": tally.on, "long": tally.long, "short": tally.short}
        told = [f"{tally.balls} hit", *(f"{count} {word}" for word, count in counts.items() if count)]
        told += [_some(tally.mishits, "mishit")] if tally.mishits else []
        told += [f"{tally.not_seen} not seen"] if tally.not_seen else []
        by = _by(player, tally.by, tally.by_name)
        found[tally.session_id].append(f"{tally.block.title}, at the end: {', '.join(told)}{by}")
    return found


def _some(count: int, word: str) -> str:
    return f"{count} {word}{'' if count == 1 else 's'}"


def _by(player: Player, user: UUID | None, name: str | None) -> str:
    told = entered_by(player, user, name)
    return f" (entered by {told})" if told else ""
