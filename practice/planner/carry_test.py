"""The balls of a carry test: every chosen club with every chosen swing, to no target, blocked or shuffled.

Blocks of strike, turf and swing work are drawn so too.
"""

import hashlib
import json
from collections.abc import Sequence
from dataclasses import replace

from practice.drills.kinds import MAX_BALLS
from practice.planner.generator import DrawnBall, DrawnBlock, GeneratorError
from practice.planner.orders import Order, reordered

ALGORITHM = "carry-test-1"

NOTHING_TO_SHUFFLE = "One club and one swing: every ball is the same, so there is nothing to shuffle."


def draw_carry_test(clubs: Sequence[str], swings: Sequence[str], *, balls_each: int) -> DrawnBlock:
    """Return club after club, each swing `balls_each` times in a row, in the orders given.

    Nothing is left to chance, so the seed is 0. The swings of one club follow each other because the question is
    what the same swing does again, and changing clubs at every ball would answer another one.

    Raises
    ------
    GeneratorError
        No club, no swing, or more balls than a block holds.
    """
    if not clubs or not swings:
        raise GeneratorError("Choose at least one club and one swing length.")
    if not 1 <= balls_each * len(clubs) * len(swings) <= MAX_BALLS:
        raise GeneratorError(
            f"{len(clubs)} clubs x {len(swings)} swings x {balls_each} balls is more than the {MAX_BALLS} balls "
            "a block holds; take some of the clubs on another day."
        )
    asked = [(club, swing) for club in clubs for swing in swings for _ in range(balls_each)]
    balls = [
        DrawnBall(n=n, club=club, swing=swing, target=None, target_m=None, below=None, above=None)
        for n, (club, swing) in enumerate(asked, 1)
    ]
    inputs = json.dumps([ALGORITHM, list(clubs), list(swings), balls_each])
    sha256 = hashlib.sha256(inputs.encode()).hexdigest()
    return DrawnBlock(balls=tuple(balls), notes=(), seed=0, algorithm=ALGORITHM, inputs_sha256=sha256)


def draw_shuffled_carry_test(clubs: Sequence[str], swings: Sequence[str], *, balls_each: int, seed: int) -> DrawnBlock:
    """Return the same balls in random order, no club and swing twice in a row where there is another one.

    It asks another question than the test in a row: what a swing does when it has to be found anew each time. Of one
    club and one swing the order stays as it is, and a note says so.
    """
    blocked = draw_carry_test(clubs, swings, balls_each=balls_each)
    notes = (NOTHING_TO_SHUFFLE,) if len(clubs) == len(swings) == 1 else ()
    return reordered(replace(blocked, seed=seed, notes=notes), Order.RANDOM)
