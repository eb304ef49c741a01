"""Which shot of a player fits which distance: ready text by target."""

from dataclasses import dataclass
from statistics import mean, stdev

from django import forms

from analytics.metrics.next_ball import StockShot
from analytics.metrics.relative_scatter import SHRINK_DF
from analytics.metrics.shot_choice import Candidate, Choice, ShotTable, choose_shots
from analytics.one_ball import OneBallTest, one_ball_tests
from analytics.pages.carries import Tab, set_name, tabs_of
from analytics.putting_table import table_of
from analytics.stock import StockSet, player_stock
from practice.clubs.swings import swing_name
from practice.players.models import Player
from practice.sessions.words import Surface
from practice.units import DistanceUnit

TARGETS = range(20, 101, 5)
RADII = ("3", "5", "8")
"""Both in the player's unit."""

SAID = {
    "one": "the best",
    "either": "either: the balls can’t choose",
    "no stock shot": "no stock shot: this one lands nearest",
}


class RadiusForm(forms.Form):
    """How near counts as near."""

    radius = forms.ChoiceField(label="Near means within")
    balls = forms.CharField(required=False, widget=forms.HiddenInput)

    def __init__(self, data: dict, *, unit: DistanceUnit):
        super().__init__({"radius": RADII[1], **data}, label_suffix="")
        self.fields["radius"].choices = [(radius, f"{radius} {unit.value}") for radius in RADII]
        choose = f"Choose {', '.join(RADII[:-1])} or {RADII[-1]} {unit.value}."
        self.fields["radius"].error_messages = {"required": choose, "invalid_choice": choose}

    def chosen(self) -> int:
        """Return what was chosen; where that is none of the choices, the middle one."""
        return int(self.cleaned_data["radius"] if self.is_valid() else RADII[1])


@dataclass(frozen=True)
class ShotText:
    name: str
    carry: str
    chance: str
    strokes: str


@dataclass(frozen=True)
class TargetRow:
    target: str
    best: ShotText
    second: ShotText | None
    verdict: str


@dataclass(frozen=True)
class TargetsPage:
    """All that the template needs, so that it cannot query; without stock balls only what to say about that."""

    player: Player
    unit: DistanceUnit
    days: int
    tabs: tuple[Tab, ...]
    key: str = ""
    name: str = ""
    on_mat: bool = False
    radius: str = ""
    sentence: str = ""
    source: str = ""
    distance_only: bool = False
    rows: tuple[TargetRow, ...] = ()
    tests: tuple[str, ...] = ()


def targets_page(player: Player, chosen: str, radius: int) -> TargetsPage:
    """Return the best shots from the chosen ball type and surface; `radius` is in the player's unit."""
    stock, unit = player_stock(player), player.shown_unit
    found = stock.chosen(chosen)
    shots = stock_shots(found) if found else []
    tabs = tabs_of(stock, found) if found else ()
    putts = table_of(player.academy)
    page = {"player": player, "unit": unit, "days": player.academy.carry_chart_days, "tabs": tabs}
    page |= {"source": putts.source, "tests": tuple(map(one_ball_sentence, one_ball_tests(player, putts)))}
    if not shots:
        return TargetsPage(**page)
    targets_m = [unit.to_m(target) for target in TARGETS]
    table = choose_shots(shots, targets_m, unit.to_m(radius), table=putts)
    return TargetsPage(
        **page,
        key=found.key,
        name=set_name(found),
        on_mat=found.surface == Surface.MAT,
        radius=f"{radius} {unit.value}",
        sentence=choice_sentence(table, unit),
        distance_only=table.distance_only,
        rows=tuple(_row(choice, unit) for choice in table.choices),
    )


def one_ball_sentence(test: OneBallTest) -> str:
    """Say what a one-ball test came to."""
    hit = len(test.strokes)
    told = (
        f"{test.title}, {test.day.day} {test.day:%B %Y}: {test.strokes.sum():.1f} strokes over {hit} of {test.asked} "
        f"balls, {test.strokes.mean():.2f} a ball."
    )
    if test.no_lateral:
        told += f" Sideways misses are not known of {test.no_lateral} and count as none."
    return told


def stock_shots(found: StockSet) -> list[StockShot]:
    """Return the stock shots of a set; balls hit in a strong wind are in none.

    Mean and scatter of carry come from the stock balls of a club and swing. Lateral scatter comes from its balls at
    targets too, and so does the chance of a mishit: (mishits + 8 p) / (balls + 8), p the player's share over all cells
    of the set, because the balls of one cell are too few to know what is rare; the 8 is what a player's other cells
    weigh in every scatter (engineering estimate).
    """
    share = sum(cell.mishits for cell in found.cells) / max(1, sum(cell.balls for cell in found.cells))
    return [
        StockShot(
            club=cell.club,
            swing=cell.swing,
            n=len(cell.carries_m),
            mean_m=mean(cell.carries_m),
            s_m=_sd(cell.carries_m),
            n_lateral=len(cell.laterals_m),
            lateral_s_m=_sd(cell.laterals_m),
            mishit=(cell.mishits + SHRINK_DF * share) / (cell.balls + SHRINK_DF),
        )
        for cell in found.cells
        if cell.carries_m
    ]


def _sd(values: list[float]) -> float | None:
    return stdev(values) if len(values) > 1 else None


def choice_sentence(table: ShotTable, unit: DistanceUnit) -> str:
    """Say how many of the distances have a shot, and how many of these leave the choice open."""
    verdicts = [choice.verdict for choice in table.choices]
    covered = [choice.target_m for choice in table.choices if choice.verdict != "no stock shot"]
    if not covered:
        return f"No stock shot reaches any distance from {TARGETS[0]} to {TARGETS[-1]} {unit.value}."
    of = f"{len(covered)} of {len(verdicts)} distances have a stock shot"
    either = verdicts.count("either")
    return f"{of}" + (f"; at {either} of them the balls can’t choose between two." if either else ".")


def _row(choice: Choice, unit: DistanceUnit) -> TargetRow:
    texts = [_text(shot, unit) for shot in choice.shots]
    alone = choice.verdict == "one" and len(texts) == 1
    return TargetRow(
        target=unit.show(choice.target_m),
        best=texts[0],
        second=texts[1] if len(texts) > 1 else None,
        verdict="the only one that reaches" if alone else SAID[choice.verdict],
    )


def _text(shot: Candidate, unit: DistanceUnit) -> ShotText:
    return ShotText(
        name=f"{shot.club}, {swing_name(shot.swing)}",
        carry=unit.show(shot.carry_m),
        chance=chance_text(shot.chance),
        strokes="–" if shot.strokes is None else f"{shot.strokes:.2f}",
    )


def chance_text(chance: float) -> str:
    """Return a chance in percent; one that rounds to none or all says so."""
    if chance < 0.005:
        return "under 1 %"
    return "over 99 %" if chance > 0.995 else f"{100 * chance:.0f} %"
