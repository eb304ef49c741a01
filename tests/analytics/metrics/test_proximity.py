"""Landing miss against the theory of two-dimensional error.

Each test scores evenly spread, equally likely landing points. The points, not the code, limit the agreement: with
1,000,000 of them the true mean and median are met to less than 1e-4 of the larger sd.
"""

from functools import cache

import numpy as np
import pytest

from analytics.metrics.cells import ShotColumns, score_cells

from .shots import Shot, score

GRID_ERROR = 1e-4


def landing_grid(points: int = 1_000_000) -> tuple[np.ndarray, np.ndarray]:
    """Circular normal scatter with sd 1 on each axis: quantiles of the Rayleigh radius on a golden-angle spiral."""
    i = np.arange(points)
    radius = np.sqrt(-2 * np.log1p(-(i + 0.5) / points))
    angle = 2 * np.pi * (i * (np.sqrt(5) - 1) / 2 % 1)
    return radius * np.cos(angle), radius * np.sin(angle)


GRID = landing_grid()


@cache
def proximity_of_normal_scatter(distance_sd, side_sd, distance_bias=0.0, side_bias=0.0) -> tuple[float, float]:
    """Mean and median landing miss that the score reports for this scatter."""
    distance, side = GRID
    shots, nothing = len(distance), np.full(len(distance), np.nan)
    columns = ShotColumns(
        cell=np.zeros(shots, dtype=int),
        session=np.zeros(shots, dtype=int),
        day=np.zeros(shots, dtype=int),
        mishit=np.zeros(shots, dtype=bool),
        stock=np.zeros(shots, dtype=bool),
        target_m=np.full(shots, 60.0),
        carry_m=60.0 + distance_bias + distance_sd * distance,
        error_m=nothing,
        lateral_m=side_bias + side_sd * side,
    )
    (cell,) = score_cells(columns, 1)
    assert cell.n_lateral == shots
    return cell.proximity_mean_m, cell.proximity_median_m


def test_a_circular_scatter_has_the_mean_and_the_cep_of_rayleigh():
    # Rayleigh, any text: mean sqrt(pi/2) = 1.253314, median (CEP) sqrt(2 ln 2) = 1.177410, times the sd.
    mean_m, median_m = proximity_of_normal_scatter(3.0, 3.0)
    assert mean_m == pytest.approx(3 * np.sqrt(np.pi / 2), abs=3 * GRID_ERROR)
    assert median_m == pytest.approx(3 * np.sqrt(2 * np.log(2)), abs=3 * GRID_ERROR)


# Unequal sd, no bias (Hoyt): numerical integration; approximations in RAND R-234 (1952) (cited from memory).
HOYT = [  # ratio of the sds, CEP, mean radius, in units of the larger sd
    (0.9, 1.11807, 1.19147),
    (0.8, 1.05769, 1.13147),
    (0.7, 0.99621, 1.07363),
    (0.6, 0.93365, 1.01838),
    (0.5, 0.87042, 0.96628),
    (0.4, 0.80785, 0.91809),
    (0.3, 0.74994, 0.87486),
    (0.2, 0.70585, 0.83818),
    (0.1, 0.68199, 0.81065),
]


@pytest.mark.parametrize(("ratio", "cep", "mean"), HOYT)
def test_an_elongated_scatter_has_the_cep_and_the_mean_of_hoyt(ratio, cep, mean):
    assert proximity_of_normal_scatter(1.0, ratio) == pytest.approx((mean, cep), abs=GRID_ERROR)


def test_a_scatter_wider_across_than_along_scores_the_same():
    cep, mean = 0.87042, 0.96628  # ratio 0.5 above
    assert proximity_of_normal_scatter(0.5, 1.0) == pytest.approx((mean, cep), abs=GRID_ERROR)


@pytest.mark.parametrize(("ratio", "cep"), [row[:2] for row in HOYT if row[0] >= 0.3])
def test_the_cep_agrees_with_the_handbook_approximation(ratio, cep):
    # CEP = 0.562 larger sd + 0.615 smaller sd, within 0.5 % from ratio 0.3 up (RAND R-234, cited from memory).
    _, median_m = proximity_of_normal_scatter(1.0, ratio)
    assert median_m == pytest.approx(0.562 + 0.615 * ratio, rel=0.005)


# Equal sd 1, off by a bias (Rice): noncentral chi-square with 2 degrees of freedom and noncentrality bias^2.
RICE = [  # bias, CEP, mean radius
    (0.5, 1.25158, 1.33045),
    (1.0, 1.47548, 1.54857),
    (1.5, 1.82547, 1.87494),
    (2.0, 2.24580, 2.27238),
    (3.0, 3.16525, 3.17258),
]


@pytest.mark.parametrize(("bias", "cep", "mean"), RICE)
def test_a_scatter_about_another_point_has_the_cep_and_the_mean_of_rice(bias, cep, mean):
    assert proximity_of_normal_scatter(1, 1, distance_bias=bias) == pytest.approx((mean, cep), abs=GRID_ERROR)
    assert proximity_of_normal_scatter(1, 1, side_bias=-bias) == pytest.approx((mean, cep), abs=GRID_ERROR)


def test_a_general_scatter_has_its_integrated_cep_and_mean():
    # side sd 3, distance sd 6, bias 1 m right and 4 m short, by numerical integration
    figures = proximity_of_normal_scatter(6, 3, distance_bias=-4, side_bias=1)
    assert figures == pytest.approx((6.798172, 6.109087), abs=6 * GRID_ERROR)


def test_four_balls_worked_by_hand():
    cell = score(
        [
            Shot(target_m=60, carry_m=63, lateral_m=4),  # 5
            Shot(target_m=60, carry_m=55, lateral_m=-12),  # 13
            Shot(error_m=-8, lateral_m=6),  # 10
            Shot(target_m=60, carry_m=60, lateral_m=0),  # 0
            Shot(target_m=60, carry_m=90),  # no lateral: not counted
            Shot(target_m=60, carry_m=20, lateral_m=20, mishit=True),  # mishit: not counted
            Shot(carry_m=60, lateral_m=3),  # stock ball: no distance error
        ]
    )
    assert (cell.n, cell.n_lateral) == (5, 4)
    assert cell.proximity_mean_m == 7
    assert cell.proximity_median_m == 7.5


def test_without_lateral_there_is_no_proximity():
    cell = score([Shot(target_m=60, carry_m=62)])
    assert (cell.n_lateral, cell.proximity_mean_m, cell.proximity_median_m) == (0, None, None)
