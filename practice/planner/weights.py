"""A random-target block whose balls follow weights: of each shot, or of each distance as the player faces it.

Pure. What is promised of the counts: every shot (club to target), every club and every target gets its proportional
share of the balls, rounded down or up, so each is less than one ball off; and over the seeds each shot's mean count is
exactly its share. Where all weights are equal nothing is weighted, and the block is the one of generator.py.
"""

from collections.abc import Mapping, Sequence
from fractions import Fraction
from math import inf, lcm
from random import Random

from practice.planner.generator import (
    CLUB,
    ROUNDING_M,
    TARGET,
    ClubOption,
    DrawnBlock,
    GeneratorError,
    Shot,
    TargetOption,
    asked_in,
    check_inputs,
    draw_block,
    fingerprint,
    in_play,
    notes_on_inputs,
    shots_of,
    why_repeats,
)
from practice.planner.spread import Ball, Draw, arranged, shuffled, standing_still

ALGORITHM = "weighted-targets-1"

Weights = Mapping[tuple[str, str], float]
"""By (club label, target name)."""

NEAR_ENOUGH = 0.15
"""A target stands for a distance that is faced if it is within this share of it; engineering estimate."""


def draw_weighted_block(
    clubs: Sequence[ClubOption],
    targets: Sequence[TargetOption],
    *,
    balls: int,
    seed: int,
    number_shown: bool,
    weights: Weights,
) -> DrawnBlock:
    """A random-target block in which each shot comes up by its weight, 0 for never. Shots out of reach need none.

    Raises GeneratorError as draw_block does, and for a missing or bad weight.
    """
    check_inputs(clubs, targets, balls, seed)
    draw = Random(seed).random
    bag, field, reach = in_play(shuffled(clubs, draw), shuffled(targets, draw))
    names = {(c, t): (bag[c].label, field[t].name) for c, within in enumerate(reach) for t in within}
    check_weights(weights, list(names.values()))
    weight = {ball: Fraction(weights[shot]) for ball, shot in names.items()}
    if len(set(weight.values())) == 1:
        return draw_block(clubs, targets, balls=balls, seed=seed, number_shown=number_shown)
    counts = quotas(weight, balls, draw)
    order = arranged([ball for ball, n in counts.items() for _ in range(n)], draw)
    listed = sorted((*shot, float(weights[shot])) for shot in names.values())
    return DrawnBlock(
        balls=asked_in(order, bag, field, number_shown=number_shown),
        notes=(
            *notes_on_inputs(clubs, targets, bag, field),
            *notes_on_absent(counts, bag, field),
            *notes_on_repeats(shots_of(order, bag, field)),
        ),
        seed=seed,
        algorithm=ALGORITHM,
        inputs_sha256=fingerprint(
            ALGORITHM, clubs, targets, balls=balls, number_shown=bool(number_shown), weights=listed
        ),
    )


def by_distance(
    clubs: Sequence[ClubOption],
    targets: Sequence[TargetOption],
    profile: Mapping[str, float],
    need: Mapping[str, float] | None = None,
) -> dict[tuple[str, str], float]:
    """Weights of shots from weights of targets: a target's weight is shared by the clubs that reach it, alike or by
    their need, so that each target's share of the balls is that of its weight among the targets in reach."""
    bag, field, reach = in_play(clubs, targets)
    if missing := [target.name for target in field if target.name not in profile]:
        raise GeneratorError(f"The target “{missing[0]}” has no weight: give it one, or 0.")
    needs = [1.0 if need is None else need[club.label] for club in bag]
    at = [sum(needs[c] for c, within in enumerate(reach) if t in within) for t in range(len(field))]
    return {
        (bag[c].label, field[t].name): profile[field[t].name] * needs[c] / at[t]
        for c, within in enumerate(reach)
        for t in within
    }


def by_need(
    clubs: Sequence[ClubOption], targets: Sequence[TargetOption], need: Mapping[str, float]
) -> dict[tuple[str, str], float]:
    """Weights of shots from the clubs' need: a club's share of the balls is that of its need, alike at its targets."""
    bag, field, reach = in_play(clubs, targets)
    return {
        (club.label, field[t].name): need[club.label] / len(within)
        for club, within in zip(bag, reach, strict=True)
        for t in within
    }


def faced_at(
    clubs: Sequence[ClubOption], targets: Sequence[TargetOption], faced: Sequence[tuple[float, float]]
) -> tuple[dict[str, float], list[float]]:
    """Weights of the targets in reach from how often distances are faced, and the distances (m) that none stands for.

    Each (distance in metres, weight) goes to the nearest target, in equal parts to those equally near, if it is within
    NEAR_ENOUGH of that distance. Raises GeneratorError where no target stands for any.
    """
    _, field, _ = in_play(clubs, targets)
    weights, missed_m = {target.name: 0.0 for target in field}, []
    for faced_m, weight in faced:
        off_m = min(abs(target.distance_m - faced_m) for target in field)
        if off_m > NEAR_ENOUGH * faced_m + ROUNDING_M:
            missed_m.append(faced_m)
            continue
        near = [target.name for target in field if abs(target.distance_m - faced_m) <= off_m + ROUNDING_M]
        for name in near:
            weights[name] += weight / len(near)
    if not any(weights.values()):
        raise GeneratorError("No target in reach is near any of the distances that are faced: list others.")
    return weights, missed_m


def check_weights(weights: Weights, shots: Sequence[tuple[str, str]]) -> None:
    for club, target in shots:
        if (club, target) not in weights:
            raise GeneratorError(f"The shot “{club}” to “{target}” has no weight: give it one, or 0.")
        if not 0 <= weights[club, target] < inf:
            raise GeneratorError(f"The weight of “{club}” to “{target}” must be a number from 0 up.")
    if not any(weights[shot] for shot in shots):
        raise GeneratorError("All weights are 0: give at least one shot a weight.")


def notes_on_absent(counts: Mapping[Ball, int], bag: Sequence[ClubOption], field: Sequence[TargetOption]) -> list[str]:
    """What is said of clubs and targets that could be played and get no ball."""
    played = [ball for ball, n in counts.items() if n]
    clubs, targets = ({ball[kind] for ball in played} for kind in (0, 1))
    return [
        f"By these weights the club “{club.label}” gets no ball." for i, club in enumerate(bag) if i not in clubs
    ] + [
        f"By these weights the target “{target.name}” gets no ball."
        for i, target in enumerate(field)
        if i not in targets
    ]


def notes_on_repeats(shots: Sequence[Shot]) -> list[str]:
    """What is said of balls that stand still."""
    clubs, targets = standing_still(shots)
    return [
        f"By these weights the {word} stays the same from one ball to the next {n} time{'s' if n > 1 else ''}. "
        + why_repeats(shots, kind, n)
        for kind, word, n in ((CLUB, "club", clubs), (TARGET, "target", targets))
        if n
    ]


# How many of each

TO_CLUB, TO_TARGET = "rest of the club", "rest of the target"


def quotas(weight: Mapping[Ball, Fraction], balls: int, draw: Draw) -> dict[Ball, int]:
    """How often each shot comes up: its share rounded down or up, so that the sums by club and by target are too.

    Controlled rounding (L. H. Cox, "A constructive procedure for unbiased controlled rounding", J. Am. Stat. Assoc. 82,
    1987): a row and a column of rests make all sums whole. Then two fractions or none stand in every row and column, so
    there is a way around through fractions, by row and column in turn. What is added to every other one of them and
    taken from the rest leaves all sums as they are, and makes one more of them whole. Which of the two ways to go is
    drawn so that the mean stays the share.
    """
    scale = lcm(*(w.denominator for w in weight.values()))
    whole = {ball: int(w * scale) * balls for ball, w in weight.items()}
    total = sum(whole.values()) // balls
    counts = {ball: n // total for ball, n in whole.items()}
    part = {ball: n % total for ball, n in whole.items() if n % total}
    for kind, rest in ((0, TO_CLUB), (1, TO_TARGET)):
        for line in {ball[kind]: None for ball in part}:
            over = sum(n for ball, n in part.items() if ball[kind] == line) % total
            if over:
                part[(line, rest) if kind == 0 else (rest, line)] = total - over
    while part:
        settle(part, counts, around(part), total, draw)
    return {ball: n for ball, n in counts.items() if TO_CLUB not in ball and TO_TARGET not in ball}


def around(part: Mapping) -> list:
    """Fractions on a way around: each shares its row with one neighbour and its column with the other."""
    lines = {}
    for cell in part:
        for kind in (0, 1):
            lines.setdefault((kind, cell[kind]), []).append(cell)
    cell, kind = next(iter(part)), 0
    way, came = [], {}
    while (line := (kind, cell[kind])) not in came:
        came[line] = len(way)
        way.append(cell)
        cell = next(other for other in lines[line] if other != cell)
        kind = 1 - kind
    return [*way[came[line] + 1 :], cell]


def settle(part: dict, counts: dict, way: list, total: int, draw: Draw) -> None:
    """Make at least one fraction on the way around whole: every other one goes up and the rest down, or the reverse."""
    ups, downs = way[::2], way[1::2]
    up = min(min(total - part[cell] for cell in ups), min(part[cell] for cell in downs))
    down = min(min(part[cell] for cell in ups), min(total - part[cell] for cell in downs))
    step = up if Fraction(draw()) * (up + down) < down else -down
    for cells, change in ((ups, step), (downs, -step)):
        for cell in cells:
            part[cell] += change
            if part[cell] in (0, total):
                counts[cell] = counts.get(cell, 0) + part.pop(cell) // total
