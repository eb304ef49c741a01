"""Random-target blocks: worked examples, what is said and refused, and the same again from a seed."""

import json
from collections import Counter
from hashlib import sha256
from itertools import pairwise, permutations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

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
from tests.practice.planner.draws import FLAGS, WEDGES, draw, make_bag, make_range, shots

YARD_M = 0.9144


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
