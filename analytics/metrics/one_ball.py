"""What the balls of a one-ball test came to: strokes to hole out from where each of them ended."""

import numpy as np

from analytics.metrics.putting import PuttingTable
from analytics.metrics.shot_choice import MISHIT_STROKES


def strokes_to_hole_out(
    error_m: np.ndarray,
    lateral_m: np.ndarray,
    mishit: np.ndarray,
    table: PuttingTable,
    *,
    mishit_strokes: float = MISHIT_STROKES,
) -> np.ndarray:
    """Strokes to expect from the ball on: 1, and then the putts from its miss, or `mishit_strokes` after a mishit.

    Parameters
    ----------
    error_m, lateral_m, mishit
        Distance error and sideways error of each ball (m), and whether it was a mishit; shape (n,). NaN in lateral_m
        counts as no sideways error, NaN in error_m makes NaN unless the ball was a mishit.
    table
        The putts to expect. A ball is taken to stop where it lands and to be putted from there.
    """
    leave_m = np.hypot(error_m, np.nan_to_num(lateral_m))
    return 1 + np.where(mishit, mishit_strokes, table.putts_after(leave_m))
