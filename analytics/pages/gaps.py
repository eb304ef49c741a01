"""What the page of a player's gaps shows: steps, evenness and bare distances in a coach's words."""

from dataclasses import dataclass

from analytics.gaps import PlayerGaps, Shot, player_gaps
from analytics.metrics.carry_surface import Z95
from analytics.metrics.gapping import COVERS_M, LOFT_SE_DEG, CarryStep, Evenness, GapCheck, Step, Stretch
from analytics.pages import words
from analytics.pages.carries import Tab, set_name, tabs_of
from analytics.pages.gap_picture import GapPicture, gap_picture, stretch_text
from practice.clubs.models import LoftReading
from practice.clubs.swings import CLOCK_SWINGS, swing_name
from practice.players.models import Player
from practice.sessions.words import Surface
from practice.units import YARD_M, DistanceUnit

SAYS = {"fits": "fits", "overlap": "overlap", "hole": "hole", "same loft": "the same loft", None: "–"}
OFF_DEG = LOFT_SE_DEG
"""A reading farther from the bag's loft than this is a warning."""

TOLD_FROM_M = YARD_M
"""A shorter stretch without a shot is no more than the last shot's edge, and is not told."""


@dataclass(frozen=True)
class SwingTab:
    code: str
    name: str
    chosen: bool


@dataclass(frozen=True)
class StepRow:
    """A pair of neighbours; `why_not` says what is missing where there is no step in carry."""

    pair: str
    loft: str
    carry: str
    bounds: str
    worth: str
    says: str
    flagged: bool
    why_not: str


@dataclass(frozen=True)
class StretchRow:
    at: str
    between: str
    says: str


@dataclass(frozen=True)
class ShotRow:
    name: str
    serves: str
    carry: str
    scatter: str


@dataclass(frozen=True)
class ToDo:
    """What a club lacks. `key` is the club whose page helps, "" where a carry test does."""

    said: str
    key: str


@dataclass(frozen=True)
class ReadingText:
    said: str
    warns: bool
    key: str


@dataclass(frozen=True)
class GapsPage:
    """All that the template needs, so that it cannot query."""

    player: Player
    unit: DistanceUnit
    days: int
    tabs: tuple[Tab, ...]
    too_many: str = ""
    key: str = ""
    name: str = ""
    on_mat: bool = False
    loft: str = ""
    carry: str = ""
    holes: str = ""
    swing: str = ""
    swings: tuple[SwingTab, ...] = ()
    steps: tuple[StepRow, ...] = ()
    loft_bounds: str = ""
    picture: GapPicture | None = None
    bare: tuple[StretchRow, ...] = ()
    shots: tuple[ShotRow, ...] = ()
    serves: str = ""
    todo: tuple[ToDo, ...] = ()
    readings: tuple[ReadingText, ...] = ()
    putters: str = ""


def gaps_page(player: Player, chosen: str = "", swing: str = "") -> GapsPage:
    """Return the gaps by the balls of the chosen set, with the steps of one swing length: else of the longest."""
    gaps, unit = player_gaps(player, chosen), player.shown_unit
    found = gaps.bag.found
    page = {
        "player": player,
        "unit": unit,
        "days": player.academy.carry_chart_days,
        "tabs": tabs_of(gaps.bag.stock, found) if found else (),
        "readings": tuple(filter(None, (_reading(each, gaps.readings.get(each.label)) for each in gaps.playing))),
        "putters": f"{', '.join(gaps.putters)}: left out, as a putter steps with nothing." if gaps.putters else "",
    }
    if gaps.check is None:
        n = len(gaps.bag.clubs)
        said = f"{n} clubs are carried: leave {gaps.too_many} at home. Rule 4.1b allows {n - gaps.too_many}."
        return GapsPage(**page, too_many=said)
    return GapsPage(**page, **_checked(gaps, gaps.check, swing, unit))


def _checked(gaps: PlayerGaps, check: GapCheck, swing: str, unit: DistanceUnit) -> dict:
    found = gaps.bag.found
    swings = _in_order(found.swings if found else ())
    shown = swing if swing in swings else next(iter(swings), "full")
    bare = tuple(stretch for stretch in check.bare if stretch.to_m - stretch.from_m >= TOLD_FROM_M)
    return {
        "key": found.key if found else "",
        "name": set_name(found) if found else "",
        "on_mat": found is not None and found.surface == Surface.MAT,
        "loft": loft_sentence(check),
        "carry": carry_sentence(check, shown, unit) if gaps.shots else "",
        "holes": holes_sentence(bare, gaps.shots, unit),
        "swing": swing_name(shown),
        "swings": tuple(SwingTab(code, swing_name(code), code == shown) for code in swings),
        "steps": tuple(_step(step, shown, gaps.shots, unit) for step in check.steps),
        "loft_bounds": f"{Z95 * check.steps[0].loft_se_deg:.1f}°" if check.steps else "",
        "picture": gap_picture([e.label for e in gaps.playing], gaps.shots, bare, shown, unit) if gaps.shots else None,
        "bare": tuple(_stretch(stretch, unit) for stretch in bare),
        "shots": tuple(_shot(shot, unit) for shot in sorted(gaps.shots, key=lambda shot: shot.carry_m)),
        "serves": words.figure(COVERS_M, unit),
        "todo": _todo(gaps, check, unit),
    }


def _in_order(swings: tuple[str, ...]) -> tuple[str, ...]:
    """Return the swings hit: the full one first, then from long to short, then the academy's own."""
    clock = [code for code in swings if code in CLOCK_SWINGS]
    return (*reversed(clock), *(code for code in swings if code not in clock))


def loft_sentence(check: GapCheck) -> str:
    """Say how evenly the lofts step, and whether errors of reading could make as much of even ones."""
    steps, even = check.steps, check.loft
    if not steps:
        return "It takes two clubs with a loft to tell a step."
    if even is None:
        return f"One step in loft, of {_deg(steps[0].loft_deg)}: it takes two to be even or not."
    if even.verdict == "even":
        about = "about " if even.largest - even.smallest > 0.05 else ""
        return f"Lofts step evenly, by {about}{_deg(even.mean)}."
    least, most = (next(step for step in steps if step.loft_deg == deg) for deg in (even.smallest, even.largest))
    ends = f"from {_deg(even.smallest)} ({least.lower} to {least.higher}) to {_deg(even.largest)}"
    ends += f" ({most.lower} to {most.higher})"
    if even.verdict == "uneven":
        return f"Lofts step unevenly, {ends}: more than errors of reading make of even lofts."
    return f"Lofts step {ends}; as much can come from errors of reading alone."


def carry_sentence(check: GapCheck, swing: str, unit: DistanceUnit) -> str:
    """Say how evenly the carries of one swing step, naming the step that stands out, and how sure that is."""
    own = {step: carry for step in check.steps for carry in step.carries if carry.swing == swing}
    turned = [step for step, carry in own.items() if carry.verdict == "out of order"]
    said = [_turned(step, own[step]) for step in turned]
    even = check.carry.get(swing)
    name = f"with the {swing_name(swing)} swing"
    if even is None:
        return " ".join([*said, f"Too few carries {name} to say how evenly they step."])
    if even.verdict == "even":
        return " ".join([*said, f"Carries {name} step evenly, by about {unit.show(even.mean)}."])
    most = next(step for step, carry in own.items() if carry.step_m == even.largest)
    others = [carry.step_m for step, carry in own.items() if step is not most]
    more_m = even.largest - sum(others) / len(others)
    stands_out = (
        f"Between the {most.lower} and the {most.higher} there are {unit.show(even.largest)} {name}, "
        f"{unit.from_m(more_m):.0f} more than elsewhere"
    )
    return " ".join([*said, f"{stands_out}{_surely(even)}."])


def _turned(step: Step, carry: CarryStep) -> str:
    how = "flies" if carry.sure else "seems to fly"
    doubt = "perhaps a loft or a label is not what the bag says" if carry.sure else "the balls can’t tell yet"
    return f"The {step.higher} {how} farther than the {step.lower}, though it has more loft: {doubt}."


def _surely(even: Evenness) -> str:
    if even.verdict == "uneven":
        return "; that these steps are not even is sure"
    if even.verdict == "within error":
        return "; but the balls can’t tell that from even steps"
    return "; with one ball each, nobody can tell what that is worth"


def holes_sentence(bare: tuple[Stretch, ...], shots: tuple[Shot, ...], unit: DistanceUnit) -> str:
    """Say where the bag has no shot; "" without any carry."""
    if not shots:
        return ""
    carries = [shot.carry_m for shot in shots]
    span = f"between the shortest carry, {unit.show(min(carries))}, and the longest, {unit.show(max(carries))}"
    if len(shots) == 1:
        return f"One shot is known so far, at {unit.show(carries[0])}."
    if not bare:
        return f"No distance {span}, is without a shot."
    sure = [stretch for stretch in bare if stretch.sure]
    told = ", ".join(stretch_text(stretch, unit) for stretch in (sure or bare))
    if sure:
        more = len(bare) - len(sure)
        return f"Surely no shot: {told}." + (f" {more} more may be bare; the balls can’t tell." if more else "")
    return f"Perhaps no shot: {told}; the balls can’t tell yet."


def _step(step: Step, swing: str, shots: tuple[Shot, ...], unit: DistanceUnit) -> StepRow:
    pair, loft = f"{step.lower} to {step.higher}", _deg(step.loft_deg)
    carry = next((carry for carry in step.carries if carry.swing == swing), None)
    if carry is None:
        hit = {shot.club for shot in shots if shot.swing == swing}
        lacking = " and ".join(f"the {club}" for club in (step.lower, step.higher) if club not in hit)
        says = "the same loft" if step.loft_deg == 0 else ""
        return StepRow(pair, loft, "–", "", "", says, bool(says), f"no stock ball of {lacking} with this swing")
    bounds = ""
    if carry.se_m is not None:
        ends = (carry.step_m - Z95 * carry.se_m, carry.step_m + Z95 * carry.se_m)
        bounds = _minus(words.interval(ends, unit))
    return StepRow(
        pair=pair,
        loft=loft,
        carry=_minus(words.figure(carry.step_m, unit)),
        bounds=bounds,
        worth="" if carry.worth_deg is None else _minus(f"worth {carry.worth_deg:.1f}°"),
        says=_verdict(carry),
        flagged=carry.verdict not in ("fits", None),
        why_not="",
    )


def _verdict(carry: CarryStep) -> str:
    said = {**SAYS, "out of order": "flies farther"}[carry.verdict]
    if carry.sure is None:
        return said
    return f"{said}, sure" if carry.sure else f"{said}, not sure"


def _stretch(stretch: Stretch, unit: DistanceUnit) -> StretchRow:
    shorter, longer = (f"{club}, {swing_name(swing)}" for club, swing in (stretch.shorter, stretch.longer))
    sure = {True: "sure", False: "the balls can’t tell yet", None: "not known how sure"}[stretch.sure]
    return StretchRow(stretch_text(stretch, unit), f"{shorter} and {longer}", sure)


def _shot(shot: Shot, unit: DistanceUnit) -> ShotRow:
    low, high = (unit.from_m(shot.carry_m + side) for side in (-COVERS_M, COVERS_M))
    return ShotRow(
        name=f"{shot.club}, {swing_name(shot.swing)}",
        serves=f"{low:.0f}–{high:.0f} {unit.value}",
        carry=f"{words.figure(shot.carry_m, unit)}, {shot.balls} ball{'s' * (shot.balls != 1)}",
        scatter="not known" if shot.scatter_m is None else f"± {words.figure(shot.scatter_m, unit)}",
    )


def _todo(gaps: PlayerGaps, check: GapCheck, unit: DistanceUnit) -> tuple[ToDo, ...]:
    keys = {each.label: str(each.club.pk) for each in gaps.playing}
    read = gaps.readings
    lofts = [
        ToDo(
            f"{label}: no loft in the bag. {'Enter the one that was read' if label in read else 'Read it'}.",
            keys[label],
        )
        for label in check.without_loft
    ]
    carries = [
        ToDo(f"{label}: no stock ball counts{_stated_text(gaps, label, unit)}. Plan a carry test.", "")
        for label in check.without_carry
    ]
    return (*lofts, *carries)


def _stated_text(gaps: PlayerGaps, label: str, unit: DistanceUnit) -> str:
    stated = gaps.stated.get(label)
    if not stated:
        return ""
    told = ", ".join(f"{swing_name(each.swing)} {unit.show(each.carry_m)}" for each in stated)
    return f"; stated by the coach, not measured and in no figure here: {told}"


def _reading(carried, reading: LoftReading | None) -> ReadingText | None:
    """Say what a reading that differs from the bag's loft means; None where there is nothing to say."""
    if reading is None or carried.loft_deg is None or reading.loft_deg == carried.loft_deg:
        return None
    day = f"{reading.measured_on.day} {reading.measured_on:%B %Y}"
    said = f"{carried.label}: read at {_deg(reading.loft_deg)} on {day}; the bag says {_deg(carried.loft_deg)}"
    if abs(reading.loft_deg - carried.loft_deg) <= OFF_DEG:
        return ReadingText(f"{said}, which is used here. They agree within what a reading errs.", False, "")
    why = "which is used here, because a club’s balls are one series under it. If the head was bent, enter the bend"
    return ReadingText(f"{said}, {why} and its day; if not, read it again.", True, str(carried.club.pk))


def _deg(value_deg: float) -> str:
    return f"{round(value_deg, 1):g}°"


def _minus(figures: str) -> str:
    """Return figures with the sign that is no hyphen, at which no line breaks."""
    return figures.replace("-", "−")
