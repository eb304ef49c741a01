"""The dashboard: what it shows, what it holds back, and what it costs."""

from datetime import timedelta

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from analytics.pages.dashboard import player_dashboard
from analytics.reports import full_report
from tests.make import make_academy, make_club, make_player, make_range, make_shot, make_staff

pytestmark = pytest.mark.django_db


@pytest.fixture
def academy():
    return make_academy(distance_unit="m")


@pytest.fixture
def player(academy):
    return make_player(academy, "Pat Moor")


@pytest.fixture
def venue(academy):
    return make_range(academy)


def log(club, venue, errors_m, *, day=0, **values):
    """Log a ball at 50 m for each error."""
    hit_at = timezone.now() - timedelta(days=30 - day)
    values = {"measured_by": "monitor", "swing": "9:00", **values}
    for error_m in errors_m:
        make_shot(club, venue, hit_at=hit_at, target_m=50.0, carry_m=50.0 + error_m, **values)


def page_of(player):
    client = Client()
    client.force_login(make_staff(player.academy))
    return client, reverse("analytics:dashboard", args=[player.pk])


def test_a_row_shows_bias_scatter_and_balls_of_one_club_and_swing(player, venue):
    log(make_club(player), venue, [-3.0, 1.0, 5.0], lateral_m=4.0)
    [row] = player_dashboard(player).rows
    assert (row.club, row.swing, row.by, row.balls) == ("56", "half (9:00)", "measured", "3")
    assert (row.bias, row.spread) == ("long by 1.0 m", "4.0 m")
    assert row.proximity == "5.0 m"


def test_balls_that_read_alike_have_no_scatter_and_no_bounds(player, venue):
    log(make_club(player), venue, [0.0] * 5, measured_by="eye", resolution_m=5.0, lateral_m=0.0)
    [row] = player_dashboard(player).rows
    assert row.proximity == "finer than measured"
    assert (row.bias, row.bias_range) == ("on the number", "")
    assert (row.spread, row.spread_range) == ("finer than measured", "")


def test_stock_balls_alone_make_no_row_but_their_mishits_do(player, venue):
    club = make_club(player)
    make_shot(club, venue, hit_at=timezone.now(), target_m=None, carry_m=50.0, swing="9:00", measured_by="monitor")
    assert player_dashboard(player).rows == ()
    make_shot(
        club,
        venue,
        hit_at=timezone.now(),
        target_m=None,
        carry_m=20.0,
        swing="9:00",
        measured_by="monitor",
        contact="fat",
    )
    [row] = player_dashboard(player).rows
    assert (row.balls, row.mishits) == ("0", "+ 1 mishit")


def test_a_scatter_of_fewer_than_three_balls_is_not_shown_and_the_page_says_why(player, venue):
    log(make_club(player), venue, [-3.0, 1.0])
    [row] = player_dashboard(player).rows
    assert row.spread == "too few balls (2 of 3)"
    assert row.spread_range == row.bias_range == ""


def test_measured_and_by_eye_have_rows_of_their_own_and_by_eye_has_a_caution(player, venue):
    club = make_club(player)
    log(club, venue, [1.0, 1.0, 1.0])
    log(club, venue, [5.0, 5.0, 0.0], measured_by="eye")
    client, address = page_of(player)
    html = client.get(address).content.decode()
    assert [row.by for row in player_dashboard(player).rows] == ["measured", "by eye"]
    assert "By-eye figures are only as fine as the zones" in html


def test_by_eye_figures_carry_the_coarsest_zone_of_their_own_balls(player, venue):
    club = make_club(player)
    log(club, venue, [1.0, 2.0], resolution_m=0.5)
    log(club, venue, [5.0, 5.0], measured_by="eye", resolution_m=5.0)
    log(club, venue, [5.0], measured_by="eye", resolution_m=10.0)
    log(make_club(player, "52", loft_deg=52.0), venue, [5.0], measured_by="eye")
    assert [row.by for row in player_dashboard(player).rows] == ["by eye", "measured", "by eye, to 10 m"]
    client, address = page_of(player)
    assert "by eye, to 10 m" in client.get(address).content.decode()
    assert [cell["resolution_m"] for cell in full_report(player)["cells"]] == [None, None, 10.0]


def test_the_sentence_names_the_club_and_swing_that_is_surest_to_miss_its_number(player, venue):
    log(make_club(player, "52", loft_deg=52.0), venue, [-6.0, -7.0, -5.0, -6.5])
    log(make_club(player), venue, [-4.0, 4.0, 1.0])
    sentence = player_dashboard(player).landing_sentence
    assert sentence.startswith("Surest to miss its number: 52, half (9:00), on average short by 6.1 m")
    assert "over 4 balls" in sentence


def test_the_sentence_says_so_where_no_club_is_clearly_long_or_short(player, venue):
    log(make_club(player), venue, [-4.0, 4.0, 1.0])
    assert "clearly long or short" in player_dashboard(player).landing_sentence


def test_the_trend_says_too_few_until_there_are_six_visits(player, venue):
    club = make_club(player)
    for day in range(5):
        log(club, venue, [3.0, -3.0], day=day)
    assert "too few visits to say. It takes 6" in player_dashboard(player).trend_sentence


def test_a_clear_trend_is_said_with_its_bounds(player, venue):
    club = make_club(player)
    for day in range(8):
        size = 8.0 * 0.93**day
        log(club, venue, [size, -size, size * 1.02, -size * 1.02], day=3 * day)
    sentence = player_dashboard(player).trend_sentence
    assert "distance errors are getting smaller, by about" in sentence
    assert "over 8 visits" in sentence


def test_a_player_without_shots_gets_a_page_that_says_there_is_nothing_yet(player):
    client, address = page_of(player)
    html = client.get(address).content.decode()
    assert "there is nothing to say so far" in html
    assert "No ball has been logged at a known target yet." in html
    assert "data-figure" not in html


def test_another_club_can_be_chosen_and_htmx_gets_the_trend_only(player, venue):
    log(make_club(player, "52", loft_deg=52.0), venue, [1.0, 2.0])
    log(make_club(player), venue, [1.0, 2.0])
    client, address = page_of(player)
    html = client.get(f"{address}?cell=1", headers={"HX-Request": "true"}).content.decode()
    assert html.strip().startswith('<div id="trend">')
    assert "56, half (9:00): too few visits" in html


@pytest.mark.parametrize("cell", ["99", "-1", "x", "²"])
def test_a_club_that_does_not_exist_falls_back_to_the_one_with_most_balls(player, venue, cell):
    log(make_club(player), venue, [1.0, 2.0])
    client, address = page_of(player)
    response = client.get(address, {"cell": cell})
    assert response.status_code == 200
    assert "56, half (9:00): too few visits" in response.content.decode()


def test_the_page_asks_the_database_as_often_for_many_shots_as_for_few(player, venue):
    club = make_club(player)
    log(club, venue, [1.0, 2.0])
    client, address = page_of(player)

    def queries():
        with CaptureQueriesContext(connection) as asked:
            assert client.get(address).status_code == 200
        return len(asked)

    few = queries()
    for number in range(4):
        log(make_club(player, f"W{number}"), venue, [1.0] * 10, day=number)
    assert queries() == few


def test_a_name_with_markup_is_shown_as_text(academy, venue):
    player = make_player(academy, "<b>Pat</b>", slug="pat")
    log(make_club(player, "<i>56"), venue, [1.0, 2.0, 3.0])
    client, address = page_of(player)
    html = client.get(address).content.decode()
    assert "<b>Pat" not in html
    assert "<i>56" not in html


def test_a_row_says_what_balls_to_a_target_above_would_have_done_on_the_level(player, venue):
    log(make_club(player), venue, [-5.0, -4.0, -3.0], elevation_m=3.0)
    [row] = player_dashboard(player).rows
    assert row.bias == "short by 4.0 m"
    assert row.level.startswith("on the level ")
    client, path = page_of(player)
    assert row.level in client.get(path).content.decode()


def test_where_no_target_stands_above_or_below_nothing_is_said_of_the_level(player, venue):
    log(make_club(player), venue, [-5.0, -4.0, -3.0], elevation_m=0.0)
    assert player_dashboard(player).rows[0].level == ""
    client, path = page_of(player)
    assert "n the level" not in client.get(path).content.decode()
