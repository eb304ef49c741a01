import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import integrate, optimize, special

from analytics.metrics.pooled_proximity import inside, median_miss, pooled_proximity
from analytics.metrics.pooling import CellPosterior, draw_posterior

from .test_proximity import HOYT, RICE

few = settings(max_examples=25, deadline=None)


def known(bias: float, spread: float) -> CellPosterior:
    """A cell of which everything is known: one draw."""
    return CellPosterior(np.array([[float(bias)]]), np.array([[float(spread)]]))


def median_of(distance: CellPosterior, lateral: CellPosterior | None = None) -> float:
    return float(median_miss(distance, lateral)[0, 0])


def chance(radius: float, distance: CellPosterior, lateral: CellPosterior | None = None) -> float:
    return float(inside(np.array([[float(radius)]]), distance, lateral)[0][0, 0])


def test_a_circular_scatter_has_the_median_of_rayleigh():
    assert median_of(known(0, 3), known(0, 3)) == pytest.approx(3 * np.sqrt(2 * np.log(2)), rel=1e-4)


@pytest.mark.parametrize(("ratio", "cep"), [row[:2] for row in HOYT])
def test_an_elongated_scatter_has_the_cep_of_hoyt_either_way_round(ratio, cep):
    assert median_of(known(0, 1), known(0, ratio)) == pytest.approx(cep, rel=2e-4)
    assert median_of(known(0, ratio), known(0, 1)) == pytest.approx(cep, rel=2e-4)


@pytest.mark.parametrize(("bias", "cep"), [row[:2] for row in RICE])
def test_a_scatter_about_another_point_has_the_cep_of_rice(bias, cep):
    assert median_of(known(bias, 1), known(0, 1)) == pytest.approx(cep, rel=3e-4)
    assert median_of(known(0, 1), known(-bias, 1)) == pytest.approx(cep, rel=3e-4)


def test_a_general_scatter_has_its_integrated_cep():
    assert median_of(known(-4, 6), known(1, 3)) == pytest.approx(6.109087, rel=2e-4)


# Radius that holds 95 %: equal sds (Rayleigh), unequal (Hoyt), and off by a bias (Rice), by numerical integration.
RADIUS_95 = [  # bias of distance, sd of lateral (that of distance is 1), radius
    (0, 1, 2.447747),
    (0, 0.8, 2.2303),
    (0, 0.5, 2.0359),
    (0, 0.2, 1.9704),
    (0.5, 1, 2.59166),
    (1, 1, 2.93976),
    (3, 1, 4.77723),
]


@pytest.mark.parametrize(("bias", "lateral_sd", "radius"), RADIUS_95)
def test_the_chance_inside_the_published_95_percent_radius_is_95_percent(bias, lateral_sd, radius):
    assert chance(radius, known(bias, 1), known(0, lateral_sd)) == pytest.approx(0.95, abs=2e-5)


def test_half_of_a_cell_lands_inside_its_median():
    scatter = known(-4, 6), known(1, 3)
    assert chance(median_of(*scatter), *scatter) == pytest.approx(0.5, abs=2e-4)


def test_without_lateral_the_miss_is_short_or_long_only():
    # median |e| = .6744898 sd (normal tables)
    assert median_of(known(0, 4)) == pytest.approx(0.6744898 * 4, rel=2e-4)
    assert chance(1.959964, known(0, 1)) == pytest.approx(0.95, abs=1e-6)


def slow_chance(radius: float, distance: tuple[float, float], lateral: tuple[float, float]) -> float:
    """P(miss < radius) by adaptive integration over the lateral error."""

    def strip(y: float) -> float:
        half, z = math.sqrt(radius**2 - y**2), (y - lateral[0]) / lateral[1]
        inside_strip = special.ndtr((half - distance[0]) / distance[1]) - special.ndtr(
            (-half - distance[0]) / distance[1]
        )
        return inside_strip * math.exp(-z * z / 2) / math.sqrt(2 * math.pi) / lateral[1]

    near = [y for y in (lateral[0] - lateral[1], lateral[0], lateral[0] + lateral[1]) if abs(y) < radius]
    return integrate.quad(strip, -radius, radius, points=near, limit=200)[0]


biases, spreads = st.integers(-40, 40).map(lambda x: x / 10), st.integers(20, 60).map(lambda x: x / 10)
radii = st.integers(5, 120).map(lambda x: x / 10)


@given(radii, biases, spreads, biases, spreads)
@few
def test_the_chance_equals_the_slow_integral(radius, bias, spread, lateral_bias, lateral_spread):
    found = chance(radius, known(bias, spread), known(lateral_bias, lateral_spread))
    assert found == pytest.approx(slow_chance(radius, (bias, spread), (lateral_bias, lateral_spread)), abs=5e-4)


@given(biases, spreads, biases, spreads)
@few
def test_half_the_balls_land_inside_the_median_of_any_usual_scatter(bias, spread, lateral_bias, lateral_spread):
    scatter = known(bias, spread), known(lateral_bias, lateral_spread)
    assert chance(median_of(*scatter), *scatter) == pytest.approx(0.5, abs=2e-3)


def test_a_scatter_that_hardly_is_one_loses_a_percent_of_the_median_at_most():
    # 4 m to the right with half a metre of scatter, distance error 4 m
    scatter = known(0, 4), known(4, 0.5)
    truth = optimize.brentq(lambda radius: slow_chance(radius, (4, 0.5), (0, 4)) - 0.5, 3, 9)
    assert median_of(*scatter) == pytest.approx(truth, rel=0.01)


@given(biases, spreads, biases, spreads)
@few
def test_mirrored_turned_and_scaled_scatter_has_the_mirrored_turned_and_scaled_miss(b, s, lateral_b, lateral_s):
    one = median_of(known(b, s), known(lateral_b, lateral_s))
    assert median_of(known(-b, s), known(lateral_b, lateral_s)) == pytest.approx(one, rel=1e-3)
    assert median_of(known(lateral_b, lateral_s), known(b, s)) == pytest.approx(one, rel=1e-3)
    assert median_of(known(2 * b, 2 * s), known(2 * lateral_b, 2 * lateral_s)) == pytest.approx(2 * one, rel=1e-9)


def test_every_cell_gets_its_median_and_chance_with_intervals():
    rng, n = np.random.default_rng(6), np.array([8, 0, 8])
    distance = draw_posterior(n, np.array([1.0, np.nan, 5.0]), np.array([3.0, np.nan, 3.0]), rng=rng)
    lateral = draw_posterior(n, np.array([0.0, np.nan, 0.0]), np.array([2.0, np.nan, 2.0]), rng=rng)
    near, empty, far = (pooled_proximity(distance, lateral, n, 3.0).median[cell] for cell in range(3))
    assert empty is None
    assert near.ci95[0] < near.value < near.ci95[1]
    assert near.value < far.value
    within = pooled_proximity(distance, lateral, n, 3.0).within_pct
    assert within[1] is None
    assert 0 <= within[2].ci95[0] < within[2].value < within[0].value < within[0].ci95[1] <= 100


def test_it_says_when_no_lateral_error_went_in():
    rng, n = np.random.default_rng(7), np.array([8, 8])
    distance = draw_posterior(n, np.array([1.0, 2.0]), np.array([3.0, 4.0]), rng=rng)
    alone, both = pooled_proximity(distance, None, n, 3.0), pooled_proximity(distance, distance, n, 3.0)
    assert alone.distance_only
    assert not both.distance_only
    assert alone.median[0].value < both.median[0].value


@pytest.mark.parametrize("radius", [0, -1, float("nan")])
def test_a_radius_must_be_above_zero(radius):
    with pytest.raises(ValueError, match="a radius must be above 0"):
        pooled_proximity(known(0, 1), None, np.array([5]), radius)
