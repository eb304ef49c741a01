"""What follows from another loft of one club, or from a club more: ready text."""

from collections import Counter
from dataclasses import dataclass

from analytics.bag_carries import BagCarries, CarriedClub
from analytics.bends import carry_at, gaps_with, shots_with
from analytics.metrics.carry_surface import CarryChange, SurfaceCarry
from analytics.metrics.gapping import MOST_CLUBS
from analytics.metrics.loft_plan import LEAST_GAIN_M
from analytics.metrics.shot_choice import Choice, choose_shots
from analytics.pages import words
from analytics.pages.bend_words import StepRow, bend_text, bounce_sentence, degrees, gap_sentences, in_unit, step_rows
from analytics.pages.shots_for_targets import RADII, TARGETS, stock_shots
from analytics.putting_table import table_of
from practice.clubs.swings import swing_name
from practice.players.models import Player
from practice.units import DistanceUnit

RULE_SHARE_PER_DEG = 0.03
"""Of the carry, for each degree: a rule of thumb for any player, common practice, no source."""

GAINS, LOSES, OTHER = "gets a stock shot", "loses its stock shot", "gets another best shot"
EITHER = "gets another one first, but the balls can’t choose"
OF_MANY = {
    what: what.replace("gets", "get").replace("loses its", "lose their") for what in (GAINS, LOSES, OTHER, EITHER)
}


@dataclass(frozen=True)
class CarryRow:
    """One swing, now and then; empty where a club not owned has nothing now."""

    swing: str
    now: str
    now_range: str
    basis: str
    then: str
    then_range: str
    change: str
    change_range: str
    verdict: str
    thumb: str


@dataclass(frozen=True)
class TargetRow:
    """A target whose best shot is another one then, or that gains or loses its shot."""

    target: str
    now: str
    then: str
    what: str


@dataclass(frozen=True)
class Change:
    """All that follows from the wanted loft."""

    sentence: str
    bounce: str
    rows: tuple[CarryRow, ...]
    steps: tuple[StepRow, ...]
    steps_swing: str
    gaps: tuple[str, ...]
    gaps_refused: str
    targets_sentence: str
    targets: tuple[TargetRow, ...]
    order: str


def change_of(
    player: Player, bag: BagCarries, carried: CarriedClub | None, loft_deg: float, instead: str = ""
) -> Change:
    """Return what follows where a club gets a loft; None is a club not owned, in place of the one of that label.

    The bag has a monotone surface.
    """
    unit = player.shown_unit
    lofts = {} if carried is None else {carried.label: loft_deg}
    more = {"added_deg": loft_deg, "left_out": instead} if carried is None else {}
    rows = _new_rows(bag, loft_deg, unit) if carried is None else _bent_rows(bag, carried, loft_deg, unit)
    return Change(
        rows=rows,
        order="" if carried is None or loft_deg == carried.loft_deg else f"bend={carried.club.pk}:{loft_deg:g}",
        **_words(bag, carried, loft_deg, unit),
        **_gaps(bag, lofts, more, unit),
        **_targets(player, bag, lofts, more),
    )


def _bent_rows(bag: BagCarries, carried: CarriedClub, loft_deg: float, unit: DistanceUnit) -> tuple[CarryRow, ...]:
    label, bend_deg = carried.label, loft_deg - carried.loft_deg
    changes = _changes(bag, carried, loft_deg)
    rows = []
    for swing in bag.surface.swings:
        now, then = (carry_at(bag.surface, label, loft, swing) for loft in (carried.loft_deg, loft_deg))
        change = changes[swing]
        rows.append(
            CarryRow(
                swing=swing_name(swing),
                now=in_unit(now.carry_m, unit),
                now_range=words.interval(now.ci95_m, unit),
                basis=now.basis,
                then=in_unit(then.carry_m, unit),
                then_range=words.interval(then.ci95_m, unit),
                change=in_unit(change.change_m, unit, signed=True),
                change_range=_signed_range(change.ci95_m, unit) if bend_deg else "",
                verdict=_verdict(now, change) if bend_deg else "",
                thumb=in_unit(-RULE_SHARE_PER_DEG * bend_deg * now.carry_m, unit, signed=True),
            )
        )
    return tuple(rows)


def _changes(bag: BagCarries, carried: CarriedClub, loft_deg: float) -> dict[str, CarryChange]:
    """Return what the bend changes by swing; of a club without balls what it does to a club of its loft."""
    if carried.label in bag.surface.lofts_deg:
        return bag.surface.bend_change(carried.label, loft_deg)
    return bag.surface.new_club_change(carried.loft_deg, loft_deg)


def _new_rows(bag: BagCarries, loft_deg: float, unit: DistanceUnit) -> tuple[CarryRow, ...]:
    rows = []
    for swing in bag.surface.swings:
        then = bag.surface.new_club(loft_deg, swing)
        carry, ends = in_unit(then.carry_m, unit), words.interval(then.ci95_m, unit)
        rows.append(CarryRow(swing_name(swing), "", "", then.basis, carry, ends, "", "", "", ""))
    return tuple(rows)


def _verdict(now: SurfaceCarry, change: CarryChange) -> str:
    """Say whether a change is more than what is not known, and enough to matter."""
    if change.ci95_m[0] <= 0 <= change.ci95_m[1]:
        return "within error: it may be nothing"
    if abs(change.change_m) < LEAST_GAIN_M:
        return "under a yard"
    if abs(change.change_m) < (now.ci95_m[1] - now.ci95_m[0]) / 2:
        return "less than the carry itself is in doubt"
    return "more than all doubt"


def _words(bag: BagCarries, carried: CarriedClub | None, loft_deg: float, unit: DistanceUnit) -> dict:
    longest = bag.surface.swings[-1]
    if carried is None:
        then = bag.surface.new_club(loft_deg, longest)
        return {
            "sentence": (
                f"A new club of {degrees(loft_deg)}: {swing_name(longest)} about {words.figure(then.carry_m, unit)} "
                f"({words.interval(then.ci95_m, unit)}). Wide, because no ball was hit with it."
            ),
            "bounce": "",
        }
    bend_deg = loft_deg - carried.loft_deg
    bounce = bounce_sentence(carried.bounce_deg, bend_deg)
    if not bend_deg:
        return {"sentence": f"{carried.label} as it is, {degrees(loft_deg)}: move the loft.", "bounce": bounce}
    change = _changes(bag, carried, loft_deg)[longest]
    low, high = sorted(abs(unit.from_m(end)) for end in change.ci95_m)
    side = "shorter" if change.change_m < 0 else "longer"
    return {
        "sentence": (
            f"{carried.label} with {bend_text(bend_deg)}: {swing_name(longest)} about "
            f"{words.figure(abs(change.change_m), unit)} {side} ({low:.1f} to {high:.1f})."
        ),
        "bounce": bounce,
    }


def _gaps(bag: BagCarries, lofts: dict, more: dict, unit: DistanceUnit) -> dict:
    longest = bag.surface.swings[-1]
    gaps = {"steps": (), "steps_swing": swing_name(longest), "gaps": (), "gaps_refused": ""}
    try:
        now, then = gaps_with(bag, {}), gaps_with(bag, lofts, **more)
    except ValueError as fault:
        where = " Or choose above which club it takes the place of." if more and len(bag.clubs) <= MOST_CLUBS else ""
        return gaps | {"gaps_refused": f"{fault}.{where}"}
    return gaps | {"steps": step_rows(now, then, longest, unit), "gaps": gap_sentences(now, then, unit)}


def _targets(player: Player, bag: BagCarries, lofts: dict, more: dict) -> dict:
    unit, shots = player.shown_unit, stock_shots(bag.found)
    targets_m, putts = [unit.to_m(target) for target in TARGETS], table_of(player.academy)
    radius_m = unit.to_m(int(RADII[1]))
    now, then = (
        choose_shots(each, targets_m, radius_m, table=putts).choices
        for each in (shots, shots_with(bag, shots, lofts, **more))
    )
    rows = [row for pair in zip(now, then, strict=True) if (row := _target_row(*pair, unit))]
    counts = Counter(row.what for row in rows)
    told = "; ".join(f"{n} {what if n == 1 else many}" for what, many in OF_MANY.items() if (n := counts[what]))
    of = f"{TARGETS[0]} to {TARGETS[-1]} {unit.value}"
    sentence = f"Of {len(targets_m)} targets from {of}: {told}." if told else f"No target from {of} gets another shot."
    return {"targets": tuple(rows), "targets_sentence": sentence}


def _target_row(now: Choice, then: Choice, unit: DistanceUnit) -> TargetRow | None:
    if not now.shots or not then.shots:
        return None
    names = [None if each.verdict == "no stock shot" else _shot_name(each) for each in (now, then)]
    if names[0] == names[1]:
        return None
    if names[0] is None or names[1] is None:
        what = GAINS if names[0] is None else LOSES
    else:
        what = EITHER if then.verdict == "either" else OTHER
    return TargetRow(unit.show(now.target_m), *(name or "none" for name in names), what)


def _shot_name(choice: Choice) -> str:
    return f"{choice.shots[0].club}, {swing_name(choice.shots[0].swing)}"


def _signed_range(ends_m: tuple[float, float], unit: DistanceUnit) -> str:
    return " to ".join(in_unit(end, unit, signed=True) for end in ends_m)
