"""Random-target blocks: every ball another club and another target, from a seed.

Pure: plain values in, frozen dataclasses out. The promises, each as far as those before it allow:

1. a ball is a club and a target that the club reaches;
2. exactly as many balls as asked for;
3. every club that reaches a target is hit equally often, within one;
4. every target in reach comes up as evenly as that and reach allow (least sum of squares);
5. as few balls as possible follow one with the same club, then as few as possible one to the same target;
6. the rest is chance.

What could not be kept is said in `notes`. The same seed and inputs give the same block on every Python.
"""

import json
from collections.abc import Sequence
from dataclasses import dataclass
from hashlib import sha256
from math import inf
from random import Random
from typing import NamedTuple

from practice.planner.spread import Ball, at_least, shuffled, spread, standing_still

ALGORITHM = "mixed-targets-1"
FEEL = "feel"
MOST_BALLS, MOST_CLUBS, MOST_TARGETS = 500, 14, 20

Shot = tuple[str, str]
"""A ball by its names: club label, target name."""
CLUB, TARGET = 0, 1

# A swing is named only where its stock carry is this near to the target, whichever is larger.
NEAR_M = 3 * 0.9144
NEAR_SHARE = 0.05
# Distances given in yards do not subtract exactly in metres; a nanometre keeps "within" inclusive.
ROUNDING_M = 1e-9

canonical = json.JSONEncoder(check_circular=False, sort_keys=True, separators=(",", ":")).encode


class GeneratorError(ValueError):
    """No block can be drawn from this; the message says what to change."""


@dataclass(frozen=True)
class StockSwing:
    """A swing length and how far it flies one club, in metres."""

    swing: str
    carry_m: float


@dataclass(frozen=True)
class ClubOption:
    """A club, the shortest and longest target distance it is asked to play, and its stock carries if known."""

    label: str
    shortest_m: float
    longest_m: float
    stock: tuple[StockSwing, ...] = ()


@dataclass(frozen=True)
class TargetOption:
    name: str
    distance_m: float


class DrawnBall(NamedTuple):
    """Ball `n`, from 1. `below` and `above` are the club's stock swings next to the target distance, or None where it
    has none there, and always None in a block without numbers, which must give nothing away."""

    n: int
    club: str
    swing: str
    target: str
    target_m: float
    below: StockSwing | None
    above: StockSwing | None


@dataclass(frozen=True)
class DrawnBlock:
    balls: tuple[DrawnBall, ...]
    notes: tuple[str, ...]
    seed: int
    algorithm: str
    inputs_sha256: str


def draw_block(
    clubs: Sequence[ClubOption], targets: Sequence[TargetOption], *, balls: int, seed: int, number_shown: bool
) -> DrawnBlock:
    """A random-target block of `balls` balls. Raises GeneratorError where none can be drawn.

    With `number_shown` a ball names the swing whose stock carry is within 3 yards or 5 % of the target; all other balls
    are played by feel.
    """
    check_inputs(clubs, targets, balls, seed)
    draw = Random(seed).random
    # Shuffled first, because equal choices are taken in the order in which they stand.
    bag, field, reach = in_play(shuffled(clubs, draw), shuffled(targets, draw))
    order = spread(reach, balls, draw)
    return DrawnBlock(
        balls=asked_in(order, bag, field, number_shown=number_shown),
        notes=(*notes_on_inputs(clubs, targets, bag, field), *notes_on_order(order, bag, field)),
        seed=seed,
        algorithm=ALGORITHM,
        inputs_sha256=fingerprint(ALGORITHM, clubs, targets, balls=balls, number_shown=bool(number_shown)),
    )


# What can be played


def in_play(
    clubs: Sequence[ClubOption], targets: Sequence[TargetOption]
) -> tuple[list[ClubOption], list[TargetOption], list[list[int]]]:
    """The clubs that reach a target, the targets that a club reaches, and for each of these clubs the indices of the
    targets it reaches."""
    reach = [
        [i for i, target in enumerate(targets) if club.shortest_m <= target.distance_m <= club.longest_m]
        for club in clubs
    ]
    kept = sorted(set().union(*reach))
    if not kept:
        raise GeneratorError("No club reaches any of these targets: choose other targets, or other clubs.")
    place = {i: place for place, i in enumerate(kept)}
    return (
        [club for club, within in zip(clubs, reach, strict=True) if within],
        [targets[i] for i in kept],
        [[place[i] for i in within] for within in reach if within],
    )


# What is asked of the player


def asked_in(
    order: Sequence[Ball], bag: Sequence[ClubOption], field: Sequence[TargetOption], *, number_shown: bool
) -> tuple[DrawnBall, ...]:
    """The balls of an order of indices into the bag and the field, as the player is shown them."""
    ladders = [ladder(club) if number_shown else [] for club in bag]
    near_m = [max(NEAR_M, NEAR_SHARE * target.distance_m) + ROUNDING_M for target in field]
    asked = {(c, t): ask(bag[c], field[t], ladders[c], near_m[t]) for c, t in set(order)}
    # As DrawnBall._make does it, but without a call of Python for each ball.
    new = tuple.__new__
    return tuple([new(DrawnBall, (n,) + asked[ball]) for n, ball in enumerate(order, 1)])


def ladder(club: ClubOption) -> list[StockSwing]:
    """The club's stock swings from short to long."""
    return sorted(club.stock, key=lambda stock: (stock.carry_m, stock.swing))


def ask(club: ClubOption, target: TargetOption, rungs: list[StockSwing], near_m: float) -> tuple:
    """The fields of a DrawnBall after its number; `rungs` are the stock swings that it may show, from short to long,
    and within `near_m` of the target the nearer is named, the shorter if both are as near."""
    target_m = target.distance_m
    below = above = None
    for stock in rungs:
        if stock.carry_m <= target_m:
            below = stock
        if stock.carry_m >= target_m:
            above = stock
            break
    short_m = target_m - below.carry_m if below else inf
    long_m = above.carry_m - target_m if above else inf
    if short_m <= long_m:
        swing = below.swing if short_m <= near_m else FEEL
    else:
        swing = above.swing if long_m <= near_m else FEEL
    return club.label, swing, target.name, target_m, below, above


# What is said about it


def notes_on_inputs(
    clubs: Sequence[ClubOption],
    targets: Sequence[TargetOption],
    bag: Sequence[ClubOption],
    field: Sequence[TargetOption],
) -> list[str]:
    labels, names = {club.label for club in bag}, {target.name for target in field}
    return [
        f"The club “{club.label}” reaches none of the targets: it is left out."
        for club in clubs
        if club.label not in labels
    ] + [
        f"No club reaches the target “{target.name}”: it is left out." for target in targets if target.name not in names
    ]


def notes_on_order(order: Sequence[Ball], bag: Sequence[ClubOption], field: Sequence[TargetOption]) -> list[str]:
    times = [0] * len(field)
    for _, target in order:
        times[target] += 1
    notes = []
    if max(times) - min(times) > 1:
        notes.append("Some targets come up more often than others, because not every club reaches every target.")
    return notes + notes_on_neighbours(shots_of(order, bag, field)) if any(standing_still(order)) else notes


def shots_of(order: Sequence[Ball], bag: Sequence[ClubOption], field: Sequence[TargetOption]) -> list[Shot]:
    """The balls of an order by the names of club and target."""
    return [(bag[club].label, field[target].name) for club, target in order]


def notes_on_neighbours(shots: Sequence[Shot]) -> list[str]:
    """What is said of balls that stand still."""
    same_club, same_target = standing_still(shots)
    changes = len(shots) - 1
    if same_club == same_target == changes > 0:
        return ["One club and one target: every ball is the same."]
    if same_club == changes > 0:
        return ["One club: only the target changes from ball to ball."]
    if same_target == changes > 0:
        return ["One target: only the club changes from ball to ball."]
    return [
        f"{n} {go} the same {word} as the ball before. {why_repeats(shots, kind, n)}"
        for kind, word, n, go in (
            (CLUB, "club", same_club, "ball is hit with" if same_club == 1 else "balls are hit with"),
            (TARGET, "target", same_target, "ball goes to" if same_target == 1 else "balls go to"),
        )
        if n
    ]


def why_repeats(shots: Sequence[Shot], kind: int, repeats: int) -> str:
    """The proof by a count that no order of these shots repeats a club (kind CLUB) or a target (TARGET) less often;
    where there is none, that none was found."""
    things = [shot[kind] for shot in shots]
    if repeats > at_least(things):
        return "No order with fewer was found, and nothing shows that there is none."
    most = max(things, key=things.count)
    return too_many_to_part(kind, most, things.count(most), len(things))


def too_many_to_part(kind: int, name: str, own: int, balls: int) -> str:
    """The proof by a count: what comes k times needs k - 1 others between; empty if that much is there."""
    if own - 1 <= (others := balls - own):
        return ""
    are = "is" if others == 1 else "are"
    return (
        f"{own} of the {balls} balls are {'hit with' if kind == CLUB else 'played to'} “{name}”: "
        f"to keep them apart takes {own - 1} others, and there {are} only {others}."
    )


def fingerprint(
    algorithm: str, clubs: Sequence[ClubOption], targets: Sequence[TargetOption], **settings: int | bool | list
) -> str:
    """SHA-256 of all that decides a block but its seed, as JSON with sorted keys and no spaces."""
    inputs = settings | {
        "algorithm": algorithm,
        "clubs": [
            (c.label, float(c.shortest_m), float(c.longest_m), [(s.swing, float(s.carry_m)) for s in c.stock])
            for c in clubs
        ],
        "targets": [(target.name, float(target.distance_m)) for target in targets],
    }
    return digest(inputs)


def digest(inputs: dict | list) -> str:
    """SHA-256 of the JSON of these inputs, keys sorted and no spaces."""
    return sha256(canonical(inputs).encode()).hexdigest()


# What is refused


def check_inputs(clubs: Sequence[ClubOption], targets: Sequence[TargetOption], balls: int, seed: int) -> None:
    check_whole("number of balls", balls)
    check_whole("seed", seed)
    if not 1 <= balls <= MOST_BALLS:
        raise GeneratorError(f"A block has 1 to {MOST_BALLS} balls, not {balls}.")
    check_named("club", [club.label for club in clubs], MOST_CLUBS)
    check_named("target", [target.name for target in targets], MOST_TARGETS)
    for club in clubs:
        check_club(club)
    for target in targets:
        if not 0 < target.distance_m < inf:
            raise GeneratorError(f"The target “{target.name}” needs a distance above zero.")


def check_whole(what: str, value: int) -> None:
    if not isinstance(value, int) or isinstance(value, bool):
        raise GeneratorError(f"The {what} must be a whole number, not {value!r}.")


def check_named(kind: str, names: list[str], most: int) -> None:
    if not names:
        raise GeneratorError(f"Choose at least one {kind}.")
    if len(names) > most:
        raise GeneratorError(f"Choose at most {most} {kind}s, not {len(names)}.")
    if twice := first_twice(names):
        raise GeneratorError(f"The {kind} “{twice}” is there twice: give each {kind} its own name.")


def check_club(club: ClubOption) -> None:
    if not 0 <= club.shortest_m <= club.longest_m < inf:
        raise GeneratorError(f"The reach of “{club.label}” must run from a shorter to a longer distance.")
    if twice := first_twice([stock.swing for stock in club.stock]):
        raise GeneratorError(f"“{club.label}” has two carries for the swing “{twice}”: give one.")
    for stock in club.stock:
        if stock.swing == FEEL:
            raise GeneratorError(f"“{FEEL}” has no stock carry: name another swing of “{club.label}”.")
        if not 0 < stock.carry_m < inf:
            raise GeneratorError(f"The carry of “{club.label}” at “{stock.swing}” must be above zero.")


def first_twice(names: list[str]) -> str | None:
    if len(set(names)) == len(names):
        return None
    return next(name for i, name in enumerate(names) if name in names[:i])
