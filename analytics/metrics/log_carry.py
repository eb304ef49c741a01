"""The Gaussian model behind the carry surface: log carry over loft and swing, with club and cell effects."""

from dataclasses import dataclass

import numpy as np

CENTRE_DEG = 52.5
NOT_OWNED = -1  # the club code of a club that no ball was hit with

# All engineering estimates, shaped like simulated flight, in log carry a degree (and a degree squared):
SLOPE, SLOPE_SD = -0.030, 0.006
CURVE, CURVE_SD = -0.0005, 0.0005
SWING_SLOPE_SD = 0.002  # how far the slope of one swing length lies from the player's own
LEVEL_SD = 3.0  # of a swing's level, about the mean of all cells: says nothing
CLUB_SDS = (0.004, 0.01, 0.02, 0.035)
CELL_SDS = (0.003, 0.008, 0.015, 0.03)
CLUB_VARIANCE, CELL_VARIANCE = np.square(np.meshgrid(CLUB_SDS, CELL_SDS, indexing="ij")).reshape(2, -1, 1, 1)


@dataclass(frozen=True)
class Points:
    """Clubs and swings; arrays of shape (points,). Codes from 0 for clubs and swings, NOT_OWNED for a new club."""

    club: np.ndarray
    loft_deg: np.ndarray
    swing: np.ndarray

    def rows(self, swings: int) -> np.ndarray:
        """Columns: level of each swing, slope, curve, slope of each swing; shape (points, 2 swings + 2)."""
        x = (self.loft_deg - CENTRE_DEG)[:, None]
        at_swing = np.eye(swings)[self.swing]
        return np.hstack([at_swing, x, x * x, at_swing * x])

    def slope_rows(self, swings: int) -> np.ndarray:
        """The same columns, differentiated by loft."""
        x = (self.loft_deg - CENTRE_DEG)[:, None]
        at_swing = np.eye(swings)[self.swing]
        return np.hstack([np.zeros_like(at_swing), np.ones_like(x), 2 * x, at_swing])


class LogCarryModel:
    """Posterior of log carry given the cells' mean carries.

    log carry = a_s + (b + b_s) x + q x^2 + club + cell + noise, all normal: closed form (Gelman et al., Bayesian
    Data Analysis, chapter 14, from memory). The standard deviations of club and cell effects are averaged over a
    grid of 4 x 4, each pair weighted by its marginal likelihood.

    Parameters
    ----------
    cells
        Where balls were hit, shape (cells,), each club and swing once.
    log_carry, noise_variance
        Log of the mean carry and its sampling variance, shape (cells,).
    swings
        Number of swing lengths, every one of which has a cell.
    """

    def __init__(self, cells: Points, log_carry: np.ndarray, noise_variance: np.ndarray, swings: int):
        self._cells, self._swings = cells, swings
        self._prior_mean = np.array([log_carry.mean()] * swings + [SLOPE, CURVE] + [0.0] * swings)
        self._prior_variance = np.square([LEVEL_SD] * swings + [SLOPE_SD, CURVE_SD] + [SWING_SLOPE_SD] * swings)
        self._precision = np.linalg.inv(self._shared(cells) + np.diag(noise_variance))
        self._residual = log_carry - cells.rows(swings) @ self._prior_mean
        misfit = self._residual @ self._precision @ self._residual
        log_evidence = (np.linalg.slogdet(self._precision)[1] - misfit) / 2
        weight = np.exp(log_evidence - log_evidence.max())
        self._weight = weight / weight.sum()

    def predict(self, points: Points) -> tuple[np.ndarray, np.ndarray]:
        """Mean and standard deviation of log carry, without the noise of a ball; arrays of shape (points,)."""
        return self._posterior(points.rows(self._swings), self._shared(points), (CLUB_VARIANCE + CELL_VARIANCE)[:, 0])

    def slope(self, points: Points) -> tuple[np.ndarray, np.ndarray]:
        """Mean and standard deviation of what a degree of loft changes in log carry; arrays of shape (points,).

        The effects of club and cell go with the head, so they have no part in it: all clubs of one loft have one slope.
        """
        rows = points.slope_rows(self._swings)
        return self._posterior(rows, self._by_rows(rows), np.zeros((len(CLUB_VARIANCE), 1)))

    def _posterior(
        self, rows: np.ndarray, shared: np.ndarray, own_variance: np.ndarray
    ) -> tuple[np.ndarray, np.ndarray]:
        """Mean and standard deviation of rows of coefficients, averaged over the grid.

        `shared` is their prior covariance with the cells, shape (1 or 16, points, cells); `own_variance` what each has
        beside the coefficients, shape (16, 1).
        """
        gain = shared @ self._precision
        mean = rows @ self._prior_mean + gain @ self._residual
        variance = np.square(rows) @ self._prior_variance + own_variance - (gain * shared).sum(axis=2)
        average = self._weight @ mean
        return average, np.sqrt(self._weight @ (variance + np.square(mean - average)))

    def _shared(self, points: Points) -> np.ndarray:
        """Prior covariance of points with the cells for each pair of the grid; shape (16, points, cells)."""
        same_club = points.club[:, None] == self._cells.club
        same_cell = same_club & (points.swing[:, None] == self._cells.swing)
        by_rows = self._by_rows(points.rows(self._swings))
        return by_rows + CLUB_VARIANCE * same_club + CELL_VARIANCE * same_cell

    def _by_rows(self, rows: np.ndarray) -> np.ndarray:
        """Prior covariance of rows of coefficients with the cells; shape (points, cells)."""
        return (rows * self._prior_variance) @ self._cells.rows(self._swings).T
