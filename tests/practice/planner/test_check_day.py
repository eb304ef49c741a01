"""The check day: what is asked again, what is hidden, and what two blocks must share to be the same."""

from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta
from functools import partial

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from practice.planner.carry_test import draw_shuffled_carry_test
from practice.planner.check_day import days_between, difference, drawn_again, too_early, too_soon
from practice.planner.crossing import draw_crossing
from practice.planner.generator import ClubOption, DrawnBlock, StockSwing, TargetOption, draw_block
from practice.planner.ladder import draw_ladder
from practice.planner.one_ball import draw_one_ball_test
from practice.planner.orders import Order, reordered
from practice.planner.pick_spot import draw_pick_spot
from practice.planner.weights import draw_weighted_block

BAG = [ClubOption("52", 30, 80, (StockSwing("9:00", 40.0),)), ClubOption("58", 20, 45)]
FIELD = [TargetOption("far", 70), TargetOption("near", 25), TargetOption("middle", 40), TargetOption("third", 55)]
HIDDEN = ("feel", None, None)


def asked(block: DrawnBlock) -> list:
    return [(ball.n, ball.club, ball.target, ball.target_m) for ball in block.balls]


@st.composite
def drawings(draw) -> Callable[[], DrawnBlock]:
    """Of any kind of block at targets that every club reaches, what draws it."""
    metres = draw(st.lists(st.integers(10, 100).map(float), min_size=2, max_size=6))
    field = [TargetOption(f"flag {i}", distance_m) for i, distance_m in enumerate(metres)]
    stock = st.builds(StockSwing, st.sampled_from(["7:30", "9:00", "full"]), st.floats(5, 110))
    stocks = draw(st.lists(st.lists(stock, max_size=3, unique_by=lambda swing: swing.swing), min_size=2, max_size=5))
    bag = [ClubOption(f"club {i}", 1.0, 120.0, tuple(own)) for i, own in enumerate(stocks)]
    seed, balls, number_shown = draw(st.integers(0, 2**32)), draw(st.integers(1, 30)), draw(st.booleans())
    pairs = [(club.label, target.name) for club in bag for target in field]
    weights = dict(zip(pairs, draw(st.lists(st.integers(1, 9), min_size=30, max_size=30)), strict=False))
    order, week = draw(st.sampled_from(Order)), draw(st.integers(1, 4))
    shown, both = {"number_shown": number_shown}, {"number_shown": number_shown, "seed": seed}
    return draw(
        st.sampled_from(
            [
                partial(draw_block, bag, field, balls=balls, **both),
                partial(draw_weighted_block, bag, field, balls=balls, weights=weights, **both),
                partial(draw_one_ball_test, bag, field, balls=min(balls, len(pairs)), **both),
                partial(draw_ladder, bag, field, trips=1 + balls % 3, **shown),
                lambda: draw_crossing(bag, field, **both).block,
                partial(draw_pick_spot, [club.label for club in bag], spots=balls, seed=seed),
                lambda: reordered(draw_block(bag, field, balls=balls, **both), order, week=week, weeks=4),
            ]
        )
    )


@settings(max_examples=60, deadline=None)
@given(drawing=drawings())
def test_a_check_day_asks_the_same_balls_and_shows_nothing(drawing):
    first, again = drawing(), drawn_again(drawing())
    assert asked(again) == asked(first)
    assert {(ball.swing, ball.below, ball.above) for ball in again.balls} == {HIDDEN}
    assert difference(first, again) == ""


@settings(max_examples=30, deadline=None)
@given(balls_each=st.integers(1, 5), seed=st.integers(0, 2**32))
def test_a_check_day_of_balls_to_no_target_names_their_swings_again(balls_each, seed):
    block = draw_shuffled_carry_test(["54", "58"], ["9:00", "full"], balls_each=balls_each, seed=seed)
    assert drawn_again(block) == block


def test_the_block_before_a_check_day_may_show_what_the_check_day_hides():
    block = draw_block(BAG, FIELD, balls=12, seed=4, number_shown=True)
    assert {(ball.swing, ball.below, ball.above) for ball in block.balls} > {HIDDEN}


def test_blocks_that_are_not_the_same_are_told_apart():
    block = draw_block(BAG, FIELD, balls=12, seed=4, number_shown=True)
    assert "seed 4" in difference(block, draw_block(BAG, FIELD, balls=12, seed=5, number_shown=True))
    assert "other clubs" in difference(block, draw_block(BAG, FIELD[1:], balls=12, seed=4, number_shown=True))
    assert "mixed-targets-1" in difference(block, replace(block, algorithm="other-1"))


# How long after


MONDAY = date(2026, 3, 2)
NEXT = MONDAY + timedelta(days=7)


@pytest.mark.parametrize(
    ("first", "again", "days"),
    [
        ((MONDAY, 0), (MONDAY, 3), (3, 3)),
        ((MONDAY, 6), (NEXT, 0), (1, 1)),
        ((MONDAY, None), (NEXT, 0), (1, 7)),
        ((MONDAY, None), (NEXT, None), (1, 13)),
        ((MONDAY, 2), (MONDAY, None), (-2, 4)),
        ((NEXT, 0), (MONDAY, None), (-7, -1)),
    ],
)
def test_the_days_between_are_counted_by_the_calendar(first, again, days):
    assert days_between(first, again) == days
    assert bool(too_early(first, again)) == (days[1] < 1)
    assert bool(too_soon("Check", first, again)) == (days[0] < 3)


def test_how_soon_a_check_day_is_stands_in_words():
    assert too_soon("Check", (MONDAY, 6), (NEXT, 0)) == (
        "“Check” comes 1 day after the block that it repeats. To tell what stayed, leave 3 days or more: give both a "
        "day (common practice)."
    )
    assert "may come less than 3 days after" in too_soon("Check", (MONDAY, None), (NEXT, 0))
