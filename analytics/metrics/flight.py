"""Flight of a golf ball through air and wind, many shots at once.

Absolute carries are uncertain by about 5 %: good for differences (a wind, a green higher up), shown as a band over
several models, never as a player's number. Bounce, roll and how the ball leaves the club are no part of it.

Axes: x along the target line, y up, z to the right. State of n shots: shape (7, n), rows x, y, z (m), their speeds
(m/s) and spin (rad/s).
"""

from dataclasses import dataclass, fields, replace

import numpy as np

from analytics.metrics.air import SEA_LEVEL, Air
from analytics.metrics.ball import BALL_AREA_M2, BALL_KG, BALL_RADIUS_M, rad_s_from_rpm
from analytics.metrics.flight_models import FlightModel

GRAVITY_MS2 = 9.80665  # standard gravity (CGPM 1901)
SPIN_DECAY = 2.0e-5  # of dw/dt = -2e-5 w v / R, Smits & Smith, Science and Golf II (1994), from memory
WIND_HEIGHT_M = 10.0  # the height at which winds are reported
ONE_SEVENTH = 1 / 7  # exponent of the wind profile over open ground: engineers' handbooks, from memory
STEP_S = 0.05
LONGEST_S = 60.0  # no ball flies that long
STANDSTILL_MS = 1e-9


@dataclass(frozen=True)
class Wind:
    """A steady wind over level ground.

    Attributes
    ----------
    tail_ms, cross_ms
        m/s, + from behind, + from the left (it carries the ball to the right).
    exponent
        0: the same at every height. Else the wind above is that 10 m up, and goes with this power of the height above
        the tee; none below it.
    """

    tail_ms: float = 0.0
    cross_ms: float = 0.0
    exponent: float = 0.0


CALM = Wind()


@dataclass(frozen=True)
class Launch:
    """How balls leave the club; numbers or arrays that broadcast to shape (shots,).

    Attributes
    ----------
    speed_ms, launch_deg
        Speed, 0 or more, and angle above level, 0 to 90.
    spin_rpm
        0 or more; backspin where the axis is not tilted.
    direction_deg
        Start direction, + is right of the target line.
    tilt_deg
        Tilt of the axis: + curves to the right. 90 is pure sidespin.
    """

    speed_ms: np.ndarray
    launch_deg: np.ndarray
    spin_rpm: np.ndarray
    direction_deg: np.ndarray = 0.0
    tilt_deg: np.ndarray = 0.0

    def __post_init__(self):
        for name in (field.name for field in fields(self)):
            if not np.all(np.isfinite(getattr(self, name))):
                raise ValueError(f"{name} must be a number, for every shot")
        if np.any(np.less(self.speed_ms, 0)) or np.any(np.less(self.spin_rpm, 0)):
            raise ValueError("speed and spin must be 0 or more; tilt the axis for a curve to the left")
        if np.any(np.less(self.launch_deg, 0)) or np.any(np.greater(self.launch_deg, 90)):
            raise ValueError("launch must lie between 0 and 90 degrees")

    def start(self) -> tuple[np.ndarray, np.ndarray]:
        """Return the state at the start, (7, n), and the axis of spin, (3, n), a unit vector that stays."""
        columns = (getattr(self, field.name) for field in fields(self))
        columns = np.broadcast_arrays(*(np.atleast_1d(np.asarray(column, dtype=float)) for column in columns))
        speed, launch, spin, direction, tilt = columns
        launch, direction, tilt = np.radians(launch), np.radians(direction), np.radians(tilt)
        ahead, right, rest = np.cos(direction), np.sin(direction), np.zeros_like(speed)
        level = speed * np.cos(launch)
        state = [rest, rest, rest, level * ahead, speed * np.sin(launch), level * right, rad_s_from_rpm(spin)]
        axis = [-right * np.cos(tilt), -np.sin(tilt), ahead * np.cos(tilt)]
        return np.array(state), np.array(axis)


@dataclass(frozen=True)
class Landing:
    """Where and how balls come down on the green; arrays of shape (shots,), NaN where the green is not reached.

    Attributes
    ----------
    carry_m, lateral_m
        Along the target line and, + is right, across it.
    time_s, speed_ms, angle_deg, spin_rpm
        In the air; on landing, the angle below level.
    apex_m
        Highest point above the tee, known for every ball that comes down.
    """

    carry_m: np.ndarray
    lateral_m: np.ndarray
    time_s: np.ndarray
    speed_ms: np.ndarray
    angle_deg: np.ndarray
    spin_rpm: np.ndarray
    apex_m: np.ndarray


@dataclass(frozen=True)
class Forces:
    """What moves n balls: gravity, drag against the air that moves past, lift across it, and spin that dies away.

    dv/dt = -g + (rho A / 2m) (-Cd |u| u + Cl |u|^2 (axis x u) / |axis x u|), u = v - wind; dw/dt = -2e-5 w |u| / R.
    """

    model: FlightModel
    axis: np.ndarray
    air: Air = SEA_LEVEL
    wind: Wind = CALM
    gravity_ms2: float = GRAVITY_MS2
    spin_decay: float = SPIN_DECAY

    def rates(self, state: np.ndarray) -> np.ndarray:
        """Return the change of each row of the state by second, (7, n)."""
        air_x, air_y, air_z = self._through_air(state)
        speed = np.sqrt(air_x * air_x + air_y * air_y + air_z * air_z)
        moving = np.maximum(speed, STANDSTILL_MS)
        spin_ratio = state[6] * BALL_RADIUS_M / moving
        reynolds = speed * (2 * BALL_RADIUS_M * self.air.density_kg_m3 / self.air.viscosity_pa_s)
        drag, lift = self.model.coefficients(speed, spin_ratio, reynolds)
        up_x, up_y, up_z = _cross(self.axis, (air_x, air_y, air_z))
        across = np.maximum(np.sqrt(up_x * up_x + up_y * up_y + up_z * up_z), STANDSTILL_MS)
        pull = speed * (self.air.density_kg_m3 * BALL_AREA_M2 / (2 * BALL_KG))
        lift_pull, drag_pull = pull * lift * speed / across, pull * drag
        rates = np.empty_like(state)
        rates[:3] = state[3:6]
        rates[3] = lift_pull * up_x - drag_pull * air_x
        rates[4] = lift_pull * up_y - drag_pull * air_y - self.gravity_ms2
        rates[5] = lift_pull * up_z - drag_pull * air_z
        rates[6] = speed * state[6] * (-self.spin_decay / BALL_RADIUS_M)
        return rates

    def _through_air(self, state: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """Velocity of the balls against the air around them."""
        share = 1.0
        if self.wind.exponent:
            share = (np.maximum(state[1], 0.0) / WIND_HEIGHT_M) ** self.wind.exponent
        return state[3] - share * self.wind.tail_ms, state[4], state[5] - share * self.wind.cross_ms

    def of(self, shots: np.ndarray) -> "Forces":
        """Return what moves some of the balls."""
        return replace(self, axis=self.axis[:, shots])


def _cross(a, b) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    return a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]


def rk4(forces: Forces, state: np.ndarray, step_s: np.ndarray) -> np.ndarray:
    """Return the state a step later, by the classic method of Runge and Kutta; the step may differ by shot, (n,)."""
    first = forces.rates(state)
    second = forces.rates(state + step_s / 2 * first)
    third = forces.rates(state + step_s / 2 * second)
    fourth = forces.rates(state + step_s * third)
    return state + step_s / 6 * (first + 2 * (second + third) + fourth)


def fly(
    launch: Launch,
    model: FlightModel,
    *,
    air: Air = SEA_LEVEL,
    wind: Wind = CALM,
    green_m: np.ndarray = 0.0,
    spin_decay: float = SPIN_DECAY,
    step_s: float = STEP_S,
) -> Landing:
    """Fly balls until they come down to the height of their green.

    Parameters
    ----------
    green_m
        Height of the green above the tee, - is below; a number or shape (shots,). The ball lands where it comes down
        through it: a green that its highest point does not reach is not reached, and its landing is NaN.
    spin_decay
        0 where spin stays what it was.
    step_s
        The error falls with its fourth power: under 0.1 mm of carry at 0.05 s where coefficients are smooth, about a
        centimetre where they have kinks or the wind has a profile.
    """
    state, axis = launch.start()
    (n,) = np.broadcast_shapes(state[0].shape, np.shape(green_m))
    state, axis = np.array(np.broadcast_to(state, (7, n))), np.broadcast_to(axis, (3, n))
    height_m = np.broadcast_to(np.asarray(green_m, dtype=float), n)
    if not np.isfinite(height_m).all():
        raise ValueError("green_m must be a number, for every shot")
    forces = Forces(model, axis, air, wind, spin_decay=spin_decay)
    last = _last_steps(forces, state, height_m, step_s)
    return _landing(forces.of(last.shots), last, height_m[last.shots], step_s)


@dataclass(frozen=True)
class _LastSteps:
    """The step in which balls come down to the green: which balls, states before and after, when; apex of all."""

    shots: np.ndarray
    before: np.ndarray
    after: np.ndarray
    begun_s: np.ndarray
    apex_m: np.ndarray


def _last_steps(forces: Forces, state: np.ndarray, height_m: np.ndarray, step_s: float) -> _LastSteps:
    before, after = np.full_like(state, np.nan), np.full_like(state, np.nan)
    begun_s, apex_m = np.full(state.shape[1], np.nan), np.zeros(state.shape[1])
    flying = np.arange(state.shape[1])
    for number in range(round(LONGEST_S / step_s)):
        ahead = rk4(forces, state, step_s)
        top_m = _top(state, ahead, step_s)
        apex_m[flying] = np.maximum(apex_m[flying], top_m)
        down = (ahead[1] < height_m[flying]) & (ahead[4] <= 0)
        if down.any():
            landed = down & (top_m >= height_m[flying])
            shots = flying[landed]
            before[:, shots], after[:, shots], begun_s[shots] = state[:, landed], ahead[:, landed], number * step_s
            flying, ahead, forces = flying[~down], ahead[:, ~down], forces.of(~down)
            if not len(flying):
                break
        state = ahead
    apex_m[flying] = np.nan
    shots = np.flatnonzero(~np.isnan(begun_s))
    return _LastSteps(shots, before[:, shots], after[:, shots], begun_s[shots], apex_m)


def _height_cubic(before: np.ndarray, after: np.ndarray, step_s: float) -> tuple[np.ndarray, ...]:
    """Coefficients, constant first, of the cubic through height and speed at both ends of a step (Hermite)."""
    risen, slope, end_slope = after[1] - before[1], step_s * before[4], step_s * after[4]
    return before[1], slope, 3 * risen - 2 * slope - end_slope, slope + end_slope - 2 * risen


def _top(before: np.ndarray, after: np.ndarray, step_s: float) -> np.ndarray:
    """Highest point of each ball within a step (m)."""
    top_m = np.maximum(before[1], after[1])
    turns = np.flatnonzero((before[4] > 0) & (after[4] < 0))
    if len(turns):
        c0, c1, c2, c3 = _height_cubic(before[:, turns], after[:, turns], step_s)
        at = c1 / (np.sqrt(c2 * c2 - 3 * c1 * c3) - c2)
        top_m[turns] = c0 + at * (c1 + at * (c2 + at * c3))
    return top_m


def _down_at(last: _LastSteps, height_m: np.ndarray, step_s: float) -> np.ndarray:
    """Share of the last step after which each ball is down, by Newton's method.

    It starts at the step's end. Height falls ever faster there, so Newton never leaps over the root.
    """
    c0, c1, c2, c3 = _height_cubic(last.before, last.after, step_s)
    at = np.ones_like(height_m)
    for _ in range(60):
        above = c0 - height_m + at * (c1 + at * (c2 + at * c3))
        slope = c1 + at * (2 * c2 + at * 3 * c3)
        move = np.divide(above, slope, out=np.zeros_like(at), where=slope < 0)
        at = np.clip(at - move, 0.0, 1.0)
        if np.all(np.abs(move) < 1e-15):
            break
    return at


def _landing(forces: Forces, last: _LastSteps, height_m: np.ndarray, step_s: float) -> Landing:
    until_s = _down_at(last, height_m, step_s) * step_s
    x, _, z, along, up, across, spin = rk4(forces, last.before, until_s)
    level = np.hypot(along, across)
    figures = (
        *(x, z, last.begun_s + until_s, np.hypot(level, up)),
        *(np.degrees(np.arctan2(-up, level)), spin / rad_s_from_rpm(1.0)),
    )
    return Landing(*(_spread(figure, last.shots, len(last.apex_m)) for figure in figures), last.apex_m)


def _spread(figure: np.ndarray, shots: np.ndarray, n: int) -> np.ndarray:
    """The figures of some balls among all n, NaN elsewhere."""
    among_all = np.full(n, np.nan)
    among_all[shots] = figure
    return among_all
