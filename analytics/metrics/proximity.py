"""Landing miss: how far from the target the ball landed, sideways included."""

from dataclasses import dataclass

import numpy as np

from analytics.metrics.moments import group_medians


@dataclass(frozen=True)
class Proximity:
    """Landing miss of each group (m), arrays of shape (groups,); mean and median are NaN where n = 0."""

    n: np.ndarray
    mean_m: np.ndarray
    median_m: np.ndarray


def landing_miss_m(error_m: np.ndarray, lateral_m: np.ndarray) -> np.ndarray:
    """Straight-line miss sqrt(error^2 + lateral^2), metres; NaN where either is missing."""
    return np.sqrt(error_m * error_m + lateral_m * lateral_m)


def group_within(group: np.ndarray, miss_m: np.ndarray, radius_m: float, groups: int) -> tuple[np.ndarray, np.ndarray]:
    """Count the misses up to the radius, and all that are known (not NaN), in each group; both of shape (groups,)."""
    known = ~np.isnan(miss_m)
    within = np.bincount(group[known & (miss_m <= radius_m)], minlength=groups)
    return within, np.bincount(group[known], minlength=groups)


def group_proximity(group: np.ndarray, error_m: np.ndarray, lateral_m: np.ndarray, groups: int) -> Proximity:
    """Mean and median landing miss of each group over the shots with both errors; arrays of shape (shots,).

    For a circular normal scatter of s about the target the mean is s sqrt(pi/2) and the median, the circular
    error probable, s sqrt(2 ln 2) (Rayleigh); real scatter has heavier tails, so both are given.
    """
    miss_m = landing_miss_m(error_m, lateral_m)
    known = np.flatnonzero(~np.isnan(miss_m))
    group, miss_m = group[known], miss_m[known]
    n = np.bincount(group, minlength=groups)
    with np.errstate(invalid="ignore"):  # 0 / 0 in an empty group is NaN: no figure
        mean_m = np.bincount(group, miss_m, groups) / n
    return Proximity(n, mean_m, group_medians(group, miss_m, groups))
