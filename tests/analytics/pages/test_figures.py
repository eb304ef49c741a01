"""Figures: plotly knows every part of them, and they draw what the report says."""

from datetime import date

import numpy as np
import plotly.graph_objects
import pytest

from analytics.frames import Cell
from analytics.judged import JudgedMishits
from analytics.metrics.cells import CellScore
from analytics.metrics.mishits import GoodShots
from analytics.metrics.trend import SessionPoint, session_log_rmse
from analytics.pages.figures import landing_figure, sparkline_points, trend_figure
from analytics.reports import CellReport
from practice.units import DistanceUnit

DAY = date(2026, 3, 2).toordinal()


def cell_report(*, by="measured", bias_m=2.0, ends_m=(1.0, 3.0), n=10, pcts=(10.0, 9.0, 8.0), trend_pct=-5.0):
    score = CellScore(
        mishits=0,
        n=n,
        bias_m=bias_m,
        bias_ci95_m=ends_m,
        spread_m=1.0,
        spread_ci95_m=(0.5, 2.0),
        rmse_m=2.0,
        rmse_all_m=2.0,
        n_lateral=0,
        proximity_mean_m=None,
        proximity_median_m=None,
        n_carry=0,
        carry_mean_m=None,
        carry_ci95_m=None,
        sessions=len(pcts),
        trend_sessions=len(pcts),
        trend_pct_per_30_days=trend_pct,
        trend_ci95_pct_per_30_days=(-20.0, 10.0),
        trend_verdict="too few",
    )
    series = tuple(
        SessionPoint(DAY + 7 * i, 10, pct, float(session_log_rmse(np.array(10), np.array((pct / 100) ** 2))))
        for i, pct in enumerate(pcts)
    )
    good = GoodShots(n, 0, bias_m, ends_m, 1.0, (0.5, 2.0), None)
    return CellReport(Cell("56", 56.0, "9:00", by), score, JudgedMishits(0, good), None, series, level=None)


FIGURES = {
    "landing": landing_figure((cell_report(), cell_report(by="eye")), DistanceUnit.YARDS),
    "landing of nothing": landing_figure((), DistanceUnit.METRES),
    "trend": trend_figure(cell_report()),
    "trend without a line": trend_figure(cell_report(trend_pct=None)),
}


@pytest.mark.parametrize("name", FIGURES)
def test_plotly_knows_every_part_of_a_figure(name):
    figure = FIGURES[name]
    drawn = plotly.graph_objects.Figure(data=figure["data"], layout=figure["layout"])
    assert len(drawn.data) == len(figure["data"])


def test_a_mark_stands_at_the_bias_with_its_interval_as_whiskers():
    [trace] = landing_figure((cell_report(),), DistanceUnit.METRES)["data"]
    assert (trace["x"], trace["y"]) == ([2.0], ["56 9:00"])
    assert (trace["error_x"]["array"], trace["error_x"]["arrayminus"]) == ([1.0], [1.0])


def test_yards_are_drawn_for_those_who_read_yards():
    [trace] = landing_figure((cell_report(bias_m=9.144, ends_m=(0.0, 18.288)),), DistanceUnit.YARDS)["data"]
    assert trace["x"] == [10.0]


def test_measured_and_by_eye_differ_by_shape_and_not_by_colour_alone():
    shapes = {trace["marker"]["symbol"] for trace in FIGURES["landing"]["data"]}
    assert len(shapes) == 2


def test_a_cell_of_fewer_than_three_balls_is_not_drawn():
    assert landing_figure((cell_report(n=2),), DistanceUnit.METRES)["data"] == []


def test_the_trend_line_falls_by_the_percentage_that_the_report_gives():
    line = trend_figure(cell_report(pcts=(10.0, 9.5, 9.0, 8.5, 8.0)))["data"][1]
    days = (date.fromisoformat(line["x"][-1]) - date.fromisoformat(line["x"][0])).days
    assert line["y"][-1] / line["y"][0] == pytest.approx(0.95 ** (days / 30), rel=1e-3)


def test_a_sparkline_runs_left_to_right_with_the_largest_error_on_top():
    points = sparkline_points(cell_report(pcts=(10.0, 5.0)))
    assert points == [(3.0, 3.0), (93.0, 14.0)]
    assert sparkline_points(cell_report(pcts=(10.0,))) == []
