"""The fast figures against slow, plain ones on generated seasons."""

from dataclasses import asdict

import numpy as np
import pytest

from analytics.metrics.cells import score_cells

from . import oracle
from .shots import Shot, disagreements, make_columns

CELLS = 6


def season(seed: int, shots: int, sessions: int) -> list[Shot]:
    """A season with every kind of ball: clean, mishit, stock, by eye, with and without lateral and carry."""
    rng = np.random.default_rng(seed)

    def ball() -> Shot:
        session = int(rng.integers(sessions))
        target_m = float(rng.uniform(25, 100))
        kind = rng.choice(["target", "target", "target", "stock", "entered", "no carry"])
        error_m = float(rng.normal(-1, 4) * (1.2 - session / sessions / 2))
        mishit = bool(rng.random() < 0.1)
        carry_m = float(rng.choice([0, 20])) if mishit else target_m + error_m
        return Shot(
            target_m=target_m if kind in ("target", "no carry") else None,
            carry_m=carry_m if kind in ("target", "stock") else None,
            error_m=error_m if kind == "entered" else None,
            lateral_m=float(rng.normal(0, 3)) if rng.random() < 0.7 else None,
            mishit=mishit,
            cell=int(rng.integers(CELLS)),
            session=session,
            day=739_000 + 4 * session,
        )

    return [ball() for _ in range(shots)]


@pytest.mark.parametrize(
    ("seed", "shots", "sessions"),
    [(1, 12, 2), (2, 40, 3), (3, 150, 5), (4, 600, 8), (5, 3000, 24), (6, 3000, 1), (7, 500, 400)],
)
def test_every_figure_equals_the_slow_computation(seed, shots, sessions):
    balls = season(seed, shots, sessions)
    for code, cell in enumerate(score_cells(make_columns(balls), CELLS)):
        expected = oracle.score([ball for ball in balls if ball.cell == code])
        assert disagreements(asdict(cell), expected) == {}


def test_session_codes_of_many_players_do_not_mix():
    # a squad: cells and sessions of a player have codes far from those of the next
    balls = [
        Shot(**(vars(ball) | {"cell": ball.cell + CELLS * player, "session": ball.session + 9 * player}))
        for player in range(5)
        for ball in season(10 + player, 200, 9)
    ]
    np.random.default_rng(1).shuffle(balls)
    for code, cell in enumerate(score_cells(make_columns(balls), 5 * CELLS)):
        expected = oracle.score([ball for ball in balls if ball.cell == code])
        assert disagreements(asdict(cell), expected) == {}
