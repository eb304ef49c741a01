import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import integrate, special, stats

from analytics.metrics import pooling
from analytics.metrics.intervals import mean_interval, spread_interval
from analytics.metrics.pooling import (
    CellPosterior,
    draw_posterior,
    integrate_mu,
    log_evidence_of_variances,
    pooled_cells,
)

few = settings(max_examples=25, deadline=None)


def pool(n, mean, s, *, seed=1, draws=4000):
    rng = np.random.default_rng(seed)
    return pooled_cells(np.array(n), np.array(mean, dtype=float), np.array(s, dtype=float), rng=rng, draws=draws)


# Batting averages of 18 players after 45 at-bats and over the rest of the season: Efron and Morris, J. Am. Stat. Assoc.
# 70:311-319 (1975), table 1, and Sci. Am. 236(5):119-127 (1977).
HITS45 = np.array([18, 17, 16, 15, 14, 14, 13, 12, 11, 11, 10, 10, 10, 10, 10, 9, 8, 7])
P_REST = (
    np.array(
        [346, 298, 276, 222, 273, 270, 263, 210, 269, 230, 264, 256, 303, 264, 226, 285, 316, 200],
        dtype=float,
    )
    / 1000
)
SHRUNK = [0.29391, 0.28921, 0.28451, 0.27980, 0.27510, 0.27510, 0.27040, 0.26569, 0.26099, 0.26099]
SHRUNK += [0.25629] * 5 + [0.25158, 0.24688, 0.24218]
ARCSINE_SHRUNK = [-2.906, -2.970, -3.034, -3.100, -3.167, -3.167, -3.235, -3.304, -3.376, -3.376]
ARCSINE_SHRUNK += [-3.449] * 5 + [-3.526, -3.605, -3.689]


def shrunk(y: np.ndarray, v: float, *, mu_known: bool = False) -> tuple[float, float, np.ndarray]:
    """Mean, share kept of each deviation, and estimates, under Efron and Morris's flat prior of v + tau^2 on (0, inf).

    Under that prior v / (v + tau^2) has the mean (k - 3) v / S if mu is integrated, and (k - 2) v / S if it is not.
    """
    total = np.exp(np.linspace(np.log(v) - 6, np.log(v) + 12, 40_001))  # v + tau^2, evenly in its log
    log_evidence, centre, variance_of_mu = integrate_mu(y, np.full(len(y), v), total[:, None] - v)
    if mu_known:
        log_evidence = log_evidence - np.log(variance_of_mu) / 2
    weight = np.exp(log_evidence - log_evidence.max()) * total
    kept = float(1 - (weight * v / total).sum() / weight.sum())
    return float(centre[0]), kept, centre[0] + kept * (y - centre[0])


def test_efron_and_morris_batting_averages_are_shrunk_as_printed():
    y = HITS45 / 45
    mean, kept, estimates = shrunk(y, y.mean() * (1 - y.mean()) / 45)
    assert mean == pytest.approx(0.2654320988, abs=1e-10)  # printed .265
    assert kept == pytest.approx(0.2116534171, abs=1e-6)  # printed .212
    assert estimates == pytest.approx(SHRUNK, abs=6e-6)


def test_from_averages_of_three_decimals_they_are_the_printed_ones():
    y = np.round(HITS45 / 45, 3)
    _, kept, estimates = shrunk(y, y.mean() * (1 - y.mean()) / 45)
    assert kept == pytest.approx(0.2123905, abs=1e-6)
    assert np.round(estimates, 3).tolist() == (
        [0.294, 0.289, 0.285, 0.280, 0.275, 0.275, 0.270, 0.266, 0.261, 0.261] + [0.256] * 5 + [0.252, 0.247, 0.242]
    )


def test_shrinking_more_than_halves_the_error_against_the_rest_of_the_season():
    y = HITS45 / 45
    _, _, estimates = shrunk(y, y.mean() * (1 - y.mean()) / 45)
    raw, pooled, one_for_all = (((guess - P_REST) ** 2).sum() for guess in (y, estimates, y.mean()))
    assert raw == pytest.approx(0.0753170, abs=1e-6)  # printed .077 and .022, from three decimals
    assert pooled == pytest.approx(0.0213069, abs=1e-6)
    assert raw / pooled == pytest.approx(3.5349, abs=2e-4)
    assert one_for_all == pytest.approx(0.0242555, abs=1e-6)


def test_the_arcsine_version_of_1975_is_shrunk_as_printed():
    def arcsine(p):
        return np.sqrt(45) * np.arcsin(2 * p - 1)

    x, truth = arcsine(HITS45 / 45), arcsine(P_REST)
    _, kept, estimates = shrunk(x, 1.0)
    assert ((x - x.mean()) ** 2).sum() == pytest.approx(18.962720, abs=1e-6)
    assert kept == pytest.approx(0.2089742, abs=1e-6)
    assert estimates == pytest.approx(ARCSINE_SHRUNK, abs=5.1e-4)
    assert ((x - truth) ** 2).sum() == pytest.approx(17.5707, abs=2e-4)  # printed 17.56
    assert ((estimates - truth) ** 2).sum() == pytest.approx(4.9989, abs=2e-4)  # printed 5.01


def test_forgetting_that_the_mean_is_estimated_too_would_keep_too_little():
    y = HITS45 / 45
    _, kept, _ = shrunk(y, y.mean() * (1 - y.mean()) / 45, mu_known=True)
    assert kept == pytest.approx(0.15910, abs=1e-5)  # k - 2 in place of k - 3


def test_the_evidence_of_the_means_is_the_integral_over_mu():
    mean, v = np.array([1.0, -2.0, 4.0]), np.array([0.5, 2.0, 1.0])

    def log_integral(tau_2):
        def likelihood(mu):
            return stats.norm(mu, np.sqrt(v + tau_2)).pdf(mean).prod()

        return np.log(integrate.quad(likelihood, -40, 40, points=[0, 2], epsabs=0, limit=200)[0])

    tau_2 = np.array([0.01, 1.0, 9.0])
    found, _, _ = integrate_mu(mean, v, tau_2[:, None])
    expected = np.array([log_integral(value) for value in tau_2])
    assert found - found[0] == pytest.approx(expected - expected[0], rel=1e-7)


def test_the_evidence_of_the_spreads_is_the_scaled_f_distribution():
    # Smyth (2004): s^2 / s0^2 ~ F(df, d0).
    df, s2 = np.array([2.0, 4.0, 9.0]), np.array([3.0, 20.0, 11.0])
    grid = [(2.0, 5.0), (8.0, 16.0), (150.0, 9.0)]
    found = np.array([log_evidence_of_variances(df, df * s2, d0, s0_2) for d0, s0_2 in grid])
    expected = np.array([(stats.f(df, d0).logpdf(s2 / s0_2) - np.log(s0_2)).sum() for d0, s0_2 in grid])
    assert found - found[0] == pytest.approx(expected - expected[0], rel=1e-9)


def weighted_quantiles(values: np.ndarray, weights: np.ndarray) -> np.ndarray:
    order = np.argsort(values)
    return np.interp([0.025, 0.5, 0.975], np.cumsum(weights[order]) / weights.sum(), values[order])


def test_the_spreads_are_those_of_plain_importance_sampling():
    n, s = np.array([4, 6, 9]), np.array([2.0, 5.0, 3.5])
    rng, df = np.random.default_rng(3), n - 1
    d0 = rng.choice(pooling.D0, 400_000, p=special.softmax(pooling.D0_LOG_PRIOR))[:, None]
    s0_2 = np.exp(rng.uniform(np.log(12) - 4, np.log(12) + 4, (400_000, 1)))
    variance = d0 * s0_2 / rng.chisquare(d0, (400_000, 3))
    weights = (stats.chi2(df).pdf(df * s**2 / variance) / variance).prod(axis=1)
    posterior = draw_posterior(n, np.zeros(3), s, rng=rng, draws=40_000)
    for cell in range(3):
        expected = weighted_quantiles(np.sqrt(variance[:, cell]), weights)
        assert np.quantile(posterior.spread[:, cell], [0.025, 0.5, 0.975]) == pytest.approx(expected, rel=0.05)


def test_the_biases_are_those_of_plain_importance_sampling():
    n, mean, s = np.full(4, 1000), np.array([1.0, -0.3, 0.4, 2.5]), np.full(4, 30.0)  # so that sigma is known: 30
    rng, v = np.random.default_rng(4), 30.0**2 / 1000
    tau = 30 * pooling.TAU_OVER_SPREAD[rng.integers(0, len(pooling.TAU_OVER_SPREAD), 400_000)][:, None]
    mu = rng.uniform(-15, 15, (400_000, 1))
    weights = stats.norm(mu, np.sqrt(v + tau**2)).pdf(mean).prod(axis=1)
    keep = tau**2 / (v + tau**2)
    theta = mu + keep * (mean - mu) + tau * np.sqrt(1 - keep) * rng.standard_normal((400_000, 4))
    posterior = draw_posterior(n, mean, s, rng=rng, draws=40_000)
    for cell in range(4):
        expected = weighted_quantiles(theta[:, cell], weights)
        assert np.quantile(posterior.bias[:, cell], [0.025, 0.5, 0.975]) == pytest.approx(expected, abs=0.06)


def test_many_balls_speak_for_themselves():
    cells = pool([10_000, 10_000], [3.0, -2.0], [4.0, 8.0])
    assert [figure.value for figure in cells.bias] == pytest.approx([3, -2], abs=0.05)
    assert [figure.value for figure in cells.spread] == pytest.approx([4, 8], rel=0.01)
    assert [figure.value for figure in cells.rmse] == pytest.approx([5, 68**0.5], rel=0.01)
    assert cells.spread[0].ci95 == pytest.approx(spread_interval(10_000, 4.0), rel=0.005)


def test_one_cell_alone_has_nearly_its_raw_intervals():
    cells = pool([8], [3.0], [4.0], draws=40_000)
    assert cells.bias[0].ci95 == pytest.approx(mean_interval(8, 3.0, 4.0), abs=0.35)
    assert cells.spread[0].ci95 == pytest.approx(spread_interval(8, 4.0), rel=0.06)


def test_the_cell_that_looks_worst_is_drawn_to_the_others_and_its_interval_is_narrower_than_its_own():
    n, mean, s = [5] * 8, [0, 1, -1, 0.5, -0.5, 1, -1, 6], [4.0] * 8
    worst = pool(n, mean, s).bias[-1]
    low, high = mean_interval(5, 6, 4.0)
    assert 0 < worst.value < 4
    assert worst.ci95[1] - worst.ci95[0] < 0.8 * (high - low)


def test_a_lucky_tight_cell_is_not_believed():
    tight = pool([5] * 8, [0] * 8, [4.0, 5, 3, 4, 5, 3, 4, 0.3]).spread[-1]
    assert 1 < tight.value < 4
    assert tight.ci95[1] > 3


def test_a_cell_of_one_ball_has_the_spread_that_is_usual_for_the_player():
    cells = pool([20] * 6 + [1], [0.0] * 6 + [2.0], [4.0] * 6 + [np.nan])
    assert cells.spread[-1].value == pytest.approx(4, rel=0.1)
    assert cells.spread[-1].ci95[1] - cells.spread[-1].ci95[0] > cells.spread[0].ci95[1] - cells.spread[0].ci95[0]


def test_a_cell_without_a_ball_has_no_figures_and_leaves_the_others_alone():
    with_empty = pool([9, 0, 9], [1.0, np.nan, -1.0], [4.0, np.nan, 5.0], draws=40_000)
    without = pool([9, 9], [1.0, -1.0], [4.0, 5.0], draws=40_000)
    assert with_empty.bias[1] is with_empty.spread[1] is with_empty.rmse[1] is None
    for figure in ("bias", "spread", "rmse"):
        kept = [getattr(with_empty, figure)[cell] for cell in (0, 2)]
        for found, expected in zip(kept, getattr(without, figure), strict=True):
            assert found.ci95 == pytest.approx(expected.ci95, abs=0.15)


@pytest.mark.parametrize(
    ("case", "n", "s"),
    [
        ("no cells", [], []),
        ("no balls", [0], [np.nan]),
        ("one ball each", [1, 1], [np.nan] * 2),
        ("equal", [5, 5], [0, 0]),
    ],
)
def test_without_any_spread_nothing_is_pooled(case, n, s):
    assert pool(n, [1.0] * len(n), s) is None


def test_a_cell_of_equal_balls_among_others_gets_a_finite_spread():
    cells = pool([5, 5, 5], [1.0, 2.0, 1.0], [4.0, 0.0, 5.0])
    assert 0 < cells.spread[1].ci95[0] < cells.spread[1].value < 4


def test_equal_means_and_spreads_give_finite_figures():
    cells = pool([5] * 4, [2.0] * 4, [3.0] * 4)
    assert all(np.isfinite(figure.ci95).all() and figure.value == pytest.approx(2, abs=0.2) for figure in cells.bias)


def test_the_same_generator_gives_the_same_figures():
    shots = ([5, 7], [1.0, 2.0], [3.0, 4.0])
    assert pool(*shots).bias == pool(*shots).bias
    assert pool(*shots, seed=2).bias != pool(*shots).bias


def test_the_rmse_is_bias_and_spread_together_and_metres_follow_from_percent():
    percent = CellPosterior(np.array([[3.0, 6.0]]), np.array([[4.0, 8.0]]))
    assert percent.rmse.tolist() == [[5, 10]]
    metres = percent.times(np.array([60.0, 40.0]) / 100)
    assert metres.bias == pytest.approx(np.array([[1.8, 2.4]]))
    assert metres.rmse == pytest.approx(np.array([[3, 4]]))


players = st.lists(
    st.tuples(st.integers(2, 12), st.integers(-80, 80).map(lambda x: x / 10), st.integers(1, 90).map(lambda x: x / 10)),
    min_size=1,
    max_size=6,
)


def draws_of(player, *, factor=1.0, shift=0.0):
    n, mean, s = map(np.array, zip(*player, strict=True))
    rng = np.random.default_rng(5)
    return draw_posterior(n, factor * (mean + shift), factor * s, rng=rng, draws=400)


@given(players)
@few
def test_another_unit_scales_every_draw(player):
    metres, doubled = draws_of(player), draws_of(player, factor=2)
    np.testing.assert_allclose(doubled.bias, 2 * metres.bias, rtol=1e-9, atol=1e-9)
    np.testing.assert_allclose(doubled.spread, 2 * metres.spread, rtol=1e-9)


@given(players, st.integers(-500, 500))
@few
def test_moving_every_mean_moves_the_biases_and_not_the_spreads(player, metres):
    before, after = draws_of(player), draws_of(player, shift=metres)
    np.testing.assert_allclose(after.bias, before.bias + metres, rtol=1e-9, atol=1e-9)
    np.testing.assert_allclose(after.spread, before.spread, rtol=1e-12)


def test_mirrored_and_reordered_cells_have_mirrored_and_reordered_figures():
    n, mean, s = [5, 9, 7], [3.0, -1.0, 0.5], [4.0, 3.0, 6.0]
    one = pool(n, mean, s, draws=60_000)
    other = pool(n[::-1], [-value for value in mean[::-1]], s[::-1], seed=2, draws=60_000)
    for figure, mirrored in zip(one.bias, other.bias[::-1], strict=True):
        assert figure.value == pytest.approx(-mirrored.value, abs=0.05)
        assert figure.ci95 == pytest.approx((-mirrored.ci95[1], -mirrored.ci95[0]), abs=0.15)
    assert [f.value for f in one.spread] == pytest.approx([f.value for f in other.spread[::-1]], rel=0.02)
