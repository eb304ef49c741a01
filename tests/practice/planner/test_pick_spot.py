"""Pick a spot: two clubs a spot, no distance anywhere, and no bias over seeds."""

from collections import Counter
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import chisquare

from practice.planner.generator import FEEL, GeneratorError
from practice.planner.pick_spot import draw_pick_spot

CLUBS = ["50", "54", "58", "60"]


def test_two_clubs_hit_the_same_spot_one_after_the_other():
    block = draw_pick_spot(CLUBS, spots=3, seed=5)
    assert [ball.n for ball in block.balls] == list(range(1, 7))
    assert [ball.target for ball in block.balls] == [f"your spot {n}" for n in (1, 1, 2, 2, 3, 3)]


@settings(max_examples=80, deadline=None)
@given(clubs=st.integers(2, 14), spots=st.integers(1, 100), seed=st.integers(0, 2**32))
def test_no_club_follows_itself_all_are_even_and_no_distance_is_shown(clubs, spots, seed):
    labels = [f"club {i}" for i in range(clubs)]
    block = draw_pick_spot(labels, spots=spots, seed=seed)
    hit = [ball.club for ball in block.balls]
    assert all(a != b for a, b in pairwise(hit))
    times = [hit.count(label) for label in labels]
    assert sum(times) == 2 * spots
    assert max(times) - min(times) <= 1
    assert {(ball.target_m, ball.below, ball.above, ball.swing) for ball in block.balls} == {(None, None, None, FEEL)}


def test_every_club_is_as_likely_at_every_ball():
    blocks = [draw_pick_spot(CLUBS[:3], spots=4, seed=seed) for seed in range(3000)]
    for n in range(8):
        seen = Counter(block.balls[n].club for block in blocks)
        assert chisquare(list(seen.values())).pvalue > 0.001


def test_every_pair_of_clubs_is_as_likely_at_the_first_spot():
    pairs = Counter(tuple(b.club for b in draw_pick_spot(CLUBS[:3], spots=3, seed=s).balls[:2]) for s in range(3000))
    assert len(pairs) == 6
    assert chisquare(list(pairs.values())).pvalue > 0.001


@pytest.mark.parametrize(
    ("clubs", "spots", "words"),
    [
        (["54"], 4, "choose at least two"),
        ([], 4, "Choose at least one club"),
        (["54", "54"], 4, "is there twice"),
        (CLUBS, 0, "1 to 250 spots, not 0"),
        (CLUBS, 10_000, "1 to 250 spots, not 10000"),
        (CLUBS, 2.5, "whole number"),
    ],
)
def test_what_cannot_be_drawn_is_refused_with_what_to_do(clubs, spots, words):
    with pytest.raises(GeneratorError, match=words):
        draw_pick_spot(clubs, spots=spots, seed=1)


def test_a_seed_gives_the_same_block_for_ever():
    block = draw_pick_spot(CLUBS, spots=4, seed=7)
    assert block.algorithm == "pick-spot-1"
    assert " ".join(ball.club for ball in block.balls) == "60 58 54 58 54 50 60 50"
    assert draw_pick_spot(CLUBS, spots=4, seed=7) == block
    assert draw_pick_spot(CLUBS, spots=5, seed=7).inputs_sha256 != block.inputs_sha256
