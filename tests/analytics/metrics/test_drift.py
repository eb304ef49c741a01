"""Drift of stock carries, on simulated clubs whose truth is known; a t interval of all balls stands beside it."""

import numpy as np
import pytest
from scipy import stats

from analytics.metrics.drift import carry_drift

VISITS, LATEST, SWINGS, BALLS = 8, 3, 4, 3
DAY_SD, BALL_SD = 0.02, 0.05
CLUBS = 600


def season(rng, drift=0.0, visits=VISITS, latest=LATEST):
    """Return balls of one club: every visit has its day, every swing its carry; the latest visits have drifted."""
    visit, swing, _ = (each.ravel() for each in np.indices((visits, SWINGS, BALLS)))
    now = visit >= visits - latest
    log_m = np.log(60.0) + 0.2 * swing + rng.normal(0, DAY_SD, visits)[visit] + rng.normal(0, BALL_SD, visit.size)
    return visit, swing, np.exp(log_m + now * np.log1p(drift)), now


def by_balls(visit, swing, carry_m, now):
    """The naive interval: as if each ball were a visit of its own."""
    log_m = np.log(carry_m) - 0.2 * swing
    return stats.ttest_ind(log_m[now], log_m[~now]).pvalue < 0.05


def test_a_club_that_does_not_drift_is_called_drifted_once_in_twenty_at_most_and_by_balls_far_oftener():
    rng = np.random.default_rng(6)
    seasons = [season(rng) for _ in range(CLUBS)]
    found = [carry_drift(*each) for each in seasons]
    outside = np.mean([not drift.ci95_pct[0] <= 0 <= drift.ci95_pct[1] for drift in found])
    assert 0.03 < outside < 0.07
    assert np.mean([drift.verdict == "drifted" for drift in found]) < 0.07
    assert np.mean([by_balls(*each) for each in seasons]) > 0.20


@pytest.mark.parametrize(("visits", "latest"), [(8, 3), (16, 6)])
def test_a_drift_of_five_percent_is_found_as_often_as_the_noncentral_t_says(visits, latest):
    """Power of the two-sample t test, by scipy: 64 % with 8 visits, 95 % with 16."""
    rng = np.random.default_rng(7)
    found = [carry_drift(*season(rng, 0.05, visits, latest)) for _ in range(CLUBS)]
    visit_sd = np.hypot(DAY_SD, BALL_SD / np.sqrt(SWINGS * BALLS))
    shift = np.log(1.05) / (visit_sd * np.sqrt(1 / latest + 1 / (visits - latest)))
    power = stats.nct.sf(stats.t.ppf(0.975, visits - 2), visits - 2, shift)
    assert np.mean([drift.verdict == "drifted" for drift in found]) == pytest.approx(power, abs=0.05)
    assert 0.93 < np.mean([drift.ci95_pct[0] <= 5 <= drift.ci95_pct[1] for drift in found]) < 0.97
    assert np.mean([drift.pct for drift in found]) == pytest.approx(5.0, abs=0.2)


def test_four_clubs_together_raise_one_false_alarm_in_twenty_bags_at_most():
    rng = np.random.default_rng(8)
    alarms = [any(carry_drift(*season(rng), clubs=4).verdict == "drifted" for _ in range(4)) for _ in range(CLUBS // 2)]
    assert np.mean(alarms) < 0.08


def test_the_interval_is_the_pooled_t_interval_of_the_visits():
    visit, swing, carry_m, now = season(np.random.default_rng(9), 0.04)
    of_visit = np.array([(np.log(carry_m) - 0.2 * swing)[visit == one].mean() for one in range(VISITS)])
    expected = stats.ttest_ind(of_visit[-LATEST:], of_visit[:-LATEST]).confidence_interval(0.95)
    drift = carry_drift(visit, swing, carry_m, now)
    assert drift.ci95_pct == pytest.approx((100 * np.expm1(expected.low), 100 * np.expm1(expected.high)))
    assert (drift.visits_before, drift.visits_now) == (VISITS - LATEST, LATEST)


def test_one_latest_visit_is_enough_and_two_earlier_ones_are_not():
    carries_m = [60.0, 60.3, 59.8, 60.1, 66.0]
    one = carry_drift(range(5), [0] * 5, carries_m, [False] * 4 + [True])
    assert one.verdict == "drifted"
    few = carry_drift(range(3), [0] * 3, carries_m[-3:], [False, False, True])
    assert (few.verdict, few.pct) == ("can't tell", None)


def test_a_longer_swing_that_is_new_is_no_drift():
    visits, swings = [0, 1, 2, 3, 4, 4], [0, 0, 0, 0, 0, 1]
    drift = carry_drift(visits, swings, [60.0, 60.3, 59.8, 60.1, 60.0, 90.0], [False] * 4 + [True] * 2)
    assert drift.verdict == "steady"
    assert carry_drift([0, 1], [0, 1], [60.0, 90.0], [False, True]).pct is None
