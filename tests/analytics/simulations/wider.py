"""Fresh balls against repeats, a course against a range: does the interval of "so much wider" hold?

Sessions of 5 to 15 balls with a day of their own (log SD .15), t-distributed misses (5 degrees of freedom) about a bias
of half a spread; the second kind is truly 40 % wider. The naive method pools the balls and takes the F ratio.
"""

import numpy as np
from scipy import stats

from analytics.metrics.form import TargetBalls, session_forms
from analytics.metrics.wider import wider_scatter

from .harness import acceptance, share

TRUE_PCT, DAY_SD, TARGET_M = 40.0, 0.15, 50.0


def kind(rng: np.random.Generator, sessions: int, spread: float) -> TargetBalls:
    n = rng.integers(5, 16, sessions)
    session = np.repeat(np.arange(sessions), n)
    day = np.exp(rng.normal(0, DAY_SD, sessions))[session]
    misses = 0.5 + rng.standard_t(5, n.sum()) / np.sqrt(5 / 3)
    zeros = np.zeros(len(session))
    return TargetBalls(
        zeros.astype(int), session, session, np.full(len(session), TARGET_M), spread * day * misses * TARGET_M, zeros
    )


def pairs(rng, repetitions, sessions):
    for _ in range(repetitions):
        yield kind(rng, sessions[0], 0.07), kind(rng, sessions[1], 0.07 * (1 + TRUE_PCT / 100))


def holds(sessions):
    def run(rng, repetitions):
        hits = []
        for first, second in pairs(rng, repetitions, sessions):
            low, high = wider_scatter(session_forms(first), session_forms(second)).ci95_pct
            hits.append(low <= TRUE_PCT <= high)
        return share(np.array(hits))

    return run


def pooled_holds(sessions):
    def run(rng, repetitions):
        hits = []
        for first, second in pairs(rng, repetitions, sessions):
            sizes = len(second.error_m), len(first.error_m)
            ratio = np.mean(second.error_m**2) / np.mean(first.error_m**2)
            low, high = np.sqrt(ratio / stats.f.ppf([0.975, 0.025], *sizes))
            hits.append(low <= 1 + TRUE_PCT / 100 <= high)
        return share(np.array(hits))

    return run


for counts in ((3, 3), (3, 8), (8, 8)):
    acceptance(
        subject="wider",
        name=f"{counts[0]} and {counts[1]} visits of 5 to 15 balls, 40 % wider",
        statistic="interval of how much wider holds (naive: all balls pooled, F)",
        low=0.93,
        high=0.985,
        ci_repetitions=600,
        full_repetitions=2000,
        naive=pooled_holds(counts),
    )(holds(counts))
