"""Mishits: which further shots look like one, and the centre and spread of the good shots that remain.

The player's own flag comes first. A suggestion is only ever shown beside it: no function here changes a flag, and
nothing is dropped in silence, since the all-shots RMSE and the mishit rate stand beside the good shots.
"""

import math
from dataclasses import dataclass

import numpy as np
from scipy import special

from analytics.metrics.columns import ShotColumns
from analytics.metrics.intervals import mean_interval, spread_interval
from analytics.metrics.moments import group_medians, group_moments

CUT = 2.5
SHARE_WITHOUT_SPREAD = 0.20
GOOD_SHOTS_FOR_SPREAD = 3
TOO_MANY_MISHITS, TOO_FEW_GOOD = "too many mishits", "too few good shots"

# Median of |x - median| of a normal sample times 1.4826, to be divided into the SD: own simulation of 200,000 samples a
# size, index n. It makes the MEDIAN over many cells right; beyond n = 10 it is n / (n - 1.2) to 1 %.
MAD_NORMAL = 1 / special.ndtri(0.75)
SMALL_MAD = np.array([np.nan, np.nan, np.nan, 1.865, 1.491, 1.343, 1.261, 1.209, 1.181, 1.152, 1.134])


@dataclass(frozen=True)
class GoodShots:
    """Good shots of one cell beside the count of its mishits, in the unit of the values.

    Attributes
    ----------
    n, mishits
        Shots that are no mishits, and shots that are.
    centre, centre_ci95
        Mean of the good shots; None at n = 0, its t interval under n = 2.
    spread, spread_ci95
        Their standard deviation with its chi-square interval, both None where `withheld` says why.
    withheld
        None, "too few good shots" (under 3), or "too many mishits" (20 % or more of the shots). At that share whether a
        shot is a bad good one or a good bad one is a matter of taste, and the SD with it: simulated SDs ran 15 to 25 %
        too wide, with intervals that held 71 to 82 % instead of 95.
    """

    n: int
    mishits: int
    centre: float | None
    centre_ci95: tuple[float, float] | None
    spread: float | None
    spread_ci95: tuple[float, float] | None
    withheld: str | None


def relative_errors_pct(columns: ShotColumns, cells: int) -> tuple[np.ndarray, np.ndarray]:
    """What `suggested_mishits` looks at: groups and values of one player's shots, both of shape (shots,).

    The value is 100 (carry - target) / target at a target, and for a stock ball 100 (carry - m) / m with m the median
    stock carry of its cell: errors grow with distance, so only relative ones may be pooled over cells. Stock balls are
    groups of their own, numbered from `cells` on. NaN where the carry is missing or the error was only entered.
    """
    stock_carry_m = np.where(columns.stock, columns.carry_m, np.nan)
    known = ~np.isnan(stock_carry_m)
    median_m = group_medians(columns.cell[known], stock_carry_m[known], cells)
    aim_m = np.where(columns.stock, median_m[columns.cell], columns.target_m)
    with np.errstate(divide="ignore", invalid="ignore"):  # a cell whose stock balls were all topped aims at 0
        values_pct = 100 * (columns.carry_m - aim_m) / aim_m
    group = np.where(columns.stock, columns.cell + cells, columns.cell)
    return group, np.where(np.isfinite(values_pct), values_pct, np.nan)


def suggested_mishits(group: np.ndarray, values: np.ndarray, flagged: np.ndarray) -> np.ndarray:
    """Shots of one player that look like mishits though nobody flagged them.

    A shot is suggested where |x - median of its group| > 2.5 times the player's robust scale: the median over the
    groups of 1.4826 MAD, corrected for small n. One scale for the whole player, because that of five shots alone is too
    loose to judge a sixth by. In normal data without mishits it suggests about 1.5 % of the shots.

    Parameters
    ----------
    group, values, flagged
        Arrays of shape (shots,): group codes from 0, relative errors (percent; NaN = missing), the player's own flags.

    Returns
    -------
    Boolean array of shape (shots,), False for flagged and missing shots. All False where no group has 3 unflagged shots
    or the scale is 0 (more than half of the groups hold mostly equal values): then there is nothing to judge by.

    References
    ----------
    The MAD and the factor 1.4826: Hampel, J. Am. Stat. Assoc. 69:383-393 (1974) (from memory). The cut at 2.5 and the
    pooling: engineering estimate, checked by simulation.
    """
    judged = np.flatnonzero(~(flagged | np.isnan(values)))
    suggested = np.zeros(len(values), dtype=bool)
    if judged.size == 0:
        return suggested
    group, values = group[judged], values[judged]
    groups = int(group.max()) + 1
    distance = np.abs(values - group_medians(group, values, groups)[group])
    n = np.bincount(group, minlength=groups)
    scale = robust_scale(n, group_medians(group, distance, groups))
    suggested[judged] = (scale > 0) & (n[group] >= GOOD_SHOTS_FOR_SPREAD) & (distance > CUT * scale)
    return suggested


def robust_scale(n: np.ndarray, mad: np.ndarray) -> float:
    """The player's robust scale: median over cells of the corrected MAD; 0 where no cell has 3 shots.

    Parameters
    ----------
    n, mad
        Arrays of shape (cells,): shots, and median absolute deviation from the median.
    """
    usable = n >= GOOD_SHOTS_FOR_SPREAD
    if not usable.any():
        return 0.0
    n, mad = n[usable], mad[usable]
    factor = np.where(n < len(SMALL_MAD), SMALL_MAD[np.minimum(n, len(SMALL_MAD) - 1)], n / (n - 1.2))
    return float(np.median(MAD_NORMAL * factor * mad))


def truncation_factor(cut: float = CUT) -> float:
    """SD of a standard normal variable of which only |z| <= cut is kept (cut > 0).

    sqrt(1 - 2 k phi(k) / (2 Phi(k) - 1)), k the cut: the variance of a doubly truncated normal, Johnson, Kotz and
    Balakrishnan, Continuous Univariate Distributions 1, 13.10.1 (from memory).
    """
    density = math.exp(-cut * cut / 2) / math.sqrt(2 * math.pi)
    return math.sqrt(1 - 2 * cut * density / (2 * float(special.ndtr(cut)) - 1))


def good_shots(
    group: np.ndarray, values: np.ndarray, mishit: np.ndarray, groups: int, *, suggestions_left_out: bool
) -> list[GoodShots]:
    """Centre and spread of the good shots of each group 0 .. groups - 1.

    Parameters
    ----------
    group, values, mishit
        Arrays of shape (shots,). A missing value (NaN) counts only if it is a mishit.
    suggestions_left_out
        Whether `mishit` holds suggestions too. The tails are then cut off, and the SD of what is kept is divided by
        `truncation_factor()`. Flags alone cut no tails.
    """
    good = np.flatnonzero(~(mishit | np.isnan(values)))
    moments = group_moments(group[good], values[good], groups)
    spread = moments.s / (truncation_factor() if suggestions_left_out else 1.0)
    mishits = np.bincount(group[mishit], minlength=groups)
    columns = (moments.n, mishits, moments.mean, spread)
    return [_good_shots(*row) for row in zip(*(column.tolist() for column in columns), strict=True)]


def _good_shots(n: int, mishits: int, centre: float, spread: float) -> GoodShots:
    withheld = None
    if n < GOOD_SHOTS_FOR_SPREAD:
        withheld = TOO_FEW_GOOD
    elif mishits and mishits >= SHARE_WITHOUT_SPREAD * (n + mishits):
        withheld = TOO_MANY_MISHITS
    return GoodShots(
        n=n,
        mishits=mishits,
        centre=centre if n else None,
        centre_ci95=mean_interval(n, centre, spread),
        spread=None if withheld else spread,
        spread_ci95=None if withheld else spread_interval(n, spread),
        withheld=withheld,
    )
