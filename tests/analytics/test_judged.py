"""Cells judged together: from rows to pooled figures, and the mishits that are suspected."""

import numpy as np
import pytest
from django.utils import timezone
from scipy import stats

from analytics.frames import player_shots
from analytics.judged import judge
from analytics.metrics.pooling import draw_posterior, summary
from analytics.pages.dashboard import player_dashboard
from analytics.pages.judged import judged_page
from analytics.reports import full_report
from practice.sessions.models import EyeGuess
from tests.make import make_academy, make_club, make_player, make_range, make_shot

pytestmark = pytest.mark.django_db


@pytest.fixture
def player():
    return make_player(make_academy(), "Pat Moor")


@pytest.fixture
def venue(player):
    return make_range(player.academy)


def log(club, venue, errors_m, *, target_m=50.0, **values):
    values = {"measured_by": "laser", "swing": "9:00", **values}
    for error_m in errors_m:
        make_shot(club, venue, target_m=target_m, carry_m=target_m + error_m, **values)


ERRORS_M = ([-3.0, 1.0, 4.0, -2.0, 0.5], [2.0, 6.0, 1.0, 3.0], [-1.0, -4.0, 2.0])
TARGETS_M = (40.0, 50.0, 60.0)


def test_cells_are_pooled_in_percent_of_the_target_and_said_in_metres_at_their_mean_target(player, venue):
    for label, target_m, errors_m in zip(("50", "54", "58"), TARGETS_M, ERRORS_M, strict=True):
        log(make_club(player, label, loft_deg=float(label)), venue, errors_m, target_m=target_m)
    judged = judge(player_shots(player)).cells

    pct = [100 * np.array(errors_m) / target_m for target_m, errors_m in zip(TARGETS_M, ERRORS_M, strict=True)]
    n = np.array([len(cell) for cell in pct])
    means, spreads = np.array([cell.mean() for cell in pct]), np.array([cell.std(ddof=1) for cell in pct])
    by_hand = summary(draw_posterior(n, means, spreads, rng=np.random.default_rng(1), draws=20_000), n)
    for cell, target_m, size, bias, rmse in zip(judged, TARGETS_M, n, by_hand.bias, by_hand.rmse, strict=True):
        assert (cell.n, cell.target_m) == (size, target_m)
        # Other draws of the same posterior: equal to the error of 2,000 draws.
        assert cell.bias_pct.value == pytest.approx(bias.value, abs=0.4)
        assert cell.rmse_pct.value == pytest.approx(rmse.value, rel=0.1)
        assert cell.bias_m.value == pytest.approx(cell.bias_pct.value * target_m / 100)
        assert cell.distance_only


def test_the_same_shots_give_the_same_draws(player, venue):
    log(make_club(player), venue, ERRORS_M[0], lateral_m=1.0)
    found = player_shots(player)
    assert judge(found) == judge(found)


def test_by_eye_cells_lend_nothing_to_measured_ones(player, venue):
    club = make_club(player)
    log(club, venue, ERRORS_M[0])
    alone = judge(player_shots(player)).cells[0]
    log(club, venue, [20.0, -20.0, 10.0], measured_by="eye")
    [measured, by_eye] = judge(player_shots(player)).cells
    assert measured == alone
    assert by_eye.n == 3


def test_lateral_errors_make_the_miss_two_dimensional(player, venue):
    club = make_club(player)
    for n, error_m in enumerate(ERRORS_M[0]):
        log(club, venue, [error_m], lateral_m=float(n - 2))
    [cell] = judge(player_shots(player)).cells
    assert not cell.distance_only
    assert 0 < cell.within_pct.ci95[0] < cell.within_pct.value < cell.within_pct.ci95[1] < 100


def test_a_wild_ball_is_suspected_beside_the_flag_and_changes_no_raw_figure(player, venue):
    club = make_club(player)
    log(club, venue, [-1.0, 0.5, 1.0, -0.5, 0.0, 0.8, -0.7, -25.0])
    report = full_report(player)
    [cell] = report["cells"]
    assert (cell["mishits"], cell["n"]) == (0, 8)
    assert (cell["suspected"]["mishits"], cell["suspected"]["n"]) == (1, 7)
    assert cell["suspected"]["spread_m"] < 1.0 < cell["spread_m"]


def test_the_mishit_rate_counts_the_players_own_flags_over_all_range_balls(player, venue):
    club = make_club(player)
    log(club, venue, [1.0] * 9)
    log(club, venue, [-20.0], contact="fat")
    report = full_report(player)
    assert report["mishit_rate_pct"] == 10.0
    low, high = report["mishit_rate_ci95_pct"]
    assert 0 < low < 10.0 < high < 50.0


def test_a_cell_without_a_ball_at_a_known_target_is_judged_by_nothing(player, venue):
    club = make_club(player)
    make_shot(club, venue, swing="full", target_m=None, carry_m=80.0, measured_by="laser")
    log(club, venue, ERRORS_M[0])
    report = full_report(player)
    assert [(cell["swing"], cell["pooled"] is None) for cell in report["cells"]] == [("9:00", False), ("full", True)]


def test_identical_balls_are_told_apart_by_nothing_and_give_no_pooled_figure(player, venue):
    log(make_club(player), venue, [1.0, 1.0, 1.0])
    assert full_report(player)["cells"][0]["pooled"] is None


def test_the_page_shows_good_balls_all_balls_and_the_players_eye(player, venue):
    club = make_club(player)
    log(club, venue, [-1.0, 0.5, 1.0, -0.5, 0.0, 0.8, -0.7])
    log(club, venue, [-20.0], contact="fat")
    EyeGuess.objects.create(
        player=player, guess_m=45.0, measured_m=50.0, guessed_at=timezone.now(), received_at=timezone.now()
    )
    page = judged_page(player)
    [row] = page.rows
    unit = player.shown_unit
    errors = np.array([-1.0, 0.5, 1.0, -0.5, 0.0, 0.8, -0.7])
    assert row.own_scatter[0] == unit.show(errors.std(ddof=1), digits=1)
    assert row.all_balls == unit.show(np.sqrt(np.mean(np.append(errors, -20.0) ** 2)), digits=1)
    [pooled] = [cell["pooled"] for cell in full_report(player)["cells"]]
    assert row.spread[0] == unit.show(pooled["spread_m"], digits=1)
    assert row.median_miss[0] == unit.show(pooled["median_miss_m"], digits=1)
    assert page.mishit_sentence.startswith("1 of 8 range balls were mishits: 12 %")
    assert page.eye_sentence.startswith("Distance by eye: guessed 10 % short")


def test_a_suspect_is_named_beside_its_club_and_by_eye_balls_with_the_zone_they_were_judged_in(player, venue):
    errors_m = [0.0, 5.0, -5.0, 5.0, 0.0, -5.0, 0.0, 5.0, -30.0]
    log(make_club(player), venue, errors_m, measured_by="eye", resolution_m=4.572)
    log(make_club(player, "52"), venue, [0.0] * 4, measured_by="eye", resolution_m=4.572)
    page = judged_page(player)
    assert sorted(row.mishits for row in page.rows) == ["", "1 more looks like a mishit"]
    assert sorted(row.own_scatter[1] for row in page.rows)[-1] == "finer than measured"
    zone = player.shown_unit.show(4.572)
    assert page.resolution_sentence.startswith(f"Balls by eye were judged in zones of up to {zone}:")


def test_a_scatter_is_withheld_where_a_fifth_of_the_balls_are_mishits(player, venue):
    club = make_club(player)
    log(club, venue, [-1.0, 0.5, 1.0, -0.5])
    log(club, venue, [-20.0], contact="fat")
    assert judged_page(player).rows[0].own_scatter == ("–", "too many mishits")


@pytest.mark.parametrize(
    ("errors_m", "contact"),
    [([-1.0, 0.5, 1.0, -0.5], "fat"), ([-1.0, 0.5, 1.0, -0.5], "")],
    ids=["flagged", "suspected"],
)
def test_the_dashboard_withholds_a_scatter_by_the_same_rule(player, venue, errors_m, contact):
    club = make_club(player)
    log(club, venue, errors_m)
    log(club, venue, [-20.0], contact=contact)
    [judged], [row] = judged_page(player).rows, player_dashboard(player).rows
    assert judged.own_scatter == ("–", "too many mishits")
    assert (row.spread, row.spread_range) == ("too many mishits", "")
    assert row.suspects == judged.mishits == ("" if contact else "1 more looks like a mishit")
    log(club, venue, [0.2, -0.2])
    [judged], [row] = judged_page(player).rows, player_dashboard(player).rows
    assert judged.own_scatter[0] != "–"
    assert row.spread_range != ""


def test_of_two_good_balls_both_pages_say_too_few_whatever_the_share_of_mishits(player, venue):
    club = make_club(player)
    log(club, venue, [-1.0, 0.5])
    log(club, venue, [-20.0], contact="fat")
    assert judged_page(player).rows[0].own_scatter == ("–", "too few good shots")
    assert player_dashboard(player).rows[0].spread == "too few balls (2 of 3)"


NEAR_M = [-2.0, 2.7, 2.8, -9.0]
"""Two within 3 yards (2.7432 m) and two beyond."""


def test_the_own_share_within_the_radius_stands_beside_the_pooled_chance_with_wilsons_interval(player, venue):
    club = make_club(player)
    log(club, venue, NEAR_M)
    log(club, venue, [0.0], contact="fat")
    [row], [cell] = judged_page(player).rows, full_report(player)["cells"]
    bounds = stats.binomtest(2, 4).proportion_ci(method="wilson")
    assert row.own_near == ("2 of 4", f"{100 * bounds.low:.0f} to {100 * bounds.high:.0f} %")
    near = cell["near"]
    assert (near["radius_m"], near["within"], near["n"], near["within_pct"]) == (3 * 0.9144, 2, 4, 50.0)
    assert near["within_ci95_pct"] == pytest.approx((100 * bounds.low, 100 * bounds.high))


def test_a_ball_that_strayed_is_not_within_and_one_whose_straying_is_unknown_does_not_count(player, venue):
    club = make_club(player)
    log(club, venue, [-2.0, 2.7], lateral_m=0.0)
    log(club, venue, [-1.0, 1.5], lateral_m=4.0)
    log(club, venue, [0.5])
    log(make_club(player, "52"), venue, [0.5, -0.5])
    rows = {row.name: row.own_near for row in judged_page(player).rows}
    assert rows["56, half (9:00)"][0] == "2 of 4"
    assert rows["52, half (9:00)"] == ("–", "no sideways miss known")
    shares = {cell["club"]: cell["near"] for cell in full_report(player)["cells"]}
    assert (shares["52"]["n"], shares["52"]["within_pct"], shares["52"]["within_ci95_pct"]) == (0, None, None)
