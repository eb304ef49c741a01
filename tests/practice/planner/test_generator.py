"""The promises of a random-target block, against brute force, a linear program and chi-square."""

import json
from collections import Counter
from hashlib import sha256
from itertools import combinations, combinations_with_replacement, pairwise, permutations, product
from random import Random

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog
from scipy.stats import chisquare

from practice.planner.generator import (
    ALGORITHM,
    ClubOption,
    DrawnBlock,
    GeneratorError,
    StockSwing,
    TargetOption,
    draw_block,
    notes_on_neighbours,
)
from practice.planner.spread import spread

YARD_M = 0.9144


# Bags and ranges


def make_bag(clubs: int) -> list[ClubOption]:
    """Clubs that all reach everything between 10 m and 200 m."""
    return [ClubOption(f"club {i}", 10.0, 200.0) for i in range(clubs)]


def make_range(targets: int) -> list[TargetOption]:
    return [TargetOption(f"flag {i}", 20.0 + 5 * i) for i in range(targets)]


WEDGES = [
    ClubOption("PW", 60.0, 110.0, (StockSwing("9:00", 78.0), StockSwing("full", 108.0))),
    ClubOption("52°", 40.0, 95.0, (StockSwing("7:30", 45.0), StockSwing("9:00", 66.0), StockSwing("full", 94.0))),
    ClubOption("58°", 20.0, 75.0, (StockSwing("7:30", 33.0), StockSwing("9:00", 50.0), StockSwing("full", 74.0))),
]
FLAGS = [TargetOption("white", 30.0), TargetOption("red", 52.0), TargetOption("blue", 68.0), TargetOption("far", 90.0)]


def draw(clubs, targets, balls=12, seed=1, *, number_shown=True) -> DrawnBlock:
    return draw_block(clubs, targets, balls=balls, seed=seed, number_shown=number_shown)


def shots(block: DrawnBlock) -> list[tuple[str, str]]:
    return [(ball.club, ball.target) for ball in block.balls]


def repeats(things) -> int:
    return sum(a == b for a, b in pairwise(things))


# Worked examples


def test_a_small_block_can_be_checked_by_eye():
    block = draw(make_bag(2), make_range(2), balls=4)
    (first, second, *rest) = shots(block)
    assert first[0] != second[0]
    assert first[1] != second[1]
    assert rest == [first, second]
    assert [ball.n for ball in block.balls] == [1, 2, 3, 4]
    assert block.notes == ()
    assert (block.seed, block.algorithm) == (1, ALGORITHM)


def test_a_bag_of_wedges_plays_only_what_each_reaches():
    for seed in range(50):
        block = draw(WEDGES, FLAGS, balls=20, seed=seed)
        assert set(shots(block)) <= {
            ("PW", "blue"),
            ("PW", "far"),
            ("52°", "red"),
            ("52°", "blue"),
            ("52°", "far"),
            ("58°", "white"),
            ("58°", "red"),
            ("58°", "blue"),
        }
        assert sorted(Counter(ball.club for ball in block.balls).values()) == [6, 7, 7]
        assert sorted(Counter(ball.target for ball in block.balls).values()) == [5, 5, 5, 5]
        assert block.notes == ()


def test_reach_includes_both_its_ends():
    club = ClubOption("58°", 20.0, 75.0)
    ends = [TargetOption("near end", 20.0), TargetOption("far end", 75.0)]
    assert {target for _, target in shots(draw([club], ends))} == {"near end", "far end"}


@pytest.mark.parametrize(
    ("target_yd", "carry_yd", "named"),
    [
        # 3 yards are more than 5 % of 40
        *((40, 37, True), (40, 43, True), (40, 36.9, False), (40, 43.1, False)),
        # 5 % of 100 are more than 3 yards
        *((100, 95, True), (100, 105, True), (100, 94.9, False), (100, 105.1, False)),
        # both are the same
        *((60, 57, True), (60, 63, True), (60, 56.9, False), (60, 63.1, False)),
    ],
)
def test_a_swing_is_named_within_3_yards_or_5_percent_whichever_is_larger(target_yd, carry_yd, named):
    club = ClubOption("PW", 0.0, 200.0, (StockSwing("9:00", carry_yd * YARD_M),))
    (ball,) = draw([club], [TargetOption("flag", target_yd * YARD_M)], balls=1).balls
    assert ball.swing == ("9:00" if named else "feel")


@pytest.mark.parametrize(
    ("target_m", "swing", "below", "above"),
    [
        (30.0, "feel", None, "7:30"),
        (48.0, "7:30", "7:30", "9:00"),
        (52.0, "9:00", "7:30", "9:00"),
        (50.0, "7:30", "7:30", "9:00"),
        (54.0, "9:00", "9:00", "9:00"),
        (65.0, "feel", "9:00", "full"),
        (95.0, "feel", "full", None),
    ],
)
def test_a_ball_carries_its_two_neighbouring_stock_swings_and_names_the_nearest_near_one(target_m, swing, below, above):
    stock = {"full": StockSwing("full", 80.0), "7:30": StockSwing("7:30", 46.0), "9:00": StockSwing("9:00", 54.0)}
    if target_m == 50.0:  # as near to the one as to the other, and near to both
        stock |= {"7:30": StockSwing("7:30", 48.0), "9:00": StockSwing("9:00", 52.0)}
    club = ClubOption("52°", 0.0, 200.0, tuple(stock.values()))
    (ball,) = draw([club], [TargetOption("flag", target_m)], balls=1).balls
    assert (ball.swing, ball.below, ball.above) == (swing, stock.get(below), stock.get(above))


def test_without_the_number_a_ball_gives_nothing_away():
    block = draw(WEDGES, FLAGS, number_shown=False)
    assert {(ball.swing, ball.below, ball.above) for ball in block.balls} == {("feel", None, None)}


def test_hiding_the_number_changes_nothing_but_what_is_shown():
    assert shots(draw(WEDGES, FLAGS, number_shown=False)) == shots(draw(WEDGES, FLAGS, number_shown=True))


# What is said


@pytest.mark.parametrize(
    ("clubs", "targets", "balls", "notes"),
    [
        (make_bag(1), make_range(1), 5, ["One club and one target: every ball is the same."]),
        (make_bag(1), make_range(1), 1, []),
        (make_bag(1), make_range(3), 5, ["One club: only the target changes from ball to ball."]),
        (make_bag(3), make_range(1), 5, ["One target: only the club changes from ball to ball."]),
        (make_bag(3), make_range(3), 60, []),
        (make_bag(14), make_range(20), 3, []),
        (
            [*make_bag(2), ClubOption("driver", 180.0, 260.0)],
            make_range(2),
            6,
            ["The club “driver” reaches none of the targets: it is left out."],
        ),
        (
            make_bag(2),
            [*make_range(2), TargetOption("hill", 300.0)],
            6,
            ["No club reaches the target “hill”: it is left out."],
        ),
        (
            [ClubOption("a", 0, 30), ClubOption("b", 0, 30), ClubOption("c", 60, 80)],
            [TargetOption("near", 20), TargetOption("far", 70)],
            6,
            [
                "Some targets come up more often than others, because not every club reaches every target.",
                "1 ball goes to the same target as the ball before. 4 of the 6 balls are played to “near”: to keep "
                "them apart takes 3 others, and there are only 2.",
            ],
        ),
        (
            [ClubOption("a", 0, 30), ClubOption("b", 0, 30), ClubOption("c", 0, 30), ClubOption("d", 60, 80)],
            [TargetOption("near", 20), TargetOption("far", 70)],
            8,
            [
                "Some targets come up more often than others, because not every club reaches every target.",
                "3 balls go to the same target as the ball before. 6 of the 8 balls are played to “near”: to keep "
                "them apart takes 5 others, and there are only 2.",
            ],
        ),
    ],
)
def test_every_promise_that_cannot_be_kept_is_said(clubs, targets, balls, notes):
    for seed in range(5):
        assert list(draw(clubs, targets, balls, seed).notes) == notes


def test_no_cause_is_named_for_balls_that_could_have_been_kept_apart():
    """By hand: a to x, b to y, a to x, b to y would do."""
    assert notes_on_neighbours([("a", "x"), ("a", "x"), ("b", "y"), ("b", "y")]) == [
        f"2 balls {words} as the ball before. No order with fewer was found, and nothing shows that there is none."
        for words in ("are hit with the same club", "go to the same target")
    ]


@settings(max_examples=100, deadline=None)
@given(
    shots=st.lists(st.tuples(st.sampled_from("ab"), st.sampled_from("xyz")), min_size=2, max_size=6).filter(
        lambda shots: all(len(set(names)) > 1 for names in zip(*shots, strict=True))
    )
)
def test_a_proof_stands_where_every_order_repeats_as_often_and_only_there(shots):
    """All orders of up to six balls, tried out here: a thing is kept apart as well as can be, or no proof is given."""
    for words, place in (("played to “", 1), ("hit with “", 0)):
        said = " ".join(notes_on_neighbours(shots))
        repeats = [sum(a[place] == b[place] for a, b in pairwise(order)) for order in permutations(shots)]
        assert (words in said) == (repeats[0] == min(repeats) > 0)


@pytest.mark.parametrize(
    ("changed", "message"),
    [
        ({"balls": 0}, "A block has 1 to 500 balls, not 0."),
        ({"balls": 501}, "A block has 1 to 500 balls, not 501."),
        ({"balls": 6.0}, "The number of balls must be a whole number, not 6.0."),
        ({"seed": "7"}, "The seed must be a whole number, not '7'."),
        ({"clubs": []}, "Choose at least one club."),
        ({"targets": []}, "Choose at least one target."),
        ({"clubs": make_bag(15)}, "Choose at most 14 clubs, not 15."),
        ({"targets": make_range(21)}, "Choose at most 20 targets, not 21."),
        ({"clubs": make_bag(2) + make_bag(1)}, "The club “club 0” is there twice: give each club its own name."),
        ({"targets": make_range(3)[1:] * 2}, "The target “flag 1” is there twice: give each target its own name."),
        (
            {"targets": [TargetOption("hill", 300.0)]},
            "No club reaches any of these targets: choose other targets, or other clubs.",
        ),
        ({"targets": [TargetOption("tee", 0.0)]}, "The target “tee” needs a distance above zero."),
        ({"targets": [TargetOption("tee", float("nan"))]}, "The target “tee” needs a distance above zero."),
        ({"clubs": [ClubOption("PW", 90.0, 80.0)]}, "The reach of “PW” must run from a shorter to a longer distance."),
        (
            {"clubs": [ClubOption("PW", 0.0, float("inf"))]},
            "The reach of “PW” must run from a shorter to a longer distance.",
        ),
        (
            {"clubs": [ClubOption("PW", 0.0, 90.0, (StockSwing("full", 80.0), StockSwing("full", 90.0)))]},
            "“PW” has two carries for the swing “full”: give one.",
        ),
        (
            {"clubs": [ClubOption("PW", 0.0, 90.0, (StockSwing("full", float("nan")),))]},
            "The carry of “PW” at “full” must be above zero.",
        ),
        (
            {"clubs": [ClubOption("PW", 0.0, 90.0, (StockSwing("feel", 80.0),))]},
            "“feel” has no stock carry: name another swing of “PW”.",
        ),
    ],
)
def test_bad_input_is_refused_with_what_to_do(changed, message):
    inputs = {"clubs": make_bag(2), "targets": make_range(2), "balls": 4, "seed": 1, "number_shown": True} | changed
    with pytest.raises(GeneratorError) as refused:
        draw_block(inputs.pop("clubs"), inputs.pop("targets"), **inputs)
    assert str(refused.value) == message


# The promises, on any bag


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


# Chance

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


# The same again

# Drawn once and written down. If it changes, blocks that players hold can no longer be drawn again from their seeds:
# then ALGORITHM needs another number.
GOLDEN_BLOCK = "f53f411d88b230b9209ae959bd00306993ce0e3d7cc60ad36987fd987f6b2afd"


def fingerprint_of(block: DrawnBlock) -> str:
    balls = [(ball.n, ball.club, ball.swing, ball.target, ball.target_m) for ball in block.balls]
    return sha256(json.dumps(balls).encode()).hexdigest()


def test_a_seed_gives_the_same_block_on_every_python():
    assert fingerprint_of(draw(WEDGES, FLAGS, 60, 20261125)) == GOLDEN_BLOCK


def test_a_seed_gives_the_same_block_where_the_order_had_to_be_searched_for():
    clubs, targets = [ClubOption(name, 0, 99) for name in "ab"], [TargetOption(name, 50) for name in "xy"]
    drawn = shots(draw(clubs, targets, 21, seed=3))
    assert drawn == [("b", "y"), ("a", "x")] * 10 + [("b", "y")]


def test_another_seed_gives_another_block():
    assert len({tuple(shots(draw(WEDGES, FLAGS, 20, seed))) for seed in range(50)}) == 50


def test_the_inputs_have_a_fingerprint_that_anyone_can_compute():
    club = ClubOption("58°", 20, 75.5, (StockSwing("full", 74.25),))
    block = draw([club], [TargetOption("white", 30)], balls=3, seed=9, number_shown=False)
    text = (
        '{"algorithm":"mixed-targets-1","balls":3,"clubs":[["58\\u00b0",20.0,75.5,[["full",74.25]]]],'
        '"number_shown":false,"targets":[["white",30.0]]}'
    )
    assert block.inputs_sha256 == sha256(text.encode()).hexdigest()


def test_the_fingerprint_changes_with_every_input_but_the_seed():
    prints = [
        draw(WEDGES, FLAGS, 12, 1).inputs_sha256,
        draw(WEDGES, FLAGS, 13, 1).inputs_sha256,
        draw(WEDGES, FLAGS, 12, 1, number_shown=False).inputs_sha256,
        draw(WEDGES[:2], FLAGS, 12, 1).inputs_sha256,
        draw(WEDGES, FLAGS[1:], 12, 1).inputs_sha256,
        draw([*WEDGES[:2], ClubOption("58°", 20.0, 75.0)], FLAGS, 12, 1).inputs_sha256,
    ]
    assert len(set(prints)) == len(prints)
    assert draw(WEDGES, FLAGS, 12, 2).inputs_sha256 == prints[0]


def test_a_drawn_ball_does_not_change():
    ball = draw(WEDGES, FLAGS).balls[0]
    with pytest.raises(AttributeError):
        ball.n = 2
