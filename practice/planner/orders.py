"""The order of practice as a choice, for balls that are already chosen.

Blocked
    all balls of a kind in a row, kind after kind.
Serial
    the kinds in turn, always in the same turn; a kind that runs out drops out.
Random
    as few balls as possible follow one with the same club, then as few as possible one to the same target; without
    targets, one of the same kind. The rest is chance.
Easing
    in week w of W the first (W - w) / (W - 1) of every kind's balls, to the nearest ball, are blocked, and after them
    the rest random: all blocked in the first week, all random in the last.

A kind is (club, swing, target). EVIDENCE and PAPERS say what is known of these orders, in words for a coach.

Pure; same balls, choice and seed give the same order on every Python.
"""

from collections.abc import Sequence
from dataclasses import replace
from enum import StrEnum
from fractions import Fraction
from itertools import zip_longest
from math import floor
from random import Random
from typing import Protocol, TypeVar

from practice.planner.generator import DrawnBlock, GeneratorError, check_whole, digest, notes_on_neighbours
from practice.planner.spread import Draw, arranged, shuffled
from practice.planner.weights import notes_on_repeats

ALGORITHM = "orders-1"


EVIDENCE = (
    "A mixed order usually looks worse in practice and is often no worse, sometimes better, at a later test. What "
    "it does for pitching, or for juniors, is uncertain: judge by a check day without help, not by how practice looks."
)
"""What may be claimed of the order of practice."""

PAPERS = (
    "In the laboratory, mixing tasks looked worse during practice and better at a later test (Shea & Morgan, 1979, "
    "J. Exp. Psychol.: Hum. Learn. Mem. 5, 179-187).",
    "In applied settings the findings are mixed (Brady, 1998, Quest 50, 266-293): over 54 studies the benefit was "
    "clear in the laboratory and almost negligible outside it, and negligible and not significant for the young (Czyż "
    "and others, 2024, Sci. Rep. 14, 15974); over 36 studies in sport and school there was no overall difference in "
    "the long term (Ammar and others, 2024, Educ. Psychol. Rev. 36, doi 10.1007/s10648-024-09892-z).",
    "In golf it was looked at in putting: 30 novices were worse in practice and better a week later after random order "
    "(Fazeli and others, 2017, Percept. Mot. Skills 124, 674-688); novices held most after going from blocked over "
    "serial to random order (Porter & Magill, 2010, J. Sports Sci. 28, 1277-1285), which was not tried over weeks; and "
    "51 people differed by no order after two days (Coker, 2010, a poster at the AAHPERD convention).",
)
"""What that rests on."""


class Order(StrEnum):
    BLOCKED = "blocked"
    SERIAL = "serial"
    RANDOM = "random"
    EASING = "easing"


class Asked(Protocol):
    """What is read of a ball."""

    club: str
    swing: str
    target: str | None


AnyBall = TypeVar("AnyBall", bound=Asked)


def in_order(balls: Sequence[AnyBall], order: Order, *, seed: int, week: int = 1, weeks: int = 1) -> list[AnyBall]:
    """The same balls in an order of practice; `week` of `weeks` matters to easing only.

    Which ball came first before does not matter. Raises GeneratorError for a week that is not of the weeks.
    """
    check_whole("seed", seed)
    share = blocked_share(order, week, weeks)
    draw = Random(seed).random
    kinds = shuffled(by_kind(balls), draw)
    if order == Order.SERIAL:
        return [ball for turn in zip_longest(*kinds) for ball in turn if ball is not None]
    cuts = [floor(share * len(kind) + Fraction(1, 2)) for kind in kinds]
    runs = [ball for kind, cut in zip(kinds, cuts, strict=True) for ball in kind[:cut]]
    rest = [ball for kind, cut in zip(kinds, cuts, strict=True) for ball in kind[cut:]]
    return runs + mixed_up(rest, draw)


def reordered(block: DrawnBlock, order: Order, *, week: int = 1, weeks: int = 1) -> DrawnBlock:
    """A drawn block in another order, by the block's own seed, its balls numbered anew; what it said of neighbours
    goes."""
    balls = in_order(block.balls, order, seed=block.seed, week=week, weeks=weeks)
    shots = [(ball.club, ball.target) for ball in block.balls]
    said_of_neighbours = notes_on_neighbours(shots) + notes_on_repeats(shots)
    return replace(
        block,
        balls=tuple([ball._replace(n=n) for n, ball in enumerate(balls, 1)]),
        notes=tuple(note for note in block.notes if note not in said_of_neighbours),
        algorithm=f"{block.algorithm}+{ALGORITHM}",
        inputs_sha256=digest([block.inputs_sha256, ALGORITHM, order.value, week, weeks]),
    )


def blocked_share(order: Order, week: int = 1, weeks: int = 1) -> Fraction:
    """The share of every kind's balls that are hit in a row. One week of easing alone is all random."""
    check_whole("week", week)
    check_whole("number of weeks", weeks)
    if not 1 <= week <= weeks:
        raise GeneratorError(f"Week {week} is not one of {weeks}: count from 1.")
    if order == Order.EASING:
        return Fraction(weeks - week, max(1, weeks - 1))
    return Fraction(order == Order.BLOCKED)


def kind_of(ball: Asked) -> tuple[str, str, str]:
    return ball.club, ball.swing, ball.target or ""


def by_kind(balls: Sequence[AnyBall]) -> list[list[AnyBall]]:
    kinds = {}
    for ball in sorted(balls, key=kind_of):
        kinds.setdefault(kind_of(ball), []).append(ball)
    return list(kinds.values())


def mixed_up(balls: Sequence[AnyBall], draw: Draw) -> list[AnyBall]:
    """The balls in random order. What changes from ball to ball is club and target; where there are no targets it is
    the kind, and every ball stands for a target of its own, so that none is ever equal."""
    if not balls:
        return []
    at_targets = any(ball.target for ball in balls)
    waiting = {}
    for n, ball in enumerate(shuffled(balls, draw)):
        pair = (ball.club, ball.target) if at_targets else (kind_of(ball), n)
        waiting.setdefault(pair, []).append(ball)
    pairs = [pair for pair, same in waiting.items() for _ in same]
    return [waiting[pair].pop() for pair in arranged(pairs, draw)]
