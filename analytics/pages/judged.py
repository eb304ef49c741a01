"""What the page on clubs and swings judged together says: ready sentences and rows."""

from dataclasses import dataclass

from analytics.eye import eye_error, eye_sentence, resolution_sentence
from analytics.frames import Cell, player_shots
from analytics.judged import RADIUS_M, JudgedCell, JudgedMishits, Judgement, OwnShare, judge
from analytics.metrics.cells import score_cells
from analytics.metrics.mishits import GoodShots
from analytics.metrics.pooling import Pooled
from analytics.pages.words import FINER, cell_name, suspects
from practice.players.models import Player
from practice.units import DistanceUnit


@dataclass(frozen=True)
class JudgedRow:
    """One club and swing as text; each figure with the bounds it lies between."""

    name: str
    balls: str
    bias: tuple[str, str]
    spread: tuple[str, str]
    error: tuple[str, str]
    error_pct: tuple[str, str]
    median_miss: tuple[str, str]
    near: tuple[str, str]
    own_near: tuple[str, str]
    own_scatter: tuple[str, str]
    all_balls: str
    mishits: str


@dataclass(frozen=True)
class JudgedPage:
    """All that the template needs."""

    player: Player
    unit: DistanceUnit
    headline: str
    mishit_sentence: str
    eye_sentence: str
    resolution_sentence: str
    radius: str
    distance_only: bool
    rows: tuple[JudgedRow, ...]


def judged_page(player: Player) -> JudgedPage:
    """Return the page of a player whose academy is fetched with them."""
    found = player_shots(player)
    judgement = judge(found)
    scores = score_cells(found.columns, len(found.cells))
    unit, eye = player.shown_unit, eye_error(player)
    judged = [cell for cell in judgement.cells if cell]
    return JudgedPage(
        player=player,
        unit=unit,
        headline=_headline(found.cells, judgement, unit),
        mishit_sentence=_mishit_sentence(judgement),
        eye_sentence=eye_sentence(eye, unit) if eye else "",
        resolution_sentence=resolution_sentence(max(filter(None, found.eye_resolution_m), default=None), unit),
        radius=unit.show(RADIUS_M, digits=0 if unit is DistanceUnit.YARDS else 1),
        distance_only=any(cell.distance_only for cell in judged),
        rows=tuple(
            _row(cell, pooled, share, mishits, score.rmse_all_m, unit)
            for cell, pooled, share, mishits, score in zip(
                found.cells, judgement.cells, judgement.own_shares, judgement.mishits, scores, strict=True
            )
            if pooled
        ),
    )


def _headline(cells: tuple[Cell, ...], judgement: Judgement, unit: DistanceUnit) -> str:
    judged = [(cell, pooled) for cell, pooled in zip(cells, judgement.cells, strict=True) if pooled]
    if not judged:
        return "No club and swing has balls at known targets that differ from each other: nothing to judge yet."
    cell, worst = max(judged, key=lambda pair: pair[1].rmse_pct.ci95[0])
    return (
        f"Least controlled for its distance: {cell_name(cell)}, a typical error of {_figure(worst.rmse_m, unit)} "
        f"at {unit.show(worst.target_m)} ({_ends(worst.rmse_m, unit)}), that is {worst.rmse_pct.value:.0f} %."
    )


def _mishit_sentence(judgement: Judgement) -> str:
    rate = judgement.mishit_rate
    if rate.pct is None:
        return "No range balls yet."
    low, high = rate.ci95_pct
    suspected = sum(cell.suggested for cell in judgement.mishits)
    said = f"{rate.mishits} of {rate.shots} range balls were mishits: {rate.pct:.0f} % ({low:.0f} to {high:.0f} %)."
    if suspected:
        said += (
            f" {suspected} more look{'s' if suspected == 1 else ''} like one; {_they(suspected)} left in all figures."
        )
    return said


def _they(n: int) -> str:
    return "it is" if n == 1 else "they are"


def _row(
    cell: Cell,
    pooled: JudgedCell,
    share: OwnShare,
    mishits: JudgedMishits,
    rmse_all_m: float | None,
    unit: DistanceUnit,
) -> JudgedRow:
    return JudgedRow(
        name=cell_name(cell),
        balls=f"{pooled.n} at {unit.show(pooled.target_m)}",
        bias=(_bias(pooled.bias_m, unit), _bias_ends(pooled.bias_m, unit)),
        spread=(_figure(pooled.spread_m, unit), _ends(pooled.spread_m, unit)),
        error=(_figure(pooled.rmse_m, unit), _ends(pooled.rmse_m, unit)),
        error_pct=(f"{pooled.rmse_pct.value:.0f} %", _ends_pct(pooled.rmse_pct)),
        median_miss=(_figure(pooled.median_miss_m, unit), _ends(pooled.median_miss_m, unit)),
        near=(f"{pooled.within_pct.value:.0f} %", _ends_pct(pooled.within_pct)),
        own_near=_own_near(share),
        own_scatter=_own_scatter(mishits.good, unit),
        all_balls=unit.show(rmse_all_m, digits=1),
        mishits=suspects(mishits.suggested),
    )


def _own_near(share: OwnShare) -> tuple[str, str]:
    """Return the count within the radius with the interval of its share, or that no ball is known well enough."""
    if not share.n:
        return "–", "no sideways miss known"
    return f"{share.within} of {share.n}", _ends_of_pct(share.ci95_pct)


def _own_scatter(good: GoodShots, unit: DistanceUnit) -> tuple[str, str]:
    """Return the scatter of the good balls alone, or why it is withheld."""
    if good.withheld or good.spread is None:
        return "–", good.withheld or "too few good shots"
    if good.spread == 0:
        return "–", FINER
    low, high = (unit.from_m(end) for end in good.spread_ci95)
    return unit.show(good.spread, digits=1), f"{low:.1f} to {high:.1f}"


def _figure(pooled: Pooled, unit: DistanceUnit) -> str:
    return unit.show(pooled.value, digits=1)


def _ends(pooled: Pooled, unit: DistanceUnit) -> str:
    low, high = (unit.from_m(end) for end in pooled.ci95)
    return f"{low:.1f} to {high:.1f}"


def _ends_pct(pooled: Pooled) -> str:
    return _ends_of_pct(pooled.ci95)


def _ends_of_pct(ends: tuple[float, float]) -> str:
    return f"{ends[0]:.0f} to {ends[1]:.0f} %"


def _bias(pooled: Pooled, unit: DistanceUnit) -> str:
    return f"{_side(unit.from_m(pooled.value))} {unit.value}"


def _bias_ends(pooled: Pooled, unit: DistanceUnit) -> str:
    low, high = (_side(unit.from_m(end)) for end in pooled.ci95)
    return f"{low} to {high}"


def _side(value: float) -> str:
    size = f"{abs(value):.1f}"
    return size if size == "0.0" else f"{'long' if value > 0 else 'short'} {size}"
