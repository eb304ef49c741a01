"""Weighted blocks: counts within a ball of their share, unbiased, and today's block where weights are equal."""

from collections import Counter
from fractions import Fraction
from itertools import product
from math import ceil, floor, sqrt
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import chisquare

from practice.planner.generator import ClubOption, GeneratorError, TargetOption, draw_block
from practice.planner.weights import (
    NEAR_ENOUGH,
    by_distance,
    by_need,
    draw_weighted_block,
    faced_at,
    notes_on_repeats,
    quotas,
)

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


def test_within_a_target_the_clubs_share_by_their_need():
    weights = by_distance(BAG, FIELD, {"near": 1, "middle": 6, "far": 3}, {"52": 1.0, "58": 2.0})
    assert weights == {("52", "middle"): 2, ("52", "far"): 3, ("58", "near"): 1, ("58", "middle"): 4}


def test_by_need_alone_a_club_gets_its_share_alike_at_its_targets():
    weights = by_need(BAG, FIELD, {"52": 1.0, "58": 3.0})
    assert weights == {("52", "middle"): 0.5, ("52", "far"): 0.5, ("58", "near"): 1.5, ("58", "middle"): 1.5}
    assert Counter(ball.club for ball in draw(weights).balls) == {"52": 5, "58": 15}


def test_a_distance_that_is_faced_counts_for_the_nearest_target_or_is_told():
    assert faced_at(BAG, FIELD, [(26, 2), (52, 1), (47, 1), (74, 4)]) == ({"near": 2, "middle": 2, "far": 4}, [])
    assert faced_at(BAG, FIELD, [(26, 2), (100, 9)]) == ({"near": 2, "middle": 0, "far": 0}, [100])
    twins = [*FIELD, TargetOption("left", 50)]
    assert faced_at(BAG, twins, [(50, 3)])[0] == {"near": 0, "middle": 1.5, "far": 0, "left": 1.5}
    out_of_reach = [*FIELD, TargetOption("hill", 99)]
    assert faced_at(BAG, out_of_reach, [(99, 1), (75, 1)]) == ({"near": 0, "middle": 0, "far": 1}, [99])
    with pytest.raises(GeneratorError, match="near any of the distances that are faced"):
        faced_at(BAG, FIELD, [(150, 1)])


@settings(max_examples=80, deadline=None)
@given(faced=st.lists(st.tuples(st.floats(1, 120), st.floats(0.1, 100)), min_size=1, max_size=20))
def test_what_is_faced_is_given_out_whole_or_told(faced):
    try:
        weights, missed_m = faced_at(BAG, FIELD, faced)
    except GeneratorError:
        weights, missed_m = {}, [distance_m for distance_m, _ in faced]
    given_out = sum(often for distance_m, often in faced if distance_m not in missed_m)
    assert sum(weights.values()) == pytest.approx(given_out)
    for distance_m in missed_m:
        assert min(abs(distance_m - target.distance_m) for target in FIELD) > NEAR_ENOUGH * distance_m


def test_shots_of_the_same_weight_are_as_likely_at_every_position():
    """Chi-square at 1 in 10,000 on fixed seeds: two clubs and two targets alike beside a heavier third."""
    bag = [ClubOption(label, 10, 90) for label in ("50", "54", "58")]
    weights = {(club.label, target.name): 1.0 + 0.5 * (club.label == "58") for club in bag for target in FIELD}
    blocks = [
        draw_weighted_block(bag, FIELD, balls=10, seed=seed, number_shown=False, weights=weights)
        for seed in range(1000)
    ]
    for n in range(10):
        shots = [block.balls[n] for block in blocks]
        light = Counter(ball.club for ball in shots if ball.club != "58")
        targets = Counter(ball.target for ball in shots)
        assert chisquare(list(light.values())).pvalue > 1e-4
        assert chisquare(list(targets.values())).pvalue > 1e-4


def test_a_shot_of_weight_zero_never_comes():
    block = draw(dict(zip(SHOTS, (1, 1, 0, 1), strict=True)), balls=60)
    assert "near" not in {ball.target for ball in block.balls}


def test_neighbours_stay_different_as_far_as_the_weights_allow():
    assert draw(dict(zip(SHOTS, (1, 2, 2, 1), strict=True)), balls=6).notes == ()
    assert draw(dict(zip(SHOTS, (0, 3, 1, 0), strict=True)), balls=8).notes == (
        "By these weights the target “middle” gets no ball.",
        "By these weights the club stays the same from one ball to the next 3 times. 6 of the 8 balls are hit with "
        "“52”: to keep them apart takes 5 others, and there are only 2.",
        "By these weights the target stays the same from one ball to the next 3 times. 6 of the 8 balls are played to "
        "“far”: to keep them apart takes 5 others, and there are only 2.",
    )


def test_balls_of_weights_that_could_have_been_kept_apart_are_given_no_cause():
    assert notes_on_repeats([("a", "x"), ("b", "x"), ("a", "y"), ("b", "y")]) == [
        "By these weights the target stays the same from one ball to the next 2 times. No order with fewer was found, "
        "and nothing shows that there is none."
    ]


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
