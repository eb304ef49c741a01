"""Bag reviews: the walk through a bag, what is kept of it, and whose is due."""

from datetime import timedelta

import pytest
from django.urls import reverse

from analytics.suggesting import player_figures
from practice.clubs.models import BagReview, ClubSetup, GrooveLook, LoftReading
from practice.clubs.pages import review_lines
from practice.players.models import Player
from tests import make
from tests.practice.clubs.litany import BAG_VALUES

pytestmark = pytest.mark.django_db


@pytest.fixture
def bag(player):
    """Two wedges and a putter carried, a wedge at home."""
    make.make_putter(player)
    make.make_club(player, "60", loft_deg=60.0, carried=False)
    return [make.make_club(player, "52", loft_deg=52.0), make.make_club(player, "56", loft_deg=56.0)]


def send(client, player, **sent):
    return client.post(reverse("clubs:review", args=[player.pk]), sent, follow=True)


def of(what, club):
    return f"{what}-{club.pk}"


def test_a_review_keeps_readings_grooves_and_who_looked_and_passes_the_stage_of_lofts(cast, coach, player, bag):
    low, high = bag
    assert player_figures(player).unchecked == ("52", "56")
    sent = {of("loft", low): "52.5", of("loft", high): "55", of("grooves", high): "replace", "gaps_looked_at": "on"}
    page = send(coach, player, **sent, notes="a new grip too").content.decode()
    review = BagReview.objects.get()
    assert (review.lofts_checked, review.gaps_looked_at, review.notes) == (True, True, "a new grip too")
    assert (review.done_by, review.done_on) == (cast.coach, cast.academy.today())
    assert [(look.club, look.grooves) for look in GrooveLook.objects.all()] == [(high, "replace")]
    assert dict(LoftReading.objects.values_list("setup__club__label", "loft_deg")) == {"52": 52.5, "56": 55.0}
    assert ClubSetup.objects.filter(club__in=bag).count() == 2
    assert player_figures(player).unchecked == ()
    assert "every loft is checked" in page
    # Half a degree is within what a gauge reads, a whole one is not.
    assert page.count("than held") == 1
    assert "1.0° stronger than held" in page


def test_a_loft_that_was_not_read_leaves_the_review_open(coach, player, bag):
    assert "some lofts are still to be read" in send(coach, player, **{of("loft", bag[0]): "52"}).content.decode()
    assert not BagReview.objects.get().lofts_checked
    assert player_figures(player).unchecked == ("56",)


def test_a_reading_of_longer_ago_than_the_academys_days_is_none_of_this_season(cast, player, bag):
    player.academy.bag_review_days = 30
    for club, days in zip(bag, (29, 30), strict=True):
        day = cast.academy.today() - timedelta(days=days)
        LoftReading.objects.create(setup=club.setups.get(), loft_deg=55.0, measured_on=day)
    assert player_figures(player).unchecked == ("56",)


def test_a_second_review_of_the_day_changes_the_first(coach, player, bag):
    send(coach, player, **{of("loft", bag[0]): "52", of("grooves", bag[0]): "worn"})
    again = coach.get(reverse("clubs:review", args=[player.pk])).content.decode()
    assert '<option value="worn" selected>' in again
    send(coach, player, **{of("loft", bag[0]): "52", of("grooves", bag[1]): "fine"})
    assert BagReview.objects.count() == LoftReading.objects.count() == 1
    assert GrooveLook.objects.get().club == bag[1]


BAD = [({"loft": "95"}, "between 0 and 90"), ({"loft": "nan"}, "Enter a number"), ({"grooves": "gone"}, "valid choice")]


@pytest.mark.parametrize(("wrong", "words"), BAD)
def test_of_a_review_with_a_fault_nothing_is_kept_and_all_comes_back(coach, player, bag, wrong, words):
    sent = {of("loft", bag[0]): "51.5", "notes": "keep me"} | {of(what, bag[1]): value for what, value in wrong.items()}
    response = send(coach, player, **sent)
    page = response.content.decode()
    assert response.status_code == 422
    assert words in page
    assert 'value="51.5"' in page
    assert "keep me" in page
    assert not BagReview.objects.exists()
    assert not LoftReading.objects.exists()


def test_the_review_asks_for_no_putter_and_nothing_that_stays_at_home(coach, player, bag):
    page = coach.get(reverse("clubs:review", args=[player.pk])).content.decode()
    assert page.count("read today") == 2
    assert "Loft of the 60" not in page


def test_who_was_never_reviewed_stands_before_the_overdue_and_the_rest(cast, coach, player, bag):
    today, never = cast.academy.today(), cast.team_mate
    lately, late = (make.make_player(cast.academy) for _ in range(2))
    for who, days in ((player, 180), (lately, 179), (late, 400)):
        BagReview.objects.create(player=who, done_on=today - timedelta(days=days))
    worn = GrooveLook.objects.create(review=player.bag_reviews.get(), club=bag[0], grooves="worn")
    lines = review_lines(Player.objects.filter(academy=cast.academy).select_related("academy"))
    assert [line.player for line in lines] == [never, late, player, lately]
    assert [line.is_due for line in lines] == [True, True, True, False]
    page = coach.get(reverse("clubs:reviews")).content.decode()
    assert page.count("overdue since") == 2
    assert f"Grooves: {worn.club} worn." in page


def test_only_the_last_review_counts(cast, player):
    for days in (10, 300):
        BagReview.objects.create(player=player, done_on=cast.academy.today() - timedelta(days=days))
    (line,) = review_lines([player])
    assert not line.is_due


def test_the_queries_of_the_list_do_not_grow_with_players(cast, coach, django_assert_max_num_queries):
    for _ in range(8):
        player = make.make_player(cast.academy)
        review = BagReview.objects.create(player=player, done_on=cast.academy.today())
        GrooveLook.objects.create(review=review, club=make.make_club(player), grooves="worn")
    with django_assert_max_num_queries(9):
        coach.get(reverse("clubs:reviews"))


def test_an_academy_sets_its_own_values(cast, coach):
    address = reverse("clubs:bag_values", args=[cast.academy.pk])
    assert coach.post(address, {**BAG_VALUES, "bend_limit_deg": "7"}).status_code == 422
    assert coach.post(address, {**BAG_VALUES, "bend_limit_deg": "nan"}).status_code == 422
    assert coach.post(address, BAG_VALUES).status_code == 302
    cast.academy.refresh_from_db()
    assert (cast.academy.bend_limit_deg, cast.academy.bag_review_days) == (1.5, 90)


def test_the_queries_of_a_review_do_not_grow_with_clubs(coach, player, bag, django_assert_max_num_queries):
    for n in range(8):
        make.make_club(player, f"c{n}", loft_deg=44.0 + n)
    with django_assert_max_num_queries(11):
        coach.get(reverse("clubs:review", args=[player.pk]))
