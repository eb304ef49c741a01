"""Balls at targets as a test writes them down, and the columns made of them."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, fields

import numpy as np

from analytics.metrics.form import TargetBalls


@dataclass(frozen=True)
class Ball:
    """One ball; distances in metres."""

    q: float
    session: int = 0
    day: int = 0
    series: int = 0
    target_m: float = 50.0
    resolution_m: float = 0.0


def make_balls(balls: Sequence[Ball]) -> TargetBalls:
    columns = {field.name: [getattr(ball, field.name) for ball in balls] for field in fields(Ball) if field.name != "q"}
    codes = {name: np.array(columns[name], dtype=np.int64) for name in ("series", "session", "day")}
    metres = {name: np.array(columns[name], dtype=float) for name in ("target_m", "resolution_m")}
    return TargetBalls(**codes, **metres, error_m=metres["target_m"] * np.array([ball.q for ball in balls]))


def session(rmse: float, number: int, day: int, series: int = 0, n: int = 6, **more) -> list[Ball]:
    """`n` balls, each as far off as the session's relative RMSE, in turn long and short."""
    return [Ball(rmse * (-1) ** i, number, day, series, **more) for i in range(n)]


def season(rmse: Iterable[float], days: Iterable[int] | None = None, **more) -> list[Ball]:
    """One session for each RMSE, a week apart unless `days` says otherwise."""
    rmse = list(rmse)
    days = range(0, 7 * len(rmse), 7) if days is None else days
    return [ball for i, (one, day) in enumerate(zip(rmse, days, strict=True)) for ball in session(one, i, day, **more)]
