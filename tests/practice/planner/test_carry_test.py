"""The balls of a carry test."""

import pytest

from practice.planner.carry_test import draw_carry_test
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
