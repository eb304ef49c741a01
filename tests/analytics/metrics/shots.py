"""Shots as a test writes them down, and the columns made of them."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from analytics.metrics.cells import CellScore, ShotColumns, score_cells


@dataclass(frozen=True)
class Shot:
    """One ball; None = missing. A session is one day here unless `day` says otherwise."""

    target_m: float | None = None
    carry_m: float | None = None
    error_m: float | None = None
    lateral_m: float | None = None
    mishit: bool = False
    cell: int = 0
    session: int = 0
    day: int = 0

    @property
    def stock(self) -> bool:
        return self.target_m is None and self.error_m is None


def make_columns(shots: Sequence[Shot]) -> ShotColumns:
    def codes(name: str) -> np.ndarray:
        return np.array([getattr(shot, name) for shot in shots], dtype=np.int64)

    def flags(name: str) -> np.ndarray:
        return np.array([getattr(shot, name) for shot in shots], dtype=bool)

    def metres(name: str) -> np.ndarray:
        values = [getattr(shot, name) for shot in shots]
        return np.array([np.nan if value is None else value for value in values], dtype=float)

    return ShotColumns(
        cell=codes("cell"),
        session=codes("session"),
        day=codes("day"),
        mishit=flags("mishit"),
        stock=flags("stock"),
        target_m=metres("target_m"),
        carry_m=metres("carry_m"),
        error_m=metres("error_m"),
        lateral_m=metres("lateral_m"),
    )


def score(shots: Sequence[Shot]) -> CellScore:
    """The score of shots that all lie in cell 0."""
    return score_cells(make_columns(shots), 1)[0]


def entered(errors_m: Iterable[float]) -> list[Shot]:
    """Balls whose error was entered as short or long of a spot."""
    return [Shot(error_m=error_m) for error_m in errors_m]


def agree(actual, expected) -> bool:
    """Equal to 1e-9: relative, absolute below 1; None only with None, intervals end by end."""
    if actual is None or expected is None or isinstance(expected, str):
        return actual == expected
    if isinstance(expected, (tuple, list)):
        return len(actual) == len(expected) and all(map(agree, actual, expected))
    return abs(actual - expected) <= 1e-9 * max(1.0, abs(expected))


def disagreements(actual: dict, expected: dict) -> dict:
    """The figures that differ by more than 1e-9: name -> (actual, expected)."""
    assert actual.keys() == expected.keys()
    return {name: (actual[name], expected[name]) for name in expected if not agree(actual[name], expected[name])}
