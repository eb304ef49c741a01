"""The carry chart's page: its figures, what it holds back, and its words."""

import statistics

import pytest
from django.test import Client
from django.urls import reverse
from scipy import stats

from analytics.pages.carries import carries_page
from practice.clubs.models import SwingLength
from tests import make
from tests.analytics.stock_balls import hit

pytestmark = pytest.mark.django_db
BALLS = [48.0, 50.5, 51.0, 52.5, 53.0, 49.0]


def page_of(player, *, query="", as_player=False):
    client = Client()
    client.force_login(player.user if as_player else make.make_staff(player.academy))
    response = client.get(reverse("analytics:carries", args=[player.pk]) + query)
    assert response.status_code == 200
    return response.content.decode()


def bag_with_a_test(player, venue):
    """Log six balls with each of three clubs and three swings, 2.5 % of carry a degree apart."""
    for label, loft_deg, factor in (("52", 52.0, 1.1), ("56", 56.0, 1.0), ("60", 60.0, 0.9)):
        club = make.make_club(player, label, loft_deg=loft_deg)
        for swing, stretch in (("7:30", 0.6), ("9:00", 1.0), ("full", 1.6)):
            hit(club, venue, [carry_m * factor * stretch for carry_m in BALLS], swing=swing)


def test_a_cell_shows_the_mean_of_its_own_balls_with_the_t_interval_of_scipy(player, venue):
    hit(make.make_club(player), venue, BALLS)
    ((cell,),) = [row.cells for row in carries_page(player).rows]
    low, high = stats.t.interval(0.95, len(BALLS) - 1, loc=statistics.mean(BALLS), scale=stats.sem(BALLS))
    assert (cell.carry, cell.balls, cell.range) == ("50.7 m", "6 balls", f"{low:.1f} to {high:.1f}")


@pytest.mark.parametrize(
    ("carries_m", "carry", "balls"),
    [([50.0], "50.0 m", "1 ball"), ([44.0, 56.0], "50.0 m", "2 balls"), ([50.0] * 4, "50.0 m", "4 balls")],
)
def test_a_ball_or_two_and_balls_that_read_alike_have_a_carry_and_no_bounds(player, venue, carries_m, carry, balls):
    hit(make.make_club(player), venue, carries_m)
    ((cell,),) = [row.cells for row in carries_page(player).rows]
    assert (cell.carry, cell.balls, cell.range, cell.basis) == (carry, balls, "", "thinly measured")


def test_the_page_says_how_well_each_club_is_foretold_from_the_others(player, venue):
    hit(make.make_club(player, "52", loft_deg=52.0), venue, BALLS)
    assert carries_page(player).foretold == ""
    hit(make.make_club(player, "56", loft_deg=56.0), venue, [carry_m - 5.0 for carry_m in BALLS])
    said = carries_page(player).foretold
    # 3.5 yd are 3.2 m a degree: 12.8 m over the 4 degrees that the 5 m lie apart, either way
    assert "(root mean square of 2); by the rule of thumb, 3.2 m a degree, by 7.8 m." in said
    assert said in page_of(player)


def test_what_is_expected_stands_apart_and_covers_what_was_not_measured(player, venue):
    hit(make.make_club(player, "52", loft_deg=52.0), venue, BALLS)
    club = make.make_club(player)
    hit(club, venue, [46.0, 47.0])
    hit(club, venue, [80.0] * 5, swing="full")
    page = carries_page(player)
    assert page.swings == ("half (9:00)", "full")
    first, second = page.rows
    assert [cell.basis for cell in first.cells] == ["measured", "not measured"]
    assert [cell.basis for cell in second.cells] == ["thinly measured", "measured"]
    assert first.cells[1].balls == ""
    assert 80.0 < float(first.cells[1].expected.split()[0]) < 100.0


def test_the_unit_is_the_players(player, venue):
    """45.72 m are 50 yd exactly (international yard, NIST SP 811)."""
    player.distance_unit = "yd"
    hit(make.make_club(player), venue, [44.72, 45.72, 46.72])
    ((cell,),) = [row.cells for row in carries_page(player).rows]
    half = stats.t.ppf(0.975, 2) / 3**0.5 / 0.9144
    assert (cell.carry, cell.range) == ("50.0 yd", f"{50 - half:.1f} to {50 + half:.1f}")


def test_balls_that_contradict_each_other_are_flagged_and_nothing_is_expected(player, venue):
    hit(make.make_club(player, "44", loft_deg=44.0), venue, [40.0, 40.1, 39.9] * 4)
    hit(make.make_club(player, "60", loft_deg=60.0), venue, [90.0, 90.1, 89.9] * 4)
    page = carries_page(player)
    assert page.contradict
    assert not page.expects
    assert {cell.expected for row in page.rows for cell in row.cells} == {""}
    assert "The balls contradict each other" in page_of(player)


def test_a_club_of_no_pitching_loft_and_a_swing_off_the_clock_stand_with_their_own_balls_only(player, venue):
    SwingLength.objects.create(academy=player.academy, code="choked")
    club = make.make_club(player)
    hit(club, venue, BALLS)
    hit(club, venue, BALLS, swing="choked")
    hit(make.make_club(player, "7i", loft_deg=34.0), venue, [120.0, 122.0])
    hit(make.make_club(player, "?", loft_deg=None), venue, [60.0, 62.0])
    page = carries_page(player)
    expected = {
        (row.club, swing): cell.expected
        for row in page.rows
        for swing, cell in zip(page.swings, row.cells, strict=True)
    }
    assert [key for key, text in expected.items() if text] == [("56", "half (9:00)")]
    assert page.raw_only[0].startswith("7i, ?: own balls only")
    assert page.raw_only[1].startswith("choked: own balls only")


def test_a_bag_without_any_pitching_loft_still_has_its_raw_figures(player, venue):
    hit(make.make_club(player, "?", loft_deg=None), venue, BALLS)
    page = carries_page(player)
    assert page.rows[0].cells[0].carry == "50.7 m"
    assert not page.expects
    assert not page.contradict
    assert page.sentence.startswith("Can’t tell yet")


def test_the_sentence_names_the_steadiest_swing_when_it_is_clear(player, venue):
    club = make.make_club(player)
    hit(club, venue, [50.0, 50.2, 49.8, 50.1, 49.9] * 5)
    hit(club, venue, [80.0, 92.0, 71.0, 85.0, 76.0] * 5, swing="full")
    sentence = carries_page(player).sentence
    # by hand: sum of squared deviations 25 x 0.02 over 24 degrees of freedom: 0.1443 of 50 m, floored at 0.5 %
    assert sentence == "Steadiest swing: half (9:00), which scatters 0.5 % of its carry, less than the rest."


def test_the_sentence_says_so_when_the_balls_cannot_tell(player, venue):
    bag_with_a_test(player, venue)
    sentence = carries_page(player).sentence
    pct = 100 * statistics.stdev(BALLS) / statistics.mean(BALLS)
    assert sentence.startswith("Can’t tell yet which swing length scatters least; so far")
    assert f"short (7:30) {pct:.1f} %, half (9:00) {pct:.1f} %, full {pct:.1f} %" in sentence


def test_the_sentence_asks_for_two_swings_where_there_is_one(player, venue):
    hit(make.make_club(player), venue, BALLS)
    assert "it takes two of them" in carries_page(player).sentence


def test_windy_balls_have_a_row_of_their_own_and_change_no_cell(player, venue):
    club = make.make_club(player)
    hit(club, venue, [50.0, 50.0])
    hit(club, venue, [30.0, 32.0], wind="windy")
    page = carries_page(player)
    assert page.rows[0].cells[0].carry == "50.0 m"
    assert [(row.name, row.cell.carry, row.cell.balls) for row in page.windy] == [
        ("56, half (9:00)", "31.0 m", "2 balls")
    ]
    assert "Hit in a strong wind" in page_of(player)


def test_a_set_of_windy_balls_only_shows_them(player, venue):
    hit(make.make_club(player), venue, [30.0, 32.0], wind="windy")
    page = carries_page(player)
    assert page.rows == ()
    assert "31.0 m" in page_of(player)


def test_other_balls_and_ground_are_links_and_a_mat_has_a_caution(player, venue):
    club = make.make_club(player)
    hit(club, venue, BALLS)
    hit(club, venue, [45.0, 46.0], surface="mat")
    html = page_of(player)
    assert 'href="?balls=range-mat"' in html
    assert "is not reliable" not in html
    html = page_of(player, query="?balls=range-mat")
    assert "45.5 m" in html
    assert "“fat” is not reliable" in html


@pytest.mark.parametrize("query", ["?balls=", "?balls=none-such", "?balls=%00", "?balls=%3Cb%3E"])
def test_a_set_that_does_not_exist_falls_back_to_the_one_with_most_balls(player, venue, query):
    hit(make.make_club(player), venue, BALLS)
    assert "50.7 m" in page_of(player, query=query)


def test_without_stock_balls_the_coach_is_led_to_plan_a_carry_test_and_the_player_to_ask_for_one(player, venue):
    hit(make.make_club(player), venue, BALLS, measured_by="eye")
    assert "Plan a carry test" in page_of(player)
    assert reverse("planner:week", args=[player.pk, "2026-01-05"])[:-11] in page_of(player)
    theirs = page_of(player, as_player=True)
    assert "Ask your coach to plan a carry test" in theirs
    assert "/weeks/" not in theirs


def test_a_carry_test_that_is_too_old_is_still_dated(player, venue):
    hit(make.make_club(player), venue, BALLS, days_ago=300)
    page = carries_page(player)
    assert page.tabs == ()
    assert f"{page.last_test:%Y}, too long ago to count" in page_of(player)


def test_the_page_names_the_day_of_the_last_carry_test_and_the_days_that_count(player, venue):
    hit(make.make_club(player), venue, BALLS)
    day = carries_page(player).last_test
    html = page_of(player)
    assert f"<strong>{day.day} {day:%B %Y}</strong>" in html
    assert "The last 120 days count" in html


def test_a_label_with_markup_is_shown_as_text(player, venue):
    hit(make.make_club(player, "<i>56"), venue, BALLS)
    assert "<i>56" not in page_of(player)


def test_the_page_asks_the_database_as_often_for_many_shots_as_for_few(player, venue, django_assert_max_num_queries):
    hit(make.make_club(player, "48", loft_deg=48.0), venue, BALLS)
    client = Client()
    client.force_login(make.make_staff(player.academy))
    address = reverse("analytics:carries", args=[player.pk])
    with django_assert_max_num_queries(20) as few:
        client.get(address)
    bag_with_a_test(player, venue)
    with django_assert_max_num_queries(len(few)):
        client.get(address)


def test_the_coach_sets_the_days_and_a_wrong_number_comes_back_with_what_to_do(player):
    client = Client()
    client.force_login(make.make_staff(player.academy))
    address = reverse("analytics:carry_chart_days", args=[player.academy.pk])
    for wrong in ("", "0", "-5", "1e3", "100000", "x"):
        response = client.post(address, {"carry_chart_days": wrong})
        assert response.status_code == 422, wrong
        assert "Give " in response.content.decode()
    assert client.post(address, {"carry_chart_days": "90"}).status_code == 302
    player.academy.refresh_from_db()
    assert player.academy.carry_chart_days == 90
