"""The one-ball test: so many balls, each another shot, none a second time. Pure."""

from collections.abc import Sequence
from random import Random

from practice.planner.generator import (
    ClubOption,
    DrawnBlock,
    GeneratorError,
    TargetOption,
    asked_in,
    check_inputs,
    fingerprint,
    in_play,
    notes_on_inputs,
    notes_on_neighbours,
    shots_of,
)
from practice.planner.spread import Ball, Draw, Reach, arranged, shuffled, targets_in

ALGORITHM = "one-ball-1"


def draw_one_ball_test(
    clubs: Sequence[ClubOption], targets: Sequence[TargetOption], *, balls: int, seed: int, number_shown: bool
) -> DrawnBlock:
    """`balls` balls, every one another pair of club and target, neighbours different where that was found.

    The notes tell of neighbours that are equal. A club is hit as often as any other, within one, unless it has gone to
    all of its targets. Raises GeneratorError for a bad input or for more balls than there are pairs.
    """
    check_inputs(clubs, targets, balls, seed)
    draw = Random(seed).random
    bag, field, reach = in_play(shuffled(clubs, draw), shuffled(targets, draw))
    if balls > (most := sum(map(len, reach))):
        raise GeneratorError(
            f"These clubs and targets make {most} different shots, not {balls}: ask fewer balls or add targets."
        )
    order = arranged(picked(reach, balls, draw), draw)
    return DrawnBlock(
        balls=asked_in(order, bag, field, number_shown=number_shown),
        notes=(*notes_on_inputs(clubs, targets, bag, field), *notes_on_neighbours(shots_of(order, bag, field))),
        seed=seed,
        algorithm=ALGORITHM,
        inputs_sha256=fingerprint(ALGORITHM, clubs, targets, balls=balls, number_shown=bool(number_shown)),
    )


def picked(reach: Reach, balls: int, draw: Draw) -> list[Ball]:
    """Different pairs: the clubs pick in turn, each time in another order, the least used target they have left."""
    left = [list(within) for within in reach]
    used = [0] * targets_in(reach)
    pairs = []
    while len(pairs) < balls:
        clubs = shuffled([club for club, within in enumerate(left) if within], draw)
        for club in clubs[: balls - len(pairs)]:
            target = min(shuffled(left[club], draw), key=used.__getitem__)
            left[club].remove(target)
            used[target] += 1
            pairs.append((club, target))
    return pairs
