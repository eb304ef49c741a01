"""Strike pattern: where on the face a player hits the ball, and how closely the marks lie together.

Scatter is about the player's own centre. No spot of the face is the right one here: the spot a player should hit is the
coach's choice, and low on the face is not a fault.

Every mark is a pair (low-high, heel-toe) in mm from one point of the face, the same for all marks of a club: + is high
and + is toe. Low-high comes first in every result, because it is what turns a strike into a fat or a thin one. The
frame is the club's, not the viewer's, so that the marks of a left-hander and a right-hander compare as they are stored;
only a picture of the face needs turning (`mark_on_picture`).
"""

import math
from dataclasses import dataclass

import numpy as np

from analytics.metrics.intervals import TAIL, f_quantile, t_quantile

COVER = 0.95
FEWEST_MARKS = 3
ADVISED_MARKS = 5
FLAT_MM = 0.01  # marks are read to a millimetre at best: a narrower pattern is a line

Point = tuple[float, float]


@dataclass(frozen=True)
class Message:
    """Why a figure is missing or weak: a short stable code, and a sentence for the coach."""

    code: str
    sentence: str


TOO_FEW = Message("too_few_marks", "Fewer than 3 marks make no pattern. Make 5 or more, better 10.")
IN_ONE_LINE = Message("marks_in_one_line", "All marks lie on one spot or in one line. Make some more marks.")
MAKE_MORE = Message("make_more_marks", "Under 5 marks the pattern is a rough guess. Make more before you judge it.")


@dataclass(frozen=True)
class Ellipse:
    """An ellipse on the face.

    Attributes
    ----------
    centre_mm
        (low-high, heel-toe).
    long_mm, short_mm
        Half axes.
    angle_deg
        Direction of the long axis, from -90 to 90: 0 runs from heel to toe, 90 from low to high, 45 from low on the
        heel side to high on the toe side. Without a meaning where both axes are equal.
    """

    centre_mm: Point
    long_mm: float
    short_mm: float
    angle_deg: float

    def holds(self, low_high_mm: float, heel_toe_mm: float) -> bool:
        """Does the spot lie inside, or on the line?"""
        angle = math.radians(self.angle_deg)
        up, out = low_high_mm - self.centre_mm[0], heel_toe_mm - self.centre_mm[1]
        along = out * math.cos(angle) + up * math.sin(angle)
        across = up * math.cos(angle) - out * math.sin(angle)
        return math.hypot(along / self.long_mm, across / self.short_mm) <= 1


@dataclass(frozen=True)
class StrikePattern:
    """The marks of one club, in mm; pairs are (low-high, heel-toe).

    Attributes
    ----------
    n
        Marks.
    centre_mm
        Their mean.
    centre_region
        95 % region of the player's own centre. A spot outside it is not where this player's strikes centre.
    spread_mm
        Standard deviation (divisor n - 1) in each direction.
    next_mark
        Ellipse that holds the next mark with 95 % chance.
    consistency_mm, consistency_ci95_mm
        Mean distance of a mark from the player's centre, with its interval. See `consistency`.
    advice
        A message under 5 marks, else None.
    """

    n: int
    centre_mm: Point
    centre_region: Ellipse
    spread_mm: Point
    next_mark: Ellipse
    consistency_mm: float
    consistency_ci95_mm: tuple[float, float]
    advice: Message | None


@dataclass(frozen=True)
class OffSpot:
    """The player's own centre against the spot that the coach wants hit.

    Attributes
    ----------
    offset_mm
        Own centre less the spot, (low-high, heel-toe).
    verdict
        "outside": the spot lies outside the 95 % region of the own centre, so the strikes do not centre on it.
        "inside": nothing speaks against their centring on it. "can't tell": inside, but with under 5 marks, when the
        region is so wide that most spots of a face are.
    """

    offset_mm: Point
    verdict: str


def off_spot(pattern: StrikePattern, spot_mm: Point) -> OffSpot:
    """Compare a pattern with a spot, (low-high, heel-toe) in mm from the same point of the face.

    The region is Hotelling's, see `centre_scale`: of the patterns that do centre on the spot 1 in 20 is "outside".
    """
    offset_mm = tuple(own - spot for own, spot in zip(pattern.centre_mm, spot_mm, strict=True))
    if not pattern.centre_region.holds(*spot_mm):
        return OffSpot(offset_mm, "outside")
    return OffSpot(offset_mm, "inside" if pattern.n >= ADVISED_MARKS else "can't tell")


def mark_on_picture(up_mm: float, right_mm: float, *, left_handed: bool) -> Point:
    """The mark (low-high, heel-toe) of a spot on a picture of the face, sole down and face to the viewer.

    The toe of a right-hander's club is on the left of such a picture, that of a left-hander's on the right.
    """
    return up_mm, right_mm if left_handed else -right_mm


def strike_pattern(low_high_mm: np.ndarray, heel_toe_mm: np.ndarray) -> StrikePattern | Message:
    """The pattern of a player's marks with one club.

    Parameters
    ----------
    low_high_mm, heel_toe_mm
        Arrays of shape (shots,), finite or NaN; a shot counts where both are known.

    Returns
    -------
    StrikePattern, or the message `TOO_FEW` under 3 marks, `IN_ONE_LINE` where they span no area (one spot, one line).
    """
    marks = known_marks(low_high_mm, heel_toe_mm)
    fault = pattern_fault(marks)
    if fault:
        return fault
    n = len(marks)
    centre, covariance = mark_moments(marks)
    figure, low, high = (float(value) for value in consistency(marks))
    return StrikePattern(
        n=n,
        centre_mm=_point(centre),
        centre_region=_ellipse(centre, covariance, centre_scale(n)),
        spread_mm=_point(np.sqrt(np.diag(covariance))),
        next_mark=_ellipse(centre, covariance, next_mark_scale(n)),
        consistency_mm=figure,
        consistency_ci95_mm=(low, high),
        advice=MAKE_MORE if n < ADVISED_MARKS else None,
    )


def known_marks(low_high_mm: np.ndarray, heel_toe_mm: np.ndarray) -> np.ndarray:
    """Marks of which both coordinates are known, shape (marks, 2), low-high first."""
    marks = np.column_stack([low_high_mm, heel_toe_mm]).astype(float)
    return marks[~np.isnan(marks).any(axis=1)]


def pattern_fault(marks: np.ndarray) -> Message | None:
    """Why marks of shape (marks, 2) have no pattern, or None."""
    if len(marks) < FEWEST_MARKS:
        return TOO_FEW
    _, covariance = mark_moments(marks)
    narrowest = float(np.linalg.eigvalsh(covariance)[0])
    return IN_ONE_LINE if narrowest < FLAT_MM**2 else None


def mark_moments(marks: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Mean, shape (..., 2), and covariance with divisor n - 1, shape (..., 2, 2), of marks (..., n, 2); n >= 2."""
    centre = marks.mean(axis=-2)
    offset = marks - centre[..., None, :]
    return centre, np.swapaxes(offset, -1, -2) @ offset / (marks.shape[-2] - 1)


def squared_distance(offset: np.ndarray, covariance: np.ndarray) -> np.ndarray:
    """o' S^-1 o, shape (...), of offsets (..., 2) under covariances S (..., 2, 2), each regular."""
    return np.sum(offset * np.linalg.solve(covariance, offset[..., None])[..., 0], axis=-1)


def centre_scale(n: int) -> float:
    """`squared_distance` from the mean of n >= 3 marks within which the true centre lies with 95 % confidence.

    2 (n - 1) / (n (n - 2)) F(.95; 2, n - 2), Hotelling's T^2 in two dimensions: Hotelling, Ann. Math. Stat. 2:360-378
    (1931); Johnson & Wichern, Applied Multivariate Statistical Analysis, ch. 5 (both from memory).
    """
    return 2 * (n - 1) / (n * (n - 2)) * f_quantile(COVER, 2, n - 2)


def next_mark_scale(n: int) -> float:
    """`squared_distance` from the mean of n >= 3 marks within which the next mark lies with 95 % chance.

    2 (n^2 - 1) / (n (n - 2)) F(.95; 2, n - 2); Johnson & Wichern, ch. 5 (from memory). The usual chi-square value 5.99
    takes the covariance for known: at n = 5 such an ellipse holds the next mark only 7 times in 10.
    """
    return (n + 1) * centre_scale(n)


def own_distances(marks: np.ndarray) -> np.ndarray:
    """Distance of each mark from the mean of its own session, times sqrt(n / (n - 1)); (..., n) from (..., n, 2).

    The factor undoes that marks pull their own mean towards them: without it few marks look tighter than many.
    """
    n = marks.shape[-2]
    offset = marks - marks.mean(axis=-2, keepdims=True)
    return np.hypot(offset[..., 0], offset[..., 1]) * math.sqrt(n / (n - 1))


def consistency(marks: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Mean distance from the player's centre with its 95 % interval, in mm: (mean, low, high), each of shape (...).

    m exp(+- t(.975, n - 1) s / (m sqrt(n))) with m and s the mean and standard deviation of `own_distances`: a t
    interval on the logarithm, because the figure is positive and skewed. Distances, not squares, because squares let
    one stray mark decide. Engineering estimate; in simulation the mean is unbiased under a normal scatter and the
    interval holds 92 to 94 % there, 90 % and more under Student's t with 5 degrees of freedom. Five marks know it to a
    factor of 1.9 either way, ten to 1.5.

    Parameters
    ----------
    marks
        Shape (..., n, 2), n >= 3, not all on one spot. Equal distances give an interval without width.
    """
    distances = own_distances(marks)
    n = distances.shape[-1]
    mean = distances.mean(axis=-1)
    half = t_quantile(1 - TAIL, n - 1) * distances.std(axis=-1, ddof=1) / math.sqrt(n) / mean
    return mean, mean * np.exp(-half), mean * np.exp(half)


def _ellipse(centre: np.ndarray, covariance: np.ndarray, scale: float) -> Ellipse:
    """{z: (z - centre)' covariance^-1 (z - centre) <= scale}."""
    short_mm, long_mm = np.sqrt(scale * np.linalg.eigvalsh(covariance)).tolist()
    (low_high, both), (_, heel_toe) = covariance.tolist()
    angle_deg = math.degrees(math.atan2(2 * both, heel_toe - low_high)) / 2
    return Ellipse(_point(centre), long_mm, short_mm, angle_deg)


def _point(pair: np.ndarray) -> Point:
    low_high, heel_toe = pair.tolist()
    return low_high, heel_toe
