"""Kinds of drill. A new kind is one entry here, with the parameters that it takes and their bounds."""

from collections.abc import Callable
from dataclasses import dataclass

from django.core.exceptions import ValidationError

MAX_BALLS = 200


def whole_number(low: int, high: int) -> Callable:
    """Return a check for a whole number within bounds."""

    def check(value):
        if isinstance(value, bool) or not isinstance(value, int) or not low <= value <= high:
            raise ValueError(f"must be a whole number from {low} to {high}")
        return value

    return check


def yes_or_no(value) -> bool:
    """Check a truth value."""
    if not isinstance(value, bool):
        raise ValueError("must be true or false")
    return value


@dataclass(frozen=True)
class DrillKind:
    """What a kind of drill is called, what it asks, and which parameters it takes: name -> (check, default)."""

    title: str
    instructions: str
    cautions: str
    parameters: dict[str, tuple[Callable, object]]


RANGE_CAUTION = (
    "Hit only where the range allows it and nobody is in front. One striker a bay, everyone else 3 to 4 m clear. "
    "Nobody walks forward to measure. At thunder or lightning stop and follow the range's rules. Build ball counts "
    "up slowly and stop at pain: a physician or a qualified professional decides, not this page."
)
"""Common practice, no single source; local rules and licensed practice come first."""

KINDS = {
    "random_target": DrillKind(
        title="Mixed targets",
        instructions="Every ball changes club and target. Look at the target, feel the shot, hit it once.",
        cautions=RANGE_CAUTION,
        parameters={
            "balls": (whole_number(1, MAX_BALLS), 20),
            "number_shown": (yes_or_no, True),
            "full_swings": (yes_or_no, True),
        },
    ),
    "carry_test": DrillKind(
        title="Carry test",
        instructions="No target. Make the same named swing each time and note where the ball lands.",
        cautions=RANGE_CAUTION,
        parameters={"balls_each": (whole_number(1, 20), 5)},
    ),
}


def check_parameters(kind: str, given: dict) -> dict:
    """Return the parameters of a drill, checked and with defaults filled in.

    Raises
    ------
    django.core.exceptions.ValidationError
        Names every parameter that is unknown or out of bounds.
    """
    if kind not in KINDS:
        raise ValidationError(f"There is no drill kind {kind!r}; choose one of {', '.join(KINDS)}.")
    known = KINDS[kind].parameters
    faults = [f"{name} is not a parameter of this drill" for name in given if name not in known]
    checked = {}
    for name, (check, default) in known.items():
        try:
            checked[name] = check(given.get(name, default))
        except ValueError as fault:
            faults.append(f"{name} {fault}")
    if faults:
        raise ValidationError(faults)
    return checked
