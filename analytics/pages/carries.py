"""What the carry chart of one player shows: ready text by club and swing."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from statistics import mean, stdev

from analytics.metrics.carry_chart import CarryChart, ChartEntry, carry_chart
from analytics.metrics.carry_surface import LOFTS_DEG, RULE_OF_THUMB_M_PER_DEG
from analytics.metrics.intervals import mean_interval
from analytics.pages import words
from analytics.stock import PlayerStock, StockCell, StockSet, balls_for_surface, is_pitching_loft, player_stock
from practice.clubs.swings import CLOCK_SWINGS, swing_name
from practice.players.models import Player
from practice.sessions.words import BallType, Surface
from practice.units import DistanceUnit

ON = {"": "ground not noted", Surface.MAT: "on a mat", Surface.GRASS: "on grass", Surface.SAND: "on sand"}


@dataclass(frozen=True)
class Tab:
    """One ball type and surface to choose."""

    key: str
    name: str
    balls: int
    chosen: bool


@dataclass(frozen=True)
class ChartCell:
    """One club and swing: its own balls, and apart from them what all clubs together let expect ("" if nothing)."""

    carry: str
    balls: str
    range: str
    expected: str
    expected_range: str
    basis: str


@dataclass(frozen=True)
class ClubRow:
    club: str
    loft: str
    cells: tuple[ChartCell, ...]


@dataclass(frozen=True)
class WindyRow:
    name: str
    cell: ChartCell


@dataclass(frozen=True)
class CarriesPage:
    """All that the template needs, so that it cannot query; without stock balls only what to say about that."""

    player: Player
    unit: DistanceUnit
    days: int
    since: date
    last_test: date | None
    tabs: tuple[Tab, ...]
    name: str = ""
    balls: int = 0
    on_mat: bool = False
    sentence: str = ""
    swings: tuple[str, ...] = ()
    rows: tuple[ClubRow, ...] = ()
    expects: bool = False
    contradict: bool = False
    foretold: str = ""
    raw_only: tuple[str, ...] = ()
    windy: tuple[WindyRow, ...] = ()


def carries_page(player: Player, chosen: str = "") -> CarriesPage:
    """Return the chart of the chosen ball type and surface (a key of `StockSet`), else of the one with most balls."""
    stock = player_stock(player)
    days = player.academy.carry_chart_days
    found = stock.chosen(chosen)
    frame = {"player": player, "unit": player.shown_unit, "days": days, "since": stock.since}
    if found is None:
        return CarriesPage(**frame, last_test=stock.last_test, tabs=())
    return CarriesPage(**frame, last_test=found.last_test, tabs=tabs_of(stock, found), **_chart_text(player, found))


def set_name(found: StockSet) -> str:
    """Return the words for a ball type and surface, e.g. "range balls on a mat"."""
    balls = BallType(found.ball_type).label if found.ball_type else "ball not noted"
    return f"{balls}{' ' if found.ball_type and found.surface else ', '}{ON[found.surface]}"


def tabs_of(stock: PlayerStock, chosen: StockSet) -> tuple[Tab, ...]:
    """Return the sets to choose from."""
    return tuple(Tab(each.key, set_name(each), each.stock_balls, each is chosen) for each in stock.sets)


def _chart_text(player: Player, found: StockSet) -> dict:
    unit = player.shown_unit
    cells = {(cell.club, cell.swing): cell for cell in found.cells if cell.carries_m}
    fit = balls_for_surface(cells.values())
    chart = carry_chart(fit, list(CLOCK_SWINGS)) if fit else None
    expected = {(entry.club, entry.swing): entry for entry in chart.entries} if chart else {}
    clubs = {cell.club: cell.loft_deg for cell in cells.values()}
    return {
        "name": set_name(found),
        "balls": found.stock_balls,
        "on_mat": found.surface == Surface.MAT,
        "sentence": scatter_sentence(chart),
        "swings": tuple(swing_name(swing) for swing in found.swings),
        "rows": tuple(
            ClubRow(
                club,
                "loft not entered" if loft_deg is None else f"{loft_deg:g}°",
                tuple(_cell(cells.get((club, swing)), expected.get((club, swing)), unit) for swing in found.swings),
            )
            for club, loft_deg in clubs.items()
        ),
        "expects": chart is not None and chart.surface.monotone,
        "contradict": chart is not None and not chart.surface.monotone,
        "foretold": foretold_sentence(chart, unit),
        "raw_only": raw_only_sentences(cells.values()),
        "windy": tuple(
            WindyRow(f"{cell.club}, {swing_name(cell.swing)}", _cell(cell, None, unit)) for cell in found.windy
        ),
    }


def raw_only_sentences(cells: Iterable[StockCell]) -> tuple[str, ...]:
    """Say which clubs and swings stand with their own balls only, and why."""
    cells = list(cells)
    clubs = dict.fromkeys(cell.club for cell in cells if not is_pitching_loft(cell.loft_deg))
    swings = dict.fromkeys(cell.swing for cell in cells if cell.swing not in CLOCK_SWINGS)
    low, high = LOFTS_DEG
    said = []
    if clubs:
        why = f"nothing is expected from the other clubs, because the loft is not entered or not {low:g}° to {high:g}°"
        said.append(f"{', '.join(clubs)}: own balls only; {why}.")
    if swings:
        said.append(f"{', '.join(swings)}: own balls only; how long this swing is, the clock does not say.")
    return tuple(said)


def scatter_sentence(chart: CarryChart | None) -> str:
    """Say which swing length scatters least, or that the balls can't tell."""
    if chart is None or not chart.scatter:
        return "Can’t tell yet which swing length scatters least: it takes two of them, each with five balls of a club."
    if chart.steadiest:
        steadiest = next(each for each in chart.scatter if each.swing == chart.steadiest)
        pct = f"{steadiest.scatter_pct:.1f} % of its carry"
        return f"Steadiest swing: {swing_name(steadiest.swing)}, which scatters {pct}, less than the rest."
    figures = ", ".join(f"{swing_name(each.swing)} {each.scatter_pct:.1f} %" for each in chart.scatter)
    return f"Can’t tell yet which swing length scatters least; so far, in percent of the carry: {figures}."


def foretold_sentence(chart: CarryChart | None, unit: DistanceUnit) -> str:
    """Say how near the figures expected from all clubs come to a club that they have not seen; "" if unknown."""
    if chart is None or chart.left_out is None or not chart.surface.monotone:
        return ""
    found = chart.left_out
    return (
        f"Tried on these balls: with each club foretold from the others alone, its averages were missed by "
        f"{words.figure(found.surface_rmse_m, unit)} (root mean square of {found.cells}); by the rule of thumb, "
        f"{unit.show(RULE_OF_THUMB_M_PER_DEG, digits=1)} a degree, by {words.figure(found.rule_rmse_m, unit)}."
    )


def _cell(cell: StockCell | None, entry: ChartEntry | None, unit: DistanceUnit) -> ChartCell:
    carries_m = cell.carries_m if cell else []
    n = len(carries_m)
    mean_m = mean(carries_m) if n else None
    # Two balls, or balls that the measurement cannot tell apart, know no bounds.
    known = n >= words.SHOWN_FROM and len(set(carries_m)) > 1
    interval = mean_interval(n, mean_m, stdev(carries_m)) if known else None
    expected = entry and entry.surface
    return ChartCell(
        carry=words.figure(mean_m, unit),
        balls=f"{n} ball{'s' * (n != 1)}" if n else "",
        range=words.interval(interval, unit),
        expected=words.figure(expected.carry_m, unit) if expected else "",
        expected_range=words.interval(expected.ci95_m, unit) if expected else "",
        basis=expected.basis if expected else "",
    )
