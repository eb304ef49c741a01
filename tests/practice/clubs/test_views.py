"""The bag as a coach keeps it. Who may open which page stands in litany.py."""

from datetime import date, timedelta

import pytest
from django.urls import reverse

from analytics.metrics.strike_loss import WEDGE
from practice.clubs.forms import ClubForm
from practice.clubs.models import Club, LoftReading, StatedCarry, SwingLength
from tests import make
from tests.practice.clubs.litany import NEW_CLUB, NEW_SETUP
from tests.practice.litany import make_cast

pytestmark = pytest.mark.django_db


@pytest.fixture
def cast():
    return make_cast()


@pytest.fixture
def coach(cast):
    return cast.client("coach")


@pytest.fixture
def player(cast):
    return cast.player


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
    assert "Rule 4.1b" in bag(coach, player)


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
    with django_assert_num_queries(8):
        coach.get(address)
    for n in range(6):
        make.make_club(player, f"c{n}", stated_full_m=80.0)
    with django_assert_num_queries(8):
        coach.get(address)
