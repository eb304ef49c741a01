"""Which club and swing for a target: the chance to be near it, and the strokes to expect."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from scipy import special

from analytics.metrics.intervals import TAIL
from analytics.metrics.next_ball import Scatter, StockShot, chance_within, predictive
from analytics.metrics.putting import TOUR_PUTTS, PuttingTable

MISHIT_STROKES = 2.5  # to hole out after a mishit: engineering estimate, about a pitch from 30 yards
SURE_Z = 1.2815515655446004  # normal quantile .90: the best shot is named alone when it is best with 90 % chance
SIDE, SIDE_WEIGHT = (array[7:] for array in np.polynomial.hermite_e.hermegauss(15))  # the half with z >= 0
SIDE_WEIGHT = SIDE_WEIGHT * np.where(np.arange(len(SIDE)) > 0, 2, 1) / np.sqrt(2 * np.pi)
CARRY_P = (np.arange(121) + 0.5) / 121
SPREAD = np.sqrt(3.0)  # 3-point Gauss-Hermite rule: 0 and +-sqrt(3), weights 2/3, 1/6, 1/6


@dataclass(frozen=True)
class Candidate:
    """One shot at one target: chance to land within the radius, and strokes to hole out, this one included.

    `strokes` is None for a shot that does not reach the target.
    """

    club: str
    swing: str
    carry_m: float
    chance: float
    strokes: float | None


@dataclass(frozen=True)
class Choice:
    """What to hit at a target.

    Attributes
    ----------
    verdict
        "one" (the first shot is best with 90 % chance, or the only one that reaches), "either" (the data can't
        choose between the two), or "no stock shot" (none reaches; the one that lands nearest is given).
    shots
        The best, and the second best where there is one, by strokes. Empty without any shot.
    lead_se
        Standard error of the second's strokes less the first's; None where there is no second.
    """

    target_m: float
    verdict: str
    shots: tuple[Candidate, ...]
    lead_se: float | None


@dataclass(frozen=True)
class ShotTable:
    """The choice at each target, and what it rests on.

    `distance_only` is True when no lateral errors are known: chances are then of the right distance only.
    `chance` has shape (targets, shots), the shots in the order of `labels` (club, swing).
    """

    radius_m: float
    source: str
    distance_only: bool
    labels: tuple[tuple[str, str], ...]
    chance: np.ndarray
    choices: tuple[Choice, ...]


def choose_shots(
    shots: Sequence[StockShot],
    targets_m: Sequence[float],
    radius_m: float,
    *,
    table: PuttingTable = TOUR_PUTTS,
    mishit_strokes: float = MISHIT_STROKES,
) -> ShotTable:
    """The shot with the fewest expected strokes at each target, among those that reach it.

    A shot reaches a target that lies in the 95 % interval of its next ball's carry. Strokes are a proxy: the ball
    is taken to stop where it lands, on a green, and to be putted as in `table`; a mishit costs 1 and
    `mishit_strokes`.

    Parameters
    ----------
    shots
        All stock shots of a player; their order changes nothing.
    targets_m, radius_m
        Above 0.

    Returns
    -------
    ShotTable with a choice for each target in the order given.
    """
    shots, targets = _in_order(shots), np.asarray(targets_m, dtype=float)
    if not radius_m > 0 or not np.all((targets > 0) & np.isfinite(targets)):
        raise ValueError("targets and radius must be above 0")
    labels = tuple((shot.club, shot.swing) for shot in shots)
    known, scatter = any(shot.lateral_s_m is not None for shot in shots), predictive(shots)
    beyond = targets[:, None] - scatter.mean
    chance = chance_within(scatter, beyond, radius_m)
    strokes, variance = _expected_strokes(scatter, beyond, table, mishit_strokes)
    choices = []
    for row, target_m in enumerate(targets.tolist()):
        figures = zip(scatter.mean.tolist(), chance[row].tolist(), strokes[row].tolist(), strict=True)
        candidates = [Candidate(*label, *figure) for label, figure in zip(labels, figures, strict=True)]
        choices.append(_choice(target_m, candidates, variance[row]))
    return ShotTable(radius_m, table.source, not known, labels, chance, tuple(choices))


def _expected_strokes(
    scatter: Scatter, beyond: np.ndarray, table: PuttingTable, mishit_strokes: float
) -> tuple[np.ndarray, np.ndarray]:
    """Expected strokes and their variance for each target and shot; NaN where the shot does not reach.

    The variance is what the balls leave unknown of mean and spread: the spread of strokes over a 3-point rule for
    the mean and one for log s (standard deviation about 1 / sqrt(2 df)).
    """
    target, k = np.nonzero(np.abs(beyond) <= special.stdtrit(scatter.df, 1 - TAIL) * scatter.scale)
    shots, off = scatter.take(k), beyond[target, k]
    quantiles = special.stdtrit(scatter.df[:, None], CARRY_P)[k]
    good = 1 - shots.mishit

    def putts(shift: float = 0.0, stretch: float = 0.0) -> np.ndarray:
        scale = shots.scale * np.exp(stretch / np.sqrt(2 * shots.df))
        depth = (shift * shots.mean_sd - off)[:, None] + quantiles * scale[:, None]
        leave_m = np.hypot(depth[:, :, None], shots.lateral[:, None, None] * SIDE)
        return (table.putts_after(leave_m) @ SIDE_WEIGHT).mean(axis=1)

    expected = putts()
    variance = _three_point(expected, putts(SPREAD), putts(-SPREAD))
    variance += _three_point(expected, putts(0, SPREAD), putts(0, -SPREAD))
    strokes, spread = np.full(beyond.shape, np.nan), np.full(beyond.shape, np.nan)
    strokes[target, k] = 1 + good * expected + shots.mishit * mishit_strokes
    spread[target, k] = good**2 * variance
    return strokes, spread


def _three_point(middle: np.ndarray, up: np.ndarray, down: np.ndarray) -> np.ndarray:
    mean = (4 * middle + up + down) / 6
    return (4 * (middle - mean) ** 2 + (up - mean) ** 2 + (down - mean) ** 2) / 6


def _choice(target_m: float, candidates: list[Candidate], variance: np.ndarray) -> Choice:
    reaching = [k for k, candidate in enumerate(candidates) if not np.isnan(candidate.strokes)]
    if not reaching:
        nearest = sorted(candidates, key=lambda candidate: abs(candidate.carry_m - target_m))[:1]
        return Choice(target_m, "no stock shot", tuple(replace(shot, strokes=None) for shot in nearest), None)
    best = sorted(reaching, key=lambda k: candidates[k].strokes)[:2]
    shots = tuple(candidates[k] for k in best)
    if len(best) == 1:
        return Choice(target_m, "one", shots, None)
    lead_se = float(np.sqrt(variance[best].sum()))
    lead = shots[1].strokes - shots[0].strokes
    return Choice(target_m, "either" if lead < SURE_Z * lead_se else "one", shots, lead_se)


def _in_order(shots: Sequence[StockShot]) -> list[StockShot]:
    """By carry; so the order in which shots are handed in decides nothing, not even between equals."""
    return sorted(shots, key=lambda shot: (shot.mean_m, shot.club, shot.swing))
