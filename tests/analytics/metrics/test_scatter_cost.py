"""What a metre of scatter costs."""

import numpy as np
import pytest
from scipy import special, stats

from analytics.metrics.putting import M_PER_FT, TOUR_PUTTS, putting_table
from analytics.metrics.scatter_cost import SIDE, putts_after_spread, strokes_per_m


def test_no_spread_leaves_the_first_row_of_the_table():
    assert putts_after_spread(TOUR_PUTTS, np.array([0.0])) == pytest.approx([1.01])


@pytest.mark.parametrize("spread_m", [1.0, 4.0, 12.0])
def test_the_grid_is_the_integral_to_one_percent(spread_m):
    """Against the trapezoid rule (numpy) over the two normal densities of scipy."""
    z = np.linspace(-6, 6, 601)
    putts = TOUR_PUTTS.putts_after(spread_m * np.hypot(z[:, None], SIDE * z))
    along = np.trapezoid(putts * stats.norm.pdf(z), z, axis=1)
    integral = np.trapezoid(along * stats.norm.pdf(z), z)
    assert putts_after_spread(TOUR_PUTTS, np.array([spread_m]))[0] == pytest.approx(integral, rel=1e-2)


def test_where_putts_rise_by_the_foot_a_metre_of_spread_costs_the_mean_leave():
    """A table of 1 + 0.01 putts a foot: a spread of s leaves s x E hypot(z1, 0.7 z2) = 1.0736 s on average (numerical
    integral of the Rice-type mean: sqrt(2 / pi) E(1 - 0.49), E the complete elliptic integral of the second kind)."""
    mean = np.sqrt(2 / np.pi) * special.ellipe(1 - SIDE**2)
    table = putting_table("invented", [(0, 1.0), (400, 5.0)])
    assert strokes_per_m(table, np.array([5.0])) == pytest.approx([0.01 / M_PER_FT * mean], rel=1e-2)


def test_near_the_hole_the_step_does_not_reach_below_zero():
    assert strokes_per_m(TOUR_PUTTS, np.array([0.0, 0.2]))[0] >= 0


def test_far_out_a_metre_costs_less_than_near_where_putts_begin_to_be_missed():
    near, far = strokes_per_m(TOUR_PUTTS, np.array([2.0, 15.0]))
    assert near > far > 0
