"""The builder as a coach meets it. Who may open it stands in litany.py."""

import re

import pytest
from django.urls import reverse

from practice.clubs.models import StatedCarry
from practice.planner.models import Ball, Block, WeekPlan
from practice.venues.models import Target
from tests import make
from tests.practice.planner.pages import balls_seen, balls_stored, builder_of, choice, hidden_fields, week_of
from tests.practice.planner.plans import make_drill, put_block

pytestmark = pytest.mark.django_db


def test_what_was_seen_is_what_goes_into_the_week(coach, player, clubs):
    seen = coach.get(builder_of(player), choice(player))
    response = coach.post(builder_of(player), hidden_fields(seen))
    assert (response.status_code, response.url) == (302, week_of(player))
    assert balls_stored(Block.objects.get()) == balls_seen(seen)


def test_nothing_is_stored_by_looking(coach, player, clubs):
    coach.get(builder_of(player), choice(player))
    assert not WeekPlan.objects.exists()


def test_every_look_draws_with_another_seed(coach, player, clubs):
    seeds = {coach.get(builder_of(player), choice(player)).context["preview"].drawn.seed for _ in range(3)}
    assert len(seeds) == 3


def test_a_form_sent_twice_puts_one_block_in(coach, player, clubs):
    fields = hidden_fields(coach.get(builder_of(player), choice(player)))
    for _ in range(2):
        assert coach.post(builder_of(player), fields).status_code == 302
    assert Block.objects.count() == 1


def test_a_block_drawn_from_what_has_changed_since_is_shown_again_and_not_stored(coach, player, clubs):
    fields = hidden_fields(coach.get(builder_of(player), choice(player)))
    StatedCarry.objects.filter(club=clubs[0]).update(carry_m=70.0)
    response = coach.post(builder_of(player), fields)
    assert response.status_code == 409
    assert "has changed since you looked" in response.content.decode()
    assert not Block.objects.exists()
    assert coach.post(builder_of(player), hidden_fields(response)).status_code == 302


def test_a_block_without_numbers_and_full_swings_is_stored_as_such(coach, player, clubs):
    seen = coach.get(builder_of(player), choice(player, number_shown=None, full_swings=None))
    coach.post(builder_of(player), hidden_fields(seen))
    block = Block.objects.get()
    assert not block.number_shown
    assert block.parameters["full_swings"] is False


@pytest.mark.parametrize(("sent", "stored"), [(None, "every"), ("every", "every"), ("third", "third"), ("end", "end")])
def test_what_the_player_logs_is_chosen_with_the_block_and_stands_in_the_form_again(coach, player, clubs, sent, stored):
    seen = coach.get(builder_of(player), choice(player, logging=sent))
    coach.post(builder_of(player), hidden_fields(seen))
    block = Block.objects.get()
    assert block.logging == stored
    again = coach.get(reverse("planner:redraw_block", args=[block.pk])).content.decode()
    assert f'<option value="{stored}" selected>' in again


def test_a_carry_test_does_not_offer_counts_alone(coach, player, clubs):
    drill = make_drill(player.academy, "carry_test")
    form = coach.get(builder_of(player), {"drill": drill.pk}).context["form"]
    assert [code for code, _ in form.fields["logging"].choices] == ["every", "third"]


def test_a_block_in_a_bay_uses_only_targets_inside_its_arc(coach, player, clubs):
    line = Target.objects.first().tee_line
    bay = line.bays.create(academy=player.academy, name="3", arc_left_deg=-5, arc_right_deg=5)
    outside = Target.objects.order_by("distance_m").first()
    Target.objects.filter(pk=outside.pk).update(direction_deg=20)
    form = coach.get(builder_of(player), {"place": bay.pk}).context["form"]
    assert str(outside.pk) not in form.targets
    response = coach.get(builder_of(player), choice(player, place=str(bay.pk)))
    assert response.status_code == 422
    assert "cannot be hit at from this place" in response.content.decode()


def test_the_builder_says_how_each_reach_is_known(coach, player, clubs):
    make.make_club(player, "46", loft_deg=46.0)
    page = coach.get(builder_of(player)).content.decode()
    assert "stated, not tested" in page
    assert "estimated from another club" in page


def test_a_putter_is_not_offered(coach, player, clubs):
    labels = [bagged.club.label for bagged in coach.get(builder_of(player)).context["form"].bag.values()]
    assert labels == ["50", "54", "58"]


def test_with_no_carry_known_the_builder_offers_a_carry_test_first(coach, player, clubs):
    StatedCarry.objects.all().delete()
    page = coach.get(builder_of(player)).content.decode()
    assert "Plan a carry test first" in page
    response = coach.get(builder_of(player), choice(player))
    assert response.status_code == 422
    assert "not known yet" in response.content.decode()


def test_without_a_range_the_builder_says_to_enter_one(coach, player):
    assert "Enter a range" in coach.get(builder_of(player)).content.decode()


BAD = [
    ({"balls": "0"}, "at least one ball"),
    ({"balls": "10000"}, "at most 200 balls"),
    ({"balls": "ten"}, "whole number"),
    ({"balls": None}, "This field is required"),
    ({"clubs": None}, "Choose at least one club"),
    ({"targets": None}, "Choose at least one target"),
    ({"clubs": ["no club"]}, "no longer carried"),
]


@pytest.mark.parametrize(("changes", "words"), BAD)
def test_a_choice_that_cannot_be_drawn_says_why_and_stores_nothing(coach, player, clubs, changes, words):
    response = coach.get(builder_of(player), choice(player, **changes))
    assert response.status_code == 422
    assert words in response.content.decode()
    assert coach.post(builder_of(player), choice(player, **changes)).status_code == 422
    assert not WeekPlan.objects.exists()


def test_a_flag_out_of_reach_is_told_in_words(coach, player, clubs):
    far = Target.objects.order_by("-distance_m").first()
    Target.objects.filter(pk=far.pk).update(distance_m=200)
    response = coach.get(builder_of(player), choice(player, targets=[str(far.pk)]))
    assert response.status_code == 422
    assert "No club reaches any of these targets" in response.content.decode()


def test_one_club_and_one_flag_are_drawn_with_a_note(coach, player, clubs):
    one = {"clubs": [str(clubs[0].pk)], "targets": [str(Target.objects.get(name="Flag 4").pk)]}
    response = coach.get(builder_of(player), choice(player, **one))
    assert "every ball is the same" in response.content.decode()


def test_htmx_is_given_the_builder_alone(coach, player, clubs):
    whole = coach.get(builder_of(player), choice(player)).content.decode()
    part = coach.get(builder_of(player), choice(player), headers={"HX-Request": "true"}).content.decode()
    assert "<html" in whole
    assert part.strip().startswith('<div id="builder">')


def test_the_drill_says_what_the_form_starts_with(coach, player, clubs):
    drill = make_drill(player.academy, title="Ten by feel", parameters={"balls": 10, "number_shown": False})
    page = coach.get(builder_of(player), {"drill": drill.pk}).content.decode()
    assert 'name="balls" value="10"' in page
    assert not re.search(r'name="number_shown"[^>]*checked', page)


def test_the_queries_of_the_builder_do_not_grow_with_clubs_targets_and_bays(
    coach, player, clubs, django_assert_num_queries
):
    coach.get(builder_of(player))
    with django_assert_num_queries(17):
        coach.get(builder_of(player), choice(player))
    line = Target.objects.first().tee_line
    for n in range(5):
        make.make_club(player, f"x{n}", stated_full_m=80.0)
        line.bays.create(academy=player.academy, name=str(n))
        line.targets.create(academy=player.academy, name=f"Mark {n}", distance_m=40 + n)
    with django_assert_num_queries(17):
        coach.get(builder_of(player), choice(player))


# Carry tests


def test_a_carry_test_goes_into_the_week_club_by_club(coach, player, clubs):
    drill = make_drill(player.academy, "carry_test")
    asked = {
        "asked": "1",
        "drill": str(drill.pk),
        "clubs": [str(clubs[0].pk), str(clubs[1].pk)],
        "swings": ["9:00", "full"],
        "balls_each": "3",
    }
    seen = coach.get(builder_of(player), asked)
    coach.post(builder_of(player), hidden_fields(seen))
    block = Block.objects.get()
    assert (block.kind, block.seed, block.venue, block.balls.count()) == ("carry_test", 0, None, 12)
    assert set(block.balls.values_list("target_m", "target_name")) == {(None, "")}


def test_a_carry_test_of_too_many_balls_says_so(coach, player, clubs):
    drill = make_drill(player.academy, "carry_test")
    asked = {
        "asked": "1",
        "drill": str(drill.pk),
        "clubs": [str(club.pk) for club in clubs],
        "swings": ["7:30", "9:00", "10:30", "full"],
        "balls_each": "20",
    }
    response = coach.get(builder_of(player), asked)
    assert response.status_code == 422
    assert "on another day" in response.content.decode()


# Drawing a block of the draft again


def test_a_block_of_the_draft_is_drawn_again_from_what_was_asked(coach, player, clubs):
    coach.post(builder_of(player), hidden_fields(coach.get(builder_of(player), choice(player, number_shown=None))))
    block = Block.objects.get()
    address = reverse("planner:redraw_block", args=[block.pk])
    seen = coach.get(address)
    assert not seen.context["preview"].number_shown
    assert len(seen.context["preview"].balls) == 12
    for _ in range(2):
        assert coach.post(address, hidden_fields(seen)).status_code == 302
    assert balls_stored(Block.objects.get()) == balls_seen(seen)
    assert Ball.objects.count() == 12


@pytest.mark.parametrize(("kind", "balls"), [("one_ball", 12), ("strike_check", 10), ("free", 12)])
def test_a_block_is_swapped_for_one_of_the_same_size_as_far_as_the_drill_takes_it(coach, player, clubs, kind, balls):
    block = put_block(player, clubs, balls=12)
    drill = player.academy.drills.get(kind=kind)
    form = coach.get(reverse("planner:redraw_block", args=[block.pk]), {"drill": drill.pk}).context["form"]
    assert form["balls"].value() == balls


def test_the_builder_says_whether_a_block_is_new_or_changed(coach, player, clubs):
    new = coach.get(builder_of(player), choice(player)).content.decode()
    assert "Add a block" in new
    assert "Put into the week" in new
    changed = coach.get(reverse("planner:redraw_block", args=[put_block(player, clubs).pk])).content.decode()
    assert "Change this block" in changed
    assert "Use these balls" in changed


def test_a_block_whose_range_was_closed_since_can_still_be_opened(coach, player, clubs):
    block = put_block(player, clubs)
    block.venue.tee_lines.all().delete()
    assert coach.get(reverse("planner:redraw_block", args=[block.pk])).status_code == 422
