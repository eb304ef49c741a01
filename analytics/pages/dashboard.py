"""What the dashboard of one player shows: rows of ready text, sentences and figures."""

from dataclasses import dataclass
from datetime import date, datetime

from analytics.frames import BY_EYE
from analytics.pages import words
from analytics.pages.figures import landing_figure, sparkline_points, style_ids, trend_figure
from analytics.reports import CellReport, player_report
from practice.clubs.swings import FEEL, swing_name
from practice.players.models import Player
from practice.units import DistanceUnit


@dataclass(frozen=True)
class Row:
    """One club and swing as text."""

    number: int
    club: str
    swing: str
    by: str
    balls: str
    mishits: str
    suspects: str
    bias: str
    bias_range: str
    level: str
    spread: str
    spread_range: str
    proximity: str
    proximity_range: str
    trend: str
    spark: str
    chosen: bool


@dataclass(frozen=True)
class SessionRow:
    """One session of the chosen club and swing as text."""

    day: str
    balls: int
    error: str


@dataclass(frozen=True)
class Dashboard:
    """All that the template needs, so that it cannot query."""

    player: Player
    unit: DistanceUnit
    as_of: datetime | None
    shots: int
    rows: tuple[Row, ...]
    any_by_eye: bool
    any_level: bool
    landing_sentence: str
    landing: dict
    trend_sentence: str
    trend: dict | None
    sessions: tuple[SessionRow, ...]
    style_ids: tuple[str, ...]


def player_dashboard(player: Player, chosen: str = "") -> Dashboard:
    """Return the dashboard; `chosen` is the number of the cell whose trend is drawn, else the one with most balls."""
    report = player_report(player)
    unit = player.shown_unit
    number = _chosen_number(report.cells, chosen)
    found = report.cells[number] if number is not None else None
    return Dashboard(
        player=player,
        unit=unit,
        as_of=report.as_of,
        shots=report.shots,
        rows=tuple(_row(n, cell, unit, n == number) for n, cell in enumerate(report.cells) if _at_targets(cell)),
        any_by_eye=any(cell.cell.by == BY_EYE for cell in report.cells),
        any_level=any(cell.level for cell in report.cells),
        landing_sentence=words.landing_sentence(report.cells, unit),
        landing=landing_figure(report.cells, unit),
        trend_sentence=words.trend_sentence(found) if found else "No ball has been logged at a known target yet.",
        trend=trend_figure(found) if found else None,
        sessions=tuple(SessionRow(_day(point.day), point.n, f"{point.rmse_pct:.1f} %") for point in found.series)
        if found
        else (),
        style_ids=style_ids(),
    )


def _at_targets(found: CellReport) -> bool:
    """Has it balls at a target? Stock balls belong to the carry chart, which keeps ball, ground and wind apart."""
    return found.score.n > 0 or found.score.mishits > 0


def _day(ordinal: int) -> str:
    """Return a date as text here: the template's filter takes as long for a season as the rest of its table."""
    day = date.fromordinal(ordinal)
    return f"{day.day} {day:%b %Y}"


def _chosen_number(cells: tuple[CellReport, ...], chosen: str) -> int | None:
    if chosen.isdecimal() and int(chosen) < len(cells):
        return int(chosen)
    most = max(range(len(cells)), key=lambda n: sum(point.n for point in cells[n].series), default=None)
    return most if most is not None and cells[most].series else None


def _row(number: int, found: CellReport, unit: DistanceUnit, chosen: bool) -> Row:
    score = found.score
    withheld = found.mishits.good.withheld
    enough = score.n >= words.SHOWN_FROM and score.spread_m > 0
    return Row(
        number=number,
        club=found.cell.club,
        swing="feel" if found.cell.swing == FEEL else swing_name(found.cell.swing),
        by=_by(found, unit),
        balls=str(score.n),
        mishits=f"+ {score.mishits} mishit{'s' * (score.mishits != 1)}",
        suspects=words.suspects(found.mishits.suggested),
        bias=words.bias(score, unit),
        bias_range=words.interval(score.bias_ci95_m, unit, signed=True) if enough else "",
        level=words.on_the_level(found.level, unit),
        spread=words.spread(found, unit),
        spread_range=words.interval(score.spread_ci95_m, unit) if enough and not withheld else "",
        proximity=words.median_miss(score, unit),
        proximity_range=f"mean {words.figure(score.proximity_mean_m, unit)} of {score.n_lateral}"
        if score.n_lateral
        else "",
        trend=words.trend_in_short(score),
        spark=" ".join(f"{x},{y}" for x, y in sparkline_points(found)),
        chosen=chosen,
    )


def _by(found: CellReport, unit: DistanceUnit) -> str:
    """Return how distance was known; by eye with the size of the zones, which no figure is finer than."""
    if found.cell.by != BY_EYE:
        return "measured"
    return f"by eye, to {unit.show(found.resolution_m)}" if found.resolution_m else "by eye"
