"""The report's figures again, slow and plain: Python loops and scipy.stats, nothing of analytics.metrics."""

import math
from statistics import median

import numpy as np
from scipy import special, stats


def score(shots) -> dict:
    """The figures of one cell, by name, from its shots."""
    mishits = [shot for shot in shots if shot.mishit]
    of_n = [shot for shot in shots if not shot.mishit and error_m(shot) is not None]
    errors_m = [error_m(shot) for shot in of_n]
    with_lateral = [shot for shot in of_n if shot.lateral_m is not None]
    misses_m = [math.hypot(error_m(shot), shot.lateral_m) for shot in with_lateral]
    carries_m = [shot.carry_m for shot in shots if is_stock_carry(shot)]
    every_error_m = [shot.carry_m - shot.target_m for shot in shots if has_both(shot)]
    return {
        "mishits": len(mishits),
        "n": len(of_n),
        "bias_m": mean(errors_m),
        "bias_ci95_m": mean_interval(errors_m),
        "spread_m": float(np.std(errors_m, ddof=1)) if len(errors_m) > 1 else None,
        "spread_ci95_m": spread_interval(errors_m),
        "rmse_m": rms(errors_m),
        "rmse_all_m": rms(every_error_m),
        "n_lateral": len(misses_m),
        "proximity_mean_m": mean(misses_m),
        "proximity_median_m": median(misses_m) if misses_m else None,
        "n_carry": len(carries_m),
        "carry_mean_m": mean(carries_m),
        "carry_ci95_m": mean_interval(carries_m),
        "sessions": len({shot.session for shot in of_n}),
        **trend(of_n),
    }


def has_both(shot) -> bool:
    return shot.target_m is not None and shot.carry_m is not None


def error_m(shot) -> float | None:
    return shot.carry_m - shot.target_m if has_both(shot) else shot.error_m


def is_stock_carry(shot) -> bool:
    no_target = shot.target_m is None and shot.error_m is None
    return no_target and not shot.mishit and shot.carry_m is not None


def mean(values):
    return math.fsum(values) / len(values) if values else None


def rms(values):
    return math.sqrt(math.fsum(value * value for value in values) / len(values)) if values else None


def mean_interval(values):
    if len(values) < 2:
        return None
    if len(set(values)) == 1:
        return values[0], values[0]
    return stats.t.interval(0.95, len(values) - 1, loc=np.mean(values), scale=stats.sem(values))


def spread_interval(values):
    if len(values) < 2:
        return None
    df, s2 = len(values) - 1, np.var(values, ddof=1)
    return tuple(math.sqrt(df * s2 / stats.chi2.ppf(p, df)) for p in (0.975, 0.025))


def sessions_for_trend(of_n) -> list[tuple[int, float]]:
    """(day, L) of each session with 2 or more shots that have target and carry."""
    points = []
    for session in sorted({shot.session for shot in of_n}):
        shots = [shot for shot in of_n if shot.session == session and has_both(shot)]
        if len(shots) >= 2:
            q2 = [((shot.carry_m - shot.target_m) / shot.target_m) ** 2 for shot in shots]
            half_n = len(shots) / 2
            small_n = float(special.psi(half_n)) - math.log(half_n)
            points.append((shots[0].day, math.log(max(mean(q2), 1e-6)) / 2 - small_n / 2))
    return points


def trend(of_n) -> dict:
    points = sessions_for_trend(of_n)
    pct, bounds = None, None
    if len(points) >= 3 and len({day for day, _ in points}) > 1:
        line = stats.linregress([day for day, _ in points], [log_rmse for _, log_rmse in points])
        half = stats.t.ppf(0.975, len(points) - 2) * line.stderr
        slopes = (line.slope, line.slope - half, line.slope + half)
        if max(slopes) < 20:  # exp(30 x 23.6) is the largest float
            pct, *bounds = (100 * math.expm1(30 * slope) for slope in slopes)
    return {
        "trend_sessions": len(points),
        "trend_pct_per_30_days": pct,
        "trend_ci95_pct_per_30_days": bounds,
        "trend_verdict": verdict(len(points), bounds),
    }


def verdict(sessions: int, bounds) -> str:
    if sessions < 6 or bounds is None:
        return "too few"
    if bounds[1] < 0:
        return "tighter"
    return "wider" if bounds[0] > 0 else "no clear change"
