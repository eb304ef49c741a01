"""Ladder and one-ball test."""

from collections import Counter
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import chisquare

from practice.planner.generator import ClubOption, GeneratorError, StockSwing, TargetOption
from practice.planner.ladder import draw_ladder
from practice.planner.one_ball import draw_one_ball_test

BAG = [ClubOption("52", 30, 80, (StockSwing("9:00", 40.0),)), ClubOption("58", 20, 45)]
FIELD = [TargetOption("far", 70), TargetOption("near", 25), TargetOption("middle", 40), TargetOption("third", 55)]


def shots(block) -> list:
    return [(ball.club, ball.target) for ball in block.balls]


def test_a_ladder_goes_up_and_down_club_by_club():
    block = draw_ladder(BAG, FIELD, number_shown=True)
    up_and_down = [*(("52", name) for name in ("middle", "third", "far", "third", "middle"))]
    assert shots(block) == [*up_and_down, ("58", "near"), ("58", "middle"), ("58", "near")]
    assert block.balls[0].swing == "9:00"
    assert [ball.n for ball in block.balls] == list(range(1, 9))


@settings(max_examples=60, deadline=None)
@given(distances_m=st.lists(st.integers(1, 99), min_size=2, max_size=20), trips=st.integers(1, 5))
def test_a_ladder_takes_one_step_a_ball_and_ends_where_it_began(distances_m, trips):
    field = [TargetOption(f"flag {i}", float(m)) for i, m in enumerate(distances_m)]
    block = draw_ladder([ClubOption("PW", 0, 100)], field, trips=trips, number_shown=False)
    rungs = sorted(field, key=lambda target: (target.distance_m, target.name))
    steps = [[target.name for target in rungs].index(ball.target) for ball in block.balls]
    assert len(steps) == 1 + 2 * trips * (len(rungs) - 1)
    assert steps[0] == steps[-1] == 0
    assert max(steps) == len(rungs) - 1
    assert {abs(a - b) for a, b in pairwise(steps)} == {1}


def test_a_club_with_one_step_is_left_out_and_said():
    block = draw_ladder([*BAG, ClubOption("PW", 65, 90)], FIELD, number_shown=False)
    assert block.notes == ("The club “PW” reaches only one of the targets: a ladder leaves it out.",)
    assert {ball.club for ball in block.balls} == {"52", "58"}


@pytest.mark.parametrize(
    ("targets", "trips", "message"),
    [
        (FIELD[:1], 1, "needs two steps"),
        (FIELD, 0, "once or more"),
        (FIELD, 1.5, "whole number"),
        (FIELD, 10_000, "ask fewer trips"),
        ([], 1, "at least one target"),
    ],
)
def test_a_ladder_that_cannot_be_made_says_what_to_change(targets, trips, message):
    with pytest.raises(GeneratorError, match=message):
        draw_ladder(BAG, targets, trips=trips, number_shown=False)


@settings(max_examples=60, deadline=None)
@given(clubs=st.integers(1, 8), targets=st.integers(1, 10), share=st.floats(0, 1), seed=st.integers(0, 2**32))
def test_a_one_ball_test_never_asks_a_shot_twice_and_is_even(clubs, targets, share, seed):
    bag = [ClubOption(f"club {i}", 10.0, 100.0) for i in range(clubs)]
    field = [TargetOption(f"flag {i}", 20.0 + i) for i in range(targets)]
    balls = max(1, round(share * clubs * targets))
    block = draw_one_ball_test(bag, field, balls=balls, seed=seed, number_shown=False)
    assert len(set(shots(block))) == len(shots(block)) == balls
    for kind, kinds in ((0, clubs), (1, targets)):
        times = Counter(shot[kind] for shot in shots(block))
        assert max(times.values()) - (min(times.values()) if len(times) == kinds else 0) <= (1 if kind == 0 else 2)


def test_more_balls_than_shots_are_refused():
    with pytest.raises(GeneratorError, match="make 5 different shots, not 6"):
        draw_one_ball_test(BAG, FIELD, balls=6, seed=1, number_shown=True)
    assert len(draw_one_ball_test(BAG, FIELD, balls=5, seed=1, number_shown=True).balls) == 5


@pytest.mark.parametrize(
    ("clubs", "targets", "balls", "said"),
    [
        (["52"], [40, 55, 70], 3, ["One club: only the target changes from ball to ball."]),
        (["52", "58"], [40], 2, ["One target: only the club changes from ball to ball."]),
        (["52"], [40], 1, []),
        (["52", "58"], [40, 55, 70], 6, []),
    ],
)
def test_a_one_ball_test_says_where_neighbours_have_to_be_equal(clubs, targets, balls, said):
    bag = [ClubOption(label, 0, 99) for label in clubs]
    field = [TargetOption(f"flag {m}", m) for m in targets]
    assert list(draw_one_ball_test(bag, field, balls=balls, seed=1, number_shown=True).notes) == said


def test_a_one_ball_test_proves_by_a_count_why_a_club_follows_itself():
    """Of five shots one is the 58's, so that of the four with the 52 two pairs stand side by side or more."""
    bag, field = [ClubOption("52", 30, 80), ClubOption("58", 20, 29)], [TargetOption("near", 25), *FIELD[2:], FIELD[0]]
    field.append(TargetOption("fourth", 60))
    assert draw_one_ball_test(bag, field, balls=5, seed=1, number_shown=True).notes == (
        "2 balls are hit with the same club as the ball before. 4 of the 5 balls are hit with “52”: to keep them apart "
        "takes 3 others, and there is only 1.",
    )


def test_a_one_ball_test_with_equal_neighbours_that_no_count_proves_says_that_no_better_order_was_found():
    bag = [ClubOption("52", 30, 80), ClubOption("58", 30, 80)]
    assert draw_one_ball_test(bag, FIELD[2:], balls=4, seed=1, number_shown=True).notes == (
        "1 ball goes to the same target as the ball before. No order with fewer was found, and nothing shows that "
        "there is none.",
    )


def test_every_shot_is_as_likely_at_every_position_of_a_one_ball_test():
    """Chi-square at 1 in 10,000 on fixed seeds: 5 of the 12 shots of three clubs and four targets."""
    bag = [ClubOption(f"club {i}", 10.0, 100.0) for i in range(3)]
    drawn = [shots(draw_one_ball_test(bag, FIELD, balls=5, seed=seed, number_shown=False)) for seed in range(3000)]
    for position in range(5):
        seen = Counter(asked[position] for asked in drawn)
        assert len(seen) == 12
        assert chisquare(list(seen.values())).pvalue > 1e-4


def test_a_seed_gives_the_same_one_ball_test_for_ever():
    """Drawn once and written down: if it changes, ALGORITHM needs another number."""
    block = draw_one_ball_test(BAG, FIELD, balls=5, seed=7, number_shown=False)
    assert " ".join(f"{ball.club}{ball.target[0]}" for ball in block.balls) == "52m 58n 52t 58m 52f"
