"""Units: metres inside, yards or metres at the edge; the factors are exact by definition."""

from django.db import models

YARD_M = 0.9144
"""International yard, exactly (agreement of 1959; NIST SP 811)."""


class DistanceUnit(models.TextChoices):
    YARDS = "yd", "yards"
    METRES = "m", "metres"

    @property
    def metres(self) -> float:
        """How many metres one of this unit is."""
        return YARD_M if self is DistanceUnit.YARDS else 1.0

    def from_m(self, value_m: float) -> float:
        """Return metres in this unit."""
        return value_m / self.metres

    def to_m(self, value: float) -> float:
        """Return a figure in this unit in metres."""
        return value * self.metres

    def show(self, value_m: float | None, *, digits: int = 0, signed: bool = False) -> str:
        """Return a rounded figure with its unit for the screen; a dash where there is none."""
        if value_m is None:
            return "–"
        sign = "+" if signed else ""
        return f"{self.from_m(value_m):{sign}.{digits}f} {self.value}"
