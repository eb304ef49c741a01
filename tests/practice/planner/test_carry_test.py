"""The balls of a carry test."""

from itertools import pairwise

import pytest

from practice.planner.carry_test import draw_carry_test, draw_shuffled_carry_test
from practice.planner.generator import GeneratorError


def test_every_club_makes_every_swing_as_often_as_asked_in_a_row():
    drawn = draw_carry_test(["54", "58"], ["9:00", "full"], balls_each=2)
    assert [(ball.n, ball.club, ball.swing) for ball in drawn.balls] == [
        *((1, "54", "9:00"), (2, "54", "9:00"), (3, "54", "full"), (4, "54", "full")),
        *((5, "58", "9:00"), (6, "58", "9:00"), (7, "58", "full"), (8, "58", "full")),
    ]
    assert {ball.target for ball in drawn.balls} == {None}


@pytest.mark.parametrize(("clubs", "swings"), [([], ["full"]), (["54"], [])])
def test_without_a_club_or_a_swing_there_is_no_test(clubs, swings):
    with pytest.raises(GeneratorError, match="at least one club and one swing"):
        draw_carry_test(clubs, swings, balls_each=5)


def test_more_balls_than_a_block_holds_are_refused_with_a_way_out():
    with pytest.raises(GeneratorError, match="another day"):
        draw_carry_test([str(n) for n in range(13)], ["7:30", "9:00", "10:30", "full"], balls_each=4)


def test_what_it_was_drawn_from_is_told_apart_by_its_digest():
    one, same, other = (draw_carry_test(["54"], ["full"], balls_each=n).inputs_sha256 for n in (3, 3, 4))
    assert one == same != other


def test_shuffled_it_asks_the_same_balls_and_never_the_same_twice_in_a_row():
    blocked = draw_carry_test(["54", "58"], ["9:00", "full"], balls_each=5)
    shuffled = draw_shuffled_carry_test(["54", "58"], ["9:00", "full"], balls_each=5, seed=3)
    asked = [(ball.club, ball.swing) for ball in shuffled.balls]
    assert sorted(asked) == sorted((ball.club, ball.swing) for ball in blocked.balls)
    assert all(a != b for a, b in pairwise(asked))
    assert [ball.n for ball in shuffled.balls] == list(range(1, 21))
    assert (shuffled.seed, shuffled.algorithm) == (3, "carry-test-1+orders-1")
    assert shuffled == draw_shuffled_carry_test(["54", "58"], ["9:00", "full"], balls_each=5, seed=3)


def test_one_club_and_one_swing_cannot_be_shuffled_and_stay_as_they_are_which_is_said():
    shuffled = draw_shuffled_carry_test(["54"], ["full"], balls_each=5, seed=3)
    assert shuffled.balls == draw_carry_test(["54"], ["full"], balls_each=5).balls
    assert shuffled.notes == ("One club and one swing: every ball is the same, so there is nothing to shuffle.",)


@pytest.mark.parametrize(("clubs", "swings"), [(["54", "58"], ["full"]), (["54"], ["9:00", "full"])])
def test_what_can_be_shuffled_says_nothing_and_neither_does_a_test_in_a_row(clubs, swings):
    assert draw_shuffled_carry_test(clubs, swings, balls_each=5, seed=3).notes == ()
    assert draw_carry_test(["54"], ["full"], balls_each=5).notes == ()
