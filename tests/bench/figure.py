"""A figure that has no bare counterpart to be divided by: printed with its goal, true for this machine only."""

from dataclasses import dataclass
from typing import ClassVar


@dataclass(frozen=True)
class Figure:
    """`goal` is the largest value wanted, the smallest where `at_least`, None where there is none.

    A `value` of None was not measured, and `unit` says why.
    """

    HEADING: ClassVar[str] = f"{'on this machine':72}  {'value':>6}  {'goal':>5}  unit"

    what: str
    value: float | None
    unit: str
    goal: float | None = None
    at_least: bool = False

    @property
    def met(self) -> bool:
        if self.value is None or self.goal is None:
            return True
        return self.value >= self.goal if self.at_least else self.value <= self.goal

    def as_line(self) -> str:
        """Return one line of the table under HEADING."""
        value = "-" if self.value is None else f"{self.value:.{1 if self.value % 1 else 0}f}"
        goal = "-" if self.goal is None else f"{self.goal:g}"
        return f"{self.what:72}  {value:>6}  {goal:>5}  {self.unit}{'' if self.met else '  missed'}"
