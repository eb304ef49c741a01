"""How well a player judges distance by eye, from guesses that a laser checked."""

import numpy as np

from analytics.metrics.eye_check import EyeError, eye_error_of
from practice.players.models import Player
from practice.sessions.models import EyeGuess
from practice.units import DistanceUnit

LATEST = 30
"""Guesses that count, the newest: an eye that is told the distance each time learns, and the old ones are no longer its
own (engineering choice)."""


def eye_error(player: Player) -> EyeError | None:
    """Return the error of the player's latest guesses; None where no guess was checked yet."""
    checked = EyeGuess.objects.checked().filter(player=player).order_by("-guessed_at", "-pk")
    pairs = np.array(checked.values_list("guess_m", "measured_m")[:LATEST], dtype=float).reshape(-1, 2)
    return eye_error_of(pairs[:, 0], pairs[:, 1]) if len(pairs) else None


def eye_sentence(error: EyeError, unit: DistanceUnit) -> str:
    """Return one sentence: which way guesses tend, how they scatter, and how sure that is."""
    guesses = f"{error.n} guess{'' if error.n == 1 else 'es'}"
    if error.scatter_pct is None:
        return f"Distance by eye: guessed {_lean(error.bias_pct)}, once. One guess says nothing about the next."
    average = _lean(unit.from_m(error.bias_m), unit.value)
    low, high = (_lean(end) for end in error.bias_ci95_pct)
    wide = " to ".join(f"{end:.0f}" for end in error.scatter_ci95_pct)
    return (
        f"Distance by eye: guesses {_lean(error.bias_pct)} ({average}; may be {low} to {high}), scatter "
        f"{error.scatter_pct:.0f} % ({unit.show(error.scatter_m)}; may be {wide} %). With {guesses} little is sure."
    )


def resolution_sentence(resolution_m: float | None, unit: DistanceUnit) -> str:
    """Return one sentence on how fine by-eye figures can be; "" where nobody said."""
    if not resolution_m:
        return ""
    return (
        f"Balls by eye were judged in zones of up to {unit.show(resolution_m)}: their figures are no finer than that."
    )


def _lean(size: float, name: str = "%") -> str:
    if abs(size) < 0.5:
        return f"0 {name}"
    return f"{abs(size):.0f} {name} {'long' if size > 0 else 'short'}"
