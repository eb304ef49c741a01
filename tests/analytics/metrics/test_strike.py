import math

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy import stats

from analytics.metrics.strike import (
    IN_ONE_LINE,
    MAKE_MORE,
    TOO_FEW,
    OffSpot,
    centre_scale,
    consistency,
    mark_moments,
    mark_on_picture,
    next_mark_scale,
    off_spot,
    squared_distance,
    strike_pattern,
)

FIVE = np.array([[3, 4], [-3, -4], [4, -3], [-4, 3], [0, 0]], dtype=float)
few = settings(max_examples=60, deadline=None)


def pattern(marks):
    low_high_mm, heel_toe_mm = np.asarray(marks, dtype=float).reshape(-1, 2).T
    return strike_pattern(low_high_mm, heel_toe_mm)


def marks_of(centre, covariance, n):
    """N marks with exactly this mean and covariance (divisor n - 1)."""
    z = np.random.default_rng(n).normal(size=(n, 2))
    z -= z.mean(axis=0)
    z = z @ np.linalg.inv(np.linalg.cholesky(np.cov(z.T))).T
    return centre + z @ np.linalg.cholesky(covariance).T


@st.composite
def patterns(draw):
    """Marks to a tenth of a millimetre that make a pattern, neither narrow nor flat."""
    tenths = st.tuples(st.integers(-300, 300), st.integers(-300, 300))
    marks = np.array(draw(st.lists(tenths, min_size=3, max_size=12, unique=True))) / 10
    assume(np.linalg.eigvalsh(np.cov(marks.T))[0] > 0.05)
    return marks


def test_the_centre_region_is_hotelling_s_as_in_a_textbook():
    # Johnson & Wichern, Applied Multivariate Statistical Analysis, examples 5.1 and 5.2 (from memory):
    # x = (6, 9), (10, 6), (8, 3), mu = (9, 5): mean (8, 6), S = [[4, -3], [-3, 9]], T^2 = 7/9 of 4 F(2, 1).
    centre, covariance = mark_moments(np.array([[6, 9], [10, 6], [8, 3]], dtype=float))
    assert centre.tolist() == [8, 6]
    assert covariance.tolist() == [[4, -3], [-3, 9]]
    assert 3 * squared_distance(np.array([9, 5]) - centre, covariance) == pytest.approx(7 / 9, rel=1e-12)
    assert 3 * centre_scale(3) == pytest.approx(4 * stats.f.ppf(0.95, 2, 1), rel=1e-12)


def test_the_axes_of_the_centre_region_as_in_a_textbook():
    # Johnson & Wichern, example 5.3 (from memory), 42 microwave ovens: mean (.564, .603), S as below, bound 6.62 for
    # n times the squared distance (with F(.95; 2, 40) cut to 3.23), half axes .064 and .018 (with its eigenvalue .0028
    # cut to .002), long axis along (.704, .710). Here in units of 1/100.
    covariance = np.array([[144, 117], [117, 146]])
    region = pattern(marks_of([56.4, 60.3], covariance, 42)).centre_region
    assert 42 * centre_scale(42) == pytest.approx(6.62, abs=0.01)
    assert region.long_mm == pytest.approx(6.4, abs=0.05)
    assert region.short_mm * math.sqrt(0.0020 / 0.0028) == pytest.approx(1.8, abs=0.05)
    assert region.angle_deg == pytest.approx(math.degrees(math.atan2(0.704, 0.710)), abs=0.05)
    assert region.holds(56.2, 58.9)
    assert not region.holds(60.3, 56.4)


# 95 % points of F with 2 and n - 2 degrees of freedom, any table.
F_95 = [(3, 199.50), (4, 19.000), (5, 9.5521), (7, 5.7861), (10, 4.4590), (20, 3.5546), (32, 3.3158)]


@pytest.mark.parametrize(("n", "f"), F_95)
def test_a_small_sample_widens_the_ellipse_of_the_next_mark(n, f):
    assert next_mark_scale(n) == pytest.approx(2 * (n - 1) * (n + 1) / (n * (n - 2)) * f, rel=5e-5)
    assert next_mark_scale(n) == pytest.approx(2 * (n**2 - 1) / (n * (n - 2)) * stats.f.ppf(0.95, 2, n - 2), rel=1e-12)


def test_a_spot_is_judged_by_hotelling_s_test():
    # Johnson & Wichern, example 5.3 (from memory): (.562, .589) lies inside the region of the mean of the 42 ovens
    # (.564, .603). In units of 1/100.
    covariance = np.array([[144, 117], [117, 146]])
    ovens = pattern(marks_of([56.4, 60.3], covariance, 42))
    assert off_spot(ovens, (56.2, 58.9)) == OffSpot(pytest.approx((0.2, 1.4), abs=1e-9), "inside")
    assert off_spot(ovens, (60.3, 56.4)).verdict == "outside"


@given(patterns(), st.tuples(st.floats(-30, 30), st.floats(-30, 30)))
@few
def test_outside_is_what_the_f_test_refuses_and_under_five_marks_inside_says_nothing(marks, spot):
    n, found = len(marks), off_spot(pattern(marks), spot)
    offset = marks.mean(axis=0) - spot
    t2 = n * offset @ np.linalg.inv(np.cov(marks.T)) @ offset
    p_value = stats.f.sf((n - 2) / (2 * (n - 1)) * t2, 2, n - 2)
    assume(abs(p_value - 0.05) > 1e-6)
    inside = "inside" if n >= 5 else "can't tell"
    assert found.verdict == ("outside" if p_value < 0.05 else inside)
    assert found.offset_mm == pytest.approx(tuple(offset), abs=1e-9)


def test_both_scales_go_to_chi_square_of_two_degrees():
    # 95 % point of chi-square with 2 degrees of freedom: 5.991465, any table.
    n = 10**7
    assert next_mark_scale(n) == pytest.approx(5.991465, rel=1e-6)
    assert n * centre_scale(n) == pytest.approx(5.991465, rel=1e-6)


def test_five_marks_worked_by_hand():
    # Four marks 5 mm from the centre and one on it: mean distance 4, SD sqrt(5), both times sqrt(5/4); s/m / sqrt(5) is
    # 1/4, t(.975, 4) = 2.776445. S is 12.5 in both directions, the ellipses are circles: F(.95; 2, 3) = 9.552094.
    found = pattern(np.add(FIVE, [1, 2]))
    assert (found.n, found.centre_mm, found.advice) == (5, (1, 2), None)
    assert found.spread_mm == pytest.approx((math.sqrt(12.5),) * 2)
    assert found.consistency_mm == pytest.approx(4 * math.sqrt(1.25))
    factor = math.exp(2.776445 / 4)
    assert found.consistency_ci95_mm == pytest.approx(
        (4 * math.sqrt(1.25) / factor, 4 * math.sqrt(1.25) * factor), rel=1e-6
    )
    assert found.next_mark.long_mm == pytest.approx(math.sqrt(12.5 * 48 / 15 * 9.552094), rel=1e-6)
    assert found.next_mark.short_mm == pytest.approx(found.next_mark.long_mm)
    assert found.centre_region.long_mm == pytest.approx(found.next_mark.long_mm / math.sqrt(6))


@pytest.mark.parametrize(
    ("marks", "angle_deg"),
    [
        ([(0, -9), (0, 9), (1, 0), (-1, 0)], 0),
        ([(-9, 0), (9, 0), (0, 1), (0, -1)], 90),
        ([(-9, -9), (9, 9), (1, -1), (-1, 1)], 45),
        ([(9, -9), (-9, 9), (1, 1), (-1, -1)], -45),
    ],
    ids=["heel to toe", "low to high", "low heel to high toe", "high heel to low toe"],
)
def test_the_angle_says_how_the_pattern_lies_on_the_face(marks, angle_deg):
    assert pattern(marks).next_mark.angle_deg == pytest.approx(angle_deg, abs=1e-9)


def test_a_picture_shows_the_toe_on_the_left_for_a_right_hander_only():
    assert mark_on_picture(2, 5, left_handed=False) == (2, -5)
    assert mark_on_picture(2, 5, left_handed=True) == (2, 5)


@pytest.mark.parametrize(
    ("marks", "message"),
    [
        ([], TOO_FEW),
        ([(0, 1)], TOO_FEW),
        ([(0, 1), (2, 0)], TOO_FEW),
        ([(1.3, 2.7)] * 6, IN_ONE_LINE),
        ([(2, -4), (2, 0), (2, 7)], IN_ONE_LINE),
        ([(0.1 * i, 0.3 * i + 0.7) for i in range(9)], IN_ONE_LINE),
        ([(np.nan, 1), (1, np.nan), (0, 1), (2, 0)], TOO_FEW),
    ],
    ids=["none", "one", "two", "one spot", "one height", "oblique line", "only two known"],
)
def test_no_pattern_is_a_message_and_not_a_number(marks, message):
    assert pattern(marks) == message


@pytest.mark.parametrize(("n", "advice"), [(3, MAKE_MORE), (4, MAKE_MORE), (5, None)])
def test_under_five_marks_the_advice_is_to_make_more(n, advice):
    assert pattern(marks_of([0, 0], np.eye(2), n)).advice is advice


def test_a_shot_without_both_coordinates_counts_as_no_mark():
    assert pattern([*FIVE, (np.nan, 1), (1, np.nan), (np.nan, np.nan)]) == pattern(FIVE)


def test_equal_distances_give_an_interval_without_width():
    found = pattern([(1, 1), (1, -1), (-1, 1), (-1, -1)])
    assert found.consistency_ci95_mm == pytest.approx((math.sqrt(8 / 3),) * 2)


@given(patterns(), st.tuples(st.floats(-40, 40), st.floats(-40, 40)))
@few
def test_an_ellipse_holds_what_its_quadratic_form_holds(marks, spot):
    found = pattern(marks)
    inverse = np.linalg.inv(np.cov(marks.T))
    offset = np.array(spot) - marks.mean(axis=0)
    for ellipse, scale in ((found.centre_region, centre_scale(found.n)), (found.next_mark, next_mark_scale(found.n))):
        share = offset @ inverse @ offset / scale
        assume(abs(share - 1) > 1e-6)
        assert ellipse.holds(*spot) == (share < 1)


def ellipse_matrix(ellipse):
    """The symmetric matrix of an ellipse: its outline maps as A matrix A' when the plane maps by A."""
    angle = math.radians(ellipse.angle_deg)
    axes = np.array([[math.sin(angle), math.cos(angle)], [math.cos(angle), -math.sin(angle)]])
    return axes @ np.diag([ellipse.long_mm**2, ellipse.short_mm**2]) @ axes.T


@given(patterns(), st.lists(st.integers(-20, 20), min_size=6, max_size=6))
@few
def test_ellipses_follow_every_affine_map_of_the_face(marks, numbers):
    matrix, shift = np.array(numbers[:4]).reshape(2, 2) / 10, np.array(numbers[4:])
    assume(abs(np.linalg.det(matrix)) > 0.1)
    found, mapped = pattern(marks), pattern(marks @ matrix.T + shift)
    assert mapped.centre_mm == pytest.approx(matrix @ found.centre_mm + shift, abs=1e-9)
    for name in ("centre_region", "next_mark"):
        before, after = ellipse_matrix(getattr(found, name)), ellipse_matrix(getattr(mapped, name))
        expected = matrix @ before @ matrix.T
        assert after == pytest.approx(expected, rel=1e-6, abs=1e-6 * np.abs(expected).max())


@given(patterns(), st.integers(0, 359), st.floats(0.5, 2), st.booleans())
@few
def test_consistency_scales_with_the_unit_and_ignores_turns_mirrors_and_shifts(marks, turn_deg, unit, mirrored):
    angle = math.radians(turn_deg)
    turn = np.array([[math.cos(angle), -math.sin(angle)], [math.sin(angle), math.cos(angle)]])
    moved = unit * (marks * ([1, -1] if mirrored else [1, 1])) @ turn.T + [3, -7]
    before, after = (np.array(consistency(each)) for each in (marks, moved))
    assert after == pytest.approx(unit * before, rel=1e-8)


@given(patterns())
@few
def test_a_left_hander_s_pattern_is_the_mirror_image_and_the_order_of_marks_does_not_matter(marks):
    found, mirrored = pattern(marks), pattern((marks * [1, -1])[::-1])
    assert mirrored.centre_mm == pytest.approx((found.centre_mm[0], -found.centre_mm[1]), abs=1e-9)
    assert mirrored.spread_mm == pytest.approx(found.spread_mm)
    assert mirrored.consistency_ci95_mm == pytest.approx(found.consistency_ci95_mm)
    assert mirrored.next_mark.long_mm == pytest.approx(found.next_mark.long_mm)
    assert math.sin(math.radians(2 * mirrored.next_mark.angle_deg)) * (
        found.next_mark.long_mm - found.next_mark.short_mm
    ) == pytest.approx(
        -math.sin(math.radians(2 * found.next_mark.angle_deg)) * (found.next_mark.long_mm - found.next_mark.short_mm),
        abs=1e-6,
    )


@given(patterns())
@few
def test_consistency_equals_the_slow_computation(marks):
    n = len(marks)
    middle = [sum(mark[i] for mark in marks) / n for i in (0, 1)]
    distances = [math.dist(mark, middle) * math.sqrt(n / (n - 1)) for mark in marks]
    mean = sum(distances) / n
    s = math.sqrt(sum((distance - mean) ** 2 for distance in distances) / (n - 1))
    factor = math.exp(stats.t.ppf(0.975, n - 1) * s / math.sqrt(n) / mean)
    assert [float(end) for end in consistency(marks)] == pytest.approx([mean, mean / factor, mean * factor], rel=1e-9)


def test_many_patterns_at_once_are_those_patterns_one_by_one():
    many = np.random.default_rng(5).normal(size=(4, 7, 2))
    centre, covariance = mark_moments(many)
    for i, marks in enumerate(many):
        assert centre[i] == pytest.approx(marks.mean(axis=0))
        assert covariance[i] == pytest.approx(np.cov(marks.T))
        assert [each[i] for each in consistency(many)] == pytest.approx([float(each) for each in consistency(marks)])
