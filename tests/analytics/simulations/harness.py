"""Acceptance lines: what a method must reach on simulated players whose truth is known.

A line is data, read by two callers: a test (small size) and `python -m tests.analytics.simulations --full` (the
table the docs show). The generator of a line is seeded by the crc32 of its name, so no seed is ever chosen.
"""

import importlib
import pkgutil
from collections.abc import Callable
from dataclasses import dataclass
from zlib import crc32

import numpy as np

import tests.analytics.simulations as package

FULL_SEEDS = (1, 2, 3)
STANDARD_ERRORS = 3

Run = Callable[[np.random.Generator, int], tuple[float, float]]


@dataclass(frozen=True)
class Line:
    """One statistic of a method, the band it must lie in, and the naive method that must not.

    `run` and `naive` take (generator, repetitions) and return (value, its Monte Carlo standard error). Lines of one
    name share a seed: a simulation may be cached on what it draws first.
    """

    subject: str
    name: str
    statistic: str
    low: float
    high: float
    ci_repetitions: int
    full_repetitions: int
    run: Run
    naive: Run

    def __str__(self):
        return f"{self.name}: {self.statistic}"

    def small(self, method: Run) -> tuple[float, float]:
        return method(np.random.default_rng(crc32(self.name.encode())), self.ci_repetitions)

    def full(self, method: Run, seed: int) -> tuple[float, float]:
        return method(np.random.default_rng(crc32(f"{self.name}/{seed}".encode())), self.full_repetitions)

    def reached(self, value: float, allowance: float = 0.0) -> bool:
        """Is the value inside the band, widened by the allowance? NaN is not."""
        return self.low - allowance <= value <= self.high + allowance

    def missed(self, value: float, mc_se: float) -> bool:
        """Does the value miss the band by more than 3 standard errors?"""
        return not self.reached(value, STANDARD_ERRORS * mc_se)


LINES: list[Line] = []


def acceptance(*, naive: Run, **line) -> Callable[[Run], Run]:
    """Register the decorated run as the method of a line."""

    def register(run: Run) -> Run:
        LINES.append(Line(run=run, naive=naive, **line))
        return run

    return register


def share(hits: np.ndarray) -> tuple[float, float]:
    """Share of hits with its standard error; shape (repetitions,) or (repetitions, cells of a player)."""
    per_repetition = np.asarray(hits, dtype=float).reshape(len(hits), -1).mean(axis=1)
    return float(per_repetition.mean()), float(per_repetition.std(ddof=1) / np.sqrt(len(hits)))


def all_lines() -> list[Line]:
    """Every line of every subject."""
    for module in pkgutil.iter_modules(package.__path__):
        if module.name not in {"__main__", "harness", "test_acceptance", "test_harness"}:
            importlib.import_module(f"{package.__name__}.{module.name}")
    return LINES
