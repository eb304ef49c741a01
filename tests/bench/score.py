"""Scoring shots, against the sums of numpy's bincount that any such score needs."""

from collections.abc import Iterator

import numpy as np

from analytics.metrics.cells import ShotColumns, score_cells
from analytics.metrics.moments import group_moments, group_rms
from analytics.metrics.trend import session_sums
from tests.bench.ratio import Ratio, computed, side_by_side

SHOTS_A_SESSION = 50


def shots(count: int, cells: int) -> ShotColumns:
    """Return invented shots at targets, in the order of their sessions, one in twenty a mishit.

    Without lateral errors, so that no medians are computed: those need sorting, which no bincount replaces.
    """
    chance = np.random.default_rng(1)
    session = np.arange(count) // SHOTS_A_SESSION
    # A player has 16 cells (four clubs, four swings), and a session is one player's.
    players = cells // 16
    cell = (session * players // (session[-1] + 1)) * 16 + chance.integers(0, 16, count)
    target_m = chance.uniform(20, 90, count)
    nothing = np.full(count, np.nan)
    return ShotColumns(
        cell=cell,
        session=session,
        day=739_000 + session,
        mishit=chance.random(count) < 0.05,
        stock=np.zeros(count, dtype=bool),
        target_m=target_m,
        carry_m=target_m * chance.normal(1.0, 0.08, count),
        error_m=nothing,
        lateral_m=nothing,
    )


def bare_sums(columns: ShotColumns, cells: int) -> tuple:
    """Return n, mean and two-pass SD of each cell, the RMS with mishits, and each session's n and sum of q squared."""
    error_m = columns.carry_m - columns.target_m
    n_all = np.bincount(columns.cell, minlength=cells)
    rmse_all_m = np.sqrt(np.bincount(columns.cell, error_m * error_m, cells) / n_all)
    counted = ~columns.mishit
    cell, session, scored_m = columns.cell[counted], columns.session[counted], error_m[counted]
    n = np.bincount(cell, minlength=cells)
    mean_m = np.bincount(cell, scored_m, cells) / n
    deviation_m = scored_m - mean_m[cell]
    sd_m = np.sqrt(np.bincount(cell, deviation_m * deviation_m, cells) / (n - 1))
    q = scored_m / columns.target_m[counted]
    pair = session * 16 + cell % 16
    return n, mean_m, sd_m, rmse_all_m, np.bincount(pair), np.bincount(pair, q * q)


def our_sums(columns: ShotColumns, cells: int) -> tuple:
    """Return the same sums by the functions that the report uses: without intervals, trends and medians."""
    scored = columns.scored()
    return (
        group_moments(scored.cell, scored.error_m, cells),
        group_rms(columns.cell, columns.carry_m - columns.target_m, cells),
        session_sums(scored, cells),
    )


def measure(*, quick: bool) -> Iterator[Ratio]:
    for count, cells, goal in ((4_000, 16, None), (1_000_000, 3_200, 1.5)):
        columns = shots(count, cells)
        rounds = (10 if quick else 40) if count > 100_000 else 200
        bare = computed(lambda columns=columns, cells=cells: bare_sums(columns, cells))
        for what, ours, its_goal in (("sums of", our_sums, goal), ("whole scores of", score_cells, None)):
            yield side_by_side(
                f"{what} {count:,} shots in {cells:,} cells, no medians : numpy's bincounts",
                computed(lambda columns=columns, cells=cells, ours=ours: ours(columns, cells)),
                bare,
                goal=its_goal,
                rounds=rounds,
            )
