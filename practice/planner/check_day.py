"""The check day: the same drawn block again some days later, nothing shown, and the proof that it is the same. Pure."""

from dataclasses import replace
from typing import Protocol

from practice.planner.generator import FEEL, DrawnBall, DrawnBlock


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
