"""The ladder: one club up and down over the targets it reaches, from near to far and back, then the next club.

Pure. Nothing is left to chance, so the seed is 0.
"""

from collections.abc import Sequence

from practice.planner.generator import (
    MOST_BALLS,
    ClubOption,
    DrawnBlock,
    GeneratorError,
    TargetOption,
    asked_in,
    check_inputs,
    check_whole,
    fingerprint,
    in_play,
    notes_on_inputs,
)

ALGORITHM = "ladder-1"


def draw_ladder(
    clubs: Sequence[ClubOption], targets: Sequence[TargetOption], *, trips: int = 1, number_shown: bool
) -> DrawnBlock:
    """Every club, in the order given, goes `trips` times up to its farthest target and back to its nearest.

    Each step is to the next target by distance, then by name; the turning targets are not hit twice in a row. A club
    that reaches fewer than two targets is left out, and a note says so.

    Raises
    ------
    GeneratorError
        A bad input, no club with two targets in reach, or more balls than a block holds.
    """
    check_inputs(clubs, targets, 1, 0)
    check_whole("number of trips", trips)
    if trips < 1:
        raise GeneratorError("A ladder goes up and down once or more.")
    bag, field, reach = in_play(clubs, sorted(targets, key=lambda target: (target.distance_m, target.name)))
    order = [
        (club, target) for club, rungs in enumerate(reach) if len(rungs) > 1 for target in up_and_down(rungs, trips)
    ]
    if not order:
        raise GeneratorError("No club reaches two of these targets: a ladder needs two steps or more.")
    if len(order) > MOST_BALLS:
        raise GeneratorError(f"That makes {len(order)} balls, and a block has up to {MOST_BALLS}: ask fewer trips.")
    return DrawnBlock(
        balls=asked_in(order, bag, field, number_shown=number_shown),
        notes=(*notes_on_inputs(clubs, targets, bag, field), *notes_on_steps(bag, reach)),
        seed=0,
        algorithm=ALGORITHM,
        inputs_sha256=fingerprint(ALGORITHM, clubs, targets, trips=trips, number_shown=bool(number_shown)),
    )


def up_and_down(rungs: list[int], trips: int) -> list[int]:
    """From the first rung to the last and back, `trips` times: 1 + 2 * trips * (rungs - 1) steps."""
    return rungs[:1] + (rungs[1:] + rungs[-2::-1]) * trips


def notes_on_steps(bag: Sequence[ClubOption], reach: Sequence[list[int]]) -> list[str]:
    return [
        f"The club “{club.label}” reaches only one of the targets: a ladder leaves it out."
        for club, rungs in zip(bag, reach, strict=True)
        if len(rungs) == 1
    ]
