"""The crossing round: every club once to every target that it reaches, no neighbours equal in club or target.

Pure. Such an order is a Hamiltonian path among the balls, where two may stand together if they share neither club nor
target; in general it is hard to say whether there is one (Karp, "Reducibility among combinatorial problems", 1972).
So there are three answers: an order; "impossible", with a proof in words; "not found", with the fewest repeats found.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from math import floor
from random import Random

from practice.planner.generator import (
    CLUB,
    TARGET,
    ClubOption,
    DrawnBlock,
    TargetOption,
    asked_in,
    check_inputs,
    fingerprint,
    in_play,
    notes_on_inputs,
    too_many_to_part,
)
from practice.planner.spread import Ball, Draw, Reach, arranged, shuffled, standing_still

ALGORITHM = "crossing-1"
ORDER, IMPOSSIBLE, NOT_FOUND = "order", "impossible", "not found"

EXHAUSTED_BALLS = 10
"""Up to so many balls every order is looked at."""
TRIES = 40
"""With more balls, how often chance begins anew; a count and no clock, so that a seed gives the same everywhere."""


@dataclass(frozen=True)
class Crossing:
    """The answer. `block` holds the order, or the one with the fewest `repeats` (neighbours equal in club or target)
    that was found. `words` are empty for an order, else the proof, or what was tried."""

    answer: str
    block: DrawnBlock
    repeats: int
    words: str


def draw_crossing(
    clubs: Sequence[ClubOption], targets: Sequence[TargetOption], *, seed: int, number_shown: bool
) -> Crossing:
    """A crossing round. Up to 10 balls every order with the fewest repeats is as likely.

    Raises GeneratorError where no club reaches any target or an input is bad.
    """
    check_inputs(clubs, targets, 1, seed)
    draw = Random(seed).random
    bag, field, reach = in_play(shuffled(clubs, draw), shuffled(targets, draw))
    order = cross(reach, draw)
    repeats = sum(standing_still(order))
    answer, words = judged(order, repeats, [club.label for club in bag], [target.name for target in field])
    block = DrawnBlock(
        balls=asked_in(order, bag, field, number_shown=number_shown),
        notes=(*notes_on_inputs(clubs, targets, bag, field), *([words] if words else [])),
        seed=seed,
        algorithm=ALGORITHM,
        inputs_sha256=fingerprint(ALGORITHM, clubs, targets, number_shown=bool(number_shown)),
    )
    return Crossing(answer, block, repeats, words)


def cross(reach: Reach, draw: Draw) -> list[Ball]:
    """Every playable pair once: with the fewest repeats of all orders up to 10 balls, beyond with the fewest found."""
    balls = [(club, target) for club, within in enumerate(reach) for target in within]
    if len(balls) <= EXHAUSTED_BALLS:
        return fewest_repeats(balls, draw)
    return min(tried(balls, draw), key=lambda order: sum(standing_still(order)))


def tried(balls: list[Ball], draw: Draw) -> Iterator[list[Ball]]:
    for _ in range(TRIES):
        yield (order := arranged(balls, draw))
        if not any(standing_still(order)):
            return


def fewest_repeats(balls: Sequence[Ball], draw: Draw) -> list[Ball]:
    """One of the orders of at most 10 balls with the fewest repeats, each as likely.

    All are counted by sets of balls instead of one by one (Held and Karp, "A dynamic programming approach to sequencing
    problems", 1962), then one is picked by its number.
    """
    ways = orders_counted(balls)
    last, left = -1, (1 << len(balls)) - 1
    number = floor(draw() * ways(last, left)[1])
    order = []
    while left:
        fewest = ways(last, left)[0]
        for ball in members(left):
            repeats, orders = ways(ball, left ^ 1 << ball)
            if repeats + equal(balls, last, ball) > fewest:
                continue
            if number < orders:
                break
            number -= orders
        order.append(balls[ball])
        last, left = ball, left ^ 1 << ball
    return order


def orders_counted(balls: Sequence[Ball]) -> Callable[[int, int], tuple[int, int]]:
    """A function of the last ball (-1: none yet) and the set of those left, as bits: (fewest repeats to come, in how
    many orders)."""

    @cache
    def ways(last: int, left: int) -> tuple[int, int]:
        if not left:
            return 0, 1
        fewest, orders = len(balls), 0
        for ball in members(left):
            repeats, more = ways(ball, left ^ 1 << ball)
            repeats += equal(balls, last, ball)
            if repeats < fewest:
                fewest, orders = repeats, more
            elif repeats == fewest:
                orders += more
        return fewest, orders

    return ways


def members(bits: int) -> list[int]:
    return [i for i in range(bits.bit_length()) if bits >> i & 1]


def equal(balls: Sequence[Ball], i: int, j: int) -> bool:
    return i >= 0 and (balls[i][0] == balls[j][0] or balls[i][1] == balls[j][1])


# The answer in words


def judged(order: Sequence[Ball], repeats: int, labels: Sequence[str], names: Sequence[str]) -> tuple[str, str]:
    """(answer, words) for an order with so many repeats, clubs and targets by their names."""
    if not repeats:
        return ORDER, ""
    if proof := too_many(order, labels, names) or lonely(order, labels, names):
        return IMPOSSIBLE, proof
    balls = len(order)
    if balls <= EXHAUSTED_BALLS:
        tried_all = f"All orders of these {balls} balls were tried"
        return IMPOSSIBLE, f"{tried_all}: in each, neighbours are equal {times(repeats)} or more."
    return NOT_FOUND, (
        f"In {TRIES} tries no order of these {balls} balls kept all neighbours different, and nothing shows that none "
        f"can; in the best of them neighbours are equal {times(repeats)}."
    )


def too_many(balls: Sequence[Ball], labels: Sequence[str], names: Sequence[str]) -> str:
    """The proof by a count of one club or one target; empty if there is none."""
    clubs, targets = zip(*balls, strict=True)
    for kind, things, of in ((CLUB, clubs, labels), (TARGET, targets, names)):
        for thing, name in enumerate(of):
            if proof := too_many_to_part(kind, name, things.count(thing), len(balls)):
                return proof
    return ""


def lonely(balls: Sequence[Ball], labels: Sequence[str], names: Sequence[str]) -> str:
    """The proof by a ball that nothing may stand beside; empty if there is none."""
    for club, target in sorted(balls):
        if all(club == other[0] or target == other[1] for other in balls):
            return (
                f"Every other ball has the club or the target of “{labels[club]}” to “{names[target]}”, so that none "
                "can stand beside it."
            )
    return ""


def times(n: int) -> str:
    return "once" if n == 1 else f"{n} times"
