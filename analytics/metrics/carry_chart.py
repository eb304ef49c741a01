"""The carry chart: how far each club flies at each swing length, and which swing length scatters least."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy import special

from analytics.metrics.carry_surface import (
    CarrySurface,
    LeftOut,
    SurfaceCarry,
    SurfaceCell,
    fit_carry_surface,
    leave_one_club_out,
)
from analytics.metrics.intervals import mean_interval
from analytics.metrics.relative_scatter import pooled_cv

SURE = 0.975  # chance to be the least scattered swing, above which it is named: wrong in 5 % of players at worst
ENOUGH_DF = 4  # a swing known by less is not compared
CV_FLOOR = 0.005  # no carry is known to better than half a percent; engineering estimate
STEPS = (np.arange(400) + 0.5) / 400


@dataclass(frozen=True)
class StockBalls:
    """Carries (m, above 0) of the stock balls of one club and swing, mishits left out; 1 ball or more."""

    club: str
    loft_deg: float
    swing: str
    carries_m: Sequence[float]

    @property
    def mean_m(self) -> float:
        return float(np.mean(self.carries_m))

    @property
    def cv(self) -> float:
        """Standard deviation over mean; NaN under 2 balls."""
        return float(np.std(self.carries_m, ddof=1)) / self.mean_m if len(self.carries_m) > 1 else float("nan")


@dataclass(frozen=True)
class ChartEntry:
    """One club and swing: the raw figures of its own balls, and apart from them what the surface expects.

    Attributes
    ----------
    raw_mean_m, raw_ci95_m
        Mean carry and its t interval (None under 2 balls).
    surface
        Drawn from all the player's cells together; None for a surface that is not monotone.
    """

    club: str
    loft_deg: float
    swing: str
    n: int
    raw_mean_m: float | None
    raw_ci95_m: tuple[float, float] | None
    surface: SurfaceCarry | None


@dataclass(frozen=True)
class SwingScatter:
    """Scatter of one swing length over all clubs: balls, percent of the carry, and the chance to be the least."""

    swing: str
    balls: int
    scatter_pct: float
    chance_least: float


@dataclass(frozen=True)
class CarryChart:
    """Entries of every club and every swing hit at all, by loft, then swing.

    `steadiest` is the swing length that scatters least in percent, None when that can't be told; `scatter` holds
    what it was chosen from, shortest swing first. `left_out` is how well the surface foretells a club it has not
    seen, None unless a swing has two clubs.
    """

    entries: tuple[ChartEntry, ...]
    surface: CarrySurface
    scatter: tuple[SwingScatter, ...]
    steadiest: str | None
    left_out: LeftOut | None


def carry_chart(cells: Sequence[StockBalls], swings: Sequence[str]) -> CarryChart:
    """Chart of one player.

    Parameters
    ----------
    cells
        Stock balls by club and swing, 1 or more cells; which balls count (measured, the last 120 days, since the
        last bend, one ball type and surface) is the caller's choice. Lofts within 42 to 64 degrees.
    swings
        Swing lengths in order, shortest first.

    Returns
    -------
    CarryChart. ValueError for no cells, a cell without balls, or a carry of 0 or less: a topped ball is a mishit
    and no stock ball.
    """
    for cell in cells:
        if not len(cell.carries_m) or not all(0 < carry_m < np.inf for carry_m in cell.carries_m):
            raise ValueError(f"{cell.club} {cell.swing}: needs a ball, and carries above 0 that are no mishits")
    seen = surface_cells(cells)
    surface = fit_carry_surface(seen, swings)
    measured = {(cell.club, cell.swing): cell for cell in cells}
    entries = [
        _entry(club, loft_deg, swing, measured.get((club, swing)), surface)
        for club, loft_deg in surface.lofts_deg.items()
        for swing in surface.swings
    ]
    scatter = swing_scatter(cells, surface.swings)
    steadiest = next((each.swing for each in scatter if each.chance_least >= SURE), None)
    return CarryChart(tuple(entries), surface, scatter, steadiest, leave_one_club_out(seen, swings))


def surface_cells(cells: Sequence[StockBalls]) -> list[SurfaceCell]:
    """Return what `fit_carry_surface` takes: each cell with the relative scatter of one ball over all of them."""
    cv = pooled_cv(np.array([len(cell.carries_m) for cell in cells]), np.array([cell.cv for cell in cells]))
    return [SurfaceCell(cell.club, cell.loft_deg, cell.swing, len(cell.carries_m), cell.mean_m, cv) for cell in cells]


def _entry(club: str, loft_deg: float, swing: str, cell: StockBalls | None, surface: CarrySurface) -> ChartEntry:
    expected = surface.predict(club, swing) if surface.monotone else None
    if cell is None:
        return ChartEntry(club, loft_deg, swing, 0, None, None, expected)
    n, mean_m = len(cell.carries_m), cell.mean_m
    interval = mean_interval(n, mean_m, cell.cv * mean_m)
    return ChartEntry(club, loft_deg, swing, n, mean_m, interval, expected)


def swing_scatter(cells: Sequence[StockBalls], swings: Sequence[str]) -> tuple[SwingScatter, ...]:
    """Scatter in percent of each swing that has enough balls, and the chance that it is the least.

    Deviations from each cell's own mean, in percent of it, pooled over clubs: s^2 with f degrees of freedom (balls
    less cells). Then sigma^2 is f s^2 / chi-square(f), and the chance that swing k has the least is the integral of
    its density times the others' chance to be above. f is divided by 1 + kurtosis / 2 (the sampling variance of a
    variance, Kendall & Stuart, from memory), the excess kurtosis of all deviations together, if above 0: one wild
    ball must not decide. Carry is assumed to scatter alike over the clubs of a swing.

    Returns
    -------
    In the order of `swings`; without those known by fewer than 4 degrees of freedom, and empty unless two are left:
    one swing alone is not the least of anything.
    """
    deviations = {swing: _deviations(cells, swing) for swing in swings}
    enough = {swing: (e, df) for swing, (e, df) in deviations.items() if df >= ENOUGH_DF}
    if len(enough) < 2:
        return ()
    df = np.array([df for _, df in enough.values()], dtype=float)
    s2 = np.array([e @ e for e, _ in enough.values()]) / df
    standard = [e / np.sqrt(variance) for (e, _), variance in zip(enough.values(), s2, strict=True) if variance > 0]
    s2 = np.maximum(s2, CV_FLOOR**2)
    chance = _chance_least(s2, df / (1 + _excess_kurtosis(standard) / 2))
    figures = zip(enough.items(), np.sqrt(s2).tolist(), chance.tolist(), strict=True)
    return tuple(SwingScatter(swing, len(e), 100 * cv, least) for (swing, (e, _)), cv, least in figures)


def _deviations(cells: Sequence[StockBalls], swing: str) -> tuple[np.ndarray, int]:
    """Relative deviations of a swing's balls from their cells' means, and their degrees of freedom."""
    own = [cell for cell in cells if cell.swing == swing and len(cell.carries_m) > 1]
    e = [np.asarray(cell.carries_m) / cell.mean_m - 1 for cell in own]
    return np.concatenate([*e, np.empty(0)]), sum(map(len, e)) - len(own)


def _excess_kurtosis(standard: list[np.ndarray]) -> float:
    """Excess kurtosis of standardised deviations, 0 if negative or nothing scatters."""
    if not standard:
        return 0.0
    z = np.concatenate(standard)
    return max(0.0, float(np.mean(z**4) / np.mean(z**2) ** 2) - 3)


def _chance_least(s2: np.ndarray, df: np.ndarray) -> np.ndarray:
    """Chance of each variance to be the least, given estimates s2 with df; midpoint rule over its own quantiles."""
    chance = []
    for k, (own_s2, own_df) in enumerate(zip(s2, df, strict=True)):
        variance = own_df * own_s2 / (2 * special.gammaincinv(own_df / 2, STEPS))
        others = np.delete(np.arange(len(s2)), k)
        above = special.gammainc(df[others] / 2, df[others] * s2[others] / (2 * variance[:, None]))
        chance.append(above.prod(axis=1).mean())
    return np.array(chance)
