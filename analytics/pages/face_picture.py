"""A drawing of a club's face with strike marks on it: where each line and spot goes, in mm, as SVG attributes."""

import math
from dataclasses import dataclass
from itertools import pairwise

from analytics.metrics.strike import Ellipse, Point, StrikePattern, mark_on_picture

FACE_MM = (
    *((-18, -33), (-21, -16), (-22, 0), (-21, 15), (-16, 29), (-6, 38), (8, 41)),
    *((22, 38), (30, 29), (26, 15), (19, -5), (12, -24), (6, -39), (-8, -41)),
)
"""Corners of no particular head, (low-high, heel-toe) from the middle: along the sole to the toe, and back."""

GROOVES_MM = tuple((low_high, -26, 24) for low_high in range(-14, 11, 4))
"""Lines across the face: height, heel end, toe end."""

EDGE_MM = (38, 48)
"""Half of the picture's height and width where no mark lies beside the face."""

BEYOND_MM = 4
"""Room around a mark beside the face."""

WORDS_MM, BASE_MM = 10, 3
"""How far "toe" and "heel" stand from the picture's side, and from its lower edge."""


@dataclass(frozen=True)
class Spot:
    x: str
    y: str


@dataclass(frozen=True)
class Line:
    start: Spot
    end: Spot


@dataclass(frozen=True)
class Oval:
    """Half axes and the turn, clockwise as SVG counts it, in degrees."""

    at: Spot
    rx: str
    ry: str
    turn: str


@dataclass(frozen=True)
class FacePicture:
    """The face as it looks to somebody in front of it, sole down.

    `cut_off` says that an ellipse runs off the picture.
    """

    view_box: str
    outline: str
    grooves: tuple[Line, ...]
    toe: Spot
    heel: Spot
    marks: tuple[Spot, ...]
    mishits: tuple[Spot, ...]
    sweet_spot: Spot | None
    intended: Spot | None
    centre: Spot | None
    centre_region: Oval | None
    next_mark: Oval | None
    cut_off: bool


def face_picture(
    marks: list[Point],
    mishits: list[Point],
    pattern: StrikePattern | None,
    sweet_spot_mm: Point | None,
    intended_mm: Point | None,
    *,
    left_handed: bool,
) -> FacePicture:
    """Return the drawing of these marks, (low-high, heel-toe) in mm; no ellipses without a pattern."""

    def spot(mark: Point) -> Spot:
        up_mm, right_mm = mark_on_picture(*mark, left_handed=left_handed)
        return Spot(_text(right_mm), _text(-up_mm))

    def oval(ellipse: Ellipse) -> Oval:
        turn_deg = -ellipse.angle_deg if left_handed else ellipse.angle_deg
        return Oval(spot(ellipse.centre_mm), _text(ellipse.long_mm), _text(ellipse.short_mm), _text(turn_deg))

    half_height, half_width = _half_size([*marks, *mishits, *filter(None, (sweet_spot_mm, intended_mm))])
    return FacePicture(
        view_box=f"{-half_width:g} {-half_height:g} {2 * half_width:g} {2 * half_height:g}",
        outline=_rounded([mark_on_picture(*corner, left_handed=left_handed) for corner in FACE_MM]),
        grooves=tuple(Line(spot((height, heel)), spot((height, toe))) for height, heel, toe in GROOVES_MM),
        toe=spot((BASE_MM - half_height, half_width - WORDS_MM)),
        heel=spot((BASE_MM - half_height, WORDS_MM - half_width)),
        marks=tuple(map(spot, marks)),
        mishits=tuple(map(spot, mishits)),
        sweet_spot=spot(sweet_spot_mm) if sweet_spot_mm else None,
        intended=spot(intended_mm) if intended_mm else None,
        centre=spot(pattern.centre_mm) if pattern else None,
        centre_region=oval(pattern.centre_region) if pattern else None,
        next_mark=oval(pattern.next_mark) if pattern else None,
        cut_off=pattern is not None and _runs_off(pattern.next_mark, half_height, half_width),
    )


def _half_size(spots: list[Point]) -> Point:
    """Half of the height and of the width that show the whole face and every spot."""
    high, wide = ([abs(spot[way]) + BEYOND_MM for spot in spots] for way in (0, 1))
    return max([EDGE_MM[0], *high]), max([EDGE_MM[1], *wide])


def _runs_off(ellipse: Ellipse, half_height: float, half_width: float) -> bool:
    """Does the ellipse, which holds the smaller one too, leave the picture?"""
    along, across = (math.radians(ellipse.angle_deg + quarter) for quarter in (0, 90))
    up_mm, out_mm = (
        math.hypot(ellipse.long_mm * part(along), ellipse.short_mm * part(across)) for part in (math.sin, math.cos)
    )
    low_high_mm, heel_toe_mm = ellipse.centre_mm
    return abs(low_high_mm) + up_mm > half_height or abs(heel_toe_mm) + out_mm > half_width


def _rounded(corners: list[Point]) -> str:
    """Return an SVG path that bends from the middle of each side to that of the next; corners are (up, right) in mm."""
    middles = [
        ((up + next_up) / 2, (right + next_right) / 2)
        for (up, right), (next_up, next_right) in pairwise([corners[-1], *corners, corners[0]])
    ]
    bends = (
        f"Q{right:g},{-up:g} {_text(to[1])},{_text(-to[0])}"
        for (up, right), to in zip(corners, middles[1:], strict=True)
    )
    return f"M{_text(middles[0][1])},{_text(-middles[0][0])} {' '.join(bends)}Z"


def _text(value_mm: float) -> str:
    return f"{value_mm:.2f}"
