from dataclasses import asdict
from statistics import median

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from analytics.metrics.mishits import (
    CUT,
    MAD_NORMAL,
    SMALL_MAD,
    good_shots,
    relative_errors_pct,
    robust_scale,
    suggested_mishits,
    truncation_factor,
)

from .shots import Shot, make_columns

few = settings(max_examples=60, deadline=None)


def suggest(*cells: list[float], flagged: tuple[int, ...] = ()) -> list[bool]:
    """Suggestions for the shots of the cells, cell after cell; `flagged` counts along all of them."""
    group = np.repeat(np.arange(len(cells)), [len(cell) for cell in cells])
    flags = np.isin(np.arange(len(group)), flagged)
    return suggested_mishits(group, np.concatenate(cells).astype(float), flags).tolist()


def test_a_ball_far_from_its_cell_is_suggested_and_the_others_are_not():
    # median -0.5; distances 1.5 .5 .5 1.5 2.5 39.5, MAD 1.5; scale 1.4826 x 1.5 x 1.261 = 2.804; cut at 7.01
    assert suggest([-2, -1, 0, 1, 2, -40]) == [False] * 5 + [True]
    assert suggest([-2, -1, 0, 1, 2, -7.6]) == [False] * 5 + [True]
    assert suggest([-2, -1, 0, 1, 2, -7.4]) == [False] * 6


def test_what_the_player_flagged_is_not_suggested_again_and_sets_no_scale():
    assert suggest([-2, -1, 0, 1, 2, -40], flagged=(5,)) == [False] * 6
    assert suggest([-2, -1, 0, 1, 2, -9, -90, -90, -90], flagged=(6, 7, 8)) == [False] * 5 + [True] + [False] * 3


def test_no_flag_is_touched():
    flagged = np.array([False] * 5 + [True])
    suggested_mishits(np.zeros(6, dtype=int), np.array([-2, -1, 0, 1, 2, -40.0]), flagged)
    assert flagged.tolist() == [False] * 5 + [True]


def test_the_scale_is_the_players_not_the_cells():
    tight, usual = [0, 0.1, -0.1, 0.2, -0.2, 5], [0, 4, -4, 8, -8, 2]
    assert suggest(tight)[-1]
    assert not any(suggest(tight, usual, usual))


@pytest.mark.parametrize(
    ("case", "cells"),
    [
        ("no shot", [[]]),
        ("two shots", [[0, 50]]),
        ("two shots beside a cell that has a scale", [[0, 1, 2, 3], [0, 50]]),
        ("all shots the same", [[3, 3, 3, 3, 3]]),
        ("MAD 0 with one other ball", [[3, 3, 3, 3, 90]]),
        ("missing values only", [[np.nan, np.nan, np.nan]]),
    ],
)
def test_nothing_is_suggested_where_nothing_says_what_is_usual(case, cells):
    assert not any(suggest(*cells))


def test_a_missing_value_is_not_judged_and_hides_nothing():
    assert suggest([-2, np.nan, -1, 0, 1, 2, -40]) == [False] * 6 + [True]


def slow_suggestions(cells: list[list[float]]) -> list[bool]:
    """The rule read aloud, in plain Python."""
    scales = []
    for cell in cells:
        n = len(cell)
        if n >= 3:
            mad = median(abs(x - median(cell)) for x in cell)
            scales.append(1.482602 * mad * (SMALL_MAD[n] if n <= 10 else n / (n - 1.2)))
    scale = median(scales) if scales else 0
    return [len(cell) >= 3 and scale > 0 and abs(x - median(cell)) > CUT * scale for cell in cells for x in cell]


tenths = st.integers(-400, 400).map(lambda value: value / 10)
cells_of_shots = st.lists(st.lists(tenths, min_size=1, max_size=14), min_size=1, max_size=6)


@given(cells_of_shots)
@few
def test_the_suggestions_equal_the_slow_ones(cells):
    assert suggest(*cells) == slow_suggestions(cells)


@given(cells_of_shots)
@few
def test_mirrored_and_doubled_errors_are_judged_alike(cells):
    assert suggest(*[[-2 * x for x in cell] for cell in cells]) == suggest(*cells)


@given(cells_of_shots.flatmap(lambda cells: st.tuples(st.just(cells[0]), st.permutations(cells[0]))))
@few
def test_the_order_of_the_shots_changes_nothing(cell_twice):
    cell, shuffled = cell_twice
    assert dict(zip(cell, suggest(cell), strict=True)) == dict(zip(shuffled, suggest(shuffled), strict=True))


def test_the_mad_is_made_comparable_with_an_sd_as_statsmodels_does():
    robust = pytest.importorskip("statsmodels.robust")
    values = np.array([1, 4, 2, 8, 5, 7, 1, 9, 3, 3, 6, 10.0])
    mad = np.median(np.abs(values - np.median(values)))
    assert mad * MAD_NORMAL == pytest.approx(robust.mad(values), rel=1e-12)


@pytest.mark.parametrize("n", [3, 4, 5, 6, 7, 8, 9, 10, 15, 20])
def test_the_median_over_many_small_normal_cells_is_their_sd(n):
    cells = 40_000
    shots = np.random.default_rng(n).standard_normal((cells, n))
    mad = np.median(np.abs(shots - np.median(shots, axis=1, keepdims=True)), axis=1)
    # 4 standard errors of a median of 40,000 (about 1.25 sd / sqrt(40,000)) and 1 % for the factor
    assert robust_scale(np.full(cells, n), mad) == pytest.approx(1, abs=0.01 + 4 * 1.25 * 0.6 / 200)


@pytest.mark.parametrize("cut", [0.5, 1, 2, 2.5, 3, 6])
def test_the_truncated_sd_is_scipys(cut):
    assert truncation_factor(cut) == pytest.approx(stats.truncnorm(-cut, cut).std(), rel=1e-9)


def test_a_normal_cut_at_one_sd_has_the_published_variance():
    # Variance .2911 of a standard normal truncated to (-1, 1): Johnson, Kotz and Balakrishnan, Continuous Univariate
    # Distributions 1, ch. 13 (from memory).
    assert truncation_factor(1) ** 2 == pytest.approx(0.2911, abs=5e-5)


def good(values: list[float], mishits: int = 0, *, suggestions_left_out: bool = False):
    """The good shots of one cell after `mishits` mishits were taken out of it."""
    column = np.array(values + [-40.0] * mishits)
    mishit = np.arange(len(column)) >= len(values)
    group = np.zeros(len(column), dtype=int)
    return good_shots(group, column, mishit, 1, suggestions_left_out=suggestions_left_out)[0]


EIGHT = [-3.0, -1, 2, -4, 0, -2, 1, -5]  # mean -1.5, squares about it 42, s sqrt(6)


def test_good_shots_worked_by_hand():
    cell = good(EIGHT, mishits=1)
    assert (cell.n, cell.mishits, cell.centre, cell.withheld) == (8, 1, -1.5, None)
    assert cell.spread == pytest.approx(6**0.5)
    # chi-square .025 and .975 with 7 degrees of freedom, any table: 1.6899, 16.0128, so .6612 s to 2.0353 s
    assert cell.spread_ci95 == pytest.approx((0.6612 * 6**0.5, 2.0353 * 6**0.5), rel=1e-4)


def test_where_suggestions_were_left_out_the_spread_makes_up_for_the_tails_cut_off():
    # 1 / sqrt(1 - 2 x 2.5 x .0175283 / .9875807) = 1.04757
    assert good(EIGHT, 1, suggestions_left_out=True).spread == pytest.approx(1.04757 * 6**0.5, rel=1e-5)
    assert good(EIGHT, 1).spread == pytest.approx(6**0.5)


def test_no_spread_is_shown_when_one_ball_in_five_is_a_mishit():
    assert good(EIGHT, mishits=1).withheld is None
    two_in_ten = good(EIGHT, mishits=2)
    assert (two_in_ten.spread, two_in_ten.spread_ci95, two_in_ten.withheld) == (None, None, "too many mishits")
    assert two_in_ten.centre == -1.5


def test_no_spread_is_shown_of_two_good_balls():
    cell = good([1, 3])
    assert (cell.centre, cell.spread, cell.withheld) == (2, None, "too few good shots")
    assert good([1]).centre_ci95 is None
    assert good([1, 2, 3]).spread == 1


def test_a_cell_of_nothing_but_mishits_and_an_empty_one_have_no_figures():
    for cell, mishits, withheld in [(good([], 3), 3, "too few good shots"), (good([]), 0, "too few good shots")]:
        assert asdict(cell) == {
            "n": 0,
            "mishits": mishits,
            "centre": None,
            "centre_ci95": None,
            "spread": None,
            "spread_ci95": None,
            "withheld": withheld,
        }


def test_equal_shots_have_the_spread_zero():
    cell = good([2.5] * 4)
    assert (cell.centre, cell.spread, cell.spread_ci95) == (2.5, 0, (0, 0))


@given(cells_of_shots)
@few
def test_another_cell_does_not_change_the_good_shots_of_this_one(cells):
    group = np.repeat(np.arange(len(cells)), [len(cell) for cell in cells])
    values = np.concatenate(cells)
    together = good_shots(group, values, np.zeros(len(group), dtype=bool), len(cells), suggestions_left_out=True)
    first = good(cells[0], suggestions_left_out=True)
    assert together[0] == first


def test_balls_at_a_target_are_judged_by_percent_of_it_and_stock_balls_by_their_cells_median():
    shots = [
        Shot(target_m=50, carry_m=55),
        Shot(target_m=50, carry_m=0, mishit=True),
        Shot(carry_m=40),
        Shot(carry_m=50),
        Shot(carry_m=60),
        Shot(error_m=-3),
        Shot(target_m=50, mishit=True),
        Shot(carry_m=0, mishit=True, cell=1),
    ]
    group, values_pct = relative_errors_pct(make_columns(shots), 2)
    assert group.tolist() == [0, 0, 2, 2, 2, 0, 0, 3]
    np.testing.assert_allclose(values_pct, [10, -100, -20, 0, 20, np.nan, np.nan, np.nan], rtol=1e-12)


def test_an_unflagged_topped_ball_is_suggested():
    shots = [Shot(target_m=50, carry_m=carry_m) for carry_m in (48, 49, 50, 51, 52, 0)]
    columns = make_columns(shots)
    assert suggested_mishits(*relative_errors_pct(columns, 1), columns.mishit).tolist() == [False] * 5 + [True]
