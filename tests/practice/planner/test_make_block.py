"""python manage.py make_block"""

import json
from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from practice.clubs.models import StatedCarry
from practice.planner.models import WeekPlan
from practice.venues.models import Target, TeeLine
from tests import make
from tests.practice.planner.plans import equip

pytestmark = pytest.mark.django_db


@pytest.fixture
def player():
    player = make.make_player(make.make_academy(), "Nora Field")
    equip(player)
    return player


def printed(**options):
    out = StringIO()
    call_command("make_block", stdout=out, **{"player": "nora-field", "balls": 12, "seed": 7, **options})
    return json.loads(out.getvalue())


def test_it_prints_the_block_and_stores_nothing(player):
    block = printed()
    assert list(block) == ["player", "venue", "seed", "algorithm", "inputs_sha256", "notes", "balls"]
    assert (block["player"], block["seed"], len(block["balls"])) == ("nora-field", 7, 12)
    assert list(block["balls"][0]) == ["n", "club", "swing", "target", "target_m"]
    assert {ball["club"] for ball in block["balls"]} == {"50", "54", "58"}
    assert not WeekPlan.objects.exists()


def test_the_same_seed_and_inputs_print_the_same_block(player):
    assert printed() == printed()
    assert printed(seed=8)["balls"] != printed()["balls"]


def test_the_block_does_not_depend_on_the_order_in_which_clubs_and_targets_were_entered(player):
    other = make.make_player(make.make_academy(), "Other Way")
    venue = make.make_range(other.academy, (75.0, 60.0))
    line = venue.tee_lines.get()
    for label, carry_m in (("58", 75.0), ("54", 85.0), ("50", 95.0)):
        make.make_club(other, label, loft_deg=float(label), stated_full_m=carry_m)
    for name, distance_m in (("Flag 2", 45.0), ("Flag 1", 30.0), ("Flag 3", 60.0), ("Flag 4", 75.0)):
        Target.objects.update_or_create(tee_line=line, name=name, defaults={"distance_m": distance_m})
    assert printed(player="other-way")["balls"] == printed()["balls"]


def test_hidden_leaves_every_swing_to_feel(player):
    assert {ball["swing"] for ball in printed(hidden=True)["balls"]} == {"feel"}


def test_a_venue_and_a_tee_line_are_chosen_by_name(player):
    make.make_range(player.academy, (50.0,), default=False, name="South Range")
    line = TeeLine.objects.create(venue=make.Venue.objects.get(slug="south-range"), name="Back mats")
    Target.objects.create(tee_line=line, name="Far", distance_m=70.0)
    assert {ball["target"] for ball in printed(venue="south-range", tee_line="Front mats")["balls"]} == {"Flag 1"}
    assert {ball["target"] for ball in printed(venue="south-range")["balls"]} == {"Far"}


def test_what_is_left_out_for_want_of_a_figure_is_told(player):
    make.make_club(player, "X", loft_deg=None)
    Target.objects.filter(name="Flag 1").update(distance_m=None)
    notes = " ".join(printed()["notes"])
    assert "No carry is known for the club “X”" in notes
    assert "The distance of the target “Flag 1” is not known" in notes


def test_a_target_at_the_end_of_an_uncertain_reach_is_told(player):
    club = player.clubs.get(label="58")
    for carry_m in (71.0, 75.0, 79.0):
        make.make_shot(
            club, make.Venue.objects.get(), target_m=None, swing="full", carry_m=carry_m, measured_by="laser"
        )
    assert "“Flag 4” may be out of reach of the 58" in " ".join(printed(balls=40)["notes"])


BAD = [
    ({"player": "nobody"}, "no player 'nobody'"),
    ({"balls": 0}, "--balls must be from 1 to 200"),
    ({"balls": 10_000}, "--balls must be from 1 to 200"),
    ({"venue": "nowhere"}, "no range 'nowhere'"),
    ({"tee_line": "Roof"}, "no tee line 'Roof'"),
    ({"academy": "nowhere"}, "no academy 'nowhere'"),
]


@pytest.mark.parametrize(("options", "words"), BAD)
def test_a_bad_option_ends_with_words_that_say_what_to_do(player, options, words):
    with pytest.raises(CommandError, match=words):
        printed(**options)


def test_without_any_carry_it_asks_for_a_carry_test(player):
    StatedCarry.objects.all().delete()
    with pytest.raises(CommandError, match="run a carry test, or state a carry"):
        printed()


def test_without_a_target_in_reach_it_says_so(player):
    Target.objects.update(distance_m=300.0)
    with pytest.raises(CommandError, match="No club reaches"):
        printed()


def test_without_a_default_range_it_names_the_ranges(player):
    make.Venue.objects.update(is_default=False)
    with pytest.raises(CommandError, match="no default range; name one with --venue"):
        printed()


def test_a_slug_in_two_academies_needs_the_academy(player):
    make.make_player(make.make_academy(), "Nora Field")
    with pytest.raises(CommandError, match="--academy"):
        printed()
    assert printed(academy=player.academy.slug)["player"] == "nora-field"
