from dataclasses import asdict, fields, replace
from math import sqrt

import numpy as np
import pytest

from analytics.metrics.cells import CellScore, score_cells

from .shots import Shot, entered, make_columns, score

COUNTS = {"mishits", "n", "n_lateral", "n_carry", "sessions", "trend_sessions"}
NOTHING = {field.name: 0 if field.name in COUNTS else None for field in fields(CellScore)} | {
    "trend_verdict": "too few"
}


def figures_left(cell: CellScore) -> set[str]:
    """Names of the figures that are given, counts apart."""
    return {name for name, value in asdict(cell).items() if value is not None and name not in COUNTS}


def test_a_cell_without_shots_scores_zero_counts_and_no_figure():
    assert asdict(score([])) == NOTHING


def test_no_cells_score_nothing():
    assert score_cells(make_columns([]), 0) == []


def test_cells_come_back_in_the_order_of_their_codes_with_the_empty_ones():
    shots = [Shot(error_m=1, cell=2), Shot(error_m=4, cell=0), Shot(error_m=3, cell=2)]
    cells = score_cells(make_columns(shots), 4)
    assert [cell.n for cell in cells] == [1, 0, 2, 0]
    assert [cell.bias_m for cell in cells] == [4, None, 2, None]


def test_one_shot_has_a_bias_and_an_rmse_but_no_spread_and_no_interval():
    cell = score([Shot(target_m=50, carry_m=47, lateral_m=4)])
    expected = NOTHING | {
        "n": 1,
        "bias_m": -3,
        "rmse_m": 3,
        "rmse_all_m": 3,
        "n_lateral": 1,
        "proximity_mean_m": 5,
        "proximity_median_m": 5,
        "sessions": 1,
    }
    assert asdict(cell) == expected


def test_equal_shots_have_no_spread_and_intervals_that_are_points():
    cell = score([Shot(target_m=70.1, carry_m=71.3), Shot(carry_m=64.7)] * 5)
    error_m = 71.3 - 70.1
    assert (cell.bias_m, cell.spread_m) == (error_m, 0)
    assert cell.bias_ci95_m == (error_m, error_m)
    assert cell.spread_ci95_m == (0, 0)
    assert cell.carry_ci95_m == (64.7, 64.7)


def test_n_counts_known_distances_and_entered_errors_alike():
    cell = score([Shot(target_m=60, carry_m=62), Shot(error_m=-4)])
    assert (cell.n, cell.bias_m) == (2, -1)
    assert cell.rmse_m == pytest.approx(sqrt(10))


def test_carry_minus_target_goes_before_an_entered_error():
    assert score([Shot(target_m=60, carry_m=62, error_m=-9)]).bias_m == 2


def test_an_entered_error_counts_where_the_target_is_known_but_the_carry_is_not():
    cell = score([Shot(target_m=60, error_m=-9)])
    assert (cell.bias_m, cell.rmse_all_m) == (-9, None)


def test_a_target_without_a_carry_counts_nowhere():
    assert asdict(score([Shot(target_m=60, lateral_m=1)])) == NOTHING


def test_mishits_are_counted_apart_and_enter_rmse_all_only_with_target_and_carry():
    cell = score(
        [
            Shot(target_m=60, carry_m=63),
            Shot(target_m=60, carry_m=56, mishit=True),
            Shot(target_m=60, carry_m=0, mishit=True),
            Shot(target_m=60, mishit=True),
            Shot(error_m=-20, mishit=True),
            Shot(carry_m=30, mishit=True),
        ]
    )
    assert (cell.mishits, cell.n, cell.n_carry) == (5, 1, 0)
    assert cell.rmse_m == 3
    assert cell.rmse_all_m == pytest.approx(sqrt((9 + 16 + 3600) / 3), rel=1e-15)


def test_entered_errors_have_no_target_and_carry_so_they_stay_out_of_rmse_all():
    cell = score([Shot(target_m=60, carry_m=63), *entered([50, -50])])
    assert cell.rmse_all_m == 3


def test_mishits_alone_leave_only_their_count_and_rmse_all():
    cell = score([Shot(target_m=60, carry_m=20, lateral_m=5, mishit=True, session=s) for s in range(4)])
    assert (cell.mishits, cell.n, cell.sessions, cell.trend_sessions) == (4, 0, 0, 0)
    assert figures_left(cell) == {"rmse_all_m", "trend_verdict"}


def test_carry_is_that_of_stock_balls_only():
    cell = score(
        [
            Shot(carry_m=70),
            Shot(carry_m=74),
            Shot(target_m=50, carry_m=50),
            Shot(error_m=2, carry_m=90),
            Shot(carry_m=10, mishit=True),
            Shot(),
        ]
    )
    assert (cell.n_carry, cell.carry_mean_m) == (2, 72)
    # t(.975, 1) = 12.7062 from any table, s / sqrt(2) = 2
    assert cell.carry_ci95_m == pytest.approx((72 - 25.4124, 72 + 25.4124), abs=1e-4)


def test_sessions_count_where_at_least_one_shot_is_of_n():
    cell = score(
        [
            Shot(error_m=1, session=0),
            Shot(target_m=60, carry_m=61, session=3),
            Shot(target_m=60, carry_m=61, session=3),
            Shot(target_m=60, carry_m=0, session=5, mishit=True),
            Shot(carry_m=60, session=6),
        ]
    )
    assert (cell.sessions, cell.trend_sessions) == (2, 1)


def test_figures_are_plain_numbers_that_json_can_write():
    cell = score([Shot(target_m=60, carry_m=60 + k % 5, lateral_m=k, session=k // 2, day=k) for k in range(12)])
    for name, value in asdict(cell).items():
        kinds = {type(part) for part in (value if isinstance(value, tuple) else (value,))}
        assert kinds <= {int, float, str, type(None)}, name


def test_a_cell_code_outside_the_cells_is_refused():
    with pytest.raises(ValueError, match="cell codes must lie in 0 to 1"):
        score_cells(make_columns([Shot(error_m=1, cell=2)]), 2)
    with pytest.raises(ValueError, match="cell codes must lie in 0 to 1"):
        score_cells(make_columns([Shot(error_m=1, cell=-1)]), 2)


def test_columns_of_unequal_length_are_refused():
    columns = make_columns([Shot(error_m=1), Shot(error_m=2)])
    with pytest.raises(ValueError, match="equally long"):
        replace(columns, carry_m=np.array([1.0]))


def test_scoring_leaves_the_columns_as_they_were():
    columns = make_columns([Shot(error_m=1), Shot(target_m=60, carry_m=61, lateral_m=2), Shot(carry_m=9)])
    before = {name: column.copy() for name, column in vars(columns).items()}
    score_cells(columns, 1)
    for name, column in before.items():
        np.testing.assert_array_equal(getattr(columns, name), column)
