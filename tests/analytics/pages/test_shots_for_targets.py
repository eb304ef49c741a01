"""Which shot for a target: from stored balls to the page. How a choice is computed is tested with the metrics."""

import math
import statistics

import pytest
from django.test import Client
from django.urls import reverse
from scipy import integrate, stats

from analytics.metrics.putting import TOUR_PUTTS
from analytics.pages.shots_for_targets import TARGETS, chance_text, stock_shots, targets_page
from analytics.stock import player_stock
from practice.clubs.models import PuttingTable
from tests import make
from tests.analytics.stock_balls import hit

pytestmark = pytest.mark.django_db
BALLS = [48.0, 50.5, 51.0, 52.5, 53.0, 49.0]


@pytest.fixture
def club(player):
    return make.make_club(player)


def page_of(player, *, as_player=False, status=200, **query):
    client = Client()
    client.force_login(player.user if as_player else make.make_staff(player.academy))
    response = client.get(reverse("analytics:shots_for_targets", args=[player.pk]), query)
    assert response.status_code == status
    return response.content.decode()


def row_at(player, target, *, radius=5):
    (row,) = [row for row in targets_page(player, "", radius).rows if row.target == target]
    return row


def test_there_is_a_row_for_every_5_of_the_players_unit_from_20_to_100(player, venue, club):
    hit(club, venue, BALLS)
    assert [row.target for row in targets_page(player, "", 5).rows] == [f"{n} m" for n in range(20, 101, 5)]
    player.distance_unit = "yd"
    assert [row.target for row in targets_page(player, "", 5).rows][::16] == ["20 yd", "100 yd"]


def test_a_stock_shot_takes_carry_from_stock_balls_and_the_rest_from_balls_at_targets_too(player, venue, club):
    hit(club, venue, BALLS, lateral_m=1.0)
    hit(club, venue, [47.0, 48.0], target_m=50.0, lateral_m=-3.0)
    hit(club, venue, [20.0], target_m=50.0, contact="fat")
    hit(club, venue, [30.0] * 3, wind="windy", lateral_m=15.0, contact="fat")
    hit(make.make_club(player, "52", loft_deg=52.0), venue, [70.0])
    first, second = stock_shots(player_stock(player).sets[0])
    assert (first.club, first.n, first.s_m) == ("52", 1, None)
    assert (second.n, second.mean_m) == (6, statistics.mean(BALLS))
    assert second.s_m == statistics.stdev(BALLS)
    assert (second.n_lateral, second.lateral_s_m) == (8, statistics.stdev([1.0] * 6 + [-3.0] * 2))
    # by hand: 1 mishit in 10 balls of all cells, so a share of 0.1; the cell's own is 1 in 9
    assert second.mishit == pytest.approx((1 + 8 * 0.1) / (9 + 8), rel=1e-12)
    assert first.mishit == pytest.approx((0 + 8 * 0.1) / (1 + 8), rel=1e-12)


def test_the_chance_is_the_integral_worked_out_by_scipy(player, venue, club):
    hit(club, venue, BALLS)
    mean, n = statistics.mean(BALLS), len(BALLS)
    cv2 = (statistics.stdev(BALLS) / mean) ** 2
    pooled2 = (2 * 0.07**2 + (n - 1) * cv2) / (2 + n - 1)
    scale = mean * math.sqrt((8 * pooled2 + (n - 1) * cv2) / (8 + n - 1)) * math.sqrt(1 + 1 / n)
    t = stats.t(8 + n - 1, loc=mean, scale=scale)
    # no lateral errors are known: near means the right distance
    chance, _ = integrate.quad(t.pdf, 45.0, 55.0)
    assert row_at(player, "50 m").best.chance == f"{100 * chance:.0f} %"
    narrow, _ = integrate.quad(t.pdf, 47.0, 53.0)
    assert row_at(player, "50 m", radius=3).best.chance == f"{100 * narrow:.0f} %"
    assert targets_page(player, "", 5).distance_only


def test_strokes_come_from_the_academys_own_table(player, venue, club):
    hit(club, venue, [*BALLS, *BALLS])
    hit(club, venue, [20.0] * 4, contact="fat")
    PuttingTable.objects.create(academy=player.academy, source="Two putts from anywhere", rows=[[0, 2], [300, 2]])
    # by hand: a quarter are mishits; 1 stroke, then 2 putts, or 2.5 strokes after a mishit
    assert row_at(player, "50 m").best.strokes == f"{1 + 0.75 * 2 + 0.25 * 2.5:.2f}"
    assert "Putts from: Two putts from anywhere." in page_of(player)


def test_a_target_that_one_shot_reaches_says_so_and_one_that_none_reaches_names_the_nearest(player, venue, club):
    hit(club, venue, BALLS)
    assert row_at(player, "50 m").verdict == "the only one that reaches"
    far = row_at(player, "100 m")
    assert far.verdict == "no stock shot: this one lands nearest"
    assert (far.best.name, far.best.carry, far.best.strokes) == ("56, half (9:00)", "51 m", "–")
    assert far.second is None


def test_two_shots_that_the_balls_cannot_tell_apart_are_either(player, venue, club):
    hit(club, venue, BALLS)
    hit(make.make_club(player, "52", loft_deg=52.0), venue, BALLS, swing="7:30")
    row = row_at(player, "50 m")
    assert row.verdict == "either: the balls can’t choose"
    assert {row.best.name, row.second.name} == {"56, half (9:00)", "52, short (7:30)"}


def test_a_shot_that_is_clearly_better_stands_first(player, venue, club):
    hit(club, venue, [50.0, 50.4, 49.6, 50.2, 49.8] * 4)
    hit(make.make_club(player, "52", loft_deg=52.0), venue, [54.0, 58.0, 50.0, 56.0, 52.0] * 4)
    row = row_at(player, "50 m")
    assert (row.best.name, row.verdict) == ("56, half (9:00)", "the best")
    assert float(row.best.strokes) < float(row.second.strokes)


def test_the_sentence_counts_the_distances_that_have_a_shot(player, venue, club):
    hit(club, venue, BALLS)
    page = targets_page(player, "", 5)
    reached = sum(not row.verdict.startswith("no stock shot") for row in page.rows)
    assert 0 < reached < len(TARGETS)
    assert page.sentence == f"{reached} of 17 distances have a stock shot."
    hit(make.make_club(player, "52", loft_deg=52.0), venue, BALLS)
    assert "the balls can’t choose between two" in targets_page(player, "", 5).sentence


def test_the_sentence_says_so_where_nothing_reaches(player, venue, club):
    hit(club, venue, [200.0, 200.1, 200.2] * 5)
    assert targets_page(player, "", 5).sentence == "No stock shot reaches any distance from 20 to 100 m."


def test_the_page_names_its_source_and_how_little_it_claims(player, venue, club):
    hit(club, venue, BALLS)
    html = page_of(player)
    assert TOUR_PUTTS.source in html
    assert "Strokes are a tour putting table, on a green: a proxy." in html
    assert "“near” means the right distance only" in html
    assert "“near” means" not in page_of_lateral(player, venue, club)


def page_of_lateral(player, venue, club):
    hit(club, venue, [50.0, 51.0], lateral_m=2.0)
    hit(club, venue, [50.0, 51.0], lateral_m=-2.0)
    return page_of(player)


@pytest.mark.parametrize("radius", ["3", "5", "8"])
def test_the_radius_can_be_chosen(player, venue, club, radius):
    hit(club, venue, BALLS)
    html = page_of(player, radius=radius)
    assert f"within {radius} m of the target" in html
    assert f'<option value="{radius}" selected>' in html


@pytest.mark.parametrize("radius", ["4", "", "x", "-3", "1e9", "³"])
def test_another_radius_is_refused_with_the_choices(player, venue, club, radius):
    hit(club, venue, BALLS)
    html = page_of(player, radius=radius, status=422)
    assert "Choose 3, 5 or 8 m." in html
    assert "within 5 m of the target" in html


def test_the_set_chosen_stays_when_the_radius_changes(player, venue, club):
    hit(club, venue, BALLS)
    hit(club, venue, [45.0, 46.0], surface="mat")
    html = page_of(player, balls="range-mat")
    assert '<input type="hidden" name="balls" value="range-mat"' in html
    assert "“fat” is not reliable" in html


def test_without_stock_balls_the_page_leads_to_a_carry_test(player, venue, club):
    assert "Plan a carry test" in page_of(player)
    assert "Ask your coach to plan a carry test" in page_of(player, as_player=True)
    hit(club, venue, BALLS, wind="windy")
    assert "hit in a strong wind" in page_of(player)


def test_only_the_staff_is_led_to_the_putting_table(player, venue, club):
    hit(club, venue, BALLS)
    assert "Change the putting table" in page_of(player)
    assert "Change the putting table" not in page_of(player, as_player=True)


@pytest.mark.parametrize(
    ("chance", "text"), [(0.0, "under 1 %"), (0.004, "under 1 %"), (0.42, "42 %"), (0.997, "over 99 %")]
)
def test_a_chance_that_rounds_to_none_or_all_says_so(chance, text):
    assert chance_text(chance) == text


def test_a_label_with_markup_is_shown_as_text(player, venue):
    hit(make.make_club(player, "<i>56"), venue, BALLS)
    assert "<i>56" not in page_of(player)


def test_the_page_asks_the_database_as_often_for_many_shots_as_for_few(player, venue, django_assert_max_num_queries):
    hit(make.make_club(player, "48", loft_deg=48.0), venue, BALLS)
    client = Client()
    client.force_login(make.make_staff(player.academy))
    address = reverse("analytics:shots_for_targets", args=[player.pk])
    with django_assert_max_num_queries(20) as few:
        client.get(address)
    for label in ("52", "56", "60"):
        hit(make.make_club(player, label), venue, BALLS)
    with django_assert_max_num_queries(len(few)):
        client.get(address)
