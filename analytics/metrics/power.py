"""How much would it take: the smallest improvement that a player's balls can show in some weeks."""

import math
from functools import lru_cache

import numpy as np
from scipy import special

from analytics.metrics.form import BALLS_OF_A_SESSION, form_variance
from analytics.metrics.intervals import TAIL, t_quantile

POWER = 0.80
NODES = 64  # Gauss-Legendre nodes over the probability of chi-square: power good to 2e-5 from df = 1


def smallest_improvement_pct(
    balls_a_week: float, weeks: int, *, day_sd: float, sessions_a_week: int = 1, power: float = POWER
) -> float | None:
    """Smallest fall of the typical error over `weeks` (%) that the trend would find with the given power.

    The trend is that of `analytics.metrics.progress`, tested at 5 % two-sided; the improvement is steady in ln of
    the error, from the first session to the last, the balls are spread evenly over evenly spaced sessions.

    With S = weeks x sessions a week, n balls a session and sd^2 = trigamma(n/2)/4 + day_sd^2, a total change D
    of ln(error) has the noncentrality D / sd sqrt(S (S + 1) / (12 (S - 1))); the improvement is 100 (1 - exp(-D)).

    Parameters
    ----------
    balls_a_week
        Balls at targets that are no mishits; more than 0.
    day_sd
        SD of the day's form in ln of the error (0 or more), such as `Progress.day_sd`. Where the player's own is
        unknown: 0.1 to 0.2, engineering estimate.
    power
        Between 0.05 and 1.

    Returns
    -------
    None under 3 sessions, which make no trend, and under 5 balls a session, which it does not count. ValueError
    for no balls, a negative SD or an impossible power.
    """
    if not (balls_a_week > 0 and day_sd >= 0 and 2 * TAIL < power < 1 and sessions_a_week > 0):
        raise ValueError("balls and sessions a week must be above 0, the day's SD 0 or more, the power .05 to 1")
    sessions, n = weeks * sessions_a_week, balls_a_week / sessions_a_week
    if sessions < 3 or n < BALLS_OF_A_SESSION:
        return None
    sd = math.sqrt(float(form_variance(n)) + day_sd**2)
    shift = noncentrality(sessions - 2, power)
    total = shift * sd * math.sqrt(12 * (sessions - 1) / (sessions * (sessions + 1)))
    return -100 * math.expm1(-total)


@lru_cache(maxsize=256)
def noncentrality(df: int, power: float) -> float:
    """The noncentrality at which a 5 % two-sided t test with df >= 1 has this power (.05 to 1), by bisection."""
    low, high = 0.0, 1.0
    while t_power(high, df) < power:
        low, high = high, 2 * high
    for _ in range(50):
        middle = (low + high) / 2
        low, high = (middle, high) if t_power(middle, df) < power else (low, middle)
    return high


def t_power(shift: float, df: int) -> float:
    """Power of a 5 % two-sided t test with df >= 1 at the noncentrality `shift`.

    The mean over chi-square of the two normal tails beyond t(.975, df) sqrt(chi-square / df): the definition of
    the noncentral t. It stays finite at any shift, where the noncentral t of scipy.stats gives NaN.
    """
    limit, weight = _limits(df)
    return float(weight @ (special.ndtr(shift - limit) + special.ndtr(-shift - limit)))


@lru_cache(maxsize=256)
def _limits(df: int) -> tuple[np.ndarray, np.ndarray]:
    """t(.975, df) sqrt(chi-square / df) over Gauss-Legendre quantiles of chi-square, and their weights."""
    node, weight = np.polynomial.legendre.leggauss(NODES)
    scale = np.sqrt(2 * special.gammaincinv(df / 2, (node + 1) / 2) / df)
    return t_quantile(1 - TAIL, df) * scale, weight / 2
