"""The days before a competition: no carry test, no new cue, half the balls."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import date, timedelta

EASE_DAYS = 3
"""Days before a competition in which the plan eases off; common practice, no source."""

RULE = f"In the {EASE_DAYS} days before it: no carry test, no new cue, half the balls (common practice)."


@dataclass(frozen=True)
class Planned:
    """A block as far as it matters here; `day` is None where the player chooses."""

    title: str
    kind: str
    cue: str
    balls: int
    day: date | None


def easing_days(competitions: Iterable[date]) -> set[date]:
    """Return the days in which the plan eases off: those before each competition, and its own."""
    return {day - timedelta(days=n) for day in competitions for n in range(EASE_DAYS + 1)}


def easing_warnings(
    blocks: Collection[Planned],
    *,
    monday: date,
    competitions: Collection[date],
    cues_before: Collection[str],
    usual_balls: float | None,
) -> list[str]:
    """Say what in a week does not fit the competitions in it or soon after it.

    `cues_before` are those that the player has worked with already; `usual_balls` is what the player hits on a day of
    practice, None where that is not known.
    """
    week = {monday + timedelta(days=n) for n in range(7)}
    days = easing_days(competitions) & week
    if not days:
        return []
    said = []
    for block in blocks:
        if block.day is None and days != week:
            said.append(f"“{block.title}” may fall on a day before the competition: give it a day.")
        elif block.day is None or block.day in days:
            said += [f"“{block.title}” {fault} just before a competition." for fault in _faults(block, cues_before)]
    return [*said, *_too_many(blocks, sorted(days), usual_balls)]


def _faults(block: Planned, cues_before: Collection[str]) -> list[str]:
    faults = ["is a carry test"] if block.kind == "carry_test" else []
    return faults + (["has a new cue"] if block.cue and block.cue not in cues_before else [])


def _too_many(blocks: Collection[Planned], days: list[date], usual_balls: float | None) -> list[str]:
    """Say on which of these days more than half of the usual balls are planned."""
    if not usual_balls:
        return []
    planned = {day: sum(block.balls for block in blocks if block.day == day) for day in days}
    return [
        f"{day:%A}: {balls} balls, where about {usual_balls:.0f} a day are usual: plan at most half."
        for day, balls in planned.items()
        if balls > usual_balls / 2
    ]
