import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from analytics.metrics.ball import BALL_RADIUS_M, rad_s_from_rpm
from analytics.metrics.flight_models import BEARMAN_HARVEY, ENSEMBLE, SMITS_SMITH, SMITS_SMITH_READ_OFF

NAMES = [model.name for model in ENSEMBLE]


@given(
    speed_ms=st.floats(0.5, 80),
    spin_rpm=st.floats(0, 12_000),
    model=st.sampled_from(ENSEMBLE),
)
def test_drag_and_lift_stay_in_reason_for_any_ball(speed_ms, spin_rpm, model):
    spin_ratio = np.array([rad_s_from_rpm(spin_rpm) * BALL_RADIUS_M / speed_ms])
    drag, lift = model.coefficients(np.array([speed_ms]), np.minimum(spin_ratio, 1.0), np.array([speed_ms * 2920]))
    assert 0.1 < drag[0] < 0.8
    assert 0 <= lift[0] < 0.6


def test_every_model_names_its_source_and_what_was_not_checked():
    assert len(set(NAMES)) == len(ENSEMBLE)
    for model in ENSEMBLE:
        assert any(word in model.source for word in ("from memory", "engineering estimate", "read off"))


# Bearman & Harvey, Aeronautical Quarterly 27 (1976), as read off for a university course
@pytest.mark.parametrize(
    ("speed_ms", "spin_rpm", "drag", "lift"),
    [
        (13.7, 2000, 0.3624, 0.1040),
        (29.9, 4000, 0.3490, 0.3347),
        (55.2, 6000, 0.3076, 0.2662),
        (8, 9000, 0.518, 0.4644),
    ],
)
def test_the_table_gives_its_own_points_and_is_clamped_outside(speed_ms, spin_rpm, drag, lift):
    speed = np.array([speed_ms])
    found = BEARMAN_HARVEY.coefficients(speed, rad_s_from_rpm(spin_rpm) * BALL_RADIUS_M / speed, speed)
    assert np.ravel(found) == pytest.approx([drag, lift], abs=1e-12)


def test_the_table_is_linear_between_its_points():
    speed = np.array([(21.6 + 29.9) / 2])
    drag, _ = BEARMAN_HARVEY.coefficients(speed, rad_s_from_rpm(3500.0) * BALL_RADIUS_M / speed, speed)
    assert drag[0] == pytest.approx((0.3658 + 0.3169 + 0.4003 + 0.3490) / 4)


# Smits & Smith, Science and Golf II (1994): the power law and the points read off it disagree, which is known.
def test_lift_of_smits_and_smith_by_the_power_law_and_as_read_off():
    spin = np.array([0.04, 0.1, 0.2, 0.4])
    steady = np.full(4, 90_000.0)
    drag, lift = SMITS_SMITH.coefficients(spin, spin, steady)
    np.testing.assert_allclose(lift, [0.149, 0.215, 0.284, 0.374], atol=5e-4)
    np.testing.assert_allclose(drag, 0.24 + 0.18 * spin)
    np.testing.assert_allclose(SMITS_SMITH_READ_OFF.coefficients(spin, spin, steady)[1], [0.10, 0.16, 0.23, 0.33])
