"""The drill library as a coach meets it. Who may open it stands in litany.py."""

import pytest
from django.db.models.signals import pre_save
from django.urls import reverse

from practice.drills.actions import add_default_drills
from practice.drills.kinds import KINDS, SCORES
from practice.drills.models import Drill
from tests import make
from tests.practice.drills.litany import words

pytestmark = pytest.mark.django_db


def sent(cast, **changes):
    return {name: value for name, value in (words(cast) | changes).items() if value is not None}


def test_the_library_lists_every_kind_with_how_it_is_logged_and_scored(coach, cast):
    page = coach.get(reverse("drills:drills")).content.decode()
    for kind in KINDS.values():
        assert (kind.title in page) == (kind is not KINDS["own"])
    for score in ("landing_miss", "k_of_n", "strokes", "marks", "clean_share", "smooth_share", "done"):
        assert SCORES[score] in page
    assert Drill.objects.filter(academy=cast.academy).count() == len(KINDS) - 1


def test_a_drill_of_the_academys_own_is_made_of_parts(coach, cast):
    assert coach.post(reverse("drills:add"), sent(cast)).status_code == 302
    drill = Drill.objects.get(title="Nine out of ten")
    assert (drill.academy, drill.kind, drill.aims, drill.log, drill.score) == (
        cast.academy,
        "own",
        "none",
        "outcome",
        "k_of_n",
    )
    assert (drill.parameters["shot_type"], drill.parameters["balls"]) == ("chip", 10)
    assert "Nine out of ten" in coach.get(reverse("drills:drills")).content.decode()


def test_another_drill_of_a_kind_starts_with_the_words_of_that_kind(coach, cast):
    page = coach.get(reverse("drills:add"), {"kind": "ladder"}).content.decode()
    assert KINDS["ladder"].instructions in page
    assert 'name="trips" value="1"' in page
    coach.post(reverse("drills:add"), sent(cast, kind="ladder", title="Three trips", trips=3, full_swings="on"))
    drill = Drill.objects.get(title="Three trips")
    assert drill.parameters == {"trips": 3, "number_shown": False, "full_swings": True}


BAD = [
    ({"title": ""}, "This field is required"),
    ({"cautions": ""}, "This field is required"),
    ({"balls": 0}, "at least one ball"),
    ({"balls": 10_000}, "at most 200 balls"),
    ({"score": "best_run"}, "A chip is scored by"),
    ({"log": "turf", "shot_type": "pitch"}, "a drill is scored by “the share of clean strikes”"),
    ({"log": "video"}, "Select a valid choice"),
    ({"title": "ladder"}, "There is a drill “ladder” already"),
]


@pytest.mark.parametrize(("changes", "said"), BAD, ids=str)
def test_a_drill_that_cannot_be_is_told_in_words_and_not_stored(coach, cast, changes, said):
    add_default_drills(cast.academy)
    response = coach.post(reverse("drills:add"), sent(cast, **changes))
    assert response.status_code == 422
    assert said in response.content.decode()
    assert not Drill.objects.filter(kind="own").exists()


@pytest.mark.parametrize("name", ["add", "edit"])
def test_a_title_that_another_coach_takes_meanwhile_is_told_in_words(coach, cast, name):
    held = Drill.objects.create(academy=cast.academy, kind="own", title="Up and down")
    address = reverse("drills:add") if name == "add" else reverse("drills:edit", args=[held.pk])

    def rival(**_):
        Drill.objects.bulk_create([Drill(academy=cast.academy, kind="free", title="Nine out of ten")])

    pre_save.connect(rival, sender=Drill)
    try:
        response = coach.post(address, sent(cast, instructions="Keep this."))
    finally:
        pre_save.disconnect(rival, sender=Drill)
    assert response.status_code == 422
    page = response.content.decode()
    assert "There is a drill “Nine out of ten” already" in page
    assert "Keep this." in page
    assert Drill.objects.get().title == held.title == "Up and down"  # the other's too went with the savepoint


def test_a_kind_or_academy_that_is_not_there_stores_nothing(coach, cast):
    other = make.make_academy()
    for changes in ({"kind": "bingo"}, {"academy": other.pk}):
        assert coach.post(reverse("drills:add"), sent(cast, **changes)).status_code == 422
    assert not Drill.objects.exists()
    assert coach.get(reverse("drills:add"), {"kind": "bingo"}).status_code == 200


def test_a_drill_is_changed_under_its_own_title(coach, cast):
    drill = Drill.objects.create(academy=cast.academy, kind="free", title="Free", cautions="Nobody in front.")
    address = reverse("drills:edit", args=[drill.pk])
    assert 'value="15"' in coach.get(address).content.decode()
    changed = {"title": "Free", "instructions": "Have fun.", "cautions": "Nobody in front.", "balls": 25}
    assert coach.post(address, changed).status_code == 302
    drill.refresh_from_db()
    assert (drill.instructions, drill.parameters) == ("Have fun.", {"balls": 25})


def test_an_archived_drill_is_offered_no_more_until_it_is_used_again(coach, cast):
    player = cast.player
    add_default_drills(cast.academy)
    drill = Drill.objects.get(kind="ladder")
    builder = reverse("planner:add_block", args=[player.pk, "2026-03-02"])
    for action, offered in (("archive", False), ("restore", True)):
        coach.post(reverse(f"drills:{action}", args=[drill.pk]))
        assert (drill in coach.get(builder).context["bench"].drills) == offered
        assert "Ladder" in coach.get(reverse("drills:drills")).content.decode()


def test_the_queries_of_the_library_do_not_grow_with_drills(coach, cast, django_assert_num_queries):
    coach.get(reverse("drills:drills"))
    with django_assert_num_queries(5):
        coach.get(reverse("drills:drills"))
    for n in range(5):
        Drill.objects.create(academy=cast.academy, kind="free", title=f"Free {n}")
    with django_assert_num_queries(5):
        coach.get(reverse("drills:drills"))
