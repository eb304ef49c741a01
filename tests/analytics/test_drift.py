"""Drift read from a player's stock balls, and what a coach is told of it."""

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from analytics.drift import bag_drift, drift_words, suspects
from practice.clubs.models import ClubSetup
from tests import make
from tests.analytics.stock_balls import hit
from tests.practice.litany import make_cast

pytestmark = pytest.mark.django_db
DAYS = (110, 90, 70, 50)
"""Days ago of the earlier visits."""


@pytest.fixture
def cast():
    return make_cast()


@pytest.fixture
def venue(cast):
    return make.make_range(cast.academy)


@pytest.fixture
def club(cast):
    return make.make_club(cast.player)


def ago(days):
    return timezone.now() - timedelta(days=days)


def season(club, venue, *, lately=66.0, days=(10, 3), **values):
    """Hit a test on each earlier day, about 60 m, and on each of the latest ones."""
    for n, day in enumerate(DAYS):
        hit(club, venue, [59.5 + 0.3 * n, 60.0], days_ago=day, **values)
    for n, day in enumerate(days):
        hit(club, venue, [lately, lately + 0.3 * n], days_ago=day, **values)


def test_a_club_that_flies_farther_lately_is_told_with_where_to_look(cast, club, venue):
    season(club, venue)
    season(make.make_club(cast.player, "52", loft_deg=52.0), venue, lately=60.0)
    found = bag_drift(cast.player)
    assert [(each.club, each.drift.verdict) for each in found] == [("52", "steady"), ("56", "drifted")]
    (words,) = drift_words(found)
    assert words.startswith("The stock carries of 56 have drifted +10 % (+")
    assert "the latest 2 of 6 visits" in words
    page = cast.client("coach").get(reverse("clubs:review", args=[cast.player.pk])).content.decode()
    assert words in page
    assert "the tee line: laser it again; the ball; the wind; the loft: read it" in page


def test_growth_is_a_suspect_of_juniors_only_and_stands_before_the_loft(cast):
    assert not any("growth" in each for each in suspects(cast.player))
    cast.player.is_junior = True
    *_, growth, loft = suspects(cast.player)
    assert (growth.split(":")[0], loft) == ("growth", "the loft: read it")


def test_without_a_visit_lately_the_last_one_counts_as_the_latest(cast, club, venue):
    season(club, venue, days=(40,))
    drift = bag_drift(cast.player)[0].drift
    assert (drift.visits_before, drift.visits_now, drift.verdict) == (4, 1, "drifted")


def test_a_bend_starts_anew(cast, club, venue):
    ClubSetup.objects.create(club=club, loft_deg=54.0, valid_from=ago(30).date(), reason="bent")
    season(club, venue)
    drift = bag_drift(cast.player)[0].drift
    assert (drift.visits_before, drift.visits_now, drift.pct) == (0, 0, None)


def test_balls_at_targets_in_a_strong_wind_and_of_the_rarer_kind_of_ball_tell_nothing(cast, club, venue):
    season(club, venue, lately=60.0)
    for values in ({"wind": "windy"}, {"target_m": 70.0}, {"ball_type": "own"}):
        hit(club, venue, [70.0, 71.0], days_ago=2, **values)
    drift = bag_drift(cast.player)[0].drift
    assert (drift.visits_now, drift.verdict) == (2, "steady")


def test_a_player_without_stock_balls_has_nothing_to_tell(cast, club):
    assert bag_drift(cast.player) == []
