"""Whom and what chance favours in random-target blocks: nobody and nothing, by chi-square."""

from collections import Counter
from itertools import product
from random import Random

import pytest
from scipy.stats import chisquare

from practice.planner.generator import (
    ClubOption,
    TargetOption,
)
from practice.planner.spread import spread
from tests.practice.planner.draws import draw, make_bag, make_range, repeats, shots

SEEDS = range(2000)


def assert_uniform(seen: Counter, kinds: int):
    """Every kind as often, by chi-square at one in 10,000 (Pearson 1900): some 100 such tests are made below, on fixed
    seeds."""
    assert len(seen) == kinds
    assert chisquare(list(seen.values())).pvalue > 1e-4


@pytest.fixture(scope="module")
def many_blocks() -> list[list[tuple[str, str]]]:
    """12 balls are not a multiple of 5 clubs: some clubs get a ball more."""
    return [shots(draw(make_bag(5), make_range(4), 12, seed)) for seed in SEEDS]


def test_every_club_is_as_likely_at_every_position(many_blocks):
    for position in range(12):
        assert_uniform(Counter(block[position][0] for block in many_blocks), 5)


def test_every_target_is_as_likely_at_every_position(many_blocks):
    for position in range(12):
        assert_uniform(Counter(block[position][1] for block in many_blocks), 4)


def test_every_pair_of_club_and_target_is_as_likely_at_every_position(many_blocks):
    for position in range(12):
        assert_uniform(Counter(block[position] for block in many_blocks), 20)


def test_every_club_is_as_likely_to_get_the_ball_too_many(many_blocks):
    extra = [
        frozenset(club for club, n in Counter(club for club, _ in block).items() if n == 3) for block in many_blocks
    ]
    assert_uniform(Counter(extra), 10)


def test_every_target_is_as_likely_to_get_the_ball_too_many():
    """10 balls at 4 targets: two of them get a third ball."""
    blocks = [Counter(target for _, target in shots(draw(make_bag(3), make_range(4), 10, seed))) for seed in SEEDS]
    assert_uniform(Counter(frozenset(target for target, n in times.items() if n == 3) for times in blocks), 6)


def test_clubs_with_the_same_reach_are_treated_alike_beside_others_that_differ():
    clubs = [ClubOption("short", 10, 30), ClubOption("a", 10, 60), ClubOption("b", 10, 60), ClubOption("long", 40, 60)]
    targets = [TargetOption(str(m), m) for m in (20, 25, 45, 50, 55)]
    blocks = [shots(draw(clubs, targets, 10, seed)) for seed in SEEDS]
    for position in range(10):
        assert_uniform(Counter(block[position][0] for block in blocks if block[position][0] in "ab"), 2)


def test_the_club_before_does_not_tell_the_next_one():
    """A fixed rotation of three clubs would never come back after one ball, two clubs in turn always would."""
    blocks = [shots(draw(make_bag(3), make_range(6), 30, seed)) for seed in range(200)]
    back = [block[i][0] == block[i + 2][0] for block in blocks for i in range(28)]
    assert 0.4 < sum(back) / len(back) < 0.6


def test_every_order_that_keeps_the_promises_turns_up():
    """Two clubs, one of them with a third target: all orders of six balls are tried by brute force."""
    reach = ((0, 1), (0, 1, 2))
    pairs = [(club, target) for club, within in enumerate(reach) for target in within]
    allowed = {
        order
        for order in product(pairs, repeat=6)
        if repeats(club for club, _ in order) == repeats(target for _, target in order) == 0
        and sorted(Counter(target for _, target in order).values()) == [2, 2, 2]
        and [club for club, _ in order].count(0) == 3
    }
    drawn = {tuple(spread(reach, 6, Random(seed).random)) for seed in range(6000)}
    assert drawn == allowed
