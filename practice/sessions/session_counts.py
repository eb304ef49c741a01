"""What was counted in a session beside shots, in words: turf work, and what the player remembers of a block."""

from collections import defaultdict
from collections.abc import Collection

from django.db.models import Count, Q

from practice.players.models import Player
from practice.sessions.models import BlockTally, TurfSwing
from practice.sessions.words import TURF_CONTACTS, Ground

ENTERED = ("device__user", "device__user__name")

Sentences = dict[int, list[str]]
"""By session."""


def entered_by(player: Player, user: int | None, name: str | None) -> str:
    """Return who entered something where that was not the player; empty where it was, or nobody can say."""
    return name if user and user != player.user_id else ""


def turf_sentences(player: Player, sessions: Collection[int]) -> Sentences:
    """Return a sentence for each person who entered turf work, session by session."""
    counts = {word.value: Count("pk", filter=Q(contact=word)) for word in TURF_CONTACTS}
    counts |= {word.value: Count("pk", filter=Q(ground=word)) for word in Ground}
    swings = TurfSwing.objects.live().filter(session__in=sessions).values("session", *ENTERED)
    found = defaultdict(list)
    for row in swings.annotate(swings=Count("pk"), **counts).order_by("session", *ENTERED):
        contacts = [f"{row[word]} {word.label.lower()}" for word in TURF_CONTACTS if row[word]]
        grounds = [f"{word.label} {row[word]}" for word in Ground if row[word]]
        told = f"Turf: {', '.join([_some(row['swings'], 'swing'), *contacts])}; {', '.join(grounds).lower()}"
        found[row["session"]].append(told + _by(entered_by(player, *(row[name] for name in ENTERED))))
    return found


def tally_sentences(player: Player, sessions: Collection[int]) -> Sentences:
    """Return a sentence for each tally, in the order in which they were made."""
    tallies = BlockTally.objects.live().filter(session__in=sessions).select_related("block", "device__user")
    found = defaultdict(list)
    for tally in tallies.order_by("done_at", "pk"):
        counts = {"on": tally.on, "long": tally.long, "short": tally.short}
        told = [f"{tally.balls} hit", *(f"{count} {word}" for word, count in counts.items() if count)]
        told += [_some(tally.mishits, "mishit")] if tally.mishits else []
        told += [f"{tally.not_seen} not seen"] if tally.not_seen else []
        user = tally.device and tally.device.user
        by = _by(entered_by(player, user.pk, user.name) if user else "")
        found[tally.session_id].append(f"{tally.block.title}, at the end: {', '.join(told)}{by}")
    return found


def _some(count: int, word: str) -> str:
    return f"{count} {word}{'' if count == 1 else 's'}"


def _by(name: str) -> str:
    return f" (entered by {name})" if name else ""
