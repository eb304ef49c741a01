"""Needs of clubs, held together so that no club takes all the balls."""

from collections.abc import Sequence

MOST = 3.0
"""No need is more than so many times the least.

Engineering estimate: drilling the weakest alone did far worse than any other rule on simulated players (subject
`allocation` of the simulations).
"""


def bounded_needs(may_miss: Sequence[float | None]) -> list[float]:
    """Return each club's need, as many as handed in; all 1 where nothing is known of any.

    Parameters
    ----------
    may_miss
        By how much each club may miss (any unit, 0 or more); None where nothing is known, which needs as much as the
        neediest of the others.
    """
    known = [miss for miss in may_miss if miss is not None]
    if not known or max(known) <= 0:
        return [1.0] * len(may_miss)
    least = max(min(known), max(known) / 1e6)
    held = [None if miss is None else min(max(miss, least) / least, MOST) for miss in may_miss]
    neediest = max(need for need in held if need is not None)
    return [neediest if need is None else need for need in held]
