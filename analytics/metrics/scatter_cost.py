"""What a metre of scatter costs: the putts that it adds, where a shot's misses are normal about the hole."""

import numpy as np
from scipy import special

from analytics.metrics.putting import PuttingTable

SIDE = 0.7
"""Sideways spread by spread in distance: engineering estimate."""
GRID = 40
"""Equally likely misses each way, at the middles of so many equal shares of a normal: within 1 % of the integral."""
STEP_M = 0.5


def putts_after_spread(table: PuttingTable, spread_m: np.ndarray) -> np.ndarray:
    """Mean putts after shots of these spreads in distance (m, 0 or more; shape (n,)): shape (n,).

    Distance misses are normal with that spread and sideways ones with 0.7 of it, both about the hole.
    """
    z = special.ndtri((np.arange(GRID) + 0.5) / GRID)
    spread_m = np.asarray(spread_m, dtype=float)[:, None, None]
    leave_m = np.hypot(spread_m * z[:, None], SIDE * spread_m * z)
    return table.putts_after(leave_m).mean(axis=(1, 2))


def strokes_per_m(table: PuttingTable, spread_m: np.ndarray) -> np.ndarray:
    """Putts that one metre more of spread adds, at these spreads (m; shape (n,)): over half a metre either way."""
    spread_m = np.asarray(spread_m, dtype=float)
    below_m = np.minimum(spread_m, STEP_M)
    ends = putts_after_spread(table, spread_m + STEP_M) - putts_after_spread(table, spread_m - below_m)
    return ends / (STEP_M + below_m)
