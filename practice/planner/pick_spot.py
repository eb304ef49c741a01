"""Pick a spot: the player chooses something out there, hits it with one club, then with another; no distance. Pure."""

from collections.abc import Sequence
from random import Random

from practice.planner.generator import (
    FEEL,
    MOST_BALLS,
    MOST_CLUBS,
    DrawnBall,
    DrawnBlock,
    GeneratorError,
    check_named,
    check_whole,
    digest,
)
from practice.planner.spread import arranged, shuffled

ALGORITHM = "pick-spot-1"


def draw_pick_spot(clubs: Sequence[str], *, spots: int, seed: int) -> DrawnBlock:
    """Two balls a spot, each with another club; no club follows itself, and all are hit equally often within one.

    Raises GeneratorError for fewer than two clubs or too many spots.
    """
    check_whole("number of spots", spots)
    check_whole("seed", seed)
    check_named("club", list(clubs), MOST_CLUBS)
    if len(clubs) < 2:
        raise GeneratorError("Each spot is hit with two clubs: choose at least two.")
    if not 1 <= spots <= MOST_BALLS // 2:
        raise GeneratorError(f"A block has 1 to {MOST_BALLS // 2} spots, not {spots}.")
    draw = Random(seed).random
    order = shuffled(clubs, draw)
    dealt = [(order[n % len(order)], n) for n in range(2 * spots)]
    balls = [
        DrawnBall(n=n, club=club, swing=FEEL, target=f"your spot {(n + 1) // 2}", target_m=None, below=None, above=None)
        for n, (club, _) in enumerate(arranged(dealt, draw), 1)
    ]
    return DrawnBlock(
        balls=tuple(balls),
        notes=(),
        seed=seed,
        algorithm=ALGORITHM,
        inputs_sha256=digest([ALGORITHM, list(clubs), spots]),
    )
