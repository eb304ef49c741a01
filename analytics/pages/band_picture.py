"""A drawing of a band over distance: where each line goes, as SVG attributes."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

LEFT, RIGHT, TOP, FOOT = 44.0, 346.0, 14.0, 196.0
HEIGHT, WIDTH = 236, 360
STEPS = (0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0)
LINES = 6
"""At most so many lines beside zero: more could not be read on a phone."""


@dataclass(frozen=True)
class Tick:
    at: str
    text_at: str
    text: str


@dataclass(frozen=True)
class BandPicture:
    view_box: str
    left: str
    right: str
    foot: str
    zero: str
    band: str
    up: tuple[Tick, ...]
    along: tuple[Tick, ...]


def band_picture(along: Sequence[float], low: np.ndarray, high: np.ndarray) -> BandPicture | None:
    """Return the band between low and high (NaN = unknown) at places along; None where fewer than two are known."""
    along, known = np.asarray(along, dtype=float), ~np.isnan(low + high)
    if known.sum() < 2:
        return None
    least, most = min(0.0, np.min(low[known])), max(0.0, np.max(high[known]))
    step = next((step for step in STEPS if most - least <= LINES * step), STEPS[-1])
    first, last = int(np.floor(least / step)), int(np.ceil(most / step))
    last += first == last
    xs = LEFT + (RIGHT - LEFT) * (along - along[0]) / (along[-1] - along[0])

    def y_of(value):
        return FOOT - (FOOT - TOP) * (value / step - first) / (last - first)

    there = [f"{x:.1f},{y:.1f}" for x, y in zip(xs[known], y_of(high[known]), strict=True)]
    back = [f"{x:.1f},{y:.1f}" for x, y in zip(xs[known], y_of(low[known]), strict=True)]
    return BandPicture(
        view_box=f"0 0 {WIDTH} {HEIGHT}",
        left=f"{LEFT:g}",
        right=f"{RIGHT:g}",
        foot=f"{FOOT + 20:g}",
        zero=f"{y_of(0.0):.1f}",
        band=" ".join([*there, *reversed(back)]),
        up=tuple(_tick(y_of(n * step), 4, f"{n * step:+g}" if n else "0") for n in range(first, last + 1)),
        along=tuple(_tick(x, 0, f"{place:g}") for x, place in zip(xs, along, strict=True) if place % 20 == 10),
    )


def _tick(at: float, lower: float, text: str) -> Tick:
    return Tick(f"{at:.1f}", f"{at + lower:.1f}", text.replace("-", "−"))
