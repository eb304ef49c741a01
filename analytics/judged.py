"""Each club and swing judged together with the player's others, and the mishits beside them."""

from dataclasses import dataclass
from zlib import crc32

import numpy as np

from analytics.frames import BY_EYE, MEASURED, PlayerShots
from analytics.metrics.intervals import share_interval
from analytics.metrics.mishit_rate import MishitRate, mishit_rate
from analytics.metrics.mishits import GoodShots, good_shots, relative_errors_pct, suggested_mishits
from analytics.metrics.moments import group_moments
from analytics.metrics.pooled_proximity import pooled_proximity
from analytics.metrics.pooling import CellPosterior, Pooled, PooledCells, draw_posterior, summary
from analytics.metrics.proximity import group_within, landing_miss_m
from practice.units import YARD_M

RADIUS_M = 3 * YARD_M
"""The radius whose chance is given: what the trade calls close for a pitch; common practice, no source."""


@dataclass(frozen=True)
class JudgedCell:
    """Pooled figures of one cell, over its good balls at known targets.

    `target_m` is their mean target: percent are of the target, metres are at that distance. `within_pct` is the
    chance in percent that the next good ball lands within RADIUS_M, by distance alone where `distance_only`.
    """

    n: int
    target_m: float
    bias_pct: Pooled
    bias_m: Pooled
    spread_m: Pooled
    rmse_pct: Pooled
    rmse_m: Pooled
    median_miss_m: Pooled
    within_pct: Pooled
    distance_only: bool


@dataclass(frozen=True)
class JudgedMishits:
    """Mishits of one cell: how many more look like one, and the good shots that then remain (metres)."""

    suggested: int
    good: GoodShots


@dataclass(frozen=True)
class OwnShare:
    """How many of a cell's own good balls at known targets landed within RADIUS_M, of the n whose miss is known.

    The miss is that of `JudgedCell`: by distance alone where that is. `ci95_pct` is Wilson's; None without a ball.
    """

    within: int
    n: int

    @property
    def pct(self) -> float | None:
        return 100 * self.within / self.n if self.n else None

    @property
    def ci95_pct(self) -> tuple[float, float] | None:
        ends = share_interval(self.within, self.n)
        return ends and (100 * ends[0], 100 * ends[1])


@dataclass(frozen=True)
class Judgement:
    """What a player's shots say together: of each cell in order, and of the mishits of all. None where nothing can.

    `own_shares` are raw: of each cell's balls alone.
    """

    cells: tuple[JudgedCell | None, ...]
    own_shares: tuple[OwnShare, ...]
    mishits: tuple[JudgedMishits, ...]
    mishit_rate: MishitRate


def judge(found: PlayerShots) -> Judgement:
    """Judge a player's shots. The same shots give the same figures: the draws are seeded by the shots."""
    cells = _pooled(found)
    return Judgement(
        cells=cells,
        own_shares=_own_shares(found, cells),
        mishits=cell_mishits(found),
        mishit_rate=_rate(found),
    )


def _rate(found: PlayerShots) -> MishitRate:
    sessions = int(found.columns.session.max(initial=-1)) + 1
    shots = np.bincount(found.columns.session, minlength=sessions)
    return mishit_rate(np.bincount(found.columns.session[found.columns.mishit], minlength=sessions), shots)


def cell_mishits(found: PlayerShots) -> tuple[JudgedMishits, ...]:
    """Return what each cell's mishits say, flagged and suspected.

    `good.withheld` is the one rule by which a page shows or withholds a cell's own scatter.
    """
    columns, cells = found.columns, len(found.cells)
    suggested = suggested_mishits(*relative_errors_pct(columns, cells), columns.mishit)
    error_m = np.where(
        np.isnan(columns.carry_m - columns.target_m), columns.error_m, columns.carry_m - columns.target_m
    )
    counts = np.bincount(columns.cell[suggested], minlength=cells)
    good = good_shots(columns.cell, error_m, columns.mishit | suggested, cells, suggestions_left_out=True)
    return tuple(JudgedMishits(*pair) for pair in zip(counts.tolist(), good, strict=True))


def _own_shares(found: PlayerShots, judged: tuple[JudgedCell | None, ...]) -> tuple[OwnShare, ...]:
    scored = found.columns.scored()
    distance_only = np.array([cell is None or cell.distance_only for cell in judged], dtype=bool)
    sideways_m = np.where(distance_only[scored.cell], 0.0, scored.lateral_m)
    miss_m = np.where(np.isnan(scored.q), np.nan, landing_miss_m(scored.error_m, sideways_m))
    counts = group_within(scored.cell, miss_m, RADIUS_M, len(judged))
    return tuple(OwnShare(*pair) for pair in zip(*(count.tolist() for count in counts), strict=True))


def _pooled(found: PlayerShots) -> tuple[JudgedCell | None, ...]:
    """Pool measured cells with each other and by-eye cells with each other, never the two together."""
    judged: list[JudgedCell | None] = [None] * len(found.cells)
    for by in (MEASURED, BY_EYE):
        codes = [code for code, cell in enumerate(found.cells) if cell.by == by]
        for code, cell in zip(codes, _pooled_of(found, np.array(codes, dtype=np.intp)), strict=True):
            judged[code] = cell
    return tuple(judged)


def _pooled_of(found: PlayerShots, codes: np.ndarray) -> list[JudgedCell | None]:
    scored = found.columns.scored()
    place = np.full(len(found.cells), -1)
    place[codes] = np.arange(len(codes))
    at_targets = np.flatnonzero((place[scored.cell] >= 0) & ~np.isnan(scored.q))
    cell, q_pct = place[scored.cell[at_targets]], 100 * scored.q[at_targets]
    target_m = _mean_targets_m(found, place, len(codes))
    distance = group_moments(cell, q_pct, len(codes))
    rng = np.random.default_rng(crc32(np.concatenate([cell, q_pct]).tobytes()))
    posterior = draw_posterior(distance.n, distance.mean, distance.s, rng=rng)
    if posterior is None:
        return [None] * len(codes)
    lateral = _lateral(scored.lateral_m[at_targets], cell, target_m, rng)
    return _cells(distance.n, target_m, posterior, lateral)


def _mean_targets_m(found: PlayerShots, place: np.ndarray, cells: int) -> np.ndarray:
    columns = found.columns
    known = np.flatnonzero((place[columns.cell] >= 0) & ~columns.mishit & ~np.isnan(columns.carry_m - columns.target_m))
    return group_moments(place[columns.cell[known]], columns.target_m[known], cells).mean


def _lateral(
    lateral_m: np.ndarray, cell: np.ndarray, target_m: np.ndarray, rng: np.random.Generator
) -> CellPosterior | None:
    """Pool the lateral errors, in percent of the cell's mean target; None where none is known."""
    known = np.flatnonzero(~np.isnan(lateral_m))
    sideways_pct = 100 * lateral_m[known] / target_m[cell[known]]
    moments = group_moments(cell[known], sideways_pct, len(target_m))
    return draw_posterior(moments.n, moments.mean, moments.s, rng=rng)


def _cells(
    n: np.ndarray, target_m: np.ndarray, distance: CellPosterior, lateral: CellPosterior | None
) -> list[JudgedCell | None]:
    metres_a_percent = np.where(n > 0, target_m, 1.0) / 100
    in_pct, in_m = summary(distance, n), summary(distance.times(metres_a_percent), n)
    near = pooled_proximity(distance.times(metres_a_percent), lateral and lateral.times(metres_a_percent), n, RADIUS_M)
    return [
        _cell(k, int(shots), float(target_m[k]), in_pct, in_m, near) if shots else None
        for k, shots in enumerate(n.tolist())
    ]


def _cell(k: int, n: int, target_m: float, in_pct: PooledCells, in_m: PooledCells, near) -> JudgedCell:
    return JudgedCell(
        n=n,
        target_m=target_m,
        bias_pct=in_pct.bias[k],
        bias_m=in_m.bias[k],
        spread_m=in_m.spread[k],
        rmse_pct=in_pct.rmse[k],
        rmse_m=in_m.rmse[k],
        median_miss_m=near.median[k],
        within_pct=near.within_pct[k],
        distance_only=near.distance_only,
    )
