"""How the air drags and lifts a spinning golf ball, as several authors put it.

Wind-tunnel work mostly covers spin ratios below 0.3; pitches fly at 0.3 to 0.6. There these models are extrapolated
and differ most: about 5 % of carry. So they are asked together, and for differences only.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from analytics.metrics.ball import BALL_RADIUS_M, rad_s_from_rpm

Coefficients = tuple[np.ndarray, np.ndarray]


@dataclass(frozen=True)
class FlightModel:
    """Drag and lift coefficients of one author.

    Attributes
    ----------
    source
        Where they come from, and how far that was checked.
    coefficients
        (speed_ms, spin_ratio, reynolds) -> (drag, lift), arrays of one shape. Spin ratio is the speed of the ball's
        surface over its speed through the air.
    """

    name: str
    source: str
    coefficients: Callable[[np.ndarray, np.ndarray, np.ndarray], Coefficients]


def smits_smith(speed_ms: np.ndarray, spin_ratio: np.ndarray, reynolds: np.ndarray) -> Coefficients:
    """Drag 0.24 + 0.18 S + 0.06 sin(pi (Re - 90000) / 200000), lift 0.54 S^0.4."""
    wave = 0.06 * np.sin(np.pi * (reynolds - 90_000) / 200_000)
    return 0.24 + 0.18 * spin_ratio + wave, 0.54 * spin_ratio**0.4


def smits_smith_clamped(speed_ms: np.ndarray, spin_ratio: np.ndarray, reynolds: np.ndarray) -> Coefficients:
    """The same, with no more drag and lift than at S = 0.35, near the end of the measurements."""
    return smits_smith(speed_ms, np.minimum(spin_ratio, 0.35), reynolds)


def smits_smith_read_off(speed_ms: np.ndarray, spin_ratio: np.ndarray, reynolds: np.ndarray) -> Coefficients:
    """Drag 0.24 + 0.18 S; lift linear between five points, 0.33 from S = 0.4 on."""
    lift = np.interp(spin_ratio, [0.0, 0.04, 0.1, 0.2, 0.4], [0.0, 0.10, 0.16, 0.23, 0.33])
    return 0.24 + 0.18 * spin_ratio, lift


def saturating(speed_ms: np.ndarray, spin_ratio: np.ndarray, reynolds: np.ndarray) -> Coefficients:
    """Drag 0.25 + 0.10 (1 - exp(-S / 0.3)), lift 0.36 (1 - exp(-S / 0.17))."""
    return 0.25 - 0.10 * np.expm1(-spin_ratio / 0.3), -0.36 * np.expm1(-spin_ratio / 0.17)


def saturating_draggy(speed_ms: np.ndarray, spin_ratio: np.ndarray, reynolds: np.ndarray) -> Coefficients:
    """Drag 0.30 + 0.10 (1 - exp(-S / 0.3)), lift 0.30 (1 - exp(-S / 0.17))."""
    return 0.30 - 0.10 * np.expm1(-spin_ratio / 0.3), -0.30 * np.expm1(-spin_ratio / 0.17)


def lyu(speed_ms: np.ndarray, spin_ratio: np.ndarray, reynolds: np.ndarray) -> Coefficients:
    """Drag by two parabolas in Re that meet near 100,000, lift 1.99 S - 3.25 S^2 up to its top at S = 0.306."""
    slow = np.maximum(reynolds, 6e4)
    drag = np.where(
        reynolds < 1e5,
        (1.29e-10 * slow - 2.59e-5) * slow + 1.50,
        (1.91e-11 * slow - 5.40e-6) * slow + 0.56,
    )
    spin = np.minimum(spin_ratio, 0.306)
    return drag, (1.99 - 3.25 * spin) * spin


# Rows: 2000 to 6000 rpm; columns: the speeds.
_TUNNEL_MS = np.array([13.7, 21.6, 29.9, 38.4, 46.9, 55.2])
_TUNNEL_RPM = np.array([2000.0, 3000.0, 4000.0, 5000.0, 6000.0])
_TUNNEL_DRAG = np.array(
    [
        [0.3624, 0.2885, 0.2765, 0.2529, 0.2472, 0.2481],
        [0.4203, 0.3658, 0.3169, 0.2822, 0.2655, 0.2578],
        [0.4288, 0.4003, 0.3490, 0.3084, 0.2852, 0.2710],
        [0.4848, 0.4314, 0.3728, 0.3316, 0.3062, 0.2876],
        [0.5180, 0.4406, 0.3882, 0.3517, 0.3285, 0.3076],
    ]
)
_TUNNEL_LIFT = np.array(
    [
        [0.1040, 0.1846, 0.2460, 0.1984, 0.1762, 0.1538],
        [0.3624, 0.3362, 0.3049, 0.2475, 0.2073, 0.1856],
        [0.4005, 0.3640, 0.3347, 0.2862, 0.2384, 0.2149],
        [0.4130, 0.3894, 0.3496, 0.3119, 0.2695, 0.2418],
        [0.4644, 0.4227, 0.3724, 0.3393, 0.3005, 0.2662],
    ]
)


def bearman_harvey(speed_ms: np.ndarray, spin_ratio: np.ndarray, reynolds: np.ndarray) -> Coefficients:
    """Drag and lift linear between the points of a table in speed and spin, clamped at its edges.

    So it lifts a ball without spin too.
    """
    spin_rpm = spin_ratio * speed_ms / BALL_RADIUS_M / rad_s_from_rpm(1.0)
    column, across = _between(_TUNNEL_MS, speed_ms)
    row, down = _between(_TUNNEL_RPM, spin_rpm)
    return _bilinear(_TUNNEL_DRAG, row, down, column, across), _bilinear(_TUNNEL_LIFT, row, down, column, across)


def _between(points: np.ndarray, value: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Index of the point before each value, and how far it lies on the way to the next, from 0 to 1."""
    place = np.interp(value, points, np.arange(len(points)))
    index = np.minimum(place.astype(int), len(points) - 2)
    return index, place - index


def _bilinear(table: np.ndarray, row: np.ndarray, down: np.ndarray, column: np.ndarray, across: np.ndarray):
    above = table[row, column] * (1 - across) + table[row, column + 1] * across
    below = table[row + 1, column] * (1 - across) + table[row + 1, column + 1] * across
    return above * (1 - down) + below * down


_SMITS = "Smits & Smith, Science and Golf II (1994)"

SMITS_SMITH = FlightModel("Smits and Smith", f"{_SMITS}, from memory; used beyond its spin ratios", smits_smith)
SMITS_SMITH_CLAMPED = FlightModel(
    "Smits and Smith, clamped", f"{_SMITS}, from memory; clamping is an engineering estimate", smits_smith_clamped
)
SMITS_SMITH_READ_OFF = FlightModel(
    "Smits and Smith, read off",
    f"{_SMITS}, lift as read off by others, who agree among themselves and not with the power law",
    smits_smith_read_off,
)
SATURATING = FlightModel(
    "saturating", "engineering estimate, shaped like the plots of Bearman & Harvey (1976), from memory", saturating
)
SATURATING_DRAGGY = FlightModel(
    "saturating, more drag", "engineering estimate: the same with more drag and less lift", saturating_draggy
)
LYU = FlightModel("Lyu and others", "Lyu and others (2018), from memory, coefficients not confirmed", lyu)
BEARMAN_HARVEY = FlightModel(
    "Bearman and Harvey",
    "Bearman & Harvey, Aeronautical Quarterly 27 (1976) 112-122, as read off for a university course",
    bearman_harvey,
)

ENSEMBLE = (
    SMITS_SMITH,
    SMITS_SMITH_CLAMPED,
    SMITS_SMITH_READ_OFF,
    SATURATING,
    SATURATING_DRAGGY,
    LYU,
    BEARMAN_HARVEY,
)
