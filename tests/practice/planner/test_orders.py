"""Orders of practice: what each promises, on any balls."""

from collections import Counter
from fractions import Fraction
from itertools import groupby, pairwise
from typing import NamedTuple

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import chisquare

from practice.planner.carry_test import draw_carry_test
from practice.planner.generator import ClubOption, GeneratorError, TargetOption, draw_block
from practice.planner.orders import Order, blocked_share, in_order, reordered
from practice.planner.weights import draw_weighted_block


class Asked(NamedTuple):
    club: str
    swing: str
    target: str | None


def asked(text: str) -> list[Asked]:
    """Balls of kinds a, b, c ... to no target."""
    return [Asked(letter, "full", None) for letter in text]


def letters(balls) -> str:
    return "".join(ball.club for ball in balls)


multisets = st.lists(
    st.builds(Asked, st.sampled_from("abc"), st.sampled_from(["9:00", "full"]), st.sampled_from(["x", "y", "z"])),
    max_size=40,
)
anywhere = st.lists(st.builds(Asked, st.sampled_from("abc"), st.sampled_from(["9:00", "full"]), st.none()), max_size=40)
seeds = st.integers(0, 2**32)


def test_each_order_can_be_checked_by_eye():
    balls = asked("aaabbbc")
    assert sorted(len(list(run)) for _, run in groupby(letters(in_order(balls, Order.BLOCKED, seed=1)))) == [1, 3, 3]
    serial = letters(in_order(balls, Order.SERIAL, seed=1))
    assert sorted(serial[:3]) == ["a", "b", "c"]
    assert serial[3:] == serial[:3].replace("c", "") * 2
    mixed = letters(in_order(balls, Order.RANDOM, seed=1))
    assert sorted(mixed) == sorted("aaabbbc")
    assert all(a != b for a, b in pairwise(mixed))


def test_easing_goes_from_all_blocked_to_all_random_in_even_steps():
    shares = [blocked_share(Order.EASING, week, 5) for week in range(1, 6)]
    assert shares == [Fraction(1), Fraction(3, 4), Fraction(1, 2), Fraction(1, 4), Fraction(0)]
    assert blocked_share(Order.EASING, 1, 1) == 0
    balls = asked("a" * 4 + "b" * 4)
    runs = [letters(in_order(balls, Order.EASING, seed=3, week=week, weeks=5)) for week in range(1, 6)]
    first, second = runs[0][0], runs[0][-1]
    for blocked, order in zip((4, 3, 2, 1, 0), runs, strict=True):
        assert order.startswith(first * blocked + second * blocked)
        rest = order[2 * blocked :]
        assert all(a != b for a, b in pairwise(rest))


@pytest.mark.parametrize(("week", "weeks"), [(0, 4), (5, 4), (1.0, 4), (True, 4)])
def test_a_week_that_is_not_one_of_the_weeks_is_refused(week, weeks):
    with pytest.raises(GeneratorError, match=r"[Ww]eek"):
        in_order(asked("ab"), Order.EASING, seed=1, week=week, weeks=weeks)


@settings(max_examples=60, deadline=None)
@given(balls=multisets | anywhere, order=st.sampled_from(Order), seed=seeds, week=st.integers(1, 4))
def test_every_order_keeps_all_balls_and_depends_on_them_and_the_seed_only(balls, order, seed, week):
    made = in_order(balls, order, seed=seed, week=week, weeks=4)
    assert sorted(made, key=str) == sorted(balls, key=str)
    assert made == in_order(balls[::-1], order, seed=seed, week=week, weeks=4)


@settings(max_examples=60, deadline=None)
@given(balls=multisets, seed=seeds)
def test_blocked_changes_kind_as_seldom_as_can_be(balls, seed):
    assert len(list(groupby(in_order(balls, Order.BLOCKED, seed=seed)))) == len(set(balls))


@settings(max_examples=60, deadline=None)
@given(balls=multisets, seed=seeds)
def test_serial_comes_back_to_a_kind_after_every_other_kind_that_is_left(balls, seed):
    made = in_order(balls, Order.SERIAL, seed=seed)
    times = Counter()
    rounds = []
    for ball in made:
        times[ball] += 1
        rounds.append(times[ball])
    assert rounds == sorted(rounds)
    turn = list(dict.fromkeys(made))
    for number, group in groupby(zip(rounds, made, strict=True), key=lambda pair: pair[0]):
        assert [ball for _, ball in group] == [kind for kind in turn if balls.count(kind) >= number]


@settings(max_examples=80, deadline=None)
@given(balls=anywhere.filter(bool), seed=seeds)
def test_random_without_targets_repeats_a_kind_only_where_its_share_forces_it(balls, seed):
    made = in_order(balls, Order.RANDOM, seed=seed)
    most = max(Counter(balls).values())
    assert sum(a == b for a, b in pairwise(made)) == max(0, 2 * most - len(balls) - 1)


@settings(max_examples=80, deadline=None)
@given(balls=multisets.filter(bool), seed=seeds)
def test_random_at_targets_repeats_a_club_only_where_its_share_forces_it(balls, seed):
    made = in_order(balls, Order.RANDOM, seed=seed)
    most = max(Counter(ball.club for ball in balls).values())
    assert sum(a.club == b.club for a, b in pairwise(made)) == max(0, 2 * most - len(balls) - 1)


@settings(max_examples=60, deadline=None)
@given(balls=multisets, seed=seeds, week=st.integers(1, 6))
def test_easing_blocks_of_every_kind_its_share_to_the_nearest_ball(balls, seed, week):
    made = in_order(balls, Order.EASING, seed=seed, week=week, weeks=6)
    cut = {kind: (2 * n * (6 - week) + 5) // 10 for kind, n in Counter(balls).items()}
    blocked = made[: sum(cut.values())]
    assert Counter(blocked) == {kind: n for kind, n in cut.items() if n}
    assert len(list(groupby(blocked))) == sum(n > 0 for n in cut.values())


@pytest.mark.parametrize("order", list(Order))
def test_every_kind_is_as_likely_at_every_position(order):
    """Chi-square at 1 in 10,000 on fixed seeds."""
    made = [letters(in_order(asked("aabbcc"), order, seed=seed, week=2, weeks=3)) for seed in range(3000)]
    for position in range(6):
        assert chisquare(list(Counter(text[position] for text in made).values())).pvalue > 1e-4


def test_a_seed_gives_the_same_order_for_ever():
    """Drawn once and written down: if one changes, ALGORITHM needs another number."""
    made = {order.value: letters(in_order(asked("aaabbbcc"), order, seed=7, week=2, weeks=3)) for order in Order}
    assert made == {"blocked": "bbbaaacc", "serial": "bacbacba", "random": "acbcabab", "easing": "bbaaccba"}


def test_a_reordered_block_is_numbered_anew_and_says_how_it_was_made():
    block = draw_carry_test(["54", "58"], ["9:00", "full"], balls_each=3)
    serial = reordered(block, Order.SERIAL)
    assert [ball.n for ball in serial.balls] == list(range(1, 13))
    assert serial.algorithm == "carry-test-1+orders-1"
    digests = {
        reordered(block, order, week=week, weeks=3).inputs_sha256
        for order in (Order.SERIAL, Order.EASING)
        for week in (1, 2)
    }
    assert len(digests | {block.inputs_sha256}) == 5


def test_what_a_block_said_of_its_neighbours_goes_with_their_order():
    clubs = [*(ClubOption(label, 0, 30) for label in "abc"), ClubOption("d", 60, 80)]
    targets = [TargetOption("near", 20), TargetOption("far", 70)]
    even = draw_block(clubs, targets, balls=8, seed=1, number_shown=True)
    weights = {("d", "far"): 1, **{(label, "near"): 3 for label in "abc"}}
    weighted = draw_weighted_block(clubs, targets, balls=8, seed=1, number_shown=True, weights=weights)
    for block in (even, weighted):
        assert any("to keep them apart takes" in note for note in block.notes)
        assert not any("to keep them apart takes" in note for note in reordered(block, Order.BLOCKED).notes)
