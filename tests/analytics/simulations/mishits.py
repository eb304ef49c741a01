"""Do the mishit rule and the mishit rate tell the truth about a player who now and then hits one fat?

Good shots: 3 % long with a scatter of 6.5 % (a bias of 2 and a spread of 4 yards at 60). A mishit flies 30 to 80 % of
what it should when fat (60 % of them), 110 to 150 % when thin. All of it is engineering estimate.
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from scipy import special

from analytics.metrics.mishit_rate import mishit_rate
from analytics.metrics.mishits import GoodShots, good_shots, suggested_mishits

from .harness import Run, acceptance, share

CELLS, BALLS, MISHIT_SHARE = 12, 10, 0.10
BIAS_PCT, SPREAD_PCT = 3.0, 6.5
RULE = "12 cells of 10 balls, one in ten a mishit that nobody flagged"


@dataclass(frozen=True)
class Shots:
    """Relative errors of one player's shots in percent, and which of them really were mishits."""

    cell: np.ndarray
    error_pct: np.ndarray
    mishit: np.ndarray


Rule = Callable[[Shots], np.ndarray]


def draw_shots(rng: np.random.Generator) -> Shots:
    shots = CELLS * BALLS
    carry = 1 + (BIAS_PCT + SPREAD_PCT * rng.standard_normal(shots)) / 100
    mishit = rng.random(shots) < MISHIT_SHARE
    carry *= np.where(
        mishit, np.where(rng.random(shots) < 0.6, rng.uniform(0.3, 0.8, shots), rng.uniform(1.1, 1.5, shots)), 1
    )
    return Shots(np.repeat(np.arange(CELLS), BALLS), 100 * (carry - 1), mishit)


def nothing(shots: Shots) -> np.ndarray:
    """Nobody looks for mishits."""
    return np.zeros(len(shots.cell), dtype=bool)


def by_the_rule(shots: Shots) -> np.ndarray:
    return suggested_mishits(shots.cell, shots.error_pct, nothing(shots))


def by_the_cells_own_sd(shots: Shots) -> np.ndarray:
    """Beyond 2 standard deviations of its own cell."""
    cells = shots.error_pct.reshape(CELLS, BALLS)
    far = np.abs(cells - cells.mean(axis=1, keepdims=True)) > 2 * cells.std(axis=1, ddof=1, keepdims=True)
    return far.ravel()


def by_the_cells_own_mad(shots: Shots) -> np.ndarray:
    """Beyond 2.5 times 1.4826 MAD of its own cell."""
    cells = shots.error_pct.reshape(CELLS, BALLS)
    distance = np.abs(cells - np.median(cells, axis=1, keepdims=True))
    return (distance > 2.5 * 1.4826 * np.median(distance, axis=1, keepdims=True)).ravel()


def three_worst(shots: Shots) -> np.ndarray:
    """The three balls of each cell that lie farthest from its median are not counted."""
    cells = shots.error_pct.reshape(CELLS, BALLS)
    distance = np.abs(cells - np.median(cells, axis=1, keepdims=True))
    return (distance >= np.sort(distance, axis=1)[:, -3:-2]).ravel()


def scored(shots: Shots, rule: Rule) -> list[GoodShots]:
    return good_shots(shots.cell, shots.error_pct, rule(shots), CELLS, suggestions_left_out=rule is by_the_rule)


@lru_cache(maxsize=4)
def season(seed: int, players: int) -> list[Shots]:
    rng = np.random.default_rng(seed)
    return [draw_shots(rng) for _ in range(players)]


def mean_of_players(values: list[float]) -> tuple[float, float]:
    known = np.array(values)[~np.isnan(values)]
    return float(known.mean()), float(known.std(ddof=1) / np.sqrt(len(known)))


def spread_ratio(shots: Shots, rule: Rule) -> float:
    """Root mean square of the spreads shown over the true one."""
    shown = [cell.spread for cell in scored(shots, rule) if cell.spread is not None]
    return np.sqrt(np.mean(np.square(shown))) / SPREAD_PCT if shown else np.nan


def spread_held(shots: Shots, rule: Rule) -> float:
    """Share of the spread intervals shown that hold the truth."""
    shown = [cell.spread_ci95 for cell in scored(shots, rule) if cell.spread_ci95]
    return np.mean([low <= SPREAD_PCT <= high for low, high in shown]) if shown else np.nan


def centre_intervals(shots: Shots, rule: Rule) -> list[tuple[float, float]]:
    """The intervals of the centres; a cell left with a single good ball has none."""
    return [cell.centre_ci95 for cell in scored(shots, rule) if cell.centre_ci95]


def centre_held(shots: Shots, rule: Rule) -> float:
    """Share of the centre intervals that hold the truth."""
    return np.mean([low <= BIAS_PCT <= high for low, high in centre_intervals(shots, rule)])


def centre_width(shots: Shots, rule: Rule) -> float:
    """Mean width of the centre's interval, percent of the target."""
    return np.mean([high - low for low, high in centre_intervals(shots, rule)])


def suggested_in_error(shots: Shots, rule: Rule) -> float:
    return rule(shots)[~shots.mishit].mean()


def found(shots: Shots, rule: Rule) -> float:
    return rule(shots)[shots.mishit].mean() if shots.mishit.any() else np.nan


def of_the_rule(compute: Callable[[Shots, Rule], float], rule: Rule) -> Run:
    def run(rng: np.random.Generator, players: int) -> tuple[float, float]:
        return mean_of_players([compute(shots, rule) for shots in season(int(rng.integers(2**62)), players)])

    return run


for _statistic, _compute, _low, _high, _naive in [
    ("spread of the good shots over the truth", spread_ratio, 0.92, 1.08, nothing),
    ("spread interval holds", spread_held, 0.91, 0.97, nothing),
    ("centre interval holds", centre_held, 0.925, 0.97, three_worst),
    ("width of the centre interval (percent)", centre_width, 8.5, 11.0, nothing),
    ("good shots suggested as mishits", suggested_in_error, 0.005, 0.025, by_the_cells_own_mad),
    ("mishits found", found, 0.75, 1.0, by_the_cells_own_sd),
]:
    acceptance(
        subject="mishits",
        name=RULE,
        statistic=_statistic,
        low=_low,
        high=_high,
        ci_repetitions=400,
        full_repetitions=3000,
        naive=of_the_rule(_compute, _naive),
    )(of_the_rule(_compute, by_the_rule))


def jeffreys(mishits: np.ndarray, shots: np.ndarray) -> tuple[float, float]:
    """All shots as independent: Jeffreys' interval of their sum."""
    bad, good = mishits.sum(), (shots - mishits).sum()
    return tuple(100 * special.betaincinv(bad + 0.5, good + 0.5, [0.025, 0.975]))


def wald(mishits: np.ndarray, shots: np.ndarray) -> tuple[float, float]:
    n, p = shots.sum(), mishits.sum() / shots.sum()
    half = 1.96 * np.sqrt(p * (1 - p) / n)
    return 100 * (p - half), 100 * (p + half)


def rate_interval_holds(interval, *, rate: float, rho: float, sessions: int, balls: int) -> Run:
    def run(rng: np.random.Generator, players: int) -> tuple[float, float]:
        weight = (1 - rho) / rho if rho else None
        hits = np.empty(players, dtype=bool)
        for player in range(players):
            daily = rng.beta(rate * weight, (1 - rate) * weight, sessions) if weight else rate
            low, high = interval(rng.binomial(balls, daily, sessions), np.full(sessions, balls))
            hits[player] = low <= 100 * rate <= high
        return share(hits)

    return run


def clustered(mishits: np.ndarray, shots: np.ndarray) -> tuple[float, float]:
    return mishit_rate(mishits, shots).ci95_pct


for _name, _naive, _player in [
    ("12 sessions of 20 balls, bad days (rho .05)", jeffreys, {"rate": 0.08, "rho": 0.05, "sessions": 12, "balls": 20}),
    ("30 sessions of 30 balls, bad days (rho .05)", jeffreys, {"rate": 0.08, "rho": 0.05, "sessions": 30, "balls": 30}),
    ("3 sessions of 10 balls, no bad days", wald, {"rate": 0.04, "rho": 0.0, "sessions": 3, "balls": 10}),
]:
    acceptance(
        subject="mishits",
        name=_name,
        statistic="interval of the mishit rate holds",
        low=0.92,
        high=0.99,
        ci_repetitions=800,
        full_repetitions=3000,
        naive=rate_interval_holds(_naive, **_player),
    )(rate_interval_holds(clustered, **_player))
