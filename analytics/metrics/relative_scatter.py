"""Scatter in percent of the carry, pooled over a player's cells: one cell's balls are too few to know it."""

import numpy as np

PRIOR_CARRY_CV = 0.07  # engineering estimate: relative scatter of a pitch's carry
PRIOR_LATERAL_CV = 0.05  # engineering estimate: lateral scatter over carry
PRIOR_DF = 2.0  # the estimate above counts like 3 balls: it decides only where nothing else is known
SHRINK_DF = 8.0  # what the player's other cells weigh, in balls, against a cell's own


def pooled_cv(n: np.ndarray, cv: np.ndarray, prior_cv: float = PRIOR_CARRY_CV) -> float:
    """Relative scatter of one ball over all cells of a player.

    sqrt((2 prior^2 + sum (n - 1) cv^2) / (2 + sum (n - 1))): the pooled variance of any text, with a weak
    prior (engineering estimate), so that a player of single balls gets an answer too.

    Parameters
    ----------
    n, cv
        Balls and standard deviation (divisor n - 1) over mean carry of each cell, shape (cells,). The cv of a
        cell under n = 2 is not read and may be NaN.
    """
    df = np.maximum(n - 1, 0)
    squares = np.where(df > 0, df * np.square(np.where(df > 0, cv, 0.0)), 0.0)
    return float(np.sqrt((PRIOR_DF * prior_cv**2 + squares.sum()) / (PRIOR_DF + df.sum())))


def shrunk_cv(n: np.ndarray, cv: np.ndarray, prior_cv: float = PRIOR_CARRY_CV) -> np.ndarray:
    """Relative scatter of each cell, drawn towards the player's pooled one; shape (cells,).

    sqrt((8 pooled^2 + (n - 1) cv^2) / (8 + n - 1)): posterior scale under a scaled inverse chi-square prior
    with 8 degrees of freedom (Gelman et al., Bayesian Data Analysis, section 2.6, from memory; the 8 is an
    engineering estimate). A figure to predict with; its own interval would have to integrate over the 8.

    Parameters
    ----------
    n, cv
        As in `pooled_cv`. A cell of no or one ball gets the pooled figure.
    """
    df = np.maximum(n - 1, 0)
    pooled = pooled_cv(n, cv, prior_cv)
    return np.sqrt((SHRINK_DF * pooled**2 + df * np.square(np.where(df > 0, cv, 0.0))) / (SHRINK_DF + df))
