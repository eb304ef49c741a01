"""Quantiles, and 95 % intervals: for mean and standard deviation of a small normal sample, and for a share."""

import math

from scipy import special

TAIL = 0.025


def t_quantile(p: float, df: float) -> float:
    """Quantile p (0 < p < 1) of Student's t with df > 0 degrees of freedom."""
    return float(special.stdtrit(df, p))


def chi2_quantile(p: float, df: float) -> float:
    """Quantile p (0 < p < 1) of chi-square with df > 0 degrees of freedom.

    Chi-square with df degrees of freedom is twice a gamma variable of shape df/2.
    """
    return 2.0 * float(special.gammaincinv(df / 2, p))


def f_quantile(p: float, df: float, df_below: float) -> float:
    """Quantile p (0 < p < 1) of F, the ratio of two chi-squares each over its own degrees of freedom (> 0)."""
    return float(special.fdtri(df, df_below, p))


def mean_interval(n: int, mean: float, s: float) -> tuple[float, float] | None:
    """95 % interval of a mean, in the unit of `mean`.

    mean +- t(.975, n - 1) s / sqrt(n); NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.2.

    Parameters
    ----------
    n, mean, s
        Size, mean and standard deviation (divisor n - 1) of the sample.

    Returns
    -------
    (low, high), or None under n = 2. (mean, mean) when s = 0.
    """
    if n < 2:
        return None
    half = t_quantile(1 - TAIL, n - 1) * s / math.sqrt(n)
    return mean - half, mean + half


def spread_interval(n: int, s: float) -> tuple[float, float] | None:
    """95 % interval of a standard deviation, in the unit of `s`.

    sqrt((n - 1) s^2 / chi-square quantiles .975 and .025 with n - 1 degrees of freedom); NIST/SEMATECH
    e-Handbook of Statistical Methods, 7.2.3.1.

    Parameters
    ----------
    n, s
        Size and standard deviation (divisor n - 1) of the sample.

    Returns
    -------
    (low, high), or None under n = 2. (0, 0) when s = 0.
    """
    if n < 2:
        return None
    df = n - 1
    return (
        s * math.sqrt(df / chi2_quantile(1 - TAIL, df)),
        s * math.sqrt(df / chi2_quantile(TAIL, df)),
    )


def share_interval(hits: int, n: int) -> tuple[float, float] | None:
    """95 % Wilson score interval of a share, 0 to 1.

    (hits + z^2 / 2 +- z sqrt(hits (n - hits) / n + z^2 / 4)) / (n + z^2), z the normal quantile .975: Wilson, J. Am.
    Stat. Assoc. 22:209-212 (1927) (from memory); method 3 of Newcombe, Stat. Med. 17:857-872 (1998).

    Parameters
    ----------
    hits, n
        0 <= hits <= n. Raises ValueError otherwise. For independent tries: balls of one day that go alike make it too
        narrow.

    Returns
    -------
    (low, high), or None at n = 0. With no hit the low end is 0, with nothing but hits the high end is 1.
    """
    if not 0 <= hits <= n:
        raise ValueError(f"hits must lie in 0 to {n}, not {hits}")
    if n == 0:
        return None
    z = float(special.ndtri(1 - TAIL))
    middle, half = hits + z * z / 2, z * math.sqrt(hits * (n - hits) / n + z * z / 4)
    low, high = (middle - half) / (n + z * z), (middle + half) / (n + z * z)
    return (0.0 if hits == 0 else low), (1.0 if hits == n else high)
