"""The page of another loft: which club, which loft, and what follows."""

from dataclasses import dataclass
from urllib.parse import urlencode

from django import forms

from analytics.bag_carries import BagCarries, CarriedClub, bag_carries
from analytics.bends import NEW, BendRange, bend_range, why_not_bent
from analytics.metrics.carry_surface import LOFTS_DEG
from analytics.pages.bend_effects import Change, change_of
from analytics.pages.bend_words import degrees
from analytics.pages.carries import Tab, set_name, tabs_of
from practice.players.models import Player
from practice.sessions.words import Surface
from practice.units import DistanceUnit

NOT_OWNED = "new"
"""The key of a club not owned yet in an address."""
NEW_START_DEG = 54.0


class LoftForm(forms.Form):
    """The wanted loft, by slider or by number: that of the two counts which was moved, the number first."""

    loft = forms.FloatField(label="Loft in degrees")
    slide = forms.FloatField(required=False)
    was = forms.FloatField(required=False)
    instead = forms.ChoiceField(label="In place of", required=False)

    def __init__(self, data: dict, *, name: str, now_deg: float, limits: BendRange, others: list[str]):
        super().__init__({"loft": f"{now_deg:g}", **data}, label_suffix="")
        self.name, self.now_deg, self.limits = name, now_deg, limits
        for problem in ("required", "invalid"):
            self.fields["loft"].error_messages[problem] = f"Give the loft in degrees as a number, like {now_deg:g}."
        self.fields["instead"].choices = [("", "none: one club more")] + [(label, label) for label in others]
        self.fields["instead"].error_messages["invalid_choice"] = "Choose a club of the bag, or none."

    def clean(self):
        values = self.cleaned_data
        loft_deg, slide_deg, was_deg = (values.get(name) for name in ("loft", "slide", "was"))
        if loft_deg is not None and loft_deg == was_deg and slide_deg is not None:
            loft_deg = slide_deg
        if loft_deg is not None and not self.limits.low_deg <= loft_deg <= self.limits.high_deg:
            low, high = degrees(self.limits.low_deg), degrees(self.limits.high_deg)
            self.add_error("loft", f"{self.name}: choose a loft of {low} to {high}; {degrees(loft_deg)} is outside.")
        return values | {"loft": loft_deg}

    def wanted_deg(self) -> float:
        """Return the wanted loft; where that cannot be, the one there is."""
        return self.cleaned_data["loft"] if self.is_valid() else self.now_deg


@dataclass(frozen=True)
class ClubChoice:
    name: str
    query: str
    chosen: bool


@dataclass(frozen=True)
class LoftChangePage:
    """All that the template needs, so that it cannot query; without a surface only what to say about that."""

    player: Player
    unit: DistanceUnit
    days: int
    tabs: tuple[Tab, ...]
    refused: str = ""
    fault: str = ""
    key: str = ""
    name: str = ""
    on_mat: bool = False
    clubs: tuple[ClubChoice, ...] = ()
    left_out: tuple[str, ...] = ()
    form: LoftForm | None = None
    chosen_key: str = ""
    chosen: str = ""
    is_new: bool = False
    shown_loft: str = ""
    low: str = ""
    high: str = ""
    limit: str = ""
    is_open: bool = True
    change: Change | None = None

    @property
    def is_faulty(self) -> bool:
        """Was anything asked that cannot be?"""
        return bool(self.fault) or (self.form is not None and not self.form.is_valid())


def loft_change_page(player: Player, asked: dict) -> LoftChangePage:
    """Return what the asked club (its id, or "new") would do at the asked loft; of none of the bag, the first one."""
    bag = bag_carries(player, asked.get("balls", ""))
    tabs = tabs_of(bag.stock, bag.found) if bag.found else ()
    frame = {"player": player, "unit": player.shown_unit, "days": player.academy.carry_chart_days, "tabs": tabs}
    frame |= {"on_mat": bag.found is not None and bag.found.surface == Surface.MAT}
    if bag.found is None:
        return LoftChangePage(**frame)
    if refused := why_no_bend(bag):
        return LoftChangePage(**frame, refused=refused)
    frame |= {"key": bag.found.key, "name": set_name(bag.found)}
    return LoftChangePage(**frame, **_of_club(player, bag, asked))


def why_no_bend(bag: BagCarries) -> str:
    """Say why nothing can be worked out from the stock balls of this set; "" where it can."""
    low, high = (degrees(end) for end in LOFTS_DEG)
    if bag.surface is None:
        return (
            f"No club with a loft of {low} to {high} has a stock ball in calm air with a swing of the clock. "
            "Enter the lofts in the bag, or plan a carry test with these clubs."
        )
    if not bag.surface.monotone:
        return (
            "The balls contradict each other: taken together, a longer swing or a club with less loft would not always "
            "fly farther. Perhaps two clubs or swings were mistaken for each other, or a loft is not as the bag says: "
            "look at the carry chart first."
        )
    return ""


def _of_club(player: Player, bag: BagCarries, asked: dict) -> dict:
    known = {str(each.club.pk): each for each in bag.clubs}
    clubs = {key: each for key, each in known.items() if not why_not_bent(each)}
    key = asked.get("club", "")
    fault = ""
    if key and key != NOT_OWNED and key not in clubs:
        why = f"{known[key].label}: {why_not_bent(known[key])}" if key in known else "That club is not in this bag"
        fault = f"{why}. Choose another one."
    if key not in clubs and key != NOT_OWNED:
        key = next(iter(clubs), NOT_OWNED)
    carried = clubs.get(key)
    form = _form(player, bag, carried, {} if fault else asked)
    loft_deg = form.wanted_deg()
    balls = {"balls": bag.found.key}
    choices = [(each.label, own) for own, each in clubs.items()] + [("a club not owned yet", NOT_OWNED)]
    left_out = (f"{each.label}: {why}" for each in bag.clubs if (why := why_not_bent(each)))
    return {
        "fault": fault,
        "clubs": tuple(ClubChoice(name, urlencode(balls | {"club": own}), own == key) for name, own in choices),
        "left_out": tuple(left_out),
        "form": form,
        "chosen_key": key,
        "chosen": carried.label if carried else NEW,
        "is_new": carried is None,
        "shown_loft": f"{round(loft_deg, 2):g}",
        "low": f"{form.limits.low_deg:g}",
        "high": f"{form.limits.high_deg:g}",
        "limit": _limit_sentence(carried, form.limits),
        "is_open": form.limits.is_open,
        "change": _change(player, bag, carried, form),
    }


def _form(player: Player, bag: BagCarries, carried: CarriedClub | None, asked: dict) -> LoftForm:
    data = {name: asked[name] for name in ("loft", "slide", "was", "instead") if name in asked}
    if carried is None:
        limits, others = BendRange(*LOFTS_DEG), [each.label for each in bag.clubs]
        return LoftForm(data, name="A club not owned yet", now_deg=NEW_START_DEG, limits=limits, others=others)
    limits = bend_range(player, carried)
    return LoftForm(data, name=carried.label, now_deg=carried.loft_deg, limits=limits, others=[])


def _limit_sentence(carried: CarriedClub | None, limits: BendRange) -> str:
    low, high = degrees(limits.low_deg), degrees(limits.high_deg)
    if carried is None:
        return f"Any loft of {low} to {high}: beyond these, other clubs say nothing."
    if not limits.is_open:
        return "By its limit this head is not bent; the coach sets the limit with the club."
    return (
        f"{low} to {high}: at most {degrees(carried.club.limit_deg)} either way of how it was made. "
        "The coach sets this limit with the club."
    )


def _change(player: Player, bag: BagCarries, carried: CarriedClub | None, form: LoftForm) -> Change | None:
    if not form.is_valid():
        return None
    return change_of(player, bag, carried, form.wanted_deg(), form.cleaned_data["instead"])
