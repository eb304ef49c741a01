"""Where balls at targets above or below would have landed on the level: figures of their own, beside the raw ones.

A carry is measured to where the ball came down. At a green above the tee it comes down early: so the distance error
holds both what the swing did and what the slope took. Here the slope is taken out, and by nothing else are balls
changed: a ball at a level target, or one of which no height is known, keeps its carry.
"""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from analytics.metrics.conditions_band import Band, level_change_band
from analytics.metrics.intervals import mean_interval
from analytics.metrics.moments import group_moments
from analytics.metrics.proximity import group_proximity

LAUNCHES_DEG = (27.0, 37.0)  # a flat and a high pitch: what height does lies between them; engineering estimate
CARRIES_M = np.arange(1.0, 131.0)
HEIGHT_STEP_M = 0.1
"""Heights are rounded to this: a tee line is not surveyed finer, and it keeps the cache small."""


@dataclass(frozen=True)
class LevelLanding:
    """Figures of one cell with its carries as they would have been on the level, in metres.

    None where a figure cannot be computed.

    Attributes
    ----------
    n, n_corrected
        Balls with target and carry that are no mishits; those of them whose carry was corrected.
    bias_m
        Mean of level carry minus target distance, + is long: did the swing carry the number? Beside the raw bias it
        says what the slope did.
    bias_ci95_m
        Student's t as for the raw bias, wider at both ends by the mean of the balls' `half_range_m`: all balls share
        the same unknown flight, so that does not shrink with n.
    spread_m
        Standard deviation (divisor n - 1) of the same errors.
    n_lateral, proximity_mean_m, proximity_median_m
        Landing miss sqrt(level error^2 + lateral^2) over those with a lateral error, which is left as it was.
    """

    n: int
    n_corrected: int
    bias_m: float | None
    bias_ci95_m: tuple[float, float] | None
    spread_m: float | None
    n_lateral: int
    proximity_mean_m: float | None
    proximity_median_m: float | None


@dataclass(frozen=True)
class LevelErrors:
    """Distance errors on the level (m), half of the models' range (m; 0 where nothing was corrected), and which were.

    Arrays of shape (shots,).
    """

    error_m: np.ndarray
    half_range_m: np.ndarray
    corrected: np.ndarray


def level_errors(carry_m: np.ndarray, target_m: np.ndarray, elevation_m: np.ndarray) -> LevelErrors:
    """Return distance errors with carries as they would have been on the level.

    error = carry + c(carry, h) - target. c is the middle of a band over all of `ENSEMBLE`'s published models, little,
    usual and much spin, and `LAUNCHES_DEG` (see `conditions_band.level_change_band`, whose flights solve the equations
    of Smits & Smith, Science and Golf II, 1994, and others). Corrected is only where all of them agree in sign and the
    smallest is over a yard; that is asked at the target, so that all balls at one flag are treated alike.

    Parameters
    ----------
    carry_m, target_m
        Level distances from the tee, shape (shots,); NaN = missing: the error is NaN.
    elevation_m
        Height of the target above the tee, - is below; NaN = not known, taken for level.
    """
    error_m = carry_m - target_m
    half_range_m, corrected = np.zeros(error_m.shape), np.zeros(error_m.shape, dtype=bool)
    steps = np.round(np.nan_to_num(elevation_m) / HEIGHT_STEP_M).astype(int)
    for step in np.unique(steps[(steps != 0) & ~np.isnan(error_m)]).tolist():
        here = np.flatnonzero(steps == step)
        at_ball, at_target = _between(step, carry_m[here]), _between(step, target_m[here])
        known = at_target.clear & ~np.isnan(at_ball.middle_m)
        shots = here[known]
        error_m[shots] += at_ball.middle_m[known]
        half_range_m[shots], corrected[shots] = at_ball.half_range_m[known], True
    return LevelErrors(error_m, half_range_m, corrected)


def level_landings(
    cell: np.ndarray,
    carry_m: np.ndarray,
    target_m: np.ndarray,
    lateral_m: np.ndarray,
    elevation_m: np.ndarray,
    cells: int,
) -> list[LevelLanding | None]:
    """Return the figures of each cell 0 .. cells - 1; None for a cell of which no ball was corrected.

    The caller has left out mishits. Columns of shape (shots,), as in `level_errors`.
    """
    found = level_errors(carry_m, target_m, elevation_m)
    corrected = np.bincount(cell[found.corrected], minlength=cells)
    if not corrected.any():
        return [None] * cells
    known = ~np.isnan(found.error_m)
    cell, error_m, lateral_m = cell[known], found.error_m[known], lateral_m[known]
    moments = group_moments(cell, error_m, cells)
    proximity = group_proximity(cell, error_m, lateral_m, cells)
    half_range_m = np.bincount(cell, found.half_range_m[known], cells)
    columns = (*list(vars(moments).values())[:3], half_range_m, *vars(proximity).values())
    rows = zip(corrected.tolist(), *(column.tolist() for column in columns), strict=True)
    return [_figures(*row) if row[0] else None for row in rows]


def _figures(n_corrected, n, bias_m, spread_m, half_range_m, n_lateral, mean_m, median_m) -> LevelLanding:
    interval = mean_interval(n, bias_m, spread_m)
    wider = half_range_m / n
    return LevelLanding(
        n=n,
        n_corrected=n_corrected,
        bias_m=bias_m,
        bias_ci95_m=interval and (interval[0] - wider, interval[1] + wider),
        spread_m=spread_m if n > 1 else None,
        n_lateral=n_lateral,
        proximity_mean_m=mean_m if n_lateral else None,
        proximity_median_m=median_m if n_lateral else None,
    )


def _between(step: int, carry_m: np.ndarray) -> Band:
    low_m, high_m = _ends(step)
    return Band(*(np.interp(carry_m, CARRIES_M, ends, left=np.nan, right=np.nan) for ends in (low_m, high_m)))


@lru_cache(maxsize=512)
def _ends(step: int) -> tuple[np.ndarray, np.ndarray]:
    """Both ends of the band at `CARRIES_M` for a height of so many steps: the same for every player."""
    band = level_change_band(CARRIES_M, step * HEIGHT_STEP_M, launch_deg=LAUNCHES_DEG)
    return band.low_m, band.high_m
