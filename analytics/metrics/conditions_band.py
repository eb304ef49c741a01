"""What a wind, other air or a green of another height may do to where a ball lands: a band, never a player's number.

The band reaches over every flight model of an ensemble and over little, usual and much spin. Temperature, humidity and
height above the sea do less below 100 yards than the models differ, so nothing is corrected for them. Height of the
green does much, and the models agree about it.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from analytics.metrics.air import SEA_LEVEL, Air
from analytics.metrics.flight import CALM, Launch, Wind, fly
from analytics.metrics.flight_models import ENSEMBLE, FlightModel

PITCH_LAUNCH_DEG = 32.0  # engineering estimate
SPINS_RPM_BY_MS = (150.0, 230.0, 310.0)  # by m/s of ball speed; engineering estimate
SPEEDS_MS = np.arange(2.0, 50.01, 0.5)  # the balls that are flown: others lie between them, to a few centimetres
STEP_S = 0.1  # good to a tenth of a millimetre, or centimetres where coefficients have kinks
LEAST_WORTH_M = 0.9144  # one yard: a correction under it is not made


@dataclass(frozen=True)
class Band:
    """The least and the greatest of what the members say (m), arrays of shape (shots,); NaN where any can't say."""

    low_m: np.ndarray
    high_m: np.ndarray

    @property
    def clear(self) -> np.ndarray:
        """Do all members agree in sign, and does the smallest exceed a yard?"""
        return (self.low_m > LEAST_WORTH_M) | (self.high_m < -LEAST_WORTH_M)

    @property
    def middle_m(self) -> np.ndarray:
        return (self.low_m + self.high_m) / 2

    @property
    def half_range_m(self) -> np.ndarray:
        return (self.high_m - self.low_m) / 2


@dataclass(frozen=True)
class ConditionsBand:
    """How much longer (+ is longer) and further right (+) a ball lands that carries so far on the level in calm air."""

    carry: Band
    lateral: Band


@dataclass(frozen=True)
class LevelCarry:
    """Carries as they would have been on the level; arrays of shape (shots,).

    Attributes
    ----------
    carry_level_m
        The carry, corrected where `corrected`; elsewhere as it was.
    half_range_m
        Half of the models' range: to be added to the uncertainty. 0 where nothing was corrected.
    corrected
        True where all members agree in sign and the smallest correction exceeds a yard.
    """

    carry_level_m: np.ndarray
    half_range_m: np.ndarray
    corrected: np.ndarray


def conditions_band(
    carry_m: np.ndarray,
    *,
    green_m: float = 0.0,
    wind: Wind = CALM,
    air: Air = SEA_LEVEL,
    launch_deg: float | Sequence[float] = PITCH_LAUNCH_DEG,
    models: Sequence[FlightModel] = ENSEMBLE,
) -> ConditionsBand:
    """Return what conditions may do to balls of these carries.

    Parameters
    ----------
    carry_m
        Carry on the level in calm air of the standard atmosphere, shape (shots,). NaN, and what no ball of 2 to 50 m/s
        carries, give NaN, and so does a green that the ball does not reach.
    green_m, wind, air
        Height of the green above the tee; wind; air.
    launch_deg
        Angle above level at which the ball starts, above 0 and below 90: the higher, the less height
        matters. Of several each is a member of the band.
    """
    launch = _launch(launch_deg)
    changes = [], []
    for model in models:
        calm = fly(launch, model, step_s=STEP_S)
        there = fly(launch, model, green_m=green_m, wind=wind, air=air, step_s=STEP_S)
        changes[0].extend(_at(carry_m, calm.carry_m, there.carry_m - calm.carry_m))
        changes[1].extend(_at(carry_m, calm.carry_m, there.lateral_m))
    return ConditionsBand(*(_band(change) for change in changes))


def level_carry(
    carry_m: np.ndarray,
    elevation_m: np.ndarray,
    *,
    launch_deg: float = PITCH_LAUNCH_DEG,
    models: Sequence[FlightModel] = ENSEMBLE,
) -> LevelCarry:
    """Return what carries to targets of other heights would have been on the level.

    Parameters
    ----------
    carry_m, elevation_m
        Level distance from the tee to where the ball landed, and the height of that place above the tee (+ is above);
        shape (shots,). NaN = missing: the carry stays as it is.
    """
    carry_m, elevation_m = np.broadcast_arrays(np.asarray(carry_m, dtype=float), np.asarray(elevation_m, dtype=float))
    band = Band(np.full(carry_m.shape, np.nan), np.full(carry_m.shape, np.nan))
    for height_m in np.unique(elevation_m[np.isfinite(elevation_m)]):
        here = elevation_m == height_m
        found = level_change_band(carry_m[here], float(height_m), launch_deg=launch_deg, models=models)
        band.low_m[here], band.high_m[here] = found.low_m, found.high_m
    corrected = band.clear
    return LevelCarry(
        carry_level_m=carry_m + np.where(corrected, band.middle_m, 0.0),
        half_range_m=np.where(corrected, band.half_range_m, 0.0),
        corrected=corrected,
    )


def level_change_band(
    carry_m: np.ndarray,
    elevation_m: float,
    *,
    launch_deg: float | Sequence[float] = PITCH_LAUNCH_DEG,
    models: Sequence[FlightModel] = ENSEMBLE,
) -> Band:
    """Return how much longer the balls that landed so far away, so high above the tee, would have carried on the level.

    + is longer: after a green above the tee. Of several launch angles each is a member of the band.
    """
    launch = _launch(launch_deg, launch_deg)
    green_m = np.repeat([elevation_m, 0.0], len(launch.speed_ms) // 2)
    changes = []
    for model in models:
        there, level = np.split(fly(launch, model, green_m=green_m, step_s=STEP_S).carry_m, 2)
        changes.extend(_at(carry_m, there, level - there))
    return _band(changes)


def _launch(*launch_deg: float | Sequence[float]) -> Launch:
    """At each angle every spin with all `SPEEDS_MS`, spin by spin."""
    angles_deg = np.hstack(launch_deg)
    if not np.all((angles_deg > 0) & (angles_deg < 90)):
        raise ValueError("launch_deg must lie between 0 and 90 degrees")
    spins_rpm = np.outer(SPINS_RPM_BY_MS, SPEEDS_MS).ravel()
    speeds_ms = np.tile(SPEEDS_MS, len(SPINS_RPM_BY_MS) * len(angles_deg))
    return Launch(speeds_ms, np.repeat(angles_deg, len(spins_rpm)), np.tile(spins_rpm, len(angles_deg)))


def _at(carry_m: np.ndarray, flown_m: np.ndarray, change_m: np.ndarray) -> list[np.ndarray]:
    """For each angle and spin, the change at these carries, linear between the balls flown; NaN beyond them."""
    found = []
    for flown, change in zip(
        *(np.split(figures, len(figures) // len(SPEEDS_MS)) for figures in (flown_m, change_m)), strict=True
    ):
        landed = ~np.isnan(flown)
        # A point infinitely far out, of which nothing is known, also stands for a green that no ball reaches.
        flown, change = np.append(flown[landed], np.inf), np.append(change[landed], np.nan)
        found.append(np.interp(carry_m, flown, change, left=np.nan))
    return found


def _band(changes_m: list[np.ndarray]) -> Band:
    return Band(np.min(changes_m, axis=0), np.max(changes_m, axis=0))
