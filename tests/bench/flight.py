"""10,000 pitches flown by RK4, against numpy doing as many bare multiplications, without roots, powers or copies."""

from collections.abc import Iterator

import numpy as np

from analytics.metrics.flight import STEP_S, Launch, fly
from analytics.metrics.flight_models import SATURATING
from tests.bench.ratio import Ratio, computed, side_by_side

SHOTS = 10_000
OPERATIONS = 60  # array operations of one look at the forces, counted in `Forces.rates` and the model


def bare_arithmetic(seconds: float) -> None:
    """Multiply arrays as long as the shots, once for each operation of each of four stages of the mean flight."""
    row = np.ones(SHOTS)
    for _ in range(round(seconds / STEP_S) * 4 * OPERATIONS):
        row = row * 1.0


def measure(*, quick: bool) -> Iterator[Ratio]:
    chance = np.random.default_rng(1)
    launch = Launch(chance.uniform(15, 40, SHOTS), chance.uniform(25, 45, SHOTS), chance.uniform(4_000, 10_000, SHOTS))
    mean_s = float(fly(launch, SATURATING).time_s.mean())
    yield side_by_side(
        f"{SHOTS:,} pitches flown : {OPERATIONS} multiplications for each stage of each step",
        computed(lambda: fly(launch, SATURATING)),
        computed(lambda: bare_arithmetic(mean_s)),
        goal=None,
        rounds=3 if quick else 15,
    )
