"""Carry over loft and swing length: what a club that was hit little, is bent or is not owned yet would do."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from analytics.metrics.log_carry import NOT_OWNED, LogCarryModel, Points

LOFTS_DEG = (42.0, 64.0)  # the pitching clubs that the model's priors are made for
THIN = 5  # fewer balls than this are thinly measured; engineering estimate
Z95 = 1.959963984540054  # normal quantile .975
RULE_OF_THUMB_M_PER_DEG = 3.5 * 0.9144  # "three to four yards a degree": common practice, no source


@dataclass(frozen=True)
class SurfaceCell:
    """Stock balls of one club and swing: n (1 or more), mean carry (m, above 0) and relative scatter of one ball.

    `cv` is best the player's pooled one (`relative_scatter.pooled_cv`): that of a few balls is a guess.
    """

    club: str
    loft_deg: float
    swing: str
    n: int
    mean_m: float
    cv: float


@dataclass(frozen=True)
class SurfaceCarry:
    """Mean carry (m) that the surface expects, with its 95 % interval; not where a single ball will land.

    `se_m` is its standard error (m), by the delta method. `basis` is "measured" (5 balls or more of this club and
    swing), "thinly measured" or "not measured"; `n` counts those balls. A bent club keeps the basis of the balls hit
    before the bend.
    """

    carry_m: float
    se_m: float
    ci95_m: tuple[float, float]
    n: int
    basis: str


@dataclass(frozen=True)
class CarryChange:
    """By how much (m) a bend changes a mean carry, below 0 where it gets shorter, with its 95 % interval.

    Of the bend alone: the carry as it is now counts as known, for what is not known of it stays as it is.
    """

    change_m: float
    ci95_m: tuple[float, float]


@dataclass(frozen=True)
class CarrySurface:
    """One player's carry over loft and swing; made by `fit_carry_surface`.

    Attributes
    ----------
    swings
        The swing lengths with any ball, shortest first. Of another swing the surface knows nothing: KeyError.
    lofts_deg
        Loft of each club with any ball, by its label; KeyError for another.
    monotone
        Does the expected carry of a new club fall strictly with loft over 42 to 64 degrees at every swing, and
        rise strictly with swing length at every loft? If not, the balls contradict each other (two clubs
        mistaken for each other, say): show raw means only.
    """

    swings: tuple[str, ...]
    lofts_deg: dict[str, float]
    monotone: bool
    _balls: dict[tuple[str, str], int] = field(repr=False)
    _model: LogCarryModel = field(repr=False, compare=False)

    def predict(self, club: str, swing: str) -> SurfaceCarry:
        """Carry of an owned club as it is."""
        return self._carry(club, self.lofts_deg[club], swing)

    def bent(self, club: str, new_loft_deg: float) -> dict[str, SurfaceCarry]:
        """Carry by swing of an owned club bent to a new loft: it keeps what sets it apart from the other clubs."""
        _check_loft(new_loft_deg)
        return {swing: self._carry(club, new_loft_deg, swing) for swing in self.swings}

    def bend_change(self, club: str, new_loft_deg: float) -> dict[str, CarryChange]:
        """What a bend changes by swing; known better than the carry itself, because club and cell effects cancel.

        The log carry of one club is a parabola in loft, so between two lofts it changes by the bend times the slope
        halfway: exactly, and normally where the slope is normal.
        """
        return self._changes(club, self.lofts_deg[club], new_loft_deg)

    def new_club_change(self, loft_deg: float, new_loft_deg: float) -> dict[str, CarryChange]:
        """What a bend from one loft to another changes by swing, for a club that no ball was hit with."""
        _check_loft(loft_deg)
        return self._changes(None, loft_deg, new_loft_deg)

    def slope_se_m(self, club: str, loft_deg: float, swing: str) -> float:
        """Standard error (m per degree) of what a degree of bend changes, for a club at a loft; by the delta method."""
        return self.bent(club, loft_deg)[swing].carry_m * self._slope(loft_deg, swing)[1]

    def new_club(self, loft_deg: float, swing: str) -> SurfaceCarry:
        """Carry of a club not owned; what will set it apart is not known, so its interval is wider."""
        _check_loft(loft_deg)
        return self._carry(None, loft_deg, swing)

    def _changes(self, club: str | None, now_deg: float, new_deg: float) -> dict[str, CarryChange]:
        _check_loft(new_deg)
        return {swing: self._change(club, now_deg, new_deg, swing) for swing in self.swings}

    def _change(self, club: str | None, now_deg: float, new_deg: float, swing: str) -> CarryChange:
        slope, slope_sd = self._slope((now_deg + new_deg) / 2, swing)
        bend_deg, now_m = new_deg - now_deg, self._carry(club, now_deg, swing).carry_m
        low, high = sorted(math.expm1(bend_deg * (slope + z * slope_sd)) for z in (-Z95, Z95))
        return CarryChange(now_m * math.expm1(bend_deg * slope), (now_m * low, now_m * high))

    def _slope(self, loft_deg: float, swing: str) -> tuple[float, float]:
        """Mean and standard deviation of the change of log carry a degree."""
        point = Points(np.array([NOT_OWNED]), np.array([loft_deg]), np.array([_codes(self.swings)[swing]]))
        (slope,), (slope_sd,) = (figure.tolist() for figure in self._model.slope(point))
        return slope, slope_sd

    def _carry(self, club: str | None, loft_deg: float, swing: str) -> SurfaceCarry:
        code = NOT_OWNED if club is None else _codes(self.lofts_deg)[club]
        point = Points(np.array([code]), np.array([loft_deg]), np.array([_codes(self.swings)[swing]]))
        (log_mean,), (log_sd,) = (figure.tolist() for figure in self._model.predict(point))
        n, half = self._balls.get((club, swing), 0), Z95 * log_sd
        basis = "measured" if n >= THIN else "thinly measured" if n else "not measured"
        carry_m, ends_m = math.exp(log_mean), (math.exp(log_mean - half), math.exp(log_mean + half))
        return SurfaceCarry(carry_m, carry_m * log_sd, ends_m, n, basis)


@dataclass(frozen=True)
class LeftOut:
    """Error (m, root mean square) of foretelling the cells of each club from the other clubs alone.

    `rule_rmse_m` is that of the rule of thumb from the nearest club at the same swing: 3.5 yards a degree at that
    club's longest swing, shorter swings in proportion.
    """

    cells: int
    surface_rmse_m: float
    rule_rmse_m: float


def fit_carry_surface(cells: Sequence[SurfaceCell], swings: Sequence[str]) -> CarrySurface:
    """Fit the surface to one player's cells of stock balls.

    See `log_carry.LogCarryModel` for the model; the sampling variance of a log mean is cv^2 / n (delta method).
    Its priors are engineering estimates, and a carry from physics is never shown as a player's.

    Parameters
    ----------
    cells
        1 or more, each club and swing once, lofts within 42 to 64 degrees: other clubs are the caller's to leave
        out.
    swings
        Swing lengths in order, shortest first; those without a cell are left out.

    Returns
    -------
    CarrySurface. One club, one swing or one ball still answer, with a wide interval; the same cells in another
    order give the same surface. ValueError says what is wrong with a cell.
    """
    _check(cells, swings)
    known = tuple(swing for swing in swings if any(cell.swing == swing for cell in cells))
    ordered = sorted(cells, key=lambda cell: (cell.loft_deg, cell.club, known.index(cell.swing)))
    lofts_deg = {cell.club: cell.loft_deg for cell in ordered}
    points = Points(
        np.array([_codes(lofts_deg)[cell.club] for cell in ordered]),
        np.array([cell.loft_deg for cell in ordered]),
        np.array([_codes(known)[cell.swing] for cell in ordered]),
    )
    noise = np.array([cell.cv**2 / cell.n for cell in ordered])
    model = LogCarryModel(points, np.log([cell.mean_m for cell in ordered]), noise, len(known))
    balls = {(cell.club, cell.swing): cell.n for cell in ordered}
    return CarrySurface(known, lofts_deg, _is_monotone(model, len(known)), balls, model)


def leave_one_club_out(cells: Sequence[SurfaceCell], swings: Sequence[str]) -> LeftOut | None:
    """How well the surface foretells a club it has not seen, beside the rule of thumb.

    The errors are against raw means, so they hold the scatter of these too. None unless a swing has two clubs.
    """
    _check(cells, swings)
    errors_m = []
    for club in sorted({cell.club for cell in cells}):
        others = [other for other in cells if other.club != club]
        surface = fit_carry_surface(others, swings) if others else None
        for cell in cells:
            if cell.club == club and surface and cell.swing in surface.swings:
                surface_m = surface.new_club(cell.loft_deg, cell.swing).carry_m
                errors_m.append((surface_m - cell.mean_m, _rule_of_thumb_m(cell, others) - cell.mean_m))
    if not errors_m:
        return None
    return LeftOut(len(errors_m), *np.sqrt(np.mean(np.square(errors_m), axis=0)).tolist())


def _rule_of_thumb_m(cell: SurfaceCell, others: Sequence[SurfaceCell]) -> float:
    lenders = [other for other in others if other.swing == cell.swing]
    nearest = min(lenders, key=lambda other: (abs(other.loft_deg - cell.loft_deg), other.loft_deg, other.club))
    longest_m = max(other.mean_m for other in others if other.club == nearest.club)
    lost_m_per_deg = RULE_OF_THUMB_M_PER_DEG * nearest.mean_m / longest_m
    return nearest.mean_m - lost_m_per_deg * (cell.loft_deg - nearest.loft_deg)


def _is_monotone(model: LogCarryModel, swings: int) -> bool:
    lofts_deg = np.arange(LOFTS_DEG[0], LOFTS_DEG[1] + 0.5, 0.5)
    swing, loft = np.divmod(np.arange(swings * len(lofts_deg)), len(lofts_deg))
    log_carry, _ = model.predict(Points(np.full(len(swing), NOT_OWNED), lofts_deg[loft], swing))
    log_carry = log_carry.reshape(swings, len(lofts_deg))
    return bool((np.diff(log_carry, axis=1) < 0).all() and (np.diff(log_carry, axis=0) > 0).all())


def _codes(labels) -> dict[str, int]:
    return {label: code for code, label in enumerate(labels)}


def _check_loft(loft_deg: float) -> None:
    if not LOFTS_DEG[0] <= loft_deg <= LOFTS_DEG[1]:
        raise ValueError(f"a loft of {loft_deg:g} degrees is outside {LOFTS_DEG[0]:g} to {LOFTS_DEG[1]:g}")


def _check(cells: Sequence[SurfaceCell], swings: Sequence[str]) -> None:
    if not cells:
        raise ValueError("a surface needs the stock balls of at least one club and swing")
    for cell in cells:
        _check_loft(cell.loft_deg)
        if cell.n < 1 or not 0 < cell.mean_m < math.inf or not 0 <= cell.cv < math.inf:
            raise ValueError(f"{cell.club} {cell.swing}: needs a ball, a mean carry above 0 and a cv of 0 or more")
        if cell.swing not in swings:
            raise ValueError(f"{cell.club} {cell.swing}: not among the swing lengths {', '.join(swings)}")
    if len({(cell.club, cell.swing) for cell in cells}) < len(cells):
        raise ValueError("each club and swing may come once")
    if len({(cell.club, cell.loft_deg) for cell in cells}) > len({cell.club for cell in cells}):
        raise ValueError("a club has one loft: balls from before a bend belong to another setup")
