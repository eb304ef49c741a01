"""Do the pooled intervals of small cells hold the truth as often as they say?

Players are drawn from the model with a known truth. Beside it run the methods a spreadsheet, or an impatient
statistician, would use.
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from scipy import special

from analytics.metrics.pooling import Pooled, pooled_cells

from .harness import Run, acceptance, share

DRAWS = 600  # fewer than the 2,000 a page uses: it costs the intervals a quarter of a percent of coverage
RESAMPLES = 200


@dataclass(frozen=True)
class Scenario:
    """A kind of player: shots of each cell, SD of the biases between cells, how alike the spreads are, their size."""

    n: tuple[int, ...]
    tau_m: float
    d0: float
    s0_m: float = 4.0


@dataclass(frozen=True)
class Axis:
    """Truth and sample of many players; arrays of shape (players, cells)."""

    n: np.ndarray
    bias: np.ndarray
    spread: np.ndarray
    mean: np.ndarray
    s: np.ndarray

    @property
    def rmse(self) -> np.ndarray:
        return np.hypot(self.bias, self.spread)

    @property
    def looks_worst(self) -> np.ndarray:
        """The cell of each player whose raw bias is largest: the one a coach would pick out."""
        return np.argmax(np.abs(self.mean), axis=1)

    @property
    def looks_tightest(self) -> np.ndarray:
        return np.argmin(self.s, axis=1)


def draw_axis(scenario: Scenario, rng: np.random.Generator, players: int) -> Axis:
    n = np.array(scenario.n)
    shape = (players, len(n))
    bias = scenario.tau_m * rng.standard_normal(shape) + rng.normal(0, 2, (players, 1))
    spread = scenario.s0_m * np.sqrt(scenario.d0 / rng.chisquare(scenario.d0, shape))
    mean = bias + spread / np.sqrt(n) * rng.standard_normal(shape)
    s = spread * np.sqrt(rng.chisquare(n - 1, shape) / (n - 1))
    return Axis(n, bias, spread, mean, s)


def ends(figures: list[Pooled]) -> np.ndarray:
    """Intervals of a player's cells; shape (2, cells)."""
    return np.array([figure.ci95 for figure in figures]).T


@lru_cache(maxsize=3)  # the three seeds of the full size
def pooled(scenario: Scenario, seed: int, players: int) -> tuple[Axis, dict[str, np.ndarray]]:
    """The sample, and the ends of the pooled intervals of each figure, of shape (2, players, cells)."""
    rng = np.random.default_rng(seed)
    axis = draw_axis(scenario, rng, players)
    found: dict[str, list] = {"bias": [], "spread": [], "rmse": []}
    for mean, s in zip(axis.mean, axis.s, strict=True):
        cells = pooled_cells(axis.n, mean, s, rng=rng, draws=DRAWS)
        for figure, intervals in found.items():
            intervals.append(ends(getattr(cells, figure)))
    return axis, {figure: np.stack(intervals, axis=1) for figure, intervals in found.items()}


def holds(interval: np.ndarray, truth: np.ndarray) -> np.ndarray:
    return (interval[0] <= truth) & (truth <= interval[1])


def t_intervals(axis: Axis) -> np.ndarray:
    half = special.stdtrit(axis.n - 1, 0.975) * axis.s / np.sqrt(axis.n)
    return np.stack([axis.mean - half, axis.mean + half])


def one_mean_for_all(axis: Axis) -> np.ndarray:
    """Every cell given the interval of the player's mean over all shots: complete pooling."""
    weight = axis.n / axis.n.sum()
    mean = axis.mean @ weight
    variance = (axis.s**2 * (axis.n - 1)).sum(axis=1) / (axis.n - 1).sum() / axis.n.sum()
    interval = np.stack([mean - 1.96 * np.sqrt(variance), mean + 1.96 * np.sqrt(variance)])
    return np.repeat(interval[:, :, None], len(axis.n), axis=2)


def estimated_shrinkage(axis: Axis) -> np.ndarray:
    """Empirical Bayes with tau and sigma plugged in as if they were known."""
    variance = (axis.s**2 * (axis.n - 1)).sum(axis=1, keepdims=True) / (axis.n - 1).sum()
    v = variance / axis.n
    tau_2 = np.maximum(0, axis.mean.var(axis=1, ddof=1, keepdims=True) - v.mean(axis=1, keepdims=True))
    centre = (axis.mean / (v + tau_2)).sum(axis=1, keepdims=True) / (1 / (v + tau_2)).sum(axis=1, keepdims=True)
    keep = tau_2 / (v + tau_2)
    half = 1.96 * np.sqrt(keep * v)
    middle = centre + keep * (axis.mean - centre)
    return np.stack([middle - half, middle + half])


def plugged_in_spread(axis: Axis) -> np.ndarray:
    """Spread intervals with d0 and s0 plugged in from moments of log s^2, as if they were known (Smyth 2004)."""
    df = axis.n - 1
    z = np.log(axis.s**2) - special.digamma(df / 2) + np.log(df / 2)
    excess = z.var(axis=1, ddof=1, keepdims=True) - special.polygamma(1, df / 2).mean()
    d0 = 2 * inverse_trigamma(np.maximum(excess, 1e-3))
    s0_2 = np.exp(z.mean(axis=1, keepdims=True) + special.digamma(d0 / 2) - np.log(d0 / 2))
    total = d0 * s0_2 + df * axis.s**2
    quantiles = [2 * special.gammaincinv((d0 + df) / 2, p) for p in (0.975, 0.025)]
    return np.stack([np.sqrt(total / quantile) for quantile in quantiles])


def inverse_trigamma(y: np.ndarray) -> np.ndarray:
    x = 0.5 + 1 / y
    for _ in range(8):
        x = x + special.polygamma(1, x) * (1 - special.polygamma(1, x) / y) / special.polygamma(2, x)
    return x


def bootstrap_rmse(axis: Axis) -> np.ndarray:
    """Percentile bootstrap of each cell's RMSE from shots with the sample's mean and SD."""
    rng = np.random.default_rng(0)
    interval = np.empty((2, *axis.mean.shape))
    for cell, n in enumerate(axis.n):
        z = rng.standard_normal((len(axis.mean), n))
        z = (z - z.mean(axis=1, keepdims=True)) / z.std(axis=1, ddof=1, keepdims=True)
        shots = axis.mean[:, cell, None] + axis.s[:, cell, None] * z
        drawn = rng.integers(0, n, (RESAMPLES, 1, n))
        squares = shots[np.arange(len(shots))[:, None], drawn] ** 2
        interval[:, :, cell] = np.quantile(np.sqrt(squares.mean(axis=-1)), [0.025, 0.975], axis=0)
    return interval


SAMPLES = {  # name of the test -> the player, small size
    "12 cells of 10 balls that differ": (Scenario((10,) * 12, tau_m=3, d0=8), 300),
    "12 cells of 5 balls that differ little": (Scenario((5,) * 12, tau_m=1, d0=8), 600),
    "12 cells of 5 balls that nearly agree": (Scenario((5,) * 12, tau_m=0.5, d0=30), 300),
    "6 cells of 5 balls": (Scenario((5,) * 6, tau_m=2, d0=8), 300),
    "14 cells of 3 to 25 balls": (Scenario(tuple(np.linspace(3, 25, 14).astype(int)), tau_m=2, d0=8), 300),
}
DIFFER, LITTLE, AGREE, SIX, UNEVEN = SAMPLES


def coverage(name: str, figure: str, of: str | None, naive_intervals: Callable[[Axis], np.ndarray]) -> tuple[Run, Run]:
    """Share of cells (or of the players' cell `of`) whose interval holds the truth: pooled, and the naive one."""

    def run(rng: np.random.Generator, players: int, naive: bool = False) -> tuple[float, float]:
        axis, intervals = pooled(SAMPLES[name][0], int(rng.integers(2**62)), players)
        hits = holds(naive_intervals(axis) if naive else intervals[figure], getattr(axis, figure))
        return share(hits if of is None else hits[np.arange(players), getattr(axis, of)])

    return run, lambda rng, players: run(rng, players, naive=True)


STATISTICS = {  # statistic -> figure, the cell looked at
    "bias interval holds": ("bias", None),
    "spread interval holds": ("spread", None),
    "RMSE interval holds": ("rmse", None),
    "bias interval of the worst-looking cell holds": ("bias", "looks_worst"),
    "spread interval of the tightest-looking cell holds": ("spread", "looks_tightest"),
}
BIAS, SPREAD, RMSE, WORST, TIGHTEST = STATISTICS

CLAIMS = [  # name, statistic, low, high, naive method
    (DIFFER, BIAS, 0.925, 0.97, one_mean_for_all),
    (DIFFER, SPREAD, 0.925, 0.97, plugged_in_spread),
    (DIFFER, RMSE, 0.925, 0.97, bootstrap_rmse),
    (LITTLE, BIAS, 0.93, 0.99, estimated_shrinkage),
    (LITTLE, SPREAD, 0.91, 0.99, plugged_in_spread),
    (LITTLE, RMSE, 0.92, 0.99, bootstrap_rmse),
    (LITTLE, WORST, 0.91, 0.99, t_intervals),
    (LITTLE, TIGHTEST, 0.91, 0.99, plugged_in_spread),
    (AGREE, BIAS, 0.93, 0.99, estimated_shrinkage),
    (AGREE, SPREAD, 0.91, 0.99, plugged_in_spread),
    (AGREE, RMSE, 0.92, 0.99, bootstrap_rmse),
    (AGREE, WORST, 0.91, 0.99, t_intervals),
    (SIX, BIAS, 0.93, 0.99, estimated_shrinkage),
    (SIX, SPREAD, 0.91, 0.99, plugged_in_spread),
    (SIX, RMSE, 0.92, 0.99, bootstrap_rmse),
    (UNEVEN, BIAS, 0.93, 0.99, estimated_shrinkage),
    (UNEVEN, SPREAD, 0.91, 0.99, plugged_in_spread),
    (UNEVEN, RMSE, 0.92, 0.99, bootstrap_rmse),
    (UNEVEN, WORST, 0.91, 0.99, estimated_shrinkage),
]

for _name, _statistic, _low, _high, _naive in CLAIMS:
    _run, _naive_run = coverage(_name, *STATISTICS[_statistic], _naive)
    acceptance(
        subject="pooling",
        name=_name,
        statistic=_statistic,
        low=_low,
        high=_high,
        ci_repetitions=SAMPLES[_name][1],
        full_repetitions=3000,
        naive=_naive_run,
    )(_run)
