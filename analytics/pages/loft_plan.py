"""The page of the loft plan: which clubs to bend so that the full carries step evenly."""

from dataclasses import dataclass
from urllib.parse import urlencode

from django import forms

from analytics.bag_carries import BagCarries, bag_carries
from analytics.bends import bend_range, carry_at, gaps_with, why_not_bent
from analytics.metrics.carry_surface import LOFTS_DEG
from analytics.metrics.gapping import GapCheck, check_bag
from analytics.metrics.loft_plan import LATTICE_DEG, LoftPlan, PlanClub, PlannedClub, plan_lofts
from analytics.pages import words
from analytics.pages.bend_words import bend_text, degrees, gap_sentences, in_unit
from analytics.pages.carries import Tab, set_name, tabs_of
from analytics.pages.loft_change import why_no_bend
from practice.clubs.models import ClubKind
from practice.players.models import Player
from practice.sessions.words import Surface
from practice.units import DistanceUnit

FULL = "full"
STEPS = {f"{step:g}": step for step in LATTICE_DEG}
LEAST, MOST = "least", "most"
MAY_BE_EVEN = (
    "But by the errors of these carries the full steps may be even as they are. A bend is sooner done than undone: "
    "more full stock balls first would tell."
)


class PlanForm(forms.Form):
    """How fine the bends are, and whether an end may be bent too."""

    step = forms.ChoiceField(label="Bends in steps of", choices=[(step, f"{step}°") for step in STEPS])
    release = forms.MultipleChoiceField(
        label="May be bent too", required=False, widget=forms.CheckboxSelectMultiple, choices=[(LEAST, ""), (MOST, "")]
    )
    balls = forms.CharField(required=False, widget=forms.HiddenInput)

    def __init__(self, asked, *, ends: tuple[str, str] = ("", "")):
        data = {"step": asked.get("step", "0.5"), "release": asked.getlist("release"), "balls": asked.get("balls", "")}
        super().__init__(data, label_suffix="")
        choose = f"Choose steps of {' or '.join(STEPS)} degree."
        self.fields["step"].error_messages = {"required": choose, "invalid_choice": choose}
        self.fields["release"].choices = [
            (LEAST, f"{ends[0]}, the least lofted"),
            (MOST, f"{ends[1]}, the most lofted"),
        ]
        told = "Only the least and the most lofted club can be released; the others are free."
        self.fields["release"].error_messages = {"invalid_choice": told}


@dataclass(frozen=True)
class PlanRow:
    club: str
    loft_now: str
    loft_then: str
    bend: str
    bounce: str
    carry_now: str
    carry_then: str
    limit: str
    bent: bool


@dataclass(frozen=True)
class GapRow:
    name: str
    now: str
    then: str


@dataclass(frozen=True)
class PlanText:
    """A plan in words."""

    sentence: str
    doubt: str
    details: tuple[str, ...]
    rows: tuple[PlanRow, ...]
    gaps: tuple[GapRow, ...]
    steps: tuple[str, ...]
    order: str


@dataclass(frozen=True)
class LoftPlanPage:
    """All that the template needs, so that it cannot query; without a plan only why there is none."""

    player: Player
    unit: DistanceUnit
    days: int
    tabs: tuple[Tab, ...]
    on_mat: bool = False
    refused: str = ""
    name: str = ""
    form: PlanForm | None = None
    left_out: tuple[str, ...] = ()
    plan: PlanText | None = None

    @property
    def is_faulty(self) -> bool:
        """Was anything asked that cannot be?"""
        return self.form is not None and not self.form.is_valid()


def loft_plan_page(player: Player, asked) -> LoftPlanPage:
    """Return the plan of the player's bag; `asked` is a QueryDict of step, release and balls."""
    bag = bag_carries(player, asked.get("balls", ""))
    tabs = tabs_of(bag.stock, bag.found) if bag.found else ()
    frame = {"player": player, "unit": player.shown_unit, "days": player.academy.carry_chart_days, "tabs": tabs}
    frame |= {"on_mat": bag.found is not None and bag.found.surface == Surface.MAT}
    if bag.found is None:
        return LoftPlanPage(**frame)
    if refused := why_no_plan(bag):
        return LoftPlanPage(**frame, refused=refused)
    clubs = plan_clubs(player, bag)
    form = PlanForm(asked, ends=(clubs[0].label, clubs[-1].label))
    frame |= {"name": set_name(bag.found), "form": form, "left_out": _left_out(bag)}
    if not form.is_valid():
        return LoftPlanPage(**frame)
    ends = {LEAST: clubs[0].label, MOST: clubs[-1].label}
    released = [ends[end] for end in form.cleaned_data["release"]]
    try:
        plan = plan_lofts(clubs, step_deg=STEPS[form.cleaned_data["step"]], released=released)
    except ValueError as fault:
        return LoftPlanPage(**frame, refused=f"No plan. {fault}.")
    return LoftPlanPage(**frame, plan=_text(player, bag, plan))


def why_no_plan(bag: BagCarries) -> str:
    """Say why no plan can be made of this bag; "" where one can."""
    try:
        check_bag([each.label for each in bag.clubs])
    except ValueError as fault:
        return f"No plan. {fault}."
    unknown = [each.label for each in bag.clubs if each.loft_deg is None and each.club.kind == ClubKind.WEDGE]
    if unknown:
        return f"The loft of {', '.join(unknown)} is not entered, so no step to the next club is known: read it first."
    if refused := why_no_bend(bag):
        return refused
    if FULL not in bag.surface.swings:
        return (
            "No full swing counts among these balls: a plan evens out full carries. Plan a carry test with full swings."
        )
    if len([each for each in bag.clubs if not why_not_bent(each)]) < 2:
        low, high = (degrees(end) for end in LOFTS_DEG)
        return f"One club with a loft of {low} to {high} has no step to another: a plan needs two."
    return ""


def _left_out(bag: BagCarries) -> tuple[str, ...]:
    """Return the clubs that the plan does not look at, and why."""
    return tuple(f"{each.label}: {why}" for each in bag.clubs if (why := why_not_bent(each)))


def plan_clubs(player: Player, bag: BagCarries) -> list[PlanClub]:
    """Return the clubs with pitching lofts, from the least up, with their full carries from the surface.

    One without a stock ball stands among them with the carry that the others let expect, or its neighbours would have
    a gap that is none; it is not bent, for nobody knows yet how it flies.
    """
    clubs = []
    for carried in bag.clubs:
        if why_not_bent(carried):
            continue
        label, loft_deg, limits = carried.label, carried.loft_deg, bend_range(player, carried)
        made_deg = (limits.low_deg + limits.high_deg) / 2
        measured = label in bag.surface.lofts_deg
        clubs.append(
            PlanClub(
                label,
                loft_deg,
                lambda loft, label=label: carry_at(bag.surface, label, loft, FULL).carry_m,
                se_m=carry_at(bag.surface, label, loft_deg, FULL).se_m,
                limit_deg=limits.high_deg - made_deg if measured else 0.0,
                made_deg=made_deg,
                bounce_deg=carried.bounce_deg,
                slope_se_m_per_deg=bag.surface.slope_se_m(label, loft_deg, FULL) if measured else 0.0,
            )
        )
    return clubs


def _text(player: Player, bag: BagCarries, plan: LoftPlan) -> PlanText:
    unit = player.shown_unit
    carried = {each.label: each for each in bag.clubs}
    bent = [club for club in plan.clubs if club.bend_deg]
    limits = {club.label: bend_range(player, carried[club.label]) for club in plan.clubs}
    now, then = gaps_with(bag, {}), gaps_with(bag, {club.label: club.loft_deg for club in bent})
    return PlanText(
        sentence=_verdict(plan, bent, unit),
        doubt=MAY_BE_EVEN if bent and _may_be_even(now) else "",
        details=_details(bag, plan, unit),
        rows=tuple(_row(club, limits[club.label], unit) for club in plan.clubs),
        gaps=_gap_rows(plan, unit),
        steps=gap_sentences(now, then, unit) if bent else (),
        order=urlencode([("bend", f"{carried[club.label].club.pk}:{club.loft_deg:g}") for club in bent]),
    )


def _may_be_even(check: GapCheck) -> bool:
    found = check.carry.get(FULL)
    return found is not None and found.verdict != "uneven"


def _verdict(plan: LoftPlan, bent: list[PlannedClub], unit: DistanceUnit) -> str:
    if plan.verdict == "best as it is" or round(unit.from_m(plan.gain_m), 1) == 0:
        return "No change: no lofts within the limits make the largest gap smaller."
    gain = words.figure(plan.gain_m, unit)
    if plan.verdict == "under a yard":
        return (
            f"No change: the best lofts make the largest gap only {gain} smaller, and for under a yard nothing is bent."
        )
    if plan.verdict == "within error":
        doubt = words.figure(plan.gain_se_m, unit)
        return (
            f"No change: the best lofts would make the largest gap {gain} smaller, but that is within error "
            f"(standard error {doubt}). More full stock balls would tell."
        )
    clubs = "; ".join(f"{club.label}: {bend_text(club.bend_deg)}" for club in bent)
    return f"{clubs}. The largest gap gets {gain} smaller."


def _details(bag: BagCarries, plan: LoftPlan, unit: DistanceUnit) -> tuple[str, ...]:
    said = []
    if plan.verdict == "bend" and plan.gain_se_m is not None:
        said.append(f"Standard error of that gain: {words.figure(plan.gain_se_m, unit)}.")
    if round(unit.from_m(plan.range_lost_m), 1) > 0:
        lost = words.figure(plan.range_lost_m, unit)
        said.append(f"Between the longest and the shortest carry lie {lost} less then: range given up for evenness.")
    guessed = [club.label for club in plan.clubs if club.label not in bag.surface.lofts_deg]
    if guessed:
        said.append(f"{', '.join(guessed)}: no stock ball counts, so it stays as it is and its carry is only expected.")
    tried = f"{plan.combinations:,} sets of lofts" if plan.combinations > 1 else "one set of lofts"
    said.append(f"Compared: {tried}, all that the limits allow.")
    return tuple(said)


def _row(club: PlannedClub, limits, unit: DistanceUnit) -> PlanRow:
    span = f"{degrees(limits.low_deg)} to {degrees(limits.high_deg)}" if limits.is_open else "not bent"
    return PlanRow(
        club=club.label,
        loft_now=degrees(club.now_deg),
        loft_then=degrees(club.loft_deg),
        bend=bend_text(club.bend_deg),
        bounce=degrees(club.bounce_deg),
        carry_now=in_unit(club.now_m, unit),
        carry_then=in_unit(club.carry_m, unit),
        limit=span,
        bent=bool(club.bend_deg),
    )


def _gap_rows(plan: LoftPlan, unit: DistanceUnit) -> tuple[GapRow, ...]:
    """Return the gaps by place, longest carry first: neighbours in carry may be others then."""
    pairs = zip(plan.gaps_now_m, plan.gaps_m, strict=True)
    return tuple(GapRow(f"Gap {n}", *(in_unit(gap, unit) for gap in pair)) for n, pair in enumerate(pairs, 1))
