"""The week's balls: against brute force, by exchanges, and rounded to what a coach sets."""

import random
from dataclasses import replace
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from practice.planner.allocation import AllocationError, Need, allocate, strokes
from practice.planner.rounding import filled, mixed_picks, round_week


def need(faced=0.1, strokes_per_m=0.1, scatter_m=5.0, hit=20, name="shot", theme="mixed") -> Need:
    return Need(name, theme, faced, strokes_per_m, scatter_m, hit)


def needs(most: int, least: int = 1):
    one = st.builds(
        need,
        faced=st.just(0.0) | st.floats(1e-6, 1),  # what is next to nothing gains nothing, by rounding
        strokes_per_m=st.floats(0.01, 1),
        scatter_m=st.floats(0.5, 20),
        hit=st.integers(0, 500),
        theme=st.sampled_from("abcd"),
    )
    return st.lists(one, min_size=least, max_size=most)


def test_a_small_week_by_hand():
    """(10 / 10)^-0.2 ... (15 / 10)^-0.2 are 1, .98112, .96420, .94889, .93492, .92211: the third shot gains three times
    .01888, .01692, .01531, .01397, .01281, the second then first twice .01888. Faced 5 %: no floors."""
    shots = [need(faced=0.05, strokes_per_m=20.0 * k, scatter_m=1.0, hit=10) for k in (1, 2, 3)]
    assert shots[0].gain(0) == pytest.approx(0.01888, abs=5e-6)
    assert allocate(shots, 5) == [0, 0, 5]
    assert allocate(shots, 6) == [0, 1, 5]


def test_strokes_follow_the_published_power():
    """10, 8.7055, 7.5786, 6.5975 and 5 at 1, 2, 4, 8 and 32 balls by N^-0.2: arithmetic."""
    shot = need(faced=1.0, strokes_per_m=1.0, scatter_m=10.0, hit=1)
    assert [round(shot.strokes_after(n - 1), 4) for n in (1, 2, 4, 8, 32)] == [10.0, 8.7055, 7.5786, 6.5975, 5.0]


def small_weeks(most: int) -> list[tuple[list[Need], int]]:
    """So many shots, 6 to 12 balls, and figures near enough to each other that the balls are not all one shot's."""
    rng = random.Random(most)
    return [
        (
            [
                need(rng.uniform(0.02, 0.1), rng.uniform(0.1, 0.2), rng.uniform(4, 8), rng.randint(0, 9))
                for _ in range(most)
            ],
            rng.randint(6, 12),
        )
        for _ in range(50)
    ]


@pytest.mark.parametrize("floors", [False, True])
@pytest.mark.parametrize("most", [2, 3, 4])
def test_no_other_way_to_share_out_few_balls_costs_less(most, floors):
    free, shared = 0, 0
    for shots, balls in small_weeks(most):
        least = [shot.floor if floors else 0 for shot in shots]
        ways = [
            way
            for way in product(range(balls + 1), repeat=most)
            if sum(way) == balls and all(n >= floor for n, floor in zip(way, least, strict=True))
        ]
        if not ways:
            continue
        counts = allocate(shots, balls, floors=floors)
        assert strokes(shots, counts) == pytest.approx(min(strokes(shots, way) for way in ways), rel=1e-12)
        free += len(ways) > 1
        shared += sum(n > floor for n, floor in zip(counts, least, strict=True)) > 1
    # Else this would say nothing: most weeks can be shared out in several ways, and many of the best are not one-sided.
    assert free >= (25 if floors else 50)
    assert shared >= (15 if floors else 40)


@settings(max_examples=60, deadline=None)
@given(shots=needs(60), balls=st.integers(0, 400))
def test_no_ball_is_better_elsewhere_and_every_ball_is_given(shots, balls):
    if not any(shot.at_stake for shot in shots):
        return
    counts = allocate(shots, balls)
    assert sum(counts) == balls
    if balls < sum(shot.floor for shot in shots):
        assert all(n <= shot.floor for n, shot in zip(counts, shots, strict=True))
        return
    assert all(n >= shot.floor for n, shot in zip(counts, shots, strict=True))
    last = [shot.gain(n - 1) for n, shot in zip(counts, shots, strict=True) if n > shot.floor]
    following = [shot.gain(n) for n, shot in zip(counts, shots, strict=True)]
    assert not last or min(last) >= max(following)


@settings(max_examples=60, deadline=None)
@given(shots=needs(20), balls=st.integers(0, 100))
def test_one_ball_more_changes_nothing_before_it_and_doubling_all_stakes_nothing_at_all(shots, balls):
    if not any(shot.at_stake for shot in shots):
        return
    counts, more = allocate(shots, balls), allocate(shots, balls + 1)
    assert sorted(b - a for a, b in zip(counts, more, strict=True)) == [0] * (len(shots) - 1) + [1]
    doubled = [replace(shot, strokes_per_m=2 * shot.strokes_per_m) for shot in shots]
    assert allocate(doubled, balls) == counts


def test_ties_go_to_the_earlier_shot():
    assert allocate([need(faced=0.05)] * 4, 6) == [2, 2, 1, 1]


def test_a_shot_without_anything_at_stake_gets_its_floor_only():
    shots = [need(strokes_per_m=0.0), need(faced=0.0), need()]
    assert allocate(shots, 30) == [3, 0, 27]
    assert allocate(shots[:2], 3) == [3, 0]
    with pytest.raises(AllocationError, match="Nothing is at stake"):
        allocate(shots[:2], 4)


@pytest.mark.parametrize(
    ("shots", "balls", "message"),
    [
        ([], 10, "at least one shot"),
        ([need()], -1, "0 to 2000 balls, not -1"),
        ([need()], 10_000, "0 to 2000 balls, not 10000"),
        ([need()], 1.0, "not 1.0"),
        ([need(scatter_m=float("nan"), name="52 full")], 10, "“52 full” must be numbers"),
        ([need(faced=-0.1)], 10, "numbers from 0 up"),
    ],
)
def test_bad_input_is_refused_with_what_to_do(shots, balls, message):
    with pytest.raises(AllocationError, match=message):
        allocate(shots, balls)


# Rounded


@settings(max_examples=80, deadline=None)
@given(shots=needs(20), visits=st.integers(1, 5), fill=st.floats(0, 1))
def test_a_rounded_week_is_what_a_coach_sets(shots, visits, fill):
    if not any(shot.at_stake for shot in shots):
        return
    balls = round(visits * (20 + 70 * fill))
    week = round_week(shots, balls, visits=visits)
    assert sum(sum(block.counts) for block in week.blocks) == balls
    assert all(10 <= sum(block.counts) <= 30 for block in week.blocks)
    assert len({block.theme for block in week.blocks}) <= 2
    at = [block.visit for block in week.blocks]
    assert {at.count(visit) for visit in range(1, visits + 1)} <= {2, 3}
    for block in week.blocks:
        assert all(shot.theme == block.theme for n, shot in zip(block.counts, shots, strict=True) if n)


@settings(max_examples=80, deadline=None)
@given(shots=needs(20), visits=st.integers(1, 4))
def test_what_the_rounding_costs_is_the_difference_of_the_two_plans(shots, visits):
    if not any(shot.at_stake for shot in shots):
        return
    week = round_week(shots, 40 * visits, visits=visits)
    counts = [sum(column) for column in zip(*(block.counts for block in week.blocks), strict=True)]
    before = strokes(shots, [0] * len(shots))
    assert week.saved == pytest.approx(before - strokes(shots, counts), rel=1e-9)
    assert week.saved_most == pytest.approx(
        before - strokes(shots, allocate(shots, 40 * visits, floors=False)), rel=1e-9
    )
    assert week.lost >= -1e-9


@settings(max_examples=80, deadline=None)
@given(shots=needs(12, least=2), balls=st.integers(1, 90))
def test_no_shot_takes_more_than_half_of_a_theme_where_another_has_something_to_gain(shots, balls):
    shots = [replace(shot, theme="") for shot in shots if shot.at_stake]
    if len(shots) < 2:
        return
    (theme, counts), *_ = filled(shots, [balls])[0]
    assert (theme, sum(counts)) == ("", balls)
    assert max(counts) <= (balls + 1) // 2


@settings(max_examples=60, deadline=None)
@given(shots=needs(8), balls=st.integers(1, 60))
def test_a_theme_of_fewer_balls_is_the_beginning_of_one_of_more(shots, balls):
    given_out = mixed_picks(shots, balls)
    assert all(mixed_picks(shots, n) == given_out[:n] for n in range(0, balls, 7))


def test_a_shot_hit_seldom_gets_half_and_alone_all():
    seldom, often = need(faced=0.05, hit=1), need(faced=0.05, hit=1000)
    assert filled([seldom, often], [20])[0] == [("mixed", (10, 10))]
    nothing = need(faced=0.0)
    assert filled([seldom, nothing], [20])[0] == [("mixed", (20, 0))]


@pytest.mark.parametrize("sizes", [[20, 20, 20], [21, 20], [11, 10]])
def test_no_block_gives_a_shot_more_than_half_of_its_balls_and_one(sizes):
    seldom, often = need(faced=0.05, hit=1), need(faced=0.05, hit=1000)
    for _, counts in filled([seldom, often], sizes)[0]:
        assert max(counts) <= (sum(counts) + 1) // 2


def test_two_themes_lose_nothing_where_there_are_no_more_and_sizes_fit():
    shots = [need(faced=0.05, theme="a"), need(faced=0.05, theme="b")]
    week = round_week(shots, 80, visits=2)
    assert [(block.visit, block.theme, block.counts) for block in week.blocks] == [
        *((1, "a", (20, 0)), (1, "b", (0, 20)), (2, "a", (20, 0)), (2, "b", (0, 20)))
    ]
    assert week.lost == pytest.approx(0, abs=1e-12)


@pytest.mark.parametrize(("balls", "visits"), [(39, 2), (181, 2), (10, 1), (40, 0)])
def test_balls_that_do_not_fit_the_visits_are_refused(balls, visits):
    with pytest.raises(AllocationError, match="visit"):
        round_week([need()], balls, visits=visits)
