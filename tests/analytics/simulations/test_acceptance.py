import pytest

from .harness import STANDARD_ERRORS, all_lines


@pytest.mark.parametrize("line", all_lines(), ids=str)
def test_the_method_reaches_its_line_and_the_naive_one_does_not(line):
    value, mc_se = line.small(line.run)
    assert line.reached(value, STANDARD_ERRORS * mc_se), f"{value:.4g} ± {mc_se:.2g} not in {line.low} to {line.high}"
    value, mc_se = line.small(line.naive)
    assert line.missed(value, mc_se), f"naive {value:.4g} ± {mc_se:.2g} does not miss {line.low} to {line.high}"
