"""The check day: the same drawn block again some days later, nothing shown, and the proof that it is the same. Pure."""

from dataclasses import replace
from datetime import date, timedelta
from typing import Protocol

from practice.planner.generator import FEEL, DrawnBall, DrawnBlock

GAP_DAYS = 3
"""Days from a block to its check day, from which that tells what stayed; common practice, no source."""

When = tuple[date, int | None]
"""The Monday of a block's week, and its day, 0 for Monday; None where the player chooses."""


class Drawn(Protocol):
    """Where a block's balls came from: what a drawn block and a stored one both hold."""

    seed: int
    algorithm: str
    inputs_sha256: str


def drawn_again(block: DrawnBlock) -> DrawnBlock:
    """The block for its check day: the same clubs and targets in the same order from the same seed, without the
    numbers. Swings of balls to no target stay: they are the task, not a hint."""
    return replace(block, balls=tuple(map(hidden, block.balls)))


def hidden(ball: DrawnBall) -> DrawnBall:
    return ball._replace(swing=FEEL, below=None, above=None) if ball.target else ball


def difference(first: Drawn, again: Drawn) -> str:
    """Why two blocks cannot be shown to be the same; empty if they are.

    An algorithm that keeps its name draws the same balls from the same seed and inputs for ever; the inputs are known
    by their SHA-256 (FIPS 180-4), for which no two texts of one digest are known.
    """
    if first.algorithm != again.algorithm:
        return f"One was drawn by “{first.algorithm}”, the other by “{again.algorithm}”."
    if first.inputs_sha256 != again.inputs_sha256:
        return "They were drawn from other clubs, reaches, targets or ball counts."
    if first.seed != again.seed:
        return f"One was drawn from seed {first.seed}, the other from seed {again.seed}."
    return ""


def days_between(first: When, again: When) -> tuple[int, int]:
    """The fewest and the most days that may lie between a block and its check day."""
    from_day, to_day = (monday + timedelta(days=day or 0) for monday, day in (first, again))
    open_first, open_again = (6 if day is None else 0 for _, day in (first, again))
    days = (to_day - from_day).days
    return days - open_first, days + open_again


def too_early(first: When, again: When) -> str:
    """Why a check day cannot come then, and what to do; empty where at least a day may lie between."""
    if days_between(first, again)[1] >= 1:
        return ""
    return "A check day comes a day at least after the block that it repeats: give it a later day, or a later week."


def too_soon(title: str, first: When, again: When) -> str:
    """What to change where fewer days than GAP_DAYS may lie between; empty where that cannot be."""
    least, most = days_between(first, again)
    if least >= GAP_DAYS:
        return ""
    how = f"comes {max(least, 0)} days" if least == most else f"may come less than {GAP_DAYS} days"
    return (
        f"“{title}” {how} after the block that it repeats. To tell what stayed, leave {GAP_DAYS} days or more: give "
        "both a day (common practice)."
    ).replace(" 1 days", " 1 day")
