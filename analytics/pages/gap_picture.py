"""A drawing of what a bag covers, seen from the tee: distance upwards, a column a club, bare stretches right across."""

from collections.abc import Sequence
from dataclasses import dataclass

from analytics.gaps import Shot
from analytics.metrics.gapping import COVERS_M, Stretch
from practice.clubs.swings import swing_name
from practice.units import DistanceUnit

WIDE = 320
LEFT, RIGHT = 36, 84
"""Where the columns begin, and what stands free to their right for what is written of the bare stretches."""

TOP = 12
HIGHEST, LOWEST = 460, 200
"""Of the part with the distances."""

BELOW_M = 1.5
"""Between the shortest shot and the foot."""

LETTER, LINE = 7.2, 15
"""Width of a letter, height of a line."""

EVERY = 10
"""A line of the scale at each so many of the player's unit."""


@dataclass(frozen=True)
class ClubColumn:
    """`turned` where the name stands on its end for want of width; `empty` without any stock ball."""

    name: str
    x: str
    y: str
    turned: bool
    empty: bool


@dataclass(frozen=True)
class ShotBox:
    """What a shot serves, and from `scatter_top` to `scatter_bottom` the scatter of its balls ("" = not known)."""

    x: str
    y: str
    width: str
    height: str
    middle: str
    carry_y: str
    scatter_top: str
    scatter_bottom: str
    chosen: bool
    said: str


@dataclass(frozen=True)
class BareBand:
    y: str
    height: str
    text: str
    text_y: str


@dataclass(frozen=True)
class ScaleLine:
    y: str
    text_y: str
    text: str


@dataclass(frozen=True)
class GapPicture:
    """`foot` is where the distances end, and the names of the clubs begin."""

    view_box: str
    left: str
    right: str
    wide: str
    text_x: str
    foot: str
    scale: tuple[ScaleLine, ...]
    bare: tuple[BareBand, ...]
    boxes: tuple[ShotBox, ...]
    clubs: tuple[ClubColumn, ...]


def gap_picture(
    clubs: Sequence[str], shots: Sequence[Shot], bare: Sequence[Stretch], swing: str, unit: DistanceUnit
) -> GapPicture:
    """Return the drawing of the clubs (labels, least loft first); `swing` is drawn stronger than the others.

    One shot or more.
    """
    low_m = min(shot.carry_m - max(COVERS_M, shot.scatter_m or 0) for shot in shots) - BELOW_M
    high_m = max(shot.carry_m + max(COVERS_M, shot.scatter_m or 0) for shot in shots)
    high = min(HIGHEST, max(LOWEST, 5.0 * (high_m - low_m)))

    def y(at_m: float) -> float:
        return TOP + high * (high_m - at_m) / (high_m - low_m)

    foot, width = TOP + high, (WIDE - LEFT - RIGHT) / len(clubs)
    turned = max(len(club) for club in clubs) * LETTER > width
    names_high = 10 + (max(len(club) for club in clubs) * LETTER if turned else LINE)
    hit = {shot.club for shot in shots}
    middle = {club: LEFT + width * (k + 0.5) for k, club in enumerate(clubs)}
    return GapPicture(
        view_box=f"0 0 {WIDE} {foot + names_high:.0f}",
        left=_text(LEFT),
        right=_text(WIDE - RIGHT),
        wide=_text(WIDE - LEFT - RIGHT),
        text_x=_text(WIDE - RIGHT + 5),
        foot=_text(foot),
        scale=_scale(low_m, high_m, y, unit),
        bare=_bands(bare, y, unit),
        boxes=tuple(_box(shot, middle[shot.club], min(width * 0.72, 40), y, swing, unit) for shot in shots),
        clubs=tuple(
            ClubColumn(club, _text(middle[club]), _text(foot + (6 if turned else LINE)), turned, club not in hit)
            for club in clubs
        ),
    )


def _scale(low_m: float, high_m: float, y, unit: DistanceUnit) -> tuple[ScaleLine, ...]:
    first = -int(-unit.from_m(low_m) // EVERY) * EVERY
    every = EVERY if unit.from_m(high_m - low_m) <= 15 * EVERY else 2 * EVERY
    at = range(first, int(unit.from_m(high_m)) + 1, every)
    return tuple(ScaleLine(_text(y(unit.to_m(mark))), _text(y(unit.to_m(mark)) + 4), f"{mark}") for mark in at)


def _bands(bare: Sequence[Stretch], y, unit: DistanceUnit) -> tuple[BareBand, ...]:
    """Return the bands from the farthest down; what is written beside them keeps a line's distance."""
    bands, last = [], 0.0
    for stretch in reversed(bare):
        top, bottom = y(stretch.to_m), y(stretch.from_m)
        last = max((top + bottom) / 2 + 4, last + LINE)
        bands.append(BareBand(_text(top), _text(bottom - top), stretch_text(stretch, unit), _text(last)))
    return tuple(bands)


def stretch_text(stretch: Stretch, unit: DistanceUnit) -> str:
    """Return the ends of a stretch, e.g. "61–68 yd"; one that is shorter than it can be said is told by its middle."""
    low, high = (f"{unit.from_m(end):.0f}" for end in (stretch.from_m, stretch.to_m))
    return f"{low}–{high} {unit.value}" if low != high else f"at {low} {unit.value}"


def _box(shot: Shot, middle: float, width: float, y, swing: str, unit: DistanceUnit) -> ShotBox:
    top, bottom = y(shot.carry_m + COVERS_M), y(shot.carry_m - COVERS_M)
    scatter_m = shot.scatter_m
    return ShotBox(
        x=_text(middle - width / 2),
        y=_text(top),
        width=_text(width),
        height=_text(bottom - top),
        middle=_text(middle),
        carry_y=_text(y(shot.carry_m)),
        scatter_top="" if scatter_m is None else _text(y(shot.carry_m + scatter_m)),
        scatter_bottom="" if scatter_m is None else _text(y(shot.carry_m - scatter_m)),
        chosen=shot.swing == swing,
        said=f"{shot.club}, {swing_name(shot.swing)}: {unit.show(shot.carry_m)}",
    )


def _text(value: float) -> str:
    return f"{value:.1f}"
