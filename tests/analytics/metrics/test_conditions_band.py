import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

from analytics.metrics import conditions_band as module
from analytics.metrics.air import air_of
from analytics.metrics.conditions_band import Band, conditions_band, level_carry, level_change_band
from analytics.metrics.flight import Launch, Wind, fly
from analytics.metrics.flight_models import (
    ENSEMBLE,
    LYU,
    SATURATING,
    SATURATING_DRAGGY,
    SMITS_SMITH,
    SMITS_SMITH_CLAMPED,
)

YD = 0.9144
FIVE = (SMITS_SMITH, SMITS_SMITH_CLAMPED, SATURATING, SATURATING_DRAGGY, LYU)
CARRIES_YD = np.array([30.0, 50.0, 70.0, 90.0])

# Yards, five models, launch 32 degrees, 230 rpm by m/s: from an earlier program of our own, no published source.
EARLIER = {
    "head 2 m/s": ({"wind": Wind(-2)}, [(-0.3, 0.2), (-0.9, -0.1), (-2.0, -0.1), (-3.4, -0.5)]),
    "head 5 m/s": ({"wind": Wind(-5)}, [(-0.9, 0.4), (-2.7, -0.3), (-5.6, -0.3), (-9.6, -2.6)]),
    "tail 5 m/s": ({"wind": Wind(5)}, [(-0.7, 0.5), (-0.6, 1.6), (0.6, 3.6), (0.5, 6.7)]),
    "green 3 m up": ({"green_m": 3.0}, [(-5.9, -5.5), (-4.8, -4.3), (-4.2, -3.7), (-3.7, -3.2)]),
    "green 3 m down": ({"green_m": -3.0}, [(3.9, 4.2), (3.6, 4.0), (3.3, 3.7), (3.0, 3.4)]),
    "green 1 m up": ({"green_m": 1.0}, [(-1.7, -1.6), (-1.5, -1.4), (-1.3, -1.2), (-1.2, -1.0)]),
}


@pytest.mark.parametrize("name", EARLIER)
def test_bands_agree_with_an_earlier_program(monkeypatch, name):
    monkeypatch.setattr(module, "SPINS_RPM_BY_MS", (230.0,))
    conditions, expected = EARLIER[name]
    band = conditions_band(CARRIES_YD * YD, models=FIVE, **conditions).carry
    np.testing.assert_allclose(np.column_stack([band.low_m, band.high_m]) / YD, expected, atol=0.15)


def speed_that_lands_at(carry_m, model, spin, green_m):
    """Ball speed that carries so far to such a green, by bisection, flight by flight."""

    def miss(speed):
        landed = fly(Launch(speed, 32.0, spin * speed), model, green_m=green_m).carry_m[0]
        return (0.0 if np.isnan(landed) else landed) - carry_m

    return brentq(miss, 2.0, 50.0, xtol=1e-7)


@pytest.mark.parametrize("model", [SMITS_SMITH, SATURATING])
def test_interpolated_changes_equal_flights_solved_one_by_one(monkeypatch, model):
    monkeypatch.setattr(module, "SPINS_RPM_BY_MS", (230.0,))
    wind = Wind(-4.0, 2.0)
    band = conditions_band(np.array([41.3]), wind=wind, models=[model])
    speed = speed_that_lands_at(41.3, model, 230.0, 0.0)
    there = fly(Launch(speed, 32.0, 230.0 * speed), model, wind=wind)
    assert band.carry.low_m[0] == pytest.approx(there.carry_m[0] - 41.3, abs=0.02)
    assert band.lateral.high_m[0] == pytest.approx(there.lateral_m[0], abs=0.02)
    level = level_change_band(np.array([41.3]), 3.0, models=[model])
    speed = speed_that_lands_at(41.3, model, 230.0, 3.0)
    on_the_level = fly(Launch(speed, 32.0, 230.0 * speed), model).carry_m[0]
    assert level.low_m[0] == level.high_m[0] == pytest.approx(on_the_level - 41.3, abs=0.02)


def test_calm_air_and_a_level_green_change_nothing():
    band = conditions_band(CARRIES_YD * YD)
    for figures in (band.carry.low_m, band.carry.high_m, band.lateral.low_m, band.lateral.high_m):
        np.testing.assert_allclose(figures, 0.0, atol=1e-12)


def test_models_do_not_agree_on_the_sign_for_warm_air_so_it_is_never_corrected():
    for air in (air_of(5.0, 0.5, height_m=0.0), air_of(30.0, 0.5, height_m=0.0)):
        band = conditions_band(CARRIES_YD[1:] * YD, air=air).carry
        assert np.all(band.low_m < 0)
        assert np.all(band.high_m > 0)
        assert not band.clear.any()


def test_a_wind_from_the_left_carries_right_and_one_from_the_right_as_far_left():
    right = conditions_band(CARRIES_YD * YD, wind=Wind(0.0, 5.0)).lateral
    left = conditions_band(CARRIES_YD * YD, wind=Wind(0.0, -5.0)).lateral
    assert np.all(right.low_m > 0)
    np.testing.assert_allclose(left.low_m, -right.high_m, atol=1e-9)


@pytest.mark.parametrize(
    ("low_yd", "high_yd", "clear"),
    [(1.01, 3, True), (-3, -1.01, True), (1.0, 3, False), (0.9, 3, False), (-2, 2, False), (np.nan, np.nan, False)],
)
def test_a_band_is_clear_where_all_agree_in_sign_and_the_smallest_exceeds_a_yard(low_yd, high_yd, clear):
    assert Band(np.array([low_yd * YD]), np.array([high_yd * YD])).clear.tolist() == [clear]


def test_a_carry_to_a_green_above_is_longer_on_the_level_and_says_how_sure_that_is():
    level = level_carry(np.array([50.0, 50.0, 50.0]) * YD, np.array([3.0, -3.0, 0.3]))
    assert level.corrected.tolist() == [True, True, False]
    assert level.carry_level_m[0] > 54 * YD
    assert level.carry_level_m[1] < 47 * YD
    assert level.carry_level_m[2] == 50 * YD
    assert np.all(level.half_range_m[:2] > 0)
    assert level.half_range_m[2] == 0


def test_height_matters_more_the_flatter_the_ball_comes_down():
    change = [level_change_band(np.array([50 * YD]), 2.0, launch_deg=launch).low_m[0] for launch in (25.0, 35.0, 50.0)]
    assert change[0] > change[1] > change[2] > 0


def test_what_is_missing_or_out_of_reach_stays_as_it_was():
    level = level_carry(np.array([np.nan, 50.0, 1000.0, 0.0, 3.0]), np.array([3.0, np.nan, 3.0, -3.0, 90.0]))
    np.testing.assert_array_equal(level.carry_level_m, [np.nan, 50.0, 1000.0, 0.0, 3.0])
    assert not level.corrected.any()
    assert level_carry(np.array([]), np.array([])).carry_level_m.shape == (0,)


def test_a_green_that_a_ball_does_not_reach_has_no_band():
    band = conditions_band(np.array([10.0, 60.0]), green_m=6.0).carry
    assert np.isnan(band.low_m[0])
    assert band.high_m[1] < 0


@pytest.mark.parametrize("launch_deg", [0.0, 90.0, -5.0])
def test_a_launch_that_goes_nowhere_is_refused(launch_deg):
    with pytest.raises(ValueError, match="launch_deg"):
        conditions_band(np.array([40.0]), launch_deg=launch_deg)


@settings(max_examples=5, deadline=None)
@given(carry_m=st.floats(20, 85), height_m=st.floats(0.5, 4.0))
def test_up_and_down_move_carries_apart_for_every_model(carry_m, height_m):
    up = level_change_band(np.array([carry_m]), height_m, models=ENSEMBLE[:2])
    down = level_change_band(np.array([carry_m]), -height_m, models=ENSEMBLE[:2])
    assert up.low_m[0] > 0 > down.high_m[0]
