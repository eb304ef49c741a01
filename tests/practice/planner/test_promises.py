"""The promises of a random-target block, against brute force and a linear program."""

from collections import Counter
from itertools import combinations, combinations_with_replacement, product
from random import Random

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog

from practice.planner.generator import (
    ClubOption,
    GeneratorError,
    TargetOption,
)
from practice.planner.spread import spread
from tests.practice.planner.draws import draw, make_bag, make_range, repeats, shots


@st.composite
def reaches(draw_value, most_clubs=14, most_targets=20):
    """Any reach in which every club plays something and every target is played, as lists of target indices."""
    targets = draw_value(st.integers(1, most_targets))
    some = st.sets(st.integers(0, targets - 1), min_size=1)
    within = draw_value(st.lists(some, min_size=1, max_size=most_clubs))
    kept = sorted(set().union(*within))
    return [[kept.index(target) for target in sorted(targets)] for targets in within]


@st.composite
def bags(draw_value):
    """(clubs, targets) with reaches that are intervals, as real ones are; some clubs and targets may be out of it."""
    metres = st.integers(1, 120).map(float)
    clubs = [
        ClubOption(f"club {i}", min(ends), max(ends))
        for i, ends in enumerate(draw_value(st.lists(st.tuples(metres, metres), min_size=1, max_size=14)))
    ]
    distances_m = draw_value(st.lists(metres, min_size=1, max_size=20))
    return clubs, [TargetOption(f"flag {i}", distance_m) for i, distance_m in enumerate(distances_m)]


def least_sum_of_squares(reach, balls: int) -> int:
    """By a linear program: the k-th ball at a target costs 2k - 1, so that k balls cost k squared. The matrix is that
    of a network, so its vertices are integer (Ahuja, Magnanti and Orlin, Network Flows, 1993, theorem 11.12)."""
    targets = 1 + max(map(max, reach))
    pairs = [(club, target) for club, within in enumerate(reach) for target in within]
    steps = [(target, k) for target in range(targets) for k in range(1, balls + 1)]
    cost = [0] * len(pairs) + [2 * k - 1 for _, k in steps]
    equal = np.zeros((targets + 1, len(cost)))
    club_rows = np.zeros((len(reach), len(cost)))
    for column, (club, target) in enumerate(pairs):
        equal[target, column] = equal[targets, column] = club_rows[club, column] = 1
    for column, (target, _) in enumerate(steps, len(pairs)):
        equal[target, column] = -1
    low, extra = divmod(balls, len(reach))
    at_most, at_least = [low + (extra > 0)] * len(reach), [-low] * len(reach)
    solved = linprog(
        cost,
        A_ub=np.vstack([club_rows, -club_rows]),
        b_ub=at_most + at_least,
        A_eq=equal,
        b_eq=[0] * targets + [balls],
        bounds=[(0, balls)] * len(pairs) + [(0, 1)] * len(steps),
    )
    assert solved.success
    assert abs(solved.fun - round(solved.fun)) < 1e-6
    return round(solved.fun)


@settings(max_examples=150, deadline=None)
@given(reach=reaches(), balls=st.integers(1, 60), seed=st.integers(0, 2**32))
def test_counts_are_even_on_any_bag_as_a_linear_program_finds(reach, balls, seed):
    order = spread(reach, balls, Random(seed).random)
    clubs, targets = zip(*order, strict=True)
    club_counts = [clubs.count(club) for club in range(len(reach))]
    assert len(order) == balls
    assert all(target in reach[club] for club, target in order)
    assert max(club_counts) - min(club_counts) <= 1
    assert sum(n * n for n in Counter(targets).values()) == least_sum_of_squares(reach, balls)
    assert repeats(clubs) == (balls - 1 if len(reach) == 1 else 0)
    assert repeats(targets) >= 2 * max(Counter(targets).values()) - balls - 1


@settings(max_examples=150, deadline=None)
@given(bag=bags(), balls=st.integers(1, 60), seed=st.integers(0, 2**32))
def test_a_block_of_any_bag_keeps_its_promises_or_says_so(bag, balls, seed):
    clubs, targets = bag
    playable = {
        (club.label, target.name)
        for club, target in product(clubs, targets)
        if club.shortest_m <= target.distance_m <= club.longest_m
    }
    if not playable:
        with pytest.raises(GeneratorError):
            draw(clubs, targets, balls, seed)
        return
    block = draw(clubs, targets, balls, seed)
    times = Counter(ball.target for ball in block.balls)
    in_reach = {target for _, target in playable}
    spoken = " ".join(block.notes)
    assert [ball.n for ball in block.balls] == list(range(1, balls + 1))
    assert set(shots(block)) <= playable
    assert ("it is left out" in spoken) == (len({c for c, _ in playable}) < len(clubs) or len(in_reach) < len(targets))
    counts = [times[target] for target in in_reach]
    assert ("Some targets come up more often" in spoken) == (max(counts) - min(counts) > 1)
    assert ("One club" in spoken) == (repeats(ball.club for ball in block.balls) > 0)
    same_target = repeats(ball.target for ball in block.balls)
    assert ("same target" in spoken or "ne target" in spoken) == (same_target > 0)


@settings(max_examples=60, deadline=None)
@given(clubs=st.integers(1, 14), targets=st.integers(1, 20), balls=st.integers(1, 60), seed=st.integers(0, 2**32))
def test_where_every_club_reaches_every_target_all_is_within_one_and_nothing_repeats(clubs, targets, balls, seed):
    drawn = shots(draw(make_bag(clubs), make_range(targets), balls, seed))
    for kind, n in enumerate((clubs, targets)):
        things = [shot[kind] for shot in drawn]
        times = sorted(Counter(things).values())
        assert times[-1] - (times[0] if len(times) == n else 0) <= 1
        assert repeats(things) == (balls - 1 if n == 1 else 0)


def test_sixty_balls_never_repeat_a_target_more_than_its_share_forces():
    """On 400 bags of every size: a thing that comes k times in n balls follows itself 2k - n - 1 times at least."""
    chance = Random(20)
    for seed in range(400):
        targets = chance.randint(2, 20)
        reach = [
            sorted(chance.sample(range(targets), chance.randint(1, targets))) for _ in range(chance.randint(2, 14))
        ]
        kept = sorted(set().union(*reach))
        order = spread([[kept.index(target) for target in within] for within in reach], 60, Random(seed).random)
        clubs, played = zip(*order, strict=True)
        assert repeats(clubs) == 0
        assert repeats(played) == max(0, 2 * max(Counter(played).values()) - 61), reach


# Brute force


def best_of_all_orders(reach, balls: int) -> tuple[int, int, int]:
    """(sum of squares, equal neighbours in club, in target) of the best of all orders with club counts within one. All
    orders are grown ball by ball; of those alike in counts and last ball only the best goes on."""
    pairs = [(club, target) for club, within in enumerate(reach) for target in within]
    most = -(-balls // len(reach))
    layer = {((0, 0, 0), (0, 0, 0), (None, None)): (0, 0)}
    for _ in range(balls):
        grown = {}
        for (clubs, targets, last), (same_club, same_target) in layer.items():
            for club, target in pairs:
                if clubs[club] == most:
                    continue
                key = counted(clubs, club), counted(targets, target), (club, target)
                still = same_club + (last[0] == club), same_target + (last[1] == target)
                grown[key] = min(still, grown.get(key, still))
        layer = grown
    return min(
        (sum(n * n for n in targets), *still)
        for (clubs, targets, _), still in layer.items()
        if max(clubs) - min(clubs[: len(reach)]) <= 1
    )


def counted(counts: tuple[int, ...], index: int) -> tuple[int, ...]:
    return *counts[:index], counts[index] + 1, *counts[index + 1 :]


SUBSETS = [subset for size in (1, 2, 3) for subset in combinations(range(3), size)]
SMALL_REACHES = [
    reach
    for clubs in (1, 2, 3)
    for reach in combinations_with_replacement(SUBSETS, clubs)
    if set().union(*reach) == set(range(1 + max(map(max, reach))))
]


@pytest.mark.parametrize("balls", range(1, 9))
def test_up_to_three_clubs_three_targets_and_eight_balls_nothing_better_exists(balls):
    for reach in SMALL_REACHES:
        best = best_of_all_orders(reach, balls)
        for seed in (1, 2, 3):
            order = spread(reach, balls, Random(seed).random)
            clubs, targets = zip(*order, strict=True)
            squares = sum(n * n for n in Counter(targets).values())
            assert (squares, repeats(clubs), repeats(targets)) == best, (reach, seed)
