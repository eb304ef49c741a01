"""Count, mean, standard deviation and median of values in groups, all groups at once."""

from dataclasses import dataclass

import numpy as np


@dataclass(frozen=True)
class GroupMoments:
    """Moments of each group; arrays of shape (groups,), in the unit of the values.

    `mean` and `rms` are NaN in an empty group, `s` (divisor n - 1) under n = 2. `rms` has the divisor n.
    """

    n: np.ndarray
    mean: np.ndarray
    s: np.ndarray
    rms: np.ndarray


def group_moments(group: np.ndarray, values: np.ndarray, groups: int) -> GroupMoments:
    """Moments of `values` (finite) in each group 0 .. groups - 1; both arrays of shape (shots,).

    Two passes (mean first, then squares about it) over values less one value of their own group: so large
    means cost no digits (NIST StRD NumAcc3, NumAcc4), and a group of equal values has exactly that mean and
    exactly the spread 0.
    """
    n = np.bincount(group, minlength=groups)
    pivot = np.zeros(groups)
    pivot[group] = values
    deviation = values - pivot[group]
    with np.errstate(invalid="ignore"):  # 0 / 0 in an empty group is NaN: no figure
        shift = np.bincount(group, deviation, groups) / n
        deviation -= shift[group]
        deviation *= deviation
        squares = np.bincount(group, deviation, groups)
        mean = pivot + shift
        s = np.sqrt(squares / np.where(n > 1, n - 1, np.nan))
        return GroupMoments(n, mean, s, np.sqrt(mean * mean + squares / n))


def group_rms(group: np.ndarray, values: np.ndarray, groups: int) -> np.ndarray:
    """Root mean square of the `values` that are known in each group, NaN where none is; both arrays of shape (shots,).

    sqrt(sum of v^2 / n). One pass: what adds up squares takes nothing away, so no digits are lost. A value that is
    NaN does not count.
    """
    squares = values * values
    unknown = np.flatnonzero(np.isnan(squares))
    squares[unknown] = 0.0
    n = np.bincount(group, minlength=groups) - np.bincount(group[unknown], minlength=groups)
    with np.errstate(invalid="ignore"):  # 0 / 0 where none is known is NaN: no figure
        return np.sqrt(np.bincount(group, squares, groups) / n)


def group_medians(group: np.ndarray, values: np.ndarray, groups: int) -> np.ndarray:
    """Median of `values` (finite) in each group; both arrays of shape (shots,).

    The mean of the middle two where n is even, NaN in an empty group.
    """
    order = np.argsort(values)
    narrow = group[order].astype(np.min_scalar_type(groups))  # numpy sorts 8 and 16 bit codes by radix
    ordered = np.append(values[order[np.argsort(narrow, kind="stable")]], np.nan)
    n = np.bincount(group, minlength=groups)
    start = np.cumsum(n) - n
    middle_two = ordered[start + np.maximum(n - 1, 0) // 2], ordered[start + n // 2]
    return np.where(n > 0, np.add(*middle_two) / 2, np.nan)
