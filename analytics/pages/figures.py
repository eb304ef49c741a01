"""Report -> figure: the only place that knows what plotly draws.

Specifications are plain dicts. Building plotly's own objects costs more than all the scoring of a page; a test
hands every specification to them, so that none holds what plotly does not know. Colours and fonts are the page's
and are put in by figures.js, so that light and dark need one specification.
"""

import math
from datetime import date
from functools import cache
from pathlib import Path

from django.contrib.staticfiles import finders

from analytics.frames import BY_EYE
from analytics.pages.words import SHOWN_FROM, short_name
from analytics.reports import CellReport
from practice.plotly_css import map_style_ids
from practice.units import DistanceUnit

MEASURED_MARK = {"symbol": "circle", "size": 11}
BY_EYE_MARK = {"symbol": "square-open", "size": 11, "line": {"width": 2}}


@cache
def style_ids() -> tuple[str, ...]:
    """Return the ids that a page must hold so that plotly adds no styles of its own; see `practice.plotly_css`."""
    return tuple(map_style_ids(Path(finders.find("plotly/plotly.min.js")).read_text(encoding="utf-8")))


def landing_figure(cells: tuple[CellReport, ...], unit: DistanceUnit) -> dict:
    """Return the figure of the mean distance error of each club and swing with its 95 % interval."""
    shown = [found for found in cells if found.score.n >= SHOWN_FROM and found.score.bias_ci95_m]
    traces = [
        _landing_trace([found for found in shown if found.cell.by != BY_EYE], "measured", MEASURED_MARK, unit),
        _landing_trace([found for found in shown if found.cell.by == BY_EYE], "by eye", BY_EYE_MARK, unit),
    ]
    names = [short_name(found.cell) for found in shown]
    return {
        "data": [trace for trace in traces if trace["x"]],
        "layout": {
            "height": 120 + 28 * len(shown),
            "xaxis": {"title": {"text": f"← short   mean distance error, {unit.value}   long →"}, "zeroline": True},
            "yaxis": {"automargin": True, "categoryorder": "array", "categoryarray": names[::-1]},
        },
    }


def _landing_trace(cells: list[CellReport], name: str, mark: dict, unit: DistanceUnit) -> dict:
    scores = [found.score for found in cells]
    return {
        "type": "scatter",
        "mode": "markers",
        "name": name,
        "x": [round(unit.from_m(score.bias_m), 2) for score in scores],
        "y": [short_name(found.cell) for found in cells],
        "marker": mark,
        "error_x": {
            "type": "data",
            "symmetric": False,
            "array": [round(unit.from_m(score.bias_ci95_m[1] - score.bias_m), 2) for score in scores],
            "arrayminus": [round(unit.from_m(score.bias_m - score.bias_ci95_m[0]), 2) for score in scores],
        },
        "hovertemplate": "%{y}: %{x:.1f} " + unit.value + "<extra></extra>",
    }


def trend_figure(found: CellReport) -> dict:
    """Return the figure of one cell's distance error by session, in percent of the target, with its trend."""
    days = [date.fromordinal(point.day).isoformat() for point in found.series]
    points = {
        "type": "scatter",
        "mode": "markers",
        "name": "a visit",
        "x": days,
        "y": [round(point.rmse_pct, 2) for point in found.series],
        "text": [f"{point.n} balls" for point in found.series],
        "marker": {"symbol": "circle", "size": [min(6 + 2 * math.sqrt(point.n), 24) for point in found.series]},
        "hovertemplate": "%{x}: %{y:.1f} % of the target, %{text}<extra></extra>",
    }
    line = _trend_line(found)
    return {
        "data": [points, line] if line else [points],
        "layout": {
            "height": 340,
            "xaxis": {"type": "date"},
            "yaxis": {"title": {"text": "distance error, % of target"}, "rangemode": "tozero"},
        },
    }


def _trend_line(found: CellReport) -> dict | None:
    """Return the fitted line: the least-squares line through (mean day, mean log error), drawn as percent."""
    pct = found.score.trend_pct_per_30_days
    fitted = [point for point in found.series if point.log_rmse is not None]
    if pct is None:
        return None
    slope = math.log1p(pct / 100) / 30
    mean_day = sum(point.day for point in fitted) / len(fitted)
    mean_log = sum(point.log_rmse for point in fitted) / len(fitted)
    first, last = fitted[0].day, fitted[-1].day
    days = sorted({round(first + (last - first) * step / 12) for step in range(13)})
    return {
        "type": "scatter",
        "mode": "lines",
        "name": "trend",
        "line": {"dash": "dash", "width": 3},
        "x": [date.fromordinal(day).isoformat() for day in days],
        "y": [round(100 * math.exp(mean_log + slope * (day - mean_day)), 2) for day in days],
        "hoverinfo": "skip",
    }


SPARK_WIDTH, SPARK_HEIGHT = 96, 28


def sparkline_points(found: CellReport) -> list[tuple[float, float]]:
    """Return the sessions as points in a small picture: time to the right, error upwards from 0."""
    series = found.series
    if len(series) < 2:
        return []
    first, span = series[0].day, max(series[-1].day - series[0].day, 1)
    top = max(point.rmse_pct for point in series) or 1.0
    return [
        (
            round(3 + (SPARK_WIDTH - 6) * (point.day - first) / span, 1),
            round(SPARK_HEIGHT - 3 - (SPARK_HEIGHT - 6) * point.rmse_pct / top, 1),
        )
        for point in series
    ]
