"""The crossing round, against all permutations, a table over subsets and chi-square."""

from collections import Counter
from itertools import combinations, pairwise, permutations, product
from random import Random

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from practice.planner.crossing import EXHAUSTED_BALLS, Crossing, cross, draw_crossing, judged
from practice.planner.generator import ClubOption, GeneratorError, TargetOption

# Upper 1 in 1,000 quantiles of chi-square by degrees of freedom: NIST/SEMATECH e-Handbook of Statistical Methods,
# section 1.3.6.7.4, from memory, as scipy.stats.chi2.isf gives them too.
CHI_SQUARE_001 = {1: 10.828, 2: 13.816, 3: 16.266, 5: 20.515, 11: 31.264, 19: 43.820}


def draw(clubs: int, targets: int, seed: int = 1) -> Crossing:
    bag = [ClubOption(f"club {i}", 10.0, 200.0) for i in range(clubs)]
    field = [TargetOption(f"flag {i}", 20.0 + 5 * i) for i in range(targets)]
    return draw_crossing(bag, field, seed=seed, number_shown=False)


def repeats(order) -> int:
    return sum(a[0] == b[0] or a[1] == b[1] for a, b in pairwise(order))


def pairs_of(reach) -> list:
    return [(club, target) for club, within in enumerate(reach) for target in within]


def assert_uniform(seen: Counter, kinds: int):
    expected = seen.total() / kinds
    statistic = sum((n - expected) ** 2 / expected for n in seen.values())
    assert len(seen) == kinds
    assert statistic < CHI_SQUARE_001[kinds - 1]


# Named cases


@pytest.mark.parametrize(("clubs", "targets"), [*((1, k) for k in range(2, 21)), *((k, 1) for k in range(2, 15))])
def test_one_club_or_one_target_is_impossible_by_a_count(clubs, targets):
    crossing = draw(clubs, targets)
    n = clubs * targets
    what = "hit with “club 0”" if clubs == 1 else "played to “flag 0”"
    proof = f"{n} of the {n} balls are {what}: to keep them apart takes {n - 1} others, and there are only 0."
    assert (crossing.answer, crossing.words, crossing.repeats) == ("impossible", proof, n - 1)
    assert proof in crossing.block.notes


def test_two_by_two_is_impossible_and_every_order_was_tried():
    crossing = draw(2, 2)
    assert crossing.answer == "impossible"
    assert crossing.words == "All orders of these 4 balls were tried: in each, neighbours are equal once or more."
    assert crossing.repeats == 1
    assert len(crossing.block.balls) == 4


@pytest.mark.parametrize(
    ("clubs", "targets"),
    [(1, 1), *product((2, 3, 4, 5), (3, 4, 5)), (3, 2), (4, 2), (5, 2), (14, 20), (2, 20), (14, 2)],
)
def test_larger_ranges_are_possible(clubs, targets):
    for seed in range(20):
        crossing = draw(clubs, targets, seed)
        shots = [(ball.club, ball.target) for ball in crossing.block.balls]
        assert (crossing.answer, crossing.words, crossing.block.notes) == ("order", "", ())
        assert len(set(shots)) == len(shots) == clubs * targets
        assert repeats(shots) == crossing.repeats == 0


# Partial reach


def test_a_club_without_enough_others_between_is_proved_impossible():
    bag = [ClubOption("wedge", 0, 100), ClubOption("iron", 90, 100)]
    field = [TargetOption(name, m) for name, m in (("a", 20), ("b", 40), ("c", 95))]
    crossing = draw_crossing(bag, field, seed=1, number_shown=True)
    assert crossing.answer == "impossible"
    assert crossing.words == (
        "3 of the 4 balls are hit with “wedge”: to keep them apart takes 2 others, and there is only 1."
    )


def test_a_ball_that_nothing_may_stand_beside_is_proved_impossible():
    bag = [ClubOption("long", 45, 100), ClubOption("all", 10, 55), ClubOption("short", 10, 50)]
    field = [TargetOption("near", 20), TargetOption("middle", 48), TargetOption("far", 90)]
    # The “long” club reaches middle and far, the “short” one near and middle: nothing is alone.
    assert draw_crossing(bag, field, seed=1, number_shown=True).answer == "order"
    bag = [ClubOption("iron", 48, 100), ClubOption("wedge", 40, 50), ClubOption("lob", 45, 50)]
    field = [TargetOption("middle", 48), TargetOption("far", 90), TargetOption("farther", 95)]
    crossing = draw_crossing(bag, field, seed=1, number_shown=True)
    assert crossing.answer == "impossible"
    assert crossing.words == (
        "Every other ball has the club or the target of “iron” to “middle”, so that none can stand beside it."
    )


def test_clubs_and_targets_out_of_reach_are_named():
    bag = [ClubOption(f"club {i}", 10, 100) for i in range(3)]
    field = [TargetOption("a", 20), TargetOption("b", 30), TargetOption("hill", 300)]
    crossing = draw_crossing([*bag, ClubOption("driver", 180, 250)], field, seed=1, number_shown=True)
    assert crossing.block.notes == (
        "The club “driver” reaches none of the targets: it is left out.",
        "No club reaches the target “hill”: it is left out.",
    )
    with pytest.raises(GeneratorError, match="No club reaches any"):
        draw_crossing(bag, field[2:], seed=1, number_shown=True)


# Brute force

SUBSETS = [subset for size in (1, 2, 3) for subset in combinations(range(3), size)]
SMALL_REACHES = [
    reach
    for clubs in (1, 2, 3)
    for reach in product(SUBSETS, repeat=clubs)
    if set().union(*reach) == set(range(1 + max(map(max, reach)))) and sum(map(len, reach)) <= 7
]


def test_up_to_seven_balls_no_permutation_has_fewer_repeats():
    for reach in SMALL_REACHES[::2]:
        balls = pairs_of(reach)
        order = cross(reach, Random(1).random)
        assert sorted(order) == balls
        assert repeats(order) == min(map(repeats, permutations(balls))), reach


@pytest.mark.parametrize(
    ("reach", "orders"), [(((0, 1, 2), (0, 1, 2)), 12), (((0, 1), (0, 1, 2)), 2), (((0, 1), (0, 1)), 8)]
)
def test_every_best_order_is_as_likely(reach, orders):
    """2 x 3: six balls in a ring, so 12 orders. With a ball left out, or 2 x 2: the orders with the fewest repeats,
    counted by trying all permutations."""
    every = list(permutations(pairs_of(reach)))
    fewest = min(map(repeats, every))
    best = {order for order in every if repeats(order) == fewest}
    chance = Random(7)
    seen = Counter(tuple(cross(reach, chance.random)) for _ in range(200 * len(best)))
    expected = 200
    assert set(seen) == best
    assert len(best) == orders
    # Wilson and Hilferty's (1931) approximation of the chi-square quantile at 1 in 1,000 (normal quantile 3.0902).
    df = len(best) - 1
    quantile = df * (1 - 2 / (9 * df) + 3.0902 * (2 / (9 * df)) ** 0.5) ** 3
    assert sum((n - expected) ** 2 / expected for n in seen.values()) < quantile


def has_order(balls) -> bool:
    """Whether some order keeps all neighbours different: a walk backwards through all sets of balls."""
    fits = [sum(1 << j for j, b in enumerate(balls) if a[0] != b[0] and a[1] != b[1]) for a in balls]
    ends = [0] * (1 << len(balls))
    for i in range(len(balls)):
        ends[1 << i] = 1 << i
    for held in range(1, 1 << len(balls)):
        for i, fit in enumerate(fits):
            if held >> i & 1 and ends[held ^ 1 << i] & fit:
                ends[held] |= 1 << i
    return ends[-1] > 0


@st.composite
def reaches(draw_value, fewest_balls: int, most_balls: int):
    targets = draw_value(st.integers(2, 6))
    within = draw_value(st.lists(st.sets(st.integers(0, targets - 1), min_size=1), min_size=2, max_size=6))
    kept = sorted(set().union(*within))
    assume(fewest_balls <= sum(map(len, within)) <= most_balls)
    return [[kept.index(target) for target in sorted(targets)] for targets in within]


def answered(reach):
    """The order and the answer for a reach, also one that no real distances would give."""
    order = cross(reach, Random(3).random)
    labels = [f"club {i}" for i in range(len(reach))]
    names = [f"flag {i}" for i in range(1 + max(map(max, reach)))]
    return order, judged(order, repeats(order), labels, names)


@settings(max_examples=60, deadline=None)
@given(reach=reaches(2, 12))
def test_the_answer_is_right_on_any_reach_up_to_twelve_balls(reach):
    order, (answer, words) = answered(reach)
    balls = pairs_of(reach)
    assert sorted(order) == balls
    assert (answer == "order") == has_order(balls) == (words == "")
    assert (answer == "not found") <= (len(balls) > EXHAUSTED_BALLS)


@settings(max_examples=60, deadline=None)
@given(reach=reaches(11, 36))
def test_beyond_ten_balls_impossible_is_said_with_a_proof_only(reach):
    order, (answer, words) = answered(reach)
    assert sorted(order) == pairs_of(reach)
    if answer == "impossible":
        assert "to keep them apart takes" in words or "none can stand beside it" in words
    if answer == "not found":
        assert words.startswith("In 40 tries no order of these")
    assert (answer == "order") == (repeats(order) == 0)


def test_an_order_with_repeats_that_nothing_proves_needful_is_only_not_found():
    """No reach of 11 balls or more was met on which the search failed; so what it would say is asked of a bad order."""
    order = pairs_of([[0, 1, 2, 3]] * 3)
    answer, words = judged(order, repeats(order), ["a", "b", "c"], ["w", "x", "y", "z"])
    assert answer == "not found"
    assert words == (
        "In 40 tries no order of these 12 balls kept all neighbours different, and nothing shows that none can; in the "
        "best of them neighbours are equal 9 times."
    )


# Chance


@pytest.fixture(scope="module")
def many_rounds() -> list:
    return [[(b.club, b.target) for b in draw(3, 4, seed).block.balls] for seed in range(3000)]


def test_every_club_target_and_pair_is_as_likely_at_every_position(many_rounds):
    for position in range(12):
        assert_uniform(Counter(order[position][0] for order in many_rounds), 3)
        assert_uniform(Counter(order[position][1] for order in many_rounds), 4)
        assert_uniform(Counter(order[position] for order in many_rounds), 12)


# The same again


def test_a_seed_gives_the_same_round_for_ever():
    """Drawn once and written down: if one changes, ALGORITHM needs another number."""
    small, large = draw(2, 3, 5).block, draw(3, 4, 5).block
    assert (small.algorithm, small.seed) == ("crossing-1", 5)
    assert "".join(ball.club[-1] + ball.target[-1] for ball in small.balls) == "110012011002"
    assert "".join(ball.club[-1] + ball.target[-1] for ball in large.balls) == "012300110210032012211322"
    assert draw(2, 3, 6).block.inputs_sha256 == small.inputs_sha256 != large.inputs_sha256
