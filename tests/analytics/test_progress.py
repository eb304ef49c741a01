"""The page on progress: which balls it follows, in which series, and what it says of them."""

from datetime import date, timedelta

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from analytics.pages.progress import progress_page
from analytics.progress import LEAST_DAY_SD, effort, player_progress
from analytics.target_balls import target_balls
from practice.clubs.models import ClubSetup, SetupReason
from practice.drills.actions import add_default_drills
from tests.make import local, make_academy, make_club, make_player, make_range, make_shot, make_staff

pytestmark = pytest.mark.django_db
FIRST = date(2026, 3, 2)


@pytest.fixture
def player():
    academy = make_academy(distance_unit="m")
    add_default_drills(academy)
    make_range(academy)
    return make_player(academy, "Pat Moor")


@pytest.fixture
def club(player):
    return make_club(player)


def log(club, errors_m, *, day, **values):
    """Log a ball at 55 m for each error, that many days after the first of them."""
    values = {"measured_by": "laser", "fresh": True, **values}
    hit_at = local(FIRST.year, FIRST.month, FIRST.day) + timedelta(days=day)
    for error_m in errors_m:
        make_shot(
            club, club.player.academy.venues.get(), hit_at=hit_at, target_m=55.0, carry_m=55.0 + error_m, **values
        )


def log_visits(club, sizes_m, **values):
    """Log a visit a week, six balls each, all off by that size."""
    for week, size_m in enumerate(sizes_m):
        log(club, [size_m, -size_m] * 3, day=7 * week, **values)


def page_of(player, **asked):
    return progress_page(player, **{"balls_a_week": 60, "visits_a_week": 2, **asked})


@pytest.mark.parametrize(
    "values",
    [
        {"fresh": False},
        {"helped": True},
        {"warm_up": True},
        {"contact": "fat"},
        {"distance_is": "finish"},
        {"setting": "course"},
        {"deleted": True},
    ],
)
def test_repeats_helped_warm_up_mishit_and_course_balls_are_not_followed(player, club, values):
    log(club, [1.0, 2.0], day=0)
    log(club, [9.0], day=0, **values)
    every, by_cell = target_balls(player)
    assert every.balls.error_m.tolist() == by_cell.balls.error_m.tolist() == [1.0, 2.0]


def test_a_ball_that_nobody_called_a_repeat_is_followed(player, club):
    log(club, [1.0], day=0, fresh=None)
    assert len(target_balls(player)[0].balls.error_m) == 1


def test_by_eye_balls_and_balls_after_a_bend_are_series_of_their_own(player, club):
    log(club, [1.0], day=0)
    log(club, [1.0], day=0, measured_by="eye", resolution_m=5.0)
    ClubSetup.objects.create(club=club, loft_deg=54.0, valid_from=FIRST + timedelta(days=10), reason=SetupReason.BENT)
    log(club, [1.0], day=12)
    every, by_cell = target_balls(player)
    assert [(series.by, series.since) for series in every.series] == [
        ("measured", None),
        ("eye", None),
        ("measured", FIRST + timedelta(days=10)),
    ]
    assert {(series.club, series.swing) for series in by_cell.series} == {("56", "feel")}
    assert every.balls.resolution_m.tolist() == [0.0, 5.0, 0.0]


def test_shrinking_errors_are_said_in_the_players_unit_with_their_bounds(player, club):
    log_visits(club, [6.0 * 0.9**week for week in range(10)])
    [line] = page_of(player).lines
    assert line.certainty == "sure"
    # Every ball of a visit is off by the same size, so the typical error is that size at 55 m, freed of the bias of
    # n = 6: the factor exp(-(psi(3) - ln 3) / 2) = 1.0919 of the log-RMSE's definition.
    first, last = 6.0 * 1.0919, 6.0 * 0.9**9 * 1.0919
    assert f"went from {first:.1f} to {last:.1f} m at 55 m, over 10 visits" in line.sentence
    assert line.sentence.endswith("This is sure: tighter.")


def test_a_player_who_stays_the_same_is_told_that_nothing_can_be_told(player, club):
    log_visits(club, [4.0, 5.0, 4.2, 4.9, 4.1, 5.1, 4.4, 4.8])
    page = page_of(player)
    assert [line.certainty for line in page.lines] == ["can't tell"]
    assert page.headline.endswith("can't tell yet whether this is changing.")


def test_under_six_visits_nothing_can_be_told_whatever_they_show(player, club):
    log_visits(club, [8.0, 6.0, 4.0, 2.0, 1.0])
    assert [line.certainty for line in page_of(player).lines] == ["can't tell"]


def test_a_lasting_jump_leaves_the_limits_and_is_named_with_its_date(player, club):
    steady = [4.0, 4.4, 3.8, 4.1, 4.3, 3.9, 4.2, 4.0]
    log_visits(club, [*steady, *[9.0] * 8])
    page = page_of(player)
    assert "left the limits" in page.watch_sentence
    assert any("wider since" in alarm for alarm in page.alarms)


def test_by_eye_balls_raise_no_alarm(player, club):
    log_visits(club, [*[4.0, 4.4, 3.8, 4.1, 4.3] * 2, *[12.0] * 8], measured_by="eye")
    assert "Nothing is watched yet" in page_of(player).watch_sentence


def test_more_work_shows_smaller_improvements_and_too_few_balls_show_none(player, club):
    found = player_progress(player)
    few, many = (effort(found, balls_a_week=balls, visits_a_week=2) for balls in (20, 200))
    assert dict(many.smallest_pct)[8] < dict(few.smallest_pct)[8]
    assert {pct for _, pct in effort(found, balls_a_week=4, visits_a_week=2).smallest_pct} == {None}


def test_hopes_rest_on_the_least_variation_of_a_day_where_the_players_own_seems_none(player, club):
    log_visits(club, [4.0] * 8)
    work = effort(player_progress(player), balls_a_week=60, visits_a_week=2)
    assert (work.day_sd, work.day_sd_is) == (LEAST_DAY_SD, "least")


def test_a_player_without_balls_gets_a_page_that_says_there_is_nothing_to_follow(player):
    page = page_of(player)
    assert "nothing to follow" in page.headline
    assert page.lines == page.alarms == ()


def client_of(player):
    client = Client()
    client.force_login(make_staff(player.academy))
    return client


@pytest.mark.parametrize("asked", [{"balls": "0"}, {"balls": "x"}, {"visits": "8"}, {"balls": "99999"}])
def test_an_impossible_week_is_told_beside_its_field(player, asked):
    response = client_of(player).get(reverse("analytics:progress", args=[player.pk]), asked)
    assert response.status_code == 422
    assert "errorlist" in response.content.decode()


def test_htmx_gets_the_answer_about_work_only(player):
    address = reverse("analytics:progress", args=[player.pk])
    html = client_of(player).get(address, {"balls": "80"}, headers={"HX-Request": "true"}).content.decode()
    assert html.strip().startswith('<div id="effort">')
    assert "With 80 balls at targets a week in 2 visits" in html
    assert 'name="balls" value="80"' in html
    assert 'name="visits" value="2"' in html


def test_the_dashboard_gets_the_headline_alone(player, club):
    client = client_of(player)
    dashboard = client.get(reverse("analytics:dashboard", args=[player.pk])).content.decode()
    address = reverse("analytics:progress", args=[player.pk])
    assert f'id="progress-headline" hx-get="{address}" hx-trigger="load"' in dashboard
    headers = {"HX-Request": "true", "HX-Target": "progress-headline"}
    html = client.get(address, headers=headers).content.decode()
    assert html.strip() == f'<p class="says" id="progress-headline">{page_of(player).headline}</p>'


def test_the_page_asks_the_database_as_often_for_many_balls_as_for_few(player, club):
    client, address = client_of(player), reverse("analytics:progress", args=[player.pk])

    def queries():
        with CaptureQueriesContext(connection) as asked:
            assert client.get(address).status_code == 200
        return len(asked)

    log(club, [1.0], day=0)
    few = queries()
    log_visits(club, [3.0] * 6)
    assert queries() == few
