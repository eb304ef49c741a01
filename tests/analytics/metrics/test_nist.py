"""The figures of the report against the NIST Statistical Reference Datasets (StRD)."""

from fractions import Fraction
from math import isclose, sqrt

import numpy as np
import pytest

from analytics.metrics.trend import ols_slope

from . import nist
from .shots import Shot, entered, score

SETS = sorted(nist.UNIVARIATE)
# The certified values belong to the decimal data. 1000000.2 and 10000000.2 as floats are off by up to 1e-10 and
# 1e-9, so no float program can be nearer to a spread of 0.1 than about 1e-9 and 1e-8 of it.
DECIMAL_DATA_LOST = {"NumAcc3": 1e-9, "NumAcc4": 2e-8}


@pytest.mark.parametrize("name", SETS)
def test_bias_and_spread_reproduce_the_certified_mean_and_sd(name):
    values, mean, sd = nist.UNIVARIATE[name]
    cell = score(entered(values))
    assert cell.n == len(values)
    assert isclose(cell.bias_m, mean, rel_tol=1e-13)
    assert isclose(cell.spread_m, sd, rel_tol=DECIMAL_DATA_LOST.get(name, 1e-12))


@pytest.mark.parametrize("name", SETS)
def test_bias_and_spread_equal_exact_arithmetic_on_the_same_floats(name):
    values = nist.UNIVARIATE[name][0]
    exact = [Fraction(value) for value in values]
    mean = sum(exact) / len(exact)
    variance = sum((value - mean) ** 2 for value in exact) / (len(exact) - 1)
    cell = score(entered(values))
    assert isclose(cell.bias_m, float(mean), rel_tol=1e-14)
    assert isclose(cell.spread_m, sqrt(variance), rel_tol=1e-13)


def test_errors_from_target_and_carry_reproduce_the_certified_values_too():
    values, mean, sd = nist.UNIVARIATE["Lew"]
    cell = score([Shot(target_m=1000.0, carry_m=1000.0 + value) for value in values])
    assert isclose(cell.bias_m, mean, rel_tol=1e-13)
    assert isclose(cell.spread_m, sd, rel_tol=1e-13)


@pytest.mark.parametrize("name", SETS)
def test_stock_carry_reproduces_the_certified_mean(name):
    values, mean, _ = nist.UNIVARIATE[name]
    cell = score([Shot(carry_m=value) for value in values])
    assert cell.n_carry == len(values)
    assert isclose(cell.carry_mean_m, mean, rel_tol=1e-13)


def test_the_line_of_the_trend_reproduces_the_certified_slope_of_norris():
    line = ols_slope(np.array(nist.NORRIS_X), np.array(nist.NORRIS_Y))
    assert isclose(line.slope, nist.NORRIS_SLOPE, rel_tol=1e-13)
    assert isclose(line.se, nist.NORRIS_SLOPE_SE, rel_tol=1e-11)


@pytest.mark.parametrize("regressor", range(6))
def test_the_line_of_the_trend_one_regressor_after_another_reproduces_the_certified_slopes_of_longley(regressor):
    """The product fits lines only; a line through what lines on all other regressors leave is the partial slope
    (Frisch and Waugh, Econometrica 1:387-401, 1933). Seven parameters are fitted in all, two in the line."""
    employed, *others = np.array(nist.LONGLEY, dtype=float).T
    chosen = others.pop(regressor)
    while others:
        by = others.pop()
        employed, chosen, *others = (
            values - ols_slope(by, values).slope * by for values in (employed, chosen, *others)
        )
    line, n = ols_slope(chosen, employed), len(employed)
    assert isclose(line.slope, nist.LONGLEY_SLOPES[regressor], rel_tol=1e-10)
    assert isclose(line.se * sqrt((n - 2) / (n - 7)), nist.LONGLEY_SLOPE_SES[regressor], rel_tol=1e-10)
