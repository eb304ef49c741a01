"""The bag as a coach keeps it. Who may open which page stands in litany.py."""

from datetime import date, timedelta

import pytest
from django.urls import reverse

from analytics.metrics.strike_loss import WEDGE
from practice.clubs.forms import ClubForm
from practice.clubs.models import Club, LoftReading, StatedCarry, SwingLength
from practice.players.models import Player
from tests import make
from tests.practice.clubs.litany import NEW_CLUB, NEW_SETUP

pytestmark = pytest.mark.django_db


@pytest.fixture
def club(player):
    return make.make_club(player)


def bag(client, player):
    return client.get(reverse("clubs:bag", args=[player.pk])).content.decode()


def test_a_club_is_added_with_its_loft(coach, player):
    coach.post(reverse("clubs:add", args=[player.pk]), {**NEW_CLUB, "bounce_deg": "10"})
    setup = Club.objects.get().setup_now
    assert (setup.loft_deg, setup.bounce_deg, setup.valid_from) == (60.0, 10.0, None)
    assert "60°" in bag(coach, player)


def test_a_putter_needs_no_loft(coach, player):
    sent = {"label": "Putter", "kind": "putter", "carried": "on"}
    assert coach.post(reverse("clubs:add", args=[player.pk]), sent).status_code == 302


BAD_CLUBS = [
    ({"label": ""}, "This field is required"),
    ({"label": "x" * 21}, "at most 20 characters"),
    ({"label": " 56 "}, "There is a 56 in the bag already"),
    ({"loft_deg": "0"}, "between 0 and 90"),
    ({"loft_deg": "90"}, "between 0 and 90"),
    ({"loft_deg": "nan"}, "Enter a number"),
    ({"bounce_deg": "31"}, "between −10 and 30"),
    ({"kind": "racket"}, "Select a valid choice"),
]


@pytest.mark.parametrize(("changes", "words"), BAD_CLUBS)
def test_a_bad_club_comes_back_with_words_and_is_not_stored(coach, player, club, changes, words):
    response = coach.post(reverse("clubs:add", args=[player.pk]), {**NEW_CLUB, **changes})
    assert (response.status_code, Club.objects.count()) == (422, 1)
    assert words in response.content.decode()


def test_a_label_is_free_again_once_its_club_is_left_out(coach, player, club):
    coach.post(reverse("clubs:edit", args=[club.pk]), {"label": "56", "kind": "wedge"})
    assert coach.post(reverse("clubs:add", args=[player.pk]), {**NEW_CLUB, "label": "56"}).status_code == 302
    back = coach.post(reverse("clubs:edit", args=[club.pk]), {"label": "56", "kind": "wedge", "carried": "on"})
    assert back.status_code == 422


def test_a_fifteenth_club_is_told_with_the_rule(coach, player):
    for n in range(14):
        make.make_club(player, f"c{n}")
    assert "Rule 4.1b" not in bag(coach, player)
    make.make_club(player, "one more")
    assert "15 clubs are marked as carried" in bag(coach, player)
    added = coach.post(reverse("clubs:add", args=[player.pk]), NEW_CLUB, follow=True)
    assert "16 clubs are marked as carried" in added.content.decode()
    assert "Rule 4.1b" in bag(coach, player)


@pytest.mark.parametrize(
    ("clubs", "words"),
    [
        ({"52": 52.0, "54": 52.0}, "52 and 54 are both held with 52° of loft"),
        ({"56": 52.0, "52": 56.0}, "56 is held with less loft than 52"),
    ],
)
def test_lofts_that_look_like_a_slip_are_told(coach, player, clubs, words):
    for label, loft_deg in clubs.items():
        make.make_club(player, label, loft_deg=loft_deg)
    assert words in bag(coach, player)


def test_a_bag_in_order_raises_no_doubt_and_a_negative_bounce_does(coach, player):
    make.make_putter(player)
    make.make_club(player, "PW", loft_deg=46.0)
    club = make.make_club(player, "50", loft_deg=50.0)
    assert 'class="message"' not in bag(coach, player)
    club.setups.update(bounce_deg=-3.0)
    assert "bounce of −3°, which digs" in bag(coach, player)


# How a club is built, and how far it may be bent


BUILD = {"head_type": "cast", "length_mm": "889", "lie_deg": "63.5", "bend_limit_deg": "0.5"}


def test_how_a_club_is_built_is_entered_and_shown(cast, coach, player):
    coach.post(reverse("clubs:add", args=[player.pk]), {**NEW_CLUB, **BUILD})
    club = Club.objects.get()
    assert (club.head_type, club.length_mm, club.lie_deg, club.bend_limit_deg) == ("cast", 889.0, 63.5, 0.5)
    page = cast.client("player").get(reverse("clubs:club", args=[club.pk])).content.decode()
    assert "Cast, 889 mm (35.00 in), lie 63.5°" in page
    assert "at most 0.5° either way" in page


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"head_type": "carved"}, "Select a valid choice"),
        ({"length_mm": "35"}, "Enter 400 to 1400"),
        ({"lie_deg": "81"}, "Enter 40 to 80"),
        ({"bend_limit_deg": "-1"}, "Enter 0 to 6"),
        ({"bend_limit_deg": "6.5"}, "Enter 0 to 6"),
    ],
)
def test_a_build_that_cannot_be_comes_back_with_words(coach, player, changes, words):
    response = coach.post(reverse("clubs:add", args=[player.pk]), {**NEW_CLUB, **BUILD, **changes})
    assert (response.status_code, Club.objects.count()) == (422, 0)
    assert words in response.content.decode()


@pytest.mark.parametrize(
    ("facts", "limit_deg"),
    [
        ({}, 2.0),
        ({"head_type": "forged", "kind": "iron"}, 2.0),
        ({"head_type": "cast"}, 1.0),
        ({"head_type": "cast", "bend_limit_deg": 3.0}, 3.0),
        ({"bend_limit_deg": 0.0}, 0.0),
        ({"kind": "hybrid"}, 0.0),
        ({"kind": "wood"}, 0.0),
        ({"kind": "putter"}, 0.0),
    ],
)
def test_how_far_a_club_may_be_bent_is_its_own_or_its_heads_or_the_academys(player, facts, limit_deg):
    """Common practice, no source."""
    club = make.make_club(player, **facts)
    assert club.limit_deg == limit_deg


def test_an_academy_that_bends_less_bends_cast_heads_less_too(player):
    player.academy.bend_limit_deg = 0.5
    assert make.make_club(player, head_type="cast").limit_deg == 0.5


@pytest.mark.parametrize(("handed", "toe_is"), [("right", "-2.00"), ("left", "2.00")])
def test_the_page_of_a_club_draws_where_its_spots_lie_as_their_player_sees_them(coach, player, handed, toe_is):
    Player.objects.update(handed=handed)
    club = make.make_club(player)
    assert "<svg" not in coach.get(reverse("clubs:club", args=[club.pk])).content.decode()
    spots = {"sweet_spot_low_high_mm": -3.0, "sweet_spot_heel_toe_mm": 2.0}
    Club.objects.update(**spots)
    page = coach.get(reverse("clubs:club", args=[club.pk])).content.decode()
    assert "sweet spot 3 mm low, 2 mm towards the toe" in page
    assert f"translate({toe_is} 3.00)" in page
    assert f"A {handed}-hander’s face" in page
    assert f"{handed.capitalize()}-handed" in bag(coach, player)


# The head


KNOWN_HEAD = {
    "sweet_spot_low_high_mm": "-3",
    "sweet_spot_heel_toe_mm": "0",
    "intended_low_high_mm": "-6.5",
    "intended_heel_toe_mm": "2",
    "head_g": "305",
    "tilt_inertia_g_cm2": "950",
    "turn_inertia_g_cm2": "2750",
}


def test_what_is_known_of_a_head_is_entered_with_the_club_and_taken_back(coach, player):
    assert coach.post(reverse("clubs:add", args=[player.pk]), {**NEW_CLUB, **KNOWN_HEAD}).status_code == 302
    club = Club.objects.get(label="60")
    assert (club.sweet_spot_mm, club.intended_spot_mm) == ((-3, 0), (-6.5, 2))
    assert (club.head_g, club.tilt_inertia_g_cm2, club.turn_inertia_g_cm2) == (305, 950, 2750)
    coach.post(reverse("clubs:edit", args=[club.pk]), NEW_CLUB)
    club.refresh_from_db()
    assert (club.sweet_spot_mm, club.intended_spot_mm, club.head_g) == (None, None, None)


BAD_HEADS = [
    ({"sweet_spot_low_high_mm": "81"}, "less than or equal to 80"),
    ({"intended_heel_toe_mm": "-81"}, "greater than or equal to -80"),
    ({"intended_heel_toe_mm": ""}, "A spot takes both numbers. Enter this one too, or leave both empty."),
    ({"sweet_spot_low_high_mm": ""}, "A spot takes both numbers."),
    ({"head_g": "149"}, "Enter 150 to 500, or leave it empty if you don’t know it."),
    ({"head_g": "nan"}, "Enter a number"),
    ({"tilt_inertia_g_cm2": "0.00009"}, "Enter 200 to 4000"),
    ({"turn_inertia_g_cm2": "6001"}, "Enter 800 to 6000"),
]


@pytest.mark.parametrize(("changes", "words"), BAD_HEADS)
def test_a_bad_head_comes_back_unfolded_with_words_and_is_not_stored(coach, club, changes, words):
    sent = {"label": "56", "kind": "wedge", "carried": "on", **KNOWN_HEAD, **changes}
    response = coach.post(reverse("clubs:edit", args=[club.pk]), sent)
    html = response.content.decode()
    assert response.status_code == 422
    assert words in html
    assert "<details open>" in html
    club.refresh_from_db()
    assert (club.sweet_spot_mm, club.head_g) == (None, None)


def test_the_head_stays_folded_until_something_is_known_of_it(coach, club):
    address = reverse("clubs:edit", args=[club.pk])
    assert "<details><summary>The head" in coach.get(address).content.decode()
    Club.objects.update(head_g=300)
    assert "<details open><summary>The head" in coach.get(address).content.decode()


def test_the_form_tells_the_estimates_that_stand_in_for_what_is_left_empty():
    """In the unit of the form: 1 g cm2 is 1e-7 kg m2."""
    help_of = ClubForm.Meta.help_texts
    assert f"{1000 * WEDGE.best.head_kg:.0f}" in help_of["head_g"]
    for name in ("tilt_inertia", "turn_inertia"):
        low, high = (1e7 * getattr(head, f"{name}_kg_m2") for head in (WEDGE.most, WEDGE.least))
        assert f"{low:.0f} to {high:.0f}, an engineering estimate" in help_of[f"{name}_g_cm2"]


# Setups


def test_a_bend_starts_a_setup_and_moves_the_shots_hit_since(cast, coach, player, club):
    venue = make.make_range(cast.academy)
    before = make.make_shot(club, venue, hit_at=make.local(2026, 1, 20))
    after = make.make_shot(club, venue, hit_at=make.local(2026, 2, 2))
    response = coach.post(reverse("clubs:add_setup", args=[club.pk]), NEW_SETUP, follow=True)
    for shot in (before, after):
        shot.refresh_from_db()
    assert (before.setup.loft_deg, after.setup.loft_deg) == (56.0, 57.0)
    assert "1 shot now counts" in response.content.decode()


def test_a_setup_sent_twice_is_one_setup(coach, club):
    address = reverse("clubs:add_setup", args=[club.pk])
    assert [coach.post(address, NEW_SETUP).status_code for _ in range(2)] == [302, 422]
    assert club.setups.count() == 2


def test_a_setup_cannot_start_in_the_future(cast, coach, club):
    tomorrow = cast.academy.today() + timedelta(days=1)
    response = coach.post(reverse("clubs:add_setup", args=[club.pk]), {**NEW_SETUP, "valid_from": str(tomorrow)})
    assert response.status_code == 422
    assert "has not come yet" in response.content.decode()


def test_the_page_of_a_bend_leaves_the_judgement_to_a_club_fitter(coach, club):
    assert "qualified club fitter" in coach.get(reverse("clubs:add_setup", args=[club.pk])).content.decode()


def test_the_first_setup_is_corrected_and_stays_open_to_the_past(coach, club):
    coach.post(reverse("clubs:setup", args=[club.pk, "first"]), {"reason": "new", "loft_deg": "55"})
    setup = club.setups.get()
    assert (setup.loft_deg, setup.valid_from) == (55.0, None)


def test_a_later_setup_is_named_by_its_day_and_its_day_can_be_corrected(cast, coach, club):
    shot = make.make_shot(club, make.make_range(cast.academy), hit_at=make.local(2026, 1, 20))
    coach.post(reverse("clubs:add_setup", args=[club.pk]), NEW_SETUP)
    address = reverse("clubs:setup", args=[club.pk, "2026-02-01"])
    coach.post(address, {**NEW_SETUP, "valid_from": "2026-01-15"})
    shot.refresh_from_db()
    assert shot.setup.valid_from == date(2026, 1, 15)
    assert coach.get(address).status_code == 404


# Readings and stated carries


def test_a_reading_goes_with_the_setup_of_its_day_and_is_kept_once(coach, club):
    coach.post(reverse("clubs:add_setup", args=[club.pk]), NEW_SETUP)
    for _ in range(2):
        coach.post(reverse("clubs:add_reading", args=[club.pk]), {"loft_deg": "56.4", "measured_on": "2026-01-31"})
    assert LoftReading.objects.get().setup.valid_from is None
    assert club.setups.count() == 2


def test_a_bad_reading_comes_back_with_words(coach, club):
    response = coach.post(reverse("clubs:add_reading", args=[club.pk]), {"loft_deg": "95", "measured_on": "2126-01-01"})
    page = response.content.decode()
    assert response.status_code == 422
    assert "between 0 and 90" in page
    assert "has not come yet" in page
    assert not LoftReading.objects.exists()


def carries(club):
    return dict(StatedCarry.objects.filter(club=club).values_list("swing", "carry_m"))


def test_carries_are_stated_in_the_players_unit_changed_and_taken_back(coach, player, club):
    SwingLength.objects.create(academy=player.academy, code="grip-down")
    address = reverse("clubs:state_carries", args=[club.pk])
    coach.post(address, {"swing-1": "60", "swing-3": "95", "swing-4": "50"})
    assert carries(club) == {"9:00": 60 * 0.9144, "full": 95 * 0.9144, "grip-down": 50 * 0.9144}
    coach.post(address, {"swing-1": "61", "swing-3": "95"})
    assert carries(club) == {"9:00": 61 * 0.9144, "full": 95 * 0.9144}
    assert "half (9:00) 61 yd<br>full 95 yd" in bag(coach, player)


def test_a_carry_that_was_not_touched_stays_exact_and_keeps_its_day(coach, club):
    StatedCarry.objects.create(club=club, swing="full", carry_m=86.87654, stated_on=date(2026, 1, 5))
    coach.post(reverse("clubs:state_carries", args=[club.pk]), {"swing-3": "95.0", "swing-0": "30"})
    full = StatedCarry.objects.get(swing="full")
    assert (full.carry_m, full.stated_on) == (86.87654, date(2026, 1, 5))


@pytest.mark.parametrize("carry", ["0", "-5", "900", "nan", "far"])
def test_a_bad_carry_comes_back_and_nothing_is_stored(coach, club, carry):
    response = coach.post(reverse("clubs:state_carries", args=[club.pk]), {"swing-0": "30", "swing-3": carry})
    assert (response.status_code, carries(club)) == (422, {})


def test_a_player_reads_the_own_bag_and_is_offered_no_change(cast, player, club):
    page = bag(cast.client("player"), player)
    assert "56" in page
    assert "Add a club" not in page
    one = cast.client("player").get(reverse("clubs:club", args=[club.pk])).content.decode()
    assert "Save the carries" not in one


def test_the_queries_of_a_bag_do_not_grow_with_clubs(coach, player, club, django_assert_num_queries):
    address = reverse("clubs:bag", args=[player.pk])
    with django_assert_num_queries(10):
        coach.get(address)
    for n in range(6):
        make.make_club(player, f"c{n}", stated_full_m=80.0)
    with django_assert_num_queries(10):
        coach.get(address)
