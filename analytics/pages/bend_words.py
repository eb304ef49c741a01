"""What is said of a bend: of lofts, and of the gaps before and after."""

from dataclasses import dataclass

from analytics.metrics.gapping import Evenness, GapCheck, Step
from practice.clubs.swings import swing_name
from practice.units import DistanceUnit

CAUTION = (
    "A qualified club fitter decides whether a head can be bent at all, and how far: a cast or hard head may crack. "
    "It is done between rounds only: during a round a club’s characteristics must not be changed on purpose "
    "(Rules of Golf, Rule 4.1a)."
)
UNEVEN = {
    "even": "even",
    "uneven": "uneven",
    "within error": "within error",
    "not known": "error not known",
}


@dataclass(frozen=True)
class StepRow:
    """From one club to the next more lofted one, now and then; a dash where there is no such step."""

    name: str
    loft_now: str
    loft_then: str
    carry_now: str
    carry_then: str
    changes: bool


def degrees(value: float | None) -> str:
    """Return an angle with a true minus sign; a dash where it is not known."""
    return "–" if value is None else f"{round(value, 2):g}°".replace("-", "−")


def in_unit(value_m: float, unit: DistanceUnit, *, signed: bool = False) -> str:
    """Return a distance for a table whose caption names the unit, with a true minus sign."""
    shown = f"{unit.from_m(value_m):{'+' if signed else ''}.1f}"
    return "0.0" if shown in ("+0.0", "-0.0") else shown.replace("-", "−")


def bend_text(bend_deg: float) -> str:
    """Return a bend as a fitter hears it, e.g. "1.5° more loft"."""
    if round(bend_deg, 2) == 0:
        return "as it is"
    return f"{degrees(abs(bend_deg))} {'more' if bend_deg > 0 else 'less'} loft"


def bounce_sentence(bounce_deg: float | None, bend_deg: float) -> str:
    """Say what becomes of the bounce: the sole turns with the face."""
    if round(bend_deg, 2) == 0:
        return f"Bounce: {degrees(bounce_deg)}." if bounce_deg is not None else "Bounce: not entered."
    side = "more" if bend_deg > 0 else "less"
    if bounce_deg is None:
        return f"Bounce: not entered; it gets {degrees(abs(bend_deg))} {side}, as the sole turns with the face."
    then = f"Bounce: {degrees(bounce_deg)} now, {degrees(bounce_deg + bend_deg)} then; it goes with the loft, 1 to 1."
    if bounce_deg + bend_deg < 0:
        then += " Below 0° the leading edge digs: ask the fitter first."
    return then


def step_rows(now: GapCheck, then: GapCheck, swing: str, unit: DistanceUnit) -> tuple[StepRow, ...]:
    """Return the steps of both bags side by side, in the order of the one to come, those that go last."""
    before, after = ({(step.lower, step.higher): step for step in check.steps} for check in (now, then))
    rows = []
    for pair in [*after, *(pair for pair in before if pair not in after)]:
        lofts = [_loft(steps.get(pair)) for steps in (before, after)]
        carries = [_carry(steps.get(pair), swing, unit) for steps in (before, after)]
        changes = lofts[0] != lofts[1] or carries[0] != carries[1]
        rows.append(StepRow(f"{pair[0]} to {pair[1]}", *lofts, *carries, changes))
    return tuple(rows)


def _loft(step: Step | None) -> str:
    return "–" if step is None else degrees(step.loft_deg)


def _carry(step: Step | None, swing: str, unit: DistanceUnit) -> str:
    found = next((carry for carry in step.carries if carry.swing == swing), None) if step else None
    return "–" if found is None else in_unit(found.step_m, unit)


def gap_sentences(now: GapCheck, then: GapCheck, unit: DistanceUnit) -> tuple[str, ...]:
    """Say how even the steps are before and after, by loft and by swing, and where there is no shot."""
    said = []
    if now.loft or then.loft:
        said.append(f"In loft: {_even_degrees(now.loft)} now; {_even_degrees(then.loft)} then.")
    for swing in [each for each in {**now.carry, **then.carry} if now.carry.get(each) or then.carry.get(each)]:
        before, after = _even(now.carry.get(swing), unit), _even(then.carry.get(swing), unit)
        said.append(f"In carry, {swing_name(swing)}: {before} now; {after} then.")
    said.append(f"Without a shot: {_bare(now, unit)} now; {_bare(then, unit)} then.")
    return tuple(said)


def _even_degrees(found: Evenness | None) -> str:
    if found is None:
        return "too few steps to compare"
    return f"steps of {degrees(found.smallest)} to {degrees(found.largest)} ({UNEVEN[found.verdict]})"


def _even(found: Evenness | None, unit: DistanceUnit) -> str:
    if found is None:
        return "too few steps to compare"
    low, high = (in_unit(end, unit) for end in (found.smallest, found.largest))
    return f"steps of {low} to {high} {unit.value} ({UNEVEN[found.verdict]})"


def _bare(check: GapCheck, unit: DistanceUnit) -> str:
    """Return the stretches between the shots that none serves."""
    stretches = [f"{unit.from_m(each.from_m):.0f} to {unit.show(each.to_m)}" for each in check.bare]
    return ", ".join(stretches) or "nothing between the shortest and the longest"
