from dataclasses import replace
from math import log, pi, sqrt

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import special

from analytics.metrics.form import form_variance, session_forms

from .target_balls import Ball, make_balls, session

EULER_GAMMA = 0.577215664901532861  # NIST Digital Library of Mathematical Functions, 5.2.3
YARD_M = 0.9144

hit = st.builds(
    Ball,
    q=st.integers(-300, 300).map(lambda per_mille: per_mille / 1000),
    session=st.integers(0, 4),
    series=st.integers(0, 2),
    target_m=st.integers(20, 110).map(float),
    resolution_m=st.sampled_from([0.0, 0.5, 1.0, 5.0]),
).map(lambda ball: replace(ball, day=3 * ball.session))
few = settings(max_examples=60, deadline=None)


def test_the_form_of_five_balls_worked_by_hand():
    # psi(5/2) = -gamma - 2 ln 2 + 2 (1 + 1/3): NIST Digital Library of Mathematical Functions, 5.4.15
    forms = session_forms(make_balls(session(0.1, 0, 0, n=5)))
    psi = -EULER_GAMMA - 2 * log(2) + 8 / 3
    assert forms.log_rmse[0] == pytest.approx(log(0.1) - (psi - log(2.5)) / 2, rel=1e-14)
    assert (forms.n.tolist(), forms.floored.tolist()) == ([5], [False])


def test_the_variance_of_a_form_at_one_and_two_balls():
    # trigamma(1/2) = pi^2 / 2, trigamma(1) = pi^2 / 6: NIST Digital Library of Mathematical Functions, 5.15.3, 5.15.2
    assert form_variance(np.array([1, 2])) == pytest.approx([pi**2 / 8, pi**2 / 24], rel=1e-14)


def test_balls_that_all_seem_perfect_are_as_good_as_their_measurement():
    # A step of 1 yd has the standard uncertainty 0.288675 yd: JCGM 100:2008 (GUM), 4.3.7
    forms = session_forms(make_balls(session(0.0, 0, 0, target_m=60 * YARD_M, resolution_m=YARD_M)))
    assert 60 * np.exp(forms.log_rmse[0]) == pytest.approx(0.288675, abs=1e-6)
    assert forms.floored.tolist() == [True]


def test_perfect_sessions_of_any_size_are_equal():
    balls = session(0.0, 0, 0, n=5, resolution_m=1.0) + session(0.0, 1, 7, n=40, resolution_m=1.0)
    first, second = session_forms(make_balls(balls)).log_rmse
    assert first == second


def test_without_a_known_resolution_the_form_stays_finite():
    assert np.isfinite(session_forms(make_balls(session(0.0, 0, 0))).log_rmse).all()


def test_sessions_come_by_series_then_day_then_session():
    balls = [
        *session(0.1, 5, 7, series=1, n=2),
        *session(0.2, 3, 9, series=0, n=3),
        *session(0.3, 4, 2, series=0, n=4),
        *session(0.1, 2, 7, series=1, n=1),
        *session(0.1, 4, 2, series=2, n=5),
    ]
    forms = session_forms(make_balls(balls))
    assert list(zip(forms.series.tolist(), forms.day.tolist(), forms.n.tolist(), strict=True)) == [
        (0, 2, 4),
        (0, 9, 3),
        (1, 7, 1),
        (1, 7, 2),
        (2, 2, 5),
    ]
    assert [len(one.day) for one in forms.split(4)] == [2, 2, 1, 0]
    assert forms.counted().n.tolist() == [5]


def test_no_balls_have_no_forms():
    forms = session_forms(make_balls([]))
    assert len(forms.day) == 0
    assert [len(one.day) for one in forms.split(2)] == [0, 0]


@pytest.mark.parametrize(
    "bad",
    [Ball(float("nan")), Ball(float("inf")), Ball(0.1, target_m=0.0), Ball(0.1, resolution_m=-1.0)],
    ids=["nan", "infinite", "no target", "negative resolution"],
)
def test_bad_balls_are_refused(bad):
    with pytest.raises(ValueError, match=r"balls without|must be above"):
        make_balls([Ball(0.1), bad])


def test_columns_of_unequal_length_are_refused():
    balls = make_balls(session(0.1, 0, 0))
    with pytest.raises(ValueError, match="equally long"):
        replace(balls, error_m=balls.error_m[1:])


@few
@given(st.lists(hit, max_size=40))
def test_the_forms_equal_a_slow_count(balls):
    expected = []
    for series, number in sorted({(ball.series, ball.session) for ball in balls}):
        of_it = [ball for ball in balls if (ball.series, ball.session) == (series, number)]
        n = len(of_it)
        mean_q2 = max(sum(ball.q**2 for ball in of_it) / n, 1e-6)
        floor_q2 = max(sum((ball.resolution_m / ball.target_m) ** 2 for ball in of_it) / 12 / n, 1e-6)
        bias = (float(special.digamma(n / 2)) - log(n / 2)) / 2
        expected.append((series, 3 * number, n, max(log(sqrt(mean_q2)) - bias, log(sqrt(floor_q2)))))
    forms = session_forms(make_balls(balls))
    columns = (forms.series.tolist(), forms.day.tolist(), forms.n.tolist(), forms.log_rmse.tolist())
    actual = list(zip(*columns, strict=True))
    assert [row[:3] for row in actual] == [row[:3] for row in expected]
    assert [row[3] for row in actual] == pytest.approx([row[3] for row in expected], rel=1e-9)


@few
@given(st.lists(hit, min_size=1, max_size=40), st.randoms(use_true_random=False))
def test_neither_the_order_nor_the_side_nor_the_unit_of_the_balls_changes_a_form(balls, random):
    shuffled = random.sample(balls, len(balls))
    in_yards = [
        replace(ball, q=-ball.q, target_m=ball.target_m / YARD_M, resolution_m=ball.resolution_m / YARD_M)
        for ball in shuffled
    ]
    forms, others = session_forms(make_balls(balls)), session_forms(make_balls(in_yards))
    assert forms.day.tolist() == others.day.tolist()
    assert forms.log_rmse.tolist() == pytest.approx(others.log_rmse.tolist(), rel=1e-9)
