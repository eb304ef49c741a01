"""The shots of a score as numpy columns."""

from dataclasses import dataclass, fields

import numpy as np


@dataclass(frozen=True)
class ShotColumns:
    """Shots that count in cells, one entry a shot; every column has the same shape (shots,).

    The caller has already left out what counts in no cell: undone and set-aside shots, course shots, balls
    known only by where they finished, warm-up balls.

    Attributes
    ----------
    cell, session
        Codes, integers from 0, handed out player by player.
    day
        Ordinal of the session's local date (days), the same for every shot of a session.
    mishit
        True where the contact is flagged fat, thin, topped or shanked.
    stock
        True for a stock ball: no target and no entered error.
    target_m, carry_m, lateral_m
        Metres, finite or NaN = missing; target > 0; lateral + is right.
    error_m
        Metres, + is long: the error as entered (short or long of the spot) where target or carry is unknown;
        NaN = not entered.
    """

    cell: np.ndarray
    session: np.ndarray
    day: np.ndarray
    mishit: np.ndarray
    stock: np.ndarray
    target_m: np.ndarray
    carry_m: np.ndarray
    error_m: np.ndarray
    lateral_m: np.ndarray

    def __post_init__(self):
        shapes = {getattr(self, field.name).shape for field in fields(self)}
        if len(shapes) > 1 or len(next(iter(shapes))) != 1:
            raise ValueError(f"columns must be one-dimensional and equally long, not {sorted(shapes)}")

    def scored(self) -> "ScoredShots":
        """The shots of n."""
        error_m = self.carry_m - self.target_m
        q = error_m / self.target_m
        np.copyto(error_m, self.error_m, where=np.isnan(error_m))
        counted = np.flatnonzero(~(np.isnan(error_m) | self.mishit))
        columns = (self.cell, self.session, error_m, q)
        return ScoredShots(self, counted, *(column.take(counted) for column in columns))


@dataclass(frozen=True)
class ScoredShots:
    """The shots of n: no mishits, with a distance error. Columns of shape (n of all cells,).

    Attributes
    ----------
    shots
        All shots, these among them.
    row
        Where each stands in the columns of `shots`.
    cell, session
        As in `ShotColumns`.
    error_m
        Carry minus target, or the entered error where target or carry is unknown (m, + is long).
    q
        (carry - target) / target; NaN where either is unknown, whatever error was entered.
    """

    shots: ShotColumns
    row: np.ndarray
    cell: np.ndarray
    session: np.ndarray
    error_m: np.ndarray
    q: np.ndarray

    @property
    def lateral_m(self) -> np.ndarray:
        """Metres, + is right, NaN = missing. Taken when it is asked for: a million shots are copied in milliseconds."""
        return self.shots.lateral_m.take(self.row)
