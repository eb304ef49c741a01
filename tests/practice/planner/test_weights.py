"""Weighted blocks: counts within a ball of their share, unbiased, and today's block where weights are equal."""

from collections import Counter
from fractions import Fraction
from itertools import product
from math import ceil, floor, sqrt
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from practice.planner.generator import ClubOption, GeneratorError, TargetOption, draw_block
from practice.planner.weights import by_distance, draw_weighted_block, quotas

BAG = [ClubOption("52", 30, 80), ClubOption("58", 20, 60)]
FIELD = [TargetOption("near", 25), TargetOption("middle", 50), TargetOption("far", 75)]
SHOTS = [("52", "middle"), ("52", "far"), ("58", "near"), ("58", "middle")]


def draw(weights, balls=20, seed=1):
    return draw_weighted_block(BAG, FIELD, balls=balls, seed=seed, number_shown=False, weights=weights)


def shares_of(weight, balls):
    total = sum(weight.values())
    return {ball: Fraction(w) * balls / total for ball, w in weight.items()}


def test_counts_that_come_out_whole_are_met_exactly():
    block = draw(dict(zip(SHOTS, (4, 3, 2, 1), strict=True)))
    assert Counter((ball.club, ball.target) for ball in block.balls) == dict(zip(SHOTS, (8, 6, 4, 2), strict=True))
    assert block.algorithm == "weighted-targets-1"


@settings(max_examples=150, deadline=None)
@given(
    weights=st.lists(st.lists(st.integers(0, 9) | st.floats(0, 1e6), min_size=1, max_size=6), min_size=1, max_size=6),
    balls=st.integers(1, 200),
    seed=st.integers(0, 2**32),
)
def test_every_shot_club_and_target_is_its_share_rounded_down_or_up(weights, balls, seed):
    weight = {(c, t): Fraction(w) for c, row in enumerate(weights) for t, w in enumerate(row)}
    if not any(weight.values()):
        return
    counts = quotas(weight, balls, Random(seed).random)
    shares = shares_of(weight, balls)
    assert sum(counts.values()) == balls
    assert all(floor(shares[ball]) <= n <= ceil(shares[ball]) for ball, n in counts.items())
    for kind in (0, 1):
        for line in {ball[kind] for ball in weight}:
            share = sum(share for ball, share in shares.items() if ball[kind] == line)
            n = sum(n for ball, n in counts.items() if ball[kind] == line)
            assert floor(share) <= n <= ceil(share)


def test_over_the_seeds_the_mean_count_of_a_shot_is_its_share():
    """Each count is one of two numbers, so its variance is p (1 - p); bound: 4 standard errors, on fixed seeds."""
    weight = {(c, t): Fraction(1 + (3 * c + 5 * t) % 7) for c, t in product(range(4), range(5))}
    seeds = 4000
    seen = Counter()
    for seed in range(seeds):
        seen.update(quotas(weight, 23, Random(seed).random))
    for ball, share in shares_of(weight, 23).items():
        p = float(share % 1)
        assert abs(seen[ball] / seeds - float(share)) <= 4 * sqrt(p * (1 - p) / seeds)


@pytest.mark.parametrize("weight", [1, 0.3, 7])
def test_equal_weights_give_the_block_of_today(weight):
    for seed in range(20):
        block = draw(dict.fromkeys(SHOTS, weight), seed=seed)
        assert block == draw_block(BAG, FIELD, balls=20, seed=seed, number_shown=False)


def test_a_distance_profile_gives_each_target_its_share():
    weights = by_distance(BAG, FIELD, {"near": 1, "middle": 6, "far": 3})
    assert weights == {("52", "middle"): 3, ("52", "far"): 3, ("58", "near"): 1, ("58", "middle"): 3}
    assert Counter(ball.target for ball in draw(weights).balls) == {"near": 2, "middle": 12, "far": 6}


def test_a_shot_of_weight_zero_never_comes():
    block = draw(dict(zip(SHOTS, (1, 1, 0, 1), strict=True)), balls=60)
    assert "near" not in {ball.target for ball in block.balls}


def test_neighbours_stay_different_as_far_as_the_weights_allow():
    assert draw(dict(zip(SHOTS, (1, 2, 2, 1), strict=True)), balls=6).notes == ()
    assert draw(dict(zip(SHOTS, (0, 3, 1, 0), strict=True)), balls=8).notes == (
        "By these weights the target “middle” gets no ball.",
        "By these weights the club stays the same from one ball to the next 3 times.",
        "By these weights the target stays the same from one ball to the next 3 times.",
    )


@pytest.mark.parametrize(
    ("weights", "message"),
    [
        ({}, "has no weight: give it one, or 0"),
        (dict.fromkeys(SHOTS, 0), "All weights are 0"),
        (dict.fromkeys(SHOTS, -1), "must be a number from 0 up"),
        (dict.fromkeys(SHOTS, float("nan")), "must be a number from 0 up"),
        (dict.fromkeys(SHOTS, float("inf")), "must be a number from 0 up"),
    ],
)
def test_bad_weights_are_refused_with_what_to_do(weights, message):
    with pytest.raises(GeneratorError, match=message):
        draw(weights)
    with pytest.raises(GeneratorError, match="has no weight"):
        by_distance(BAG, FIELD, {"near": 1})


def test_a_seed_gives_the_same_weighted_block_for_ever():
    """Drawn once and written down: if it changes, ALGORITHM needs another number."""
    block = draw(dict(zip(SHOTS, (5, 3, 2.5, 1), strict=True)), balls=12, seed=7)
    assert " ".join(f"{ball.club[-1]}{ball.target[0]}" for ball in block.balls) == "2m 8n 2m 2f 2m 2f 8m 2f 2m 8n 2m 2m"
    assert block.inputs_sha256 != draw(dict(zip(SHOTS, (5, 3, 2, 1), strict=True)), balls=12, seed=7).inputs_sha256
