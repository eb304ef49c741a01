"""Strike patterns of invented players: do the regions, the consistency number and the comparison keep their word?

Marks scatter about a centre, 1 mm in one direction and 0.6 mm in the other, turned by 30 degrees: normally, or by
Student's t with 5 degrees of freedom (a player with stray strikes).
"""

import numpy as np
from scipy import special

from analytics.metrics.strike import (
    centre_scale,
    consistency,
    mark_moments,
    next_mark_scale,
    own_distances,
    squared_distance,
)
from analytics.metrics.strike_sessions import cautious, welch

from .harness import acceptance, share

SUBJECT = "strike"
NARROW = 0.6
TURN = np.array([[np.cos(np.pi / 6), -np.sin(np.pi / 6)], [np.sin(np.pi / 6), np.cos(np.pi / 6)]])
CENTRE = np.array([-4.0, 7.0])
CHI_SQUARE = 5.991465  # 95 % with 2 degrees of freedom, any table
MEAN_RADIUS = 1.01838  # of a normal scatter of SD 1 and 0.6 (Hoyt), by numerical integration

# Multivariate t with v degrees of freedom is the normal over sqrt(chi-square / v): E sqrt(5 / chi-square_5).
HEAVY_MEAN = np.sqrt(5 / 2) * special.gamma(2) / special.gamma(5 / 2)


def draw(rng, repetitions, n, *, heavy):
    """Marks, shape (repetitions, n, 2)."""
    z = rng.standard_normal((repetitions, n, 2)) * [NARROW, 1]
    if heavy:
        z /= np.sqrt(rng.chisquare(5, (repetitions, n, 1)) / 5)
    return CENTRE + z @ TURN.T


def centre_cover(n, scale):
    def run(rng, repetitions):
        centre, covariance = mark_moments(draw(rng, repetitions, n, heavy=False))
        return share(squared_distance(CENTRE - centre, covariance) <= scale)

    return run


def next_mark_cover(n, scale):
    def run(rng, repetitions):
        marks = draw(rng, repetitions, n + 1, heavy=False)
        centre, covariance = mark_moments(marks[:, :n])
        return share(squared_distance(marks[:, n] - centre, covariance) <= scale)

    return run


def consistency_cover(n, interval, *, heavy):
    truth = MEAN_RADIUS * (HEAVY_MEAN if heavy else 1)

    def run(rng, repetitions):
        low, high = interval(draw(rng, repetitions, n, heavy=heavy))
        return share((low <= truth) & (truth <= high))

    return run


def log_interval(marks):
    return consistency(marks)[1:]


def normal_interval(marks):
    """Mean distance +- 1.96 standard errors, without the factor sqrt(n / (n - 1))."""
    n = marks.shape[1]
    distances = np.linalg.norm(marks - marks.mean(axis=1, keepdims=True), axis=2)
    half = 1.96 * distances.std(axis=1, ddof=1) / np.sqrt(n)
    return distances.mean(axis=1) - half, distances.mean(axis=1) + half


def mean_ratio(n, figure):
    def run(rng, repetitions):
        ratio = figure(draw(rng, repetitions, n, heavy=False)) / MEAN_RADIUS
        return float(ratio.mean()), float(ratio.std(ddof=1) / np.sqrt(repetitions))

    return run


def false_alarms(sizes, p_value, *, heavy):
    """How often two sessions of one scatter, about centres of their own, are called unlike."""

    def run(rng, repetitions):
        earlier, later = (draw(rng, repetitions, n, heavy=heavy) for n in sizes)
        return share(p_value(earlier, np.add(later, [3.0, -2.0])) < 0.05)

    return run


def by_both_t_tests(earlier, later):
    return cautious(own_distances(earlier), own_distances(later))


def by_welch(earlier, later):
    return welch(own_distances(earlier), own_distances(later)).p_value()


def by_traces(earlier, later):
    """F ratio of the traces of the covariances, as if all coordinates were normal and alike."""
    df = [2 * (marks.shape[1] - 1) for marks in (earlier, later)]
    squares = [np.trace(mark_moments(marks)[1], axis1=1, axis2=2) for marks in (earlier, later)]
    below = special.fdtr(*df, squares[0] / squares[1])
    return 2 * np.minimum(below, 1 - below)


SIZE = {"subject": SUBJECT, "ci_repetitions": 20_000, "full_repetitions": 100_000}

for n in (5, 7, 10):
    acceptance(
        name=f"strike, region of the centre, {n} marks",
        statistic="coverage",
        low=0.94,
        high=0.96,
        naive=centre_cover(n, CHI_SQUARE / n),
        **SIZE,
    )(centre_cover(n, centre_scale(n)))
    acceptance(
        name=f"strike, ellipse of the next mark, {n} marks",
        statistic="coverage",
        low=0.94,
        high=0.96,
        naive=next_mark_cover(n, CHI_SQUARE),
        **SIZE,
    )(next_mark_cover(n, next_mark_scale(n)))
    acceptance(
        name=f"strike, consistency, {n} normal marks",
        statistic="interval's coverage",
        low=0.91,
        high=0.97,
        naive=consistency_cover(n, normal_interval, heavy=False),
        **SIZE,
    )(consistency_cover(n, log_interval, heavy=False))
    acceptance(
        name=f"strike, consistency, {n} marks with strays",
        statistic="interval's coverage",
        low=0.87,
        high=1.0,
        naive=consistency_cover(n, normal_interval, heavy=True),
        **SIZE,
    )(consistency_cover(n, log_interval, heavy=True))
    acceptance(
        name=f"strike, consistency, {n} normal marks",
        statistic="mean over truth",
        low=0.99,
        high=1.01,
        naive=mean_ratio(n, lambda marks: np.add(*normal_interval(marks)) / 2),
        **SIZE,
    )(mean_ratio(n, lambda marks: consistency(marks)[0]))

for sizes, heavy, naive in (
    ((6, 6), True, by_traces),
    ((10, 10), True, by_traces),
    ((6, 20), True, by_welch),
    ((5, 20), False, by_welch),
):
    acceptance(
        name=f"strike, {sizes[0]} against {sizes[1]} marks {'with strays' if heavy else '(normal)'} of one scatter",
        statistic="called unlike",
        low=0.0,
        high=0.08,
        naive=false_alarms(sizes, naive, heavy=heavy),
        **SIZE,
    )(false_alarms(sizes, by_both_t_tests, heavy=heavy))
