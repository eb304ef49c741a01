"""The carry surface on invented players: does it know the carry of a bent club and of a new one?"""

from dataclasses import dataclass
from functools import cache

import numpy as np
from scipy import special

from analytics.metrics.carry_surface import SurfaceCell, fit_carry_surface

from .harness import acceptance, share
from .pitch_flight import carry_m, smooth_lift, strong_lift

YD = 0.9144
SWINGS = ("7:30", "9:00", "10:30", "full")
OWNED = np.array([45.0, 50.0, 55.0, 60.0])
BENDS = np.array([-2.0, -1.0, 1.0, 2.0])
NEW = np.array([47.5, 52.5, 57.5])
BALLS, CV = 10, 0.05
CLUB_SD, CELL_SD = 0.015, 0.008  # what sets a club, and a club at one swing, apart: engineering estimate
GRID = np.arange(42.0, 64.5, 0.5)


@dataclass(frozen=True)
class Players:
    """Carries in yards: of each club now, bent and new; the raw means of its balls.

    Shapes (players, clubs, swings); (players, clubs, bends, swings); (players, new clubs, swings).
    """

    now: np.ndarray
    bent: np.ndarray
    new: np.ndarray
    raw: np.ndarray


def physics(rng, players):
    """Carry (m) over loft, as a function of lofts of any number: shape (players, lofts, swings)."""
    full = np.clip(rng.normal(34, 2.5, players), 27, 42)
    swing = np.array([18, 24, 29, 34]) / 34 * np.exp(rng.normal(0, 0.02, (players, 4)))
    lean, attack = rng.normal(7, 1.5, (players, 1, 1)), rng.normal(-4, 1, (players, 1, 1))
    strong = rng.random(players) < 0.5

    def carries(lofts_deg):
        shape = (players, len(lofts_deg), 4)
        head = np.broadcast_to((full[:, None] * swing)[:, None, :], shape)
        loft, tilt, down = (np.broadcast_to(each, shape) for each in (lofts_deg[:, None], lean, attack))
        flown = np.empty(shape)
        for which, aero in ((strong, strong_lift), (~strong, smooth_lift)):
            if which.any():
                flown[which] = carry_m(head[which], loft[which], tilt[which], down[which], aero)
        return flown

    return carries


def log_linear(slopes):
    """Not physics: carry falls by the same share for each degree, a share for each swing."""

    def truth(rng, players):
        level = YD * np.array([35.0, 59.0, 81.0, 102.0]) * np.exp(rng.normal(0, 0.08, (players, 1)))
        return lambda lofts_deg: level[:, None, :] * np.exp(np.array(slopes) * (lofts_deg[:, None] - 52.5))

    return truth


TRUTHS = {
    "physics": physics,
    "2 % a degree": log_linear([-0.020] * 4),
    "4.2 % a degree": log_linear([-0.042] * 4),
    "another slope at each swing": log_linear([-0.035, -0.032, -0.028, -0.025]),
}


def draw(rng, players, truth) -> Players:
    carries = TRUTHS[truth](rng, players)
    effect = np.exp(rng.normal(0, CLUB_SD, (players, 4, 1)) + rng.normal(0, CELL_SD, (players, 4, 4)))
    new_effect = np.exp(rng.normal(0, CLUB_SD, (players, 3, 1)) + rng.normal(0, CELL_SD, (players, 3, 4)))
    now = carries(OWNED) * effect / YD
    bent = carries((OWNED[:, None] + BENDS).ravel()).reshape(players, 4, 4, 4) * effect[:, :, None] / YD
    raw = now * (1 + CV / np.sqrt(BALLS) * rng.normal(size=now.shape))
    return Players(now, bent, carries(NEW) * new_effect / YD, raw)


@dataclass(frozen=True)
class Estimates:
    """Estimate, low and high of the bent and the new clubs (yards), each of the shape of the truth.

    `change` is the same of what a bend changes; it and `monotone` are the surface's only.
    """

    bent: tuple[np.ndarray, np.ndarray, np.ndarray]
    new: tuple[np.ndarray, np.ndarray, np.ndarray]
    change: tuple[np.ndarray, np.ndarray, np.ndarray] | None = None
    monotone: np.ndarray | None = None


def surface(raw) -> Estimates:
    bent, new, change, monotone = [], [], [], []
    for player in raw:
        fit = fit_carry_surface(cells(player), SWINGS)
        bends = [[fit.bent(f"{loft:g}", loft + bend) for bend in BENDS] for loft in OWNED]
        bent.append([[[figures(at[swing]) for swing in SWINGS] for at in club] for club in bends])
        changes = [[fit.bend_change(f"{loft:g}", loft + bend) for bend in BENDS] for loft in OWNED]
        change.append([[[changed(at[swing]) for swing in SWINGS] for at in club] for club in changes])
        new.append([[figures(fit.new_club(loft, swing)) for swing in SWINGS] for loft in NEW])
        monotone.append(fit.monotone)
    return Estimates(*(tuple(np.moveaxis(each, -1, 0)) for each in (bent, new, change)), np.array(monotone))


def cells(raw):
    return [
        SurfaceCell(f"{loft:g}", loft, swing, BALLS, float(mean * YD), CV)
        for loft, row in zip(OWNED, raw, strict=True)
        for swing, mean in zip(SWINGS, row, strict=True)
    ]


def figures(carry):
    return carry.carry_m / YD, carry.ci95_m[0] / YD, carry.ci95_m[1] / YD


def changed(change):
    return change.change_m / YD, change.ci95_m[0] / YD, change.ci95_m[1] / YD


def log_ols(raw) -> Estimates:
    """Ordinary least squares of log carry on loft with a level for each swing; no club has an effect of its own."""
    loft, swing = np.repeat(OWNED, 4), np.tile(np.arange(4), 4)

    def design(lofts_deg, swings):
        return np.hstack([np.eye(4)[swings], (lofts_deg - 52.5)[:, None]])

    h, z = design(loft, swing), np.log(raw.reshape(len(raw), -1))
    inverse = np.linalg.inv(h.T @ h)
    beta = z @ h @ inverse
    s2 = np.square(z - beta @ h.T).sum(axis=1) / (16 - 5)

    def predict(lofts_deg):
        at = design(np.repeat(lofts_deg, 4), np.tile(np.arange(4), len(lofts_deg)))
        half = special.stdtrit(11, 0.975) * np.sqrt(s2[:, None] * ((at @ inverse) * at).sum(axis=1))
        mean = beta @ at.T
        return tuple(np.exp(each).reshape(len(raw), -1, 4) for each in (mean, mean - half, mean + half))

    bent = tuple(each.reshape(len(raw), 4, 4, 4) for each in predict((OWNED[:, None] + BENDS).ravel()))
    return Estimates(bent, predict(NEW))


def rule_of_thumb(raw):
    """3.5 yards a degree at a full swing, shorter swings in proportion, from the raw mean (common practice, no
    source), with that mean's interval: estimate, low, high."""
    lost = 3.5 * raw / raw[:, :, -1:]
    half = 1.96 * CV / np.sqrt(BALLS) * raw
    return tuple((mean[:, :, None, :] - lost[:, :, None, :] * BENDS[:, None]) for mean in (raw, raw - half, raw + half))


def share_rule(raw):
    """3 % of the carry a degree, from the raw mean (common practice, no source), with its spread over players.

    Estimate, low and high of what a bend changes: 2.65 to 3.4 % is what simulated players lie between.
    """
    at = raw[:, :, None, :] * BENDS[:, None]
    ends = np.sort([-0.0265 * at, -0.034 * at], axis=0)
    return -0.03 * at, *ends


def swing_quadratics(raw) -> np.ndarray:
    """Does a quadratic in log carry for each swing fall with loft and rise with swing over the whole grid?"""
    h, at = np.vander(OWNED - 52.5, 3), np.vander(GRID - 52.5, 3)
    fitted = at @ np.linalg.pinv(h) @ np.log(raw)
    return (np.diff(fitted, axis=1) < 0).all(axis=(1, 2)) & (np.diff(fitted, axis=2) > 0).all(axis=(1, 2))


@cache
def simulated(seed: int, players: int, truth: str) -> tuple[Players, Estimates]:
    drawn = draw(np.random.default_rng(seed), players, truth)
    return drawn, surface(drawn.raw)


def simulation(rng, players, truth="physics"):
    return simulated(int(rng.integers(2**62)), players, truth)


def rmse(error):
    """Root mean square over players and cells with its standard error (delta method)."""
    squares = np.square(error).reshape(len(error), -1).mean(axis=1)
    value = np.sqrt(squares.mean())
    return float(value), float(squares.std(ddof=1) / np.sqrt(len(error)) / (2 * value))


def ratio(error, raw_error):
    """RMSE over that of the raw means, with its standard error (delta method on the paired mean squares)."""
    a, b = (np.square(e).reshape(len(e), -1).mean(axis=1) for e in (error, raw_error))
    value = np.sqrt(a.mean() / b.mean())
    relative = a / a.mean() - b / b.mean()
    return float(value), float(value / 2 * relative.std(ddof=1) / np.sqrt(len(a)))


def covered(truth, estimate):
    return share((estimate[1] <= truth) & (truth <= estimate[2]))


CELLS = {"subject": "carry_surface", "ci_repetitions": 150, "full_repetitions": 600}
PHYSICS = CELLS | {"name": "carry surface, 10 balls a cell"}


def rule_bend_rmse(rng, players):
    drawn, _ = simulation(rng, players)
    return rmse(rule_of_thumb(drawn.raw)[0] - drawn.bent)


@acceptance(**PHYSICS, statistic="RMSE of a bent club, yd", low=0, high=1.2, naive=rule_bend_rmse)
def bend_rmse(rng, players):
    drawn, found = simulation(rng, players)
    return rmse(found.bent[0] - drawn.bent)


def share_rule_rmse(rng, players):
    drawn, _ = simulation(rng, players)
    return rmse(share_rule(drawn.raw)[0] - (drawn.bent - drawn.now[:, :, None]))


@acceptance(**PHYSICS, statistic="RMSE of what a bend changes, yd", low=0, high=0.5, naive=share_rule_rmse)
def change_rmse(rng, players):
    drawn, found = simulation(rng, players)
    return rmse(found.change[0] - (drawn.bent - drawn.now[:, :, None]))


def ols_ratio(rng, players):
    drawn, _ = simulation(rng, players)
    return ratio(log_ols(drawn.raw).bent[0] - drawn.bent, drawn.raw - drawn.now)


@acceptance(**PHYSICS, statistic="RMSE of a bent club over that of raw means", low=0, high=1, naive=ols_ratio)
def bend_ratio(rng, players):
    drawn, found = simulation(rng, players)
    return ratio(found.bent[0] - drawn.bent, drawn.raw - drawn.now)


def quadratics_monotone(rng, players):
    return share(swing_quadratics(simulation(rng, players)[0].raw))


@acceptance(**PHYSICS, statistic="players with a monotone surface", low=1, high=1, naive=quadratics_monotone)
def monotone(rng, players):
    return share(simulation(rng, players)[1].monotone)


def coverage_lines(truth):
    """Coverage of the 95 % interval: bent clubs beside the rule of thumb, new ones beside least squares."""
    line = CELLS | {"name": PHYSICS["name"] if truth == "physics" else f"carry surface where truth is {truth}"}

    def rule(rng, players):
        drawn, _ = simulation(rng, players, truth)
        return covered(drawn.bent, rule_of_thumb(drawn.raw))

    @acceptance(**line, statistic="coverage for a bent club", low=0.93, high=0.97, naive=rule)
    def bent(rng, players):
        drawn, found = simulation(rng, players, truth)
        return covered(drawn.bent, found.bent)

    def by_share(rng, players):
        drawn, _ = simulation(rng, players, truth)
        return covered(drawn.bent - drawn.now[:, :, None], share_rule(drawn.raw))

    @acceptance(**line, statistic="coverage of what a bend changes", low=0.93, high=0.99, naive=by_share)
    def change(rng, players):
        drawn, found = simulation(rng, players, truth)
        return covered(drawn.bent - drawn.now[:, :, None], found.change)

    def ols(rng, players):
        drawn, _ = simulation(rng, players, truth)
        return covered(drawn.new, log_ols(drawn.raw).new)

    @acceptance(**line, statistic="coverage for a new club", low=0.93, high=0.99, naive=ols)
    def new(rng, players):
        drawn, found = simulation(rng, players, truth)
        return covered(drawn.new, found.new)


for each in TRUTHS:
    coverage_lines(each)
