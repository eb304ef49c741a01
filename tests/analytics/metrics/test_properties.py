from dataclasses import asdict, replace
from math import isclose

from hypothesis import given, settings
from hypothesis import strategies as st

from analytics.metrics.cells import score_cells
from analytics.metrics.trend import session_series

from . import oracle
from .shots import Shot, disagreements, make_columns, score

IN_METRES = {
    "bias_m",
    "bias_ci95_m",
    "spread_m",
    "spread_ci95_m",
    "rmse_m",
    "rmse_all_m",
    "proximity_mean_m",
    "proximity_median_m",
    "carry_mean_m",
    "carry_ci95_m",
}
OF_THE_TREND = {"trend_pct_per_30_days", "trend_ci95_pct_per_30_days", "trend_verdict"}


def metres(low: int, high: int):
    """Distances to a tenth of a metre, or missing."""
    return st.none() | st.integers(10 * low, 10 * high).map(lambda tenths: tenths / 10)


@st.composite
def balls(draw, cell: int = 0) -> Shot:
    session = draw(st.integers(0, 7))
    return Shot(
        target_m=draw(metres(20, 110)),
        carry_m=draw(metres(0, 130)),
        error_m=draw(metres(-20, 20)),
        lateral_m=draw(metres(-20, 20)),
        mishit=draw(st.sampled_from([False, False, False, True])),
        cell=cell,
        session=session,
        day=3 * session,
    )


seasons = st.lists(balls(), max_size=25)
few = settings(max_examples=60, deadline=None)


def scaled(ball: Shot, factor: float) -> Shot:
    lengths = ("target_m", "carry_m", "error_m", "lateral_m")
    known = {name: getattr(ball, name) for name in lengths if getattr(ball, name) is not None}
    return replace(ball, **{name: factor * length for name, length in known.items()})


def times(value, factor: float):
    if value is None:
        return None
    return tuple(factor * end for end in value) if isinstance(value, tuple) else factor * value


@given(seasons)
@few
def test_every_figure_equals_the_slow_computation(season):
    assert disagreements(asdict(score(season)), oracle.score(season)) == {}


@given(seasons)
@few
def test_another_unit_of_length_scales_the_lengths_and_nothing_else(season):
    yards = asdict(score([scaled(ball, 1 / 0.9144) for ball in season]))
    in_metres = asdict(score(season))
    expected = {name: times(value, 1 / 0.9144) if name in IN_METRES else value for name, value in in_metres.items()}
    assert disagreements(yards, expected) == {}


@given(seasons, st.integers(1, 50))
@few
def test_moving_ball_and_target_together_changes_no_distance_error(season, metres_on):
    def moved(ball: Shot) -> Shot:
        target_m, carry_m = (length and length + metres_on for length in (ball.target_m, ball.carry_m))
        return replace(ball, target_m=target_m, carry_m=carry_m)

    season = [ball for ball in season if ball.carry_m != 0]
    before, after = asdict(score(season)), asdict(score([moved(ball) for ball in season]))
    for name in OF_THE_TREND:  # relative errors do change
        before.pop(name), after.pop(name)
    if before["carry_mean_m"] is not None:
        before["carry_mean_m"] += metres_on
    if before["carry_ci95_m"] is not None:
        before["carry_ci95_m"] = tuple(end + metres_on for end in before["carry_ci95_m"])
    assert disagreements(after, before) == {}


@given(seasons)
@few
def test_left_and_right_mirrored_change_nothing(season):
    mirrored = [ball if ball.lateral_m is None else replace(ball, lateral_m=-ball.lateral_m) for ball in season]
    assert score(mirrored) == score(season)


@given(seasons.flatmap(lambda season: st.tuples(st.just(season), st.permutations(season))))
@few
def test_the_order_of_the_shots_changes_nothing(season_twice):
    season, shuffled = season_twice
    assert disagreements(asdict(score(shuffled)), asdict(score(season))) == {}


@given(seasons, st.lists(balls(cell=1), max_size=10))
@few
def test_another_cell_does_not_change_this_one(season, others):
    alone, together = make_columns(season), make_columns(season + others)
    assert score_cells(together, 2)[0] == score_cells(alone, 1)[0]
    assert session_series(together, 2)[0] == session_series(alone, 1)[0]


@given(seasons)
@few
def test_mean_square_error_is_bias_squared_plus_variance(season):
    cell = score(season)
    if cell.n > 1:
        variance = cell.spread_m**2 * (cell.n - 1) / cell.n
        assert isclose(cell.rmse_m**2, cell.bias_m**2 + variance, rel_tol=1e-12, abs_tol=1e-12)


@given(seasons)
@few
def test_a_figure_is_missing_exactly_where_its_count_is_too_small(season):
    cell = score(season)
    assert (cell.bias_m is None) == (cell.rmse_m is None) == (cell.n == 0)
    assert (cell.spread_m is None) == (cell.bias_ci95_m is None) == (cell.spread_ci95_m is None) == (cell.n < 2)
    assert (cell.proximity_mean_m is None) == (cell.proximity_median_m is None) == (cell.n_lateral == 0)
    assert (cell.carry_mean_m is None) == (cell.n_carry == 0)
    assert (cell.carry_ci95_m is None) == (cell.n_carry < 2)
    assert (cell.trend_pct_per_30_days is None) == (cell.trend_ci95_pct_per_30_days is None)
