"""Which shot for a target, on invented players: does the chosen shot keep what the table promises?"""

from dataclasses import dataclass
from functools import cache

import numpy as np
from scipy import special

from analytics.metrics.next_ball import Scatter, StockShot, chance_within, predictive
from analytics.metrics.putting import TOUR_PUTTS
from analytics.metrics.shot_choice import choose_shots

from .harness import acceptance

YD = 0.9144
TARGETS_M = np.arange(20, 101) * YD
RADIUS_M = 3 * YD
LOFTS = np.array([45, 50, 55, 60])
BALLS = 10
TABLE = {"subject": "shot_choice", "name": "shot choice, 10 balls a cell, 16 cells, 81 targets"}
NORMAL_DF = 1e6  # a t with so many degrees of freedom is a normal


@dataclass(frozen=True)
class Player:
    """True mean carry, spread and lateral spread of each shot, shape (16,), m; and its balls, shape (16, 10)."""

    mean: np.ndarray
    s: np.ndarray
    lateral: np.ndarray
    carries: np.ndarray
    laterals: np.ndarray

    def truth(self) -> Scatter:
        never = np.zeros(len(self.mean))
        return Scatter(self.mean, self.s, np.full(len(self.mean), NORMAL_DF), self.lateral, never, never)

    def measured(self) -> list[StockShot]:
        figures = (self.carries.mean(axis=1), self.carries.std(axis=1, ddof=1), self.laterals.std(axis=1, ddof=1))
        return [
            StockShot(f"{LOFTS[k // 4]}", f"{k % 4}", BALLS, float(mean), float(s), BALLS, float(lateral))
            for k, (mean, s, lateral) in enumerate(zip(*figures, strict=True))
        ]


def draw(rng) -> Player:
    swing = np.array([38, 64, 88, 110]) * np.exp(rng.normal(0, 0.08))
    mean = YD * np.outer(np.exp(-0.031 * (LOFTS - 50)), swing).ravel() * np.exp(rng.normal(0, 0.02, 16))
    s = mean * rng.uniform(0.05, 0.09) * np.exp(rng.normal(0, 0.25, 16))
    lateral = mean * rng.uniform(0.03, 0.06) * np.exp(rng.normal(0, 0.2, 16))
    carries = mean[:, None] + s[:, None] * rng.normal(size=(16, BALLS))
    return Player(mean, s, lateral, carries, lateral[:, None] * rng.normal(size=(16, BALLS)))


def plug_in(player: Player) -> Scatter:
    """The naive forecast: a normal with the mean and standard deviation of the balls as they came."""
    never = np.zeros(len(player.mean))
    s, lateral = (balls.std(axis=1, ddof=1) for balls in (player.carries, player.laterals))
    return Scatter(player.carries.mean(axis=1), s, np.full(len(s), NORMAL_DF), lateral, never, never)


def claimed_and_delivered(player: Player, forecast: Scatter) -> tuple[np.ndarray, np.ndarray]:
    """Chance of the shot with the highest chance at each target: as forecast, and in truth."""
    claimed = chance_within(forecast, TARGETS_M[:, None] - forecast.mean, RADIUS_M)
    delivered = chance_within(player.truth(), TARGETS_M[:, None] - player.mean, RADIUS_M)
    best = claimed.argmax(axis=1)[:, None]
    return np.take_along_axis(claimed, best, 1)[:, 0], np.take_along_axis(delivered, best, 1)[:, 0]


def mean_with_error(per_player):
    return float(np.mean(per_player)), float(np.std(per_player, ddof=1) / np.sqrt(len(per_player)))


def optimism(rng, players, forecast):
    gap = []
    for _ in range(players):
        claimed, delivered = claimed_and_delivered(player := draw(rng), forecast(player))
        gap.append(np.mean(claimed - delivered))
    return mean_with_error(gap)


def naive_optimism(rng, players):
    return optimism(rng, players, plug_in)


@acceptance(
    **TABLE,
    statistic="chance claimed less chance delivered by the shot most likely within 3 yd",
    low=-0.03,
    high=0.01,
    ci_repetitions=150,
    full_repetitions=1000,
    naive=naive_optimism,
)
def table_optimism(rng, players):
    return optimism(rng, players, lambda player: predictive(player.measured()))


@cache
def sole_picks(seed: int, players: int) -> tuple[np.ndarray, np.ndarray]:
    """Of each player's targets with two shots in reach: share where the first is truly the better, among those where
    the table names one only, and among all."""
    rng, named, every = np.random.default_rng(seed), [], []
    for _ in range(players):
        player = draw(rng)
        shots = player.measured()
        choices = [choice for choice in choose_shots(shots, TARGETS_M, RADIUS_M).choices if len(choice.shots) == 2]
        strokes = true_strokes(player, choices)
        right = strokes[:, 0] <= strokes[:, 1]
        every.append(right.mean())
        named.append(right[np.array([choice.verdict == "one" for choice in choices])].mean())
    return np.array(named), np.array(every)


def true_strokes(player: Player, choices) -> np.ndarray:
    """Expected strokes of both shots of each choice, by the player's true scatter: a fine grid, another rule than
    the table's; shape (choices, 2)."""
    z = special.ndtri((np.arange(60) + 0.5) / 60)
    k = np.array([[4 * (int(s.club) - 45) // 5 + int(s.swing) for s in choice.shots] for choice in choices])
    depth = (player.mean[k] - np.array([choice.target_m for choice in choices])[:, None])[..., None]
    depth = depth + player.s[k][..., None] * z
    side = player.lateral[k][..., None] * z
    return 1 + TOUR_PUTTS.putts_after(np.hypot(depth[..., :, None], side[..., None, :])).mean(axis=(2, 3))


def best_of_all(rng, players):
    return mean_with_error(sole_picks(int(rng.integers(2**62)), players)[1])


@acceptance(
    **TABLE,
    statistic="targets with one shot named where it is truly the better of the best two",
    low=0.9,
    high=1,
    ci_repetitions=40,
    full_repetitions=200,
    naive=best_of_all,
)
def best_of_named(rng, players):
    return mean_with_error(sole_picks(int(rng.integers(2**62)), players)[0])
