"""Wind and slope: what is asked, what is drawn and said. The flights themselves are tested with the metrics."""

import re

import numpy as np
import pytest
from django.test import Client
from django.urls import reverse

from analytics.metrics.flight import Launch, Wind, fly
from analytics.metrics.flight_models import ENSEMBLE, SATURATING
from analytics.pages.band_picture import FOOT, TOP, band_picture
from analytics.pages.wind_and_slope import _band, span, wind_and_slope_page
from practice.units import DistanceUnit
from tests import make

pytestmark = pytest.mark.django_db
AHEAD = (5.0, "ahead", 0.0)


def page_of(player, *, as_player=False, status=200, **query):
    client = Client()
    client.force_login(player.user if as_player else make.make_staff(player.academy))
    response = client.get(reverse("analytics:wind_and_slope", args=[player.pk]), query)
    assert response.status_code == status
    return response.content.decode()


def test_a_flight_solved_on_its_own_lies_within_the_band(player):
    """Truth: balls of one of the models, at a spin and a launch that the band reaches over."""
    speeds = np.arange(10.0, 40.0, 0.25)
    launch = Launch(speeds, 32.0, 230.0 * speeds)
    calm = fly(launch, SATURATING).carry_m
    blown = fly(launch, SATURATING, wind=Wind(-5.0, 0.0), green_m=2.0).carry_m
    band = _band(1.0, -5.0, 0.0, 2.0).carry
    truth = np.interp([40.0, 60.0, 80.0], calm, blown - calm)
    places = [2, 6, 10]
    assert np.all(band.low_m[places] <= truth)
    assert np.all(truth <= band.high_m[places])
    assert band.high_m[2] < -1.0


def test_rows_go_from_30_to_90_of_the_players_unit(player):
    assert [row.distance for row in wind_and_slope_page(player, AHEAD).rows][::6] == ["30 m", "90 m"]
    player.distance_unit = "yd"
    assert [row.distance for row in wind_and_slope_page(player, AHEAD).rows][::6] == ["30 yd", "90 yd"]


def test_yards_and_metres_are_the_same_flight(player):
    metres, yards = _band(1.0, 0.0, 0.0, 3.0).carry, _band(0.9144, 0.0, 0.0, 3.0).carry
    # 54.864 m is 60 yd, and lies between the 50 m and 55 m of the other
    assert metres.low_m[4] < yards.low_m[6] < metres.low_m[5]


def test_a_green_above_is_short_below_is_long_and_all_models_agree(player):
    for height, word in ((3.0, "shorter"), (-3.0, "longer")):
        page = wind_and_slope_page(player, (0.0, "ahead", height))
        assert {row.says for row in page.rows} == {"all agree"}
        assert all(row.carry.endswith(word) for row in page.rows)
        assert page.sentence.endswith(f"{word}.")


def test_a_side_wind_is_drawn_and_told_to_the_side_it_blows_to(player):
    for place, word in (("left", "right"), ("right", "left")):
        page = wind_and_slope_page(player, (5.0, place, 0.0))
        assert page.side_picture
        assert all(row.side.endswith(word) for row in page.rows)
    assert wind_and_slope_page(player, AHEAD).side_picture is None


def test_where_the_models_differ_the_row_says_so_and_no_number_is_given_for_a_green_out_of_reach(player):
    assert wind_and_slope_page(player, AHEAD).rows[0].says == "they differ which way"
    first = wind_and_slope_page(player, (0.0, "ahead", 6.0)).rows[0]
    assert (first.carry, first.says) == ("–", "too high for some")


@pytest.mark.parametrize(
    ("ends", "text"),
    [
        ((-3.21, -0.52), "0.5 to 3.2 m shorter"),
        ((0.52, 3.21), "0.5 to 3.2 m longer"),
        ((-0.4, 1.0), "0.4 m shorter to 1.0 m longer"),
        ((-0.01, 0.02), "no change"),
        ((-0.01, 2.0), "0.0 to 2.0 m longer"),
    ],
)
def test_a_band_in_words(ends, text):
    assert span(*ends, DistanceUnit.METRES) == text


def test_the_page_names_every_source_says_what_is_not_corrected_and_shows_no_number_of_the_player(player, venue):
    club = make.make_club(player)
    make.make_shot(club, venue, target_m=None, carry_m=61.7, swing="9:00", measured_by="laser")
    text = page_of(player, as_player=True)
    for model in ENSEMBLE:
        assert model.source.split(",")[0].replace("&", "&amp;") in text
    assert "temperature, humidity, altitude" in text
    assert "61.7" not in text
    assert re.search(r"<polygon points=\"[\d., ]+\"", text)


def test_the_usual_cases_are_links_that_the_form_takes(player):
    text = page_of(player)
    links = re.findall(r'href="\?(wind=[^"]+)"', text)
    assert len(links) == 9
    for link in (links[0], links[4], links[-1]):
        query = dict(pair.split("=") for pair in link.replace("&amp;", "&").split("&"))
        assert "<h2>Not corrected" in page_of(player, **query)
    assert "Green 3 m down" in page_of(player, wind="0", wind_from="ahead", height="-3")


@pytest.mark.parametrize(
    ("query", "told"),
    [
        ({"wind": "11"}, "Enter a wind from 0 to 10 m/s."),
        ({"wind": "-1"}, "Enter a wind from 0 to 10 m/s."),
        ({"wind": "nan"}, "Enter a wind from 0 to 10 m/s."),
        ({"wind": ""}, "Enter a wind from 0 to 10 m/s."),
        ({"wind": "strong"}, "Enter a wind from 0 to 10 m/s."),
        ({"height": "7"}, "Enter a height from -6 to 6 m; minus is below the tee."),
        ({"wind_from": "above"}, "Choose where the wind comes from."),
    ],
)
def test_what_cannot_be_worked_out_is_told_and_what_was_entered_stays(player, query, told):
    text = page_of(player, status=422, **query)
    assert told in text
    assert "<polygon" not in text
    assert 'name="height"' in text


def test_the_same_question_is_worked_out_once(player):
    wind_and_slope_page(player, (3.3, "behind", 1.1))
    before = _band.cache_info()
    wind_and_slope_page(player, (3.3, "behind", 1.1))
    after = _band.cache_info()
    assert (after.hits, after.misses) == (before.hits + 1, before.misses)


def test_the_picture_holds_the_band_and_zero_and_leaves_out_what_is_unknown():
    picture = band_picture([30, 50, 70], np.array([np.nan, -2.0, -4.0]), np.array([np.nan, 0.0, 1.0]))
    points = [tuple(map(float, point.split(","))) for point in picture.band.split()]
    assert len(points) == 4
    assert all(TOP <= y <= FOOT for _, y in points)
    # by hand: lines from -4 to 1, so 1 is at the top and -4 at the foot
    assert (points[1][1], points[2][1]) == (TOP, FOOT)
    assert float(picture.zero) == pytest.approx(TOP + (FOOT - TOP) / 5, abs=0.06)
    assert [tick.text for tick in picture.up] == ["−4", "−3", "−2", "−1", "0", "+1"]
    assert band_picture([30, 50], np.array([np.nan, 1.0]), np.array([np.nan, 2.0])) is None
    assert band_picture([30, 50], np.zeros(2), np.zeros(2)).zero == f"{FOOT:.1f}"


def test_the_page_asks_the_database_no_more_with_shots_than_without(player, venue, django_assert_num_queries):
    with django_assert_num_queries(0):
        wind_and_slope_page(player, AHEAD)
