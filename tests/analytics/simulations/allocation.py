"""Twelve weeks of practice by several rules, on invented players who learn at rates that nobody knows.

Seven distances, 20 to 100 yards. A player's scatter at each falls from where it stands to a limit, exponentially with
the balls hit there; a ball counts 0.3 at the neighbouring distances too. Every week a rule sees what a coach would: the
share of shots faced at each distance, the balls hit, and the scatter of the last weeks' balls. Learning is exponential
and the rule takes it for a power, so the rule is not given its own world.
"""

from collections.abc import Callable
from functools import cache

import numpy as np

from analytics.metrics.putting import TOUR_PUTTS
from analytics.metrics.scatter_cost import putts_after_spread
from practice.planner.allocation import Need, allocate
from practice.planner.rounding import equal_sizes, filled

from .harness import acceptance

YD = 0.9144
DISTANCES_M = np.array([20, 30, 45, 60, 70, 85, 100]) * YD
CELLS, WEEKS, TESTED, TRANSFER = 7, 12, 5, 0.3
BANDS = ("short", "short", "short", "middle", "middle", "long", "long")
SPREADS_M = np.linspace(0.0, 25.0, 400)
SPREAD_TRANSFER = np.eye(CELLS) + TRANSFER * (np.eye(CELLS, k=1) + np.eye(CELLS, k=-1))

Rule = Callable[[np.ndarray, np.ndarray, np.ndarray, int], np.ndarray]
"""(shares faced, scatters as judged, balls so far, balls of the week) -> balls of each distance, all shape (7,)."""


@cache
def putts_by_spread() -> np.ndarray:
    """Expected putts after a shot of each spread of SPREADS_M."""
    return putts_after_spread(TOUR_PUTTS, SPREADS_M)


def putts(spread_m: np.ndarray) -> np.ndarray:
    return np.interp(spread_m, SPREADS_M, putts_by_spread())


def strokes_per_m(spread_m: np.ndarray) -> np.ndarray:
    return (putts(spread_m + 0.5) - putts(np.maximum(spread_m - 0.5, 0))) / (0.5 + np.minimum(spread_m, 0.5))


# Rules


def greedy(faced, judged_m, hit, balls):
    rates = strokes_per_m(judged_m)
    needs = [Need(str(k), "", *map(float, (faced[k], rates[k], judged_m[k])), int(hit[k])) for k in range(CELLS)]
    return np.array(allocate(needs, balls))


def rounded(faced, judged_m, hit, balls):
    """The rule as a coach sets it: blocks of 10 to 30 balls, of at most two of three bands of distances, and floors."""
    rates = strokes_per_m(judged_m)
    needs = [Need(str(k), BANDS[k], *map(float, (faced[k], rates[k], judged_m[k])), int(hit[k])) for k in range(CELLS)]
    blocks, _ = filled(needs, equal_sizes(balls, 2, balls // 10))
    return np.sum([counts for _, counts in blocks], axis=0)


def equal(faced, judged_m, hit, balls):
    return shared(np.ones(CELLS), balls)


def by_profile(faced, judged_m, hit, balls):
    return shared(faced, balls)


def weakest(faced, judged_m, hit, balls):
    counts = np.zeros(CELLS, int)
    counts[np.argmax(judged_m / DISTANCES_M)] = balls
    return counts


def shared(weights, balls):
    """Largest remainders; equal ones go round by nothing but their place."""
    shares = balls * weights / weights.sum()
    counts = np.floor(shares).astype(int)
    counts[np.argsort(counts - shares, kind="stable")[: balls - counts.sum()]] += 1
    return counts


# Players


def season(player: np.random.Generator, chance: np.random.Generator, rule: Rule, balls: int) -> float:
    """Strokes saved per shot by 12 weeks of a rule. `player` draws the truth, the same for every rule."""
    faced = player.dirichlet(np.full(CELLS, 2.0))
    start_m = DISTANCES_M * player.uniform(0.06, 0.14) * np.exp(player.normal(0, 0.25, CELLS))
    limit_m = start_m * player.uniform(0.4, 0.8, CELLS)
    rate = np.exp(player.normal(np.log(150), 0.5, CELLS))
    practised, hit, logs = np.zeros(CELLS), np.full(CELLS, TESTED), []
    truth_m = start_m
    logs.append((np.full(CELLS, TESTED), squares(chance, truth_m, np.full(CELLS, TESTED))))
    for _ in range(WEEKS):
        counts = rule(faced, judged(logs), hit, balls)
        logs.append((counts, squares(chance, truth_m, counts)))
        hit = hit + counts
        practised = practised + SPREAD_TRANSFER @ counts
        truth_m = limit_m + (start_m - limit_m) * np.exp(-practised / rate)
    return float(faced @ (putts(start_m) - putts(truth_m)))


def squares(chance, truth_m, counts):
    """Sums of squared misses of so many balls at each distance."""
    return truth_m**2 * chance.chisquare(np.maximum(counts, 1)) * (counts > 0)


def judged(logs):
    """Scatter at each distance from the last four weeks, helped by ten balls' worth of the player's usual share of
    the distance: with few balls of its own a distance is judged by the others."""
    counts, sums = (np.sum([week[k] for week in logs[-4:]], axis=0) for k in (0, 1))
    usual = np.sum(sums / DISTANCES_M**2) / max(1, counts.sum())
    return np.sqrt((sums + 10 * usual * DISTANCES_M**2) / (counts + 10))


@cache
def saved(seed: int, players: int, rule: Rule, balls: int) -> np.ndarray:
    truths = np.random.default_rng(seed).integers(2**62, size=players)
    return np.array(
        [season(np.random.default_rng(t), np.random.default_rng([t, 1]), rule, balls) for t in truths.tolist()]
    )


def gain_pct(rule: Rule, against: Rule, balls: int):
    """How much more a rule saves than another, in percent of the other's, with its error over the players."""

    def run(rng, players):
        seed = int(rng.integers(2**62))
        ours, theirs = saved(seed, players, rule, balls), saved(seed, players, against, balls)
        ratio = ours.mean() / theirs.mean()
        error = np.std(ours - ratio * theirs, ddof=1) / np.sqrt(players) / theirs.mean()
        return 100 * float(ratio - 1), 100 * float(error)

    return run


def line(balls: int, against: Rule, name: str, low: float, high: float, rule: Rule = greedy, called="greedy rule"):
    acceptance(
        subject="allocation",
        name=f"{balls} balls a week for 12 weeks",
        statistic=f"strokes saved by the {called} above {name}, percent (naive: the weakest distance only)",
        low=low,
        high=high,
        ci_repetitions=100,
        full_repetitions=1000,
        naive=gain_pct(weakest, against, balls),
    )(gain_pct(rule, against, balls))


# Bands: 11 and 5 % above equal shares came out of another simulator; profile alone is as good as the rule.
line(30, equal, "equal shares", 10, 20)
line(30, by_profile, "shares by profile", -3, 3)
line(30, weakest, "the weakest distance only", 30, 70)
line(100, equal, "equal shares", 2, 8)
line(100, by_profile, "shares by profile", -3, 3)
line(100, weakest, "the weakest distance only", 30, 70)

# What a coach sets, against the same; bands set after a trial of 150 players on another seed.
for balls, low, high in ((30, 8, 20), (100, 1, 7)):
    line(balls, equal, "equal shares", low, high, rounded, "rounded week")
    line(balls, greedy, "the rule ball by ball", -5, 2, rounded, "rounded week")
