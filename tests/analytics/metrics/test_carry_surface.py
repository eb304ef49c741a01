from dataclasses import replace
from math import exp, log

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from analytics.metrics import log_carry
from analytics.metrics.carry_surface import SurfaceCell, fit_carry_surface, leave_one_club_out

SWINGS = ("7:30", "9:00", "10:30", "full")
# Carries (m) of one player from a flight model of our own, lofts 45 to 60
CARRIES_M = {
    45.0: [39.0, 66.0, 89.4, 110.9],
    50.0: [34.9, 58.8, 79.7, 99.5],
    55.0: [30.1, 50.7, 69.2, 87.2],
    60.0: [25.1, 42.4, 58.4, 74.6],
}
BAG = [
    SurfaceCell(f"{loft:g}", loft, swing, 10, mean_m, 0.05)
    for loft, row in CARRIES_M.items()
    for swing, mean_m in zip(SWINGS, row, strict=True)
]


def width(carry):
    return log(carry.ci95_m[1] / carry.ci95_m[0])


def slow_log_carry(cells, swings, club, loft_deg, swing):
    """Mean and sd of log carry by conditioning one joint normal, pair of taus by pair, in plain loops."""
    z = np.array([log(cell.mean_m) for cell in cells])
    points = [(cell.club, cell.loft_deg, cell.swing) for cell in cells] + [(club, loft_deg, swing)]
    results = []
    for tau_club in log_carry.CLUB_SDS:
        for tau_cell in log_carry.CELL_SDS:
            mean, cov = np.empty(len(points)), np.empty((len(points), len(points)))
            for i, (club_i, loft_i, swing_i) in enumerate(points):
                x = loft_i - 52.5
                mean[i] = z.mean() - 0.030 * x - 0.0005 * x**2
                for j, (club_j, loft_j, swing_j) in enumerate(points):
                    y = loft_j - 52.5
                    cov[i, j] = 0.006**2 * x * y + 0.0005**2 * x**2 * y**2
                    cov[i, j] += (9 + 0.002**2 * x * y) * (swing_i == swing_j)
                    cov[i, j] += tau_club**2 * (club_i == club_j)
                    cov[i, j] += tau_cell**2 * (club_i == club_j and swing_i == swing_j)
            seen = cov[:-1, :-1] + np.diag([cell.cv**2 / cell.n for cell in cells])
            off = z - mean[:-1]
            log_weight = -0.5 * (np.linalg.slogdet(seen)[1] + off @ np.linalg.solve(seen, off))
            gain = np.linalg.solve(seen, cov[:-1, -1])
            results.append((log_weight, mean[-1] + gain @ off, cov[-1, -1] - gain @ cov[:-1, -1]))
    weight = np.exp([r[0] - max(r[0] for r in results) for r in results])
    weight /= weight.sum()
    average = sum(w * r[1] for w, r in zip(weight, results, strict=True))
    return average, sum(w * (r[2] + (r[1] - average) ** 2) for w, r in zip(weight, results, strict=True)) ** 0.5


def check_against_slow(carry, slow):
    mean, sd = slow
    assert log(carry.carry_m) == pytest.approx(mean, rel=1e-9)
    assert width(carry) == pytest.approx(2 * 1.959963984540054 * sd, rel=1e-6)


@pytest.mark.parametrize("seed", range(5))
def test_predictions_equal_conditioning_a_joint_normal_by_hand(seed):
    rng = np.random.default_rng(seed)
    cells = [
        replace(cell, n=int(rng.integers(1, 20)), mean_m=cell.mean_m * exp(rng.normal(0, 0.05)))
        for cell in BAG
        if rng.random() < 0.7
    ]
    surface = fit_carry_surface(cells, SWINGS)
    club, swing = cells[0].club, cells[-1].swing
    check_against_slow(
        surface.predict(club, swing), slow_log_carry(cells, SWINGS, club, surface.lofts_deg[club], swing)
    )
    check_against_slow(surface.bent(club, 47.0)[swing], slow_log_carry(cells, SWINGS, club, 47.0, swing))
    check_against_slow(surface.new_club(57.5, swing), slow_log_carry(cells, SWINGS, None, 57.5, swing))


def test_a_cell_is_drawn_from_its_raw_mean_towards_the_others():
    odd = [
        replace(cell, mean_m=cell.mean_m * 1.05) if (cell.club, cell.swing) == ("50", "9:00") else cell for cell in BAG
    ]
    carry = fit_carry_surface(odd, SWINGS).predict("50", "9:00")
    assert 58.8 < carry.carry_m < 58.8 * 1.05
    assert carry.ci95_m[0] < carry.carry_m < carry.ci95_m[1]


def test_cells_are_named_measured_thinly_measured_and_not_measured():
    balls = {"9:00": 5, "full": 4}
    kept = [cell for cell in BAG if (cell.club, cell.swing) != ("60", "full")]
    cells = [replace(cell, n=balls.get(cell.swing, 10)) for cell in kept]
    surface = fit_carry_surface(cells, SWINGS)
    found = [surface.predict("55", "9:00"), surface.predict("55", "full"), surface.predict("60", "full")]
    assert [(carry.basis, carry.n) for carry in found] == [
        ("measured", 5),
        ("thinly measured", 4),
        ("not measured", 0),
    ]
    assert width(found[0]) < width(found[1]) < width(found[2])
    assert found[2].carry_m == pytest.approx(74.6, rel=0.03)


def test_a_bend_moves_the_carry_by_about_three_percent_a_degree_and_keeps_what_sets_the_club_apart():
    short = [replace(cell, mean_m=cell.mean_m * 0.94) if cell.club == "50" else cell for cell in BAG]
    surface = fit_carry_surface(short, SWINGS)
    for swing in SWINGS:
        now, bent = surface.predict("50", swing), surface.bent("50", 52.0)[swing]
        assert -0.08 < log(bent.carry_m / now.carry_m) < -0.04
        assert bent.carry_m < surface.new_club(52.0, swing).carry_m


def test_a_bend_to_the_same_loft_changes_nothing():
    surface = fit_carry_surface(BAG, SWINGS)
    assert surface.bent("55", 55.0)["full"] == surface.predict("55", "full")


def test_a_club_not_owned_is_known_less_well_than_one_bent_to_that_loft():
    surface = fit_carry_surface(BAG, SWINGS)
    new, bent = surface.new_club(56.0, "full"), surface.bent("55", 56.0)["full"]
    assert width(new) > 1.5 * width(bent)
    assert (new.basis, new.n) == ("not measured", 0)


def test_one_ball_of_one_club_answers_with_a_wide_interval():
    surface = fit_carry_surface([SurfaceCell("52", 52.0, "full", 1, 95.0, 0.07)], SWINGS)
    assert surface.swings == ("full",)
    assert surface.monotone
    owned, new = surface.predict("52", "full"), surface.new_club(60.0, "full")
    assert owned.carry_m == pytest.approx(95, rel=1e-3)
    assert width(owned) > 0.25
    assert width(new) > width(owned)
    assert 65 < new.carry_m < 85


def test_one_swing_of_two_clubs_answers():
    surface = fit_carry_surface([cell for cell in BAG if cell.swing == "9:00" and cell.club in ("45", "60")], SWINGS)
    assert surface.new_club(52.5, "9:00").carry_m == pytest.approx(55, rel=0.05)


def test_a_swing_without_a_ball_and_a_club_without_a_ball_are_not_answered():
    surface = fit_carry_surface([cell for cell in BAG if cell.swing != "full"], SWINGS)
    with pytest.raises(KeyError):
        surface.predict("45", "full")
    with pytest.raises(KeyError):
        surface.new_club(50.0, "full")
    with pytest.raises(KeyError):
        surface.bent("48", 49.0)


def test_equal_balls_are_taken_as_exact_only_up_to_the_clubs_own_effects():
    surface = fit_carry_surface([replace(cell, cv=0.0) for cell in BAG], SWINGS)
    assert surface.predict("45", "full").carry_m == pytest.approx(110.9, rel=1e-3)
    assert width(surface.bent("45", 46.0)["full"]) > 0.001


def test_swings_that_contradict_their_order_are_flagged():
    swapped = {"9:00": "10:30", "10:30": "9:00"}
    cells = [replace(cell, swing=swapped.get(cell.swing, cell.swing)) for cell in BAG]
    assert fit_carry_surface(BAG, SWINGS).monotone
    assert not fit_carry_surface(cells, SWINGS).monotone


def test_lofts_that_contradict_their_order_are_flagged():
    cells = [replace(cell, loft_deg=105 - cell.loft_deg, n=1000, cv=0.001) for cell in BAG]
    assert not fit_carry_surface(cells, SWINGS).monotone


@given(st.permutations(BAG))
@settings(max_examples=15, deadline=None)
def test_the_order_of_the_cells_changes_nothing_at_all(cells):
    surface, again = fit_carry_surface(BAG, SWINGS), fit_carry_surface(cells, SWINGS)
    assert again == surface
    assert again.bent("50", 51.0) == surface.bent("50", 51.0)
    assert again.new_club(47.5, "full") == surface.new_club(47.5, "full")


@given(st.floats(0.2, 5))
@settings(max_examples=15, deadline=None)
def test_another_unit_scales_every_answer(unit):
    surface = fit_carry_surface(BAG, SWINGS)
    scaled = fit_carry_surface([replace(cell, mean_m=cell.mean_m * unit) for cell in BAG], SWINGS)
    one, other = surface.new_club(58.0, "9:00"), scaled.new_club(58.0, "9:00")
    assert (other.carry_m, *other.ci95_m) == pytest.approx([unit * x for x in (one.carry_m, *one.ci95_m)], rel=1e-9)


@given(st.integers(1, 30))
@settings(max_examples=10, deadline=None)
def test_more_balls_narrow_the_interval(n):
    few = fit_carry_surface([replace(cell, n=n) for cell in BAG], SWINGS).predict("50", "9:00")
    many = fit_carry_surface([replace(cell, n=2 * n) for cell in BAG], SWINGS).predict("50", "9:00")
    assert width(many) < width(few)


def test_each_club_is_foretold_from_the_others_beside_the_rule_of_thumb():
    report = leave_one_club_out(BAG, SWINGS)
    assert report.cells == 16
    assert report.surface_rmse_m < 2 < report.rule_rmse_m


def test_the_rule_of_thumb_worked_by_hand():
    # The 54 foretold from the 50 and the other way: 3.5 yards a degree of 100 yards full, half of it at half the carry
    cells = [
        SurfaceCell(club, loft, swing, 10, carry_yd * 0.9144, 0.05)
        for club, loft, row in (("50", 50.0, (60, 120)), ("54", 54.0, (50, 100)))
        for swing, carry_yd in zip(("9:00", "full"), row, strict=True)
    ]
    errors_yd = [50 + 7 - 60, 100 + 14 - 120, 60 - 7 - 50, 120 - 14 - 100]
    expected_m = 0.9144 * np.sqrt(np.mean(np.square(errors_yd)))
    assert leave_one_club_out(cells, SWINGS).rule_rmse_m == pytest.approx(expected_m, rel=1e-12)


def test_one_club_leaves_nothing_to_foretell_it_from():
    assert leave_one_club_out([cell for cell in BAG if cell.club == "50"], SWINGS) is None


@pytest.mark.parametrize(
    ("cells", "fault"),
    [
        ([], "at least one club and swing"),
        ([replace(BAG[0], n=0)], "needs a ball"),
        ([replace(BAG[0], mean_m=0.0)], "mean carry above 0"),
        ([replace(BAG[0], mean_m=float("nan"))], "mean carry above 0"),
        ([replace(BAG[0], cv=float("nan"))], "a cv of 0 or more"),
        ([replace(BAG[0], loft_deg=38.0)], "38 degrees is outside 42 to 64"),
        ([replace(BAG[0], swing="feel")], "feel: not among the swing lengths 7:30, 9:00, 10:30, full"),
        ([BAG[0], BAG[0]], "may come once"),
        ([BAG[0], replace(BAG[1], loft_deg=46.0)], "one loft"),
    ],
)
def test_a_faulty_cell_is_refused_with_its_reason(cells, fault):
    with pytest.raises(ValueError, match=fault):
        fit_carry_surface(cells, SWINGS)


@pytest.mark.parametrize("loft_deg", [41.5, 64.5, float("nan")])
def test_lofts_beyond_the_pitching_clubs_are_refused(loft_deg):
    surface = fit_carry_surface(BAG, SWINGS)
    with pytest.raises(ValueError, match="outside 42 to 64"):
        surface.new_club(loft_deg, "full")
    with pytest.raises(ValueError, match="outside 42 to 64"):
        surface.bent("45", loft_deg)


@pytest.mark.parametrize("swing", SWINGS)
def test_the_slope_equals_that_of_the_surface_by_differences(swing):
    surface, step_deg = fit_carry_surface(BAG, SWINGS), 1e-3
    change = surface.bend_change("55", 55.0 + step_deg)[swing].change_m / step_deg
    back, on = (surface.bent("55", loft)[swing].carry_m for loft in (55.0 - step_deg, 55.0 + step_deg))
    assert change == pytest.approx((on - back) / (2 * step_deg), rel=1e-4)


@pytest.mark.parametrize("loft_deg", [53.0, 54.5, 56.0])
def test_what_a_bend_changes_is_the_difference_of_two_carries_of_the_same_club(loft_deg):
    odd = [replace(cell, mean_m=cell.mean_m * 0.95) if cell.club == "55" else cell for cell in BAG]
    surface = fit_carry_surface(odd, SWINGS)
    for swing, found in surface.bend_change("55", loft_deg).items():
        difference_m = surface.bent("55", loft_deg)[swing].carry_m - surface.predict("55", swing).carry_m
        assert found.change_m == pytest.approx(difference_m, rel=1e-9)
        assert found.ci95_m[0] < found.change_m < found.ci95_m[1]


def test_no_bend_changes_nothing_for_sure():
    found = fit_carry_surface(BAG, SWINGS).bend_change("55", 55.0)["full"]
    assert (found.change_m, found.ci95_m) == (0.0, (0.0, 0.0))


def drawn_log_carries(cells, club, lofts_deg, swing, draws):
    """Log carries of one club at several lofts, drawn together from the posterior, pair of taus by pair of taus."""
    rng, z = np.random.default_rng(6), np.array([log(cell.mean_m) for cell in cells])
    noise = np.diag([cell.cv**2 / cell.n for cell in cells])
    points = [(cell.club, cell.loft_deg, cell.swing) for cell in cells] + [(club, loft, swing) for loft in lofts_deg]
    x = np.array([loft - 52.5 for _, loft, _ in points])
    same_club = np.array([[a[0] == b[0] for b in points] for a in points])
    same_swing = np.array([[a[2] == b[2] for b in points] for a in points])
    mean = z.mean() - 0.030 * x - 0.0005 * x**2
    smooth = 0.006**2 * np.outer(x, x) + 0.0005**2 * np.outer(x**2, x**2)
    smooth = smooth + (9 + 0.002**2 * np.outer(x, x)) * same_swing
    found, log_weight, n = [], [], len(cells)
    for tau_club in log_carry.CLUB_SDS:
        for tau_cell in log_carry.CELL_SDS:
            cov = smooth + tau_club**2 * same_club + tau_cell**2 * (same_club & same_swing)
            seen, off = cov[:n, :n] + noise, z - mean[:n]
            gain = np.linalg.solve(seen, cov[:n, n:]).T
            log_weight.append(-0.5 * (np.linalg.slogdet(seen)[1] + off @ np.linalg.solve(seen, off)))
            # one normal for each coefficient: the lofts share them, so this covariance is all but singular
            values, vectors = np.linalg.eigh(cov[n:, n:] - gain @ cov[:n, n:])
            root = vectors * np.sqrt(np.maximum(values, 0))
            found.append(mean[n:] + gain @ off + rng.normal(size=(draws, len(lofts_deg))) @ root.T)
    weight = np.exp(np.array(log_weight) - max(log_weight))
    taken = rng.choice(len(found), draws, p=weight / weight.sum())
    return np.array(found)[taken, np.arange(draws)]


def test_errors_of_carry_slope_and_bend_equal_those_of_surfaces_drawn_from_the_posterior():
    surface = fit_carry_surface(BAG, SWINGS)
    now, bent, just = np.exp(drawn_log_carries(BAG, "55", [55.0, 57.0, 55.1], "9:00", 100_000)).T
    carry = surface.predict("55", "9:00")
    assert carry.se_m == pytest.approx(now.std(), rel=0.02)
    slopes = (just - now) / 0.1
    assert surface.slope_se_m("55", 55.05, "9:00") == pytest.approx(slopes.std(), rel=0.03)
    # the interval takes the carry of now as known: so each drawn change is put on that carry
    changes = (bent / now - 1) * carry.carry_m
    found = surface.bend_change("55", 57.0)["9:00"]
    assert found.change_m == pytest.approx(np.median(changes), abs=0.01)
    share = np.mean((changes > found.ci95_m[0]) & (changes < found.ci95_m[1]))
    assert share == pytest.approx(0.95, abs=0.006)


def test_a_bend_outside_the_lofts_of_the_surface_is_refused():
    with pytest.raises(ValueError, match="outside 42 to 64"):
        fit_carry_surface(BAG, SWINGS).bend_change("60", 65.0)


def test_a_bend_of_a_club_without_balls_changes_what_the_surface_does_between_the_two_lofts():
    surface = fit_carry_surface(BAG, SWINGS)
    found = surface.new_club_change(57.0, 58.5)
    assert list(found) == list(SWINGS)
    for swing, change in found.items():
        now, then = (surface.new_club(loft, swing).carry_m for loft in (57.0, 58.5))
        assert change.change_m == pytest.approx(then - now, rel=1e-9)
    with pytest.raises(ValueError, match="outside 42 to 64"):
        surface.new_club_change(41.0, 43.0)
