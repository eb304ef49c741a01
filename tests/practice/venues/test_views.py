"""Ranges as a coach enters them. Who may open which page stands in litany.py."""

from datetime import date, timedelta

import pytest
from django.urls import reverse

from practice.units import DistanceUnit
from practice.venues import actions
from practice.venues.models import Bay, Target, TeeLine, Venue
from tests import make
from tests.practice.litany import make_cast
from tests.practice.venues.litany import A_BAY, A_TARGET, a_range

pytestmark = pytest.mark.django_db


@pytest.fixture
def venue(cast):
    return make.make_range(cast.academy, (50.0,))


@pytest.fixture
def line(venue):
    return venue.tee_lines.get()


@pytest.fixture
def target(line):
    return line.targets.get()


def shown(client, venue):
    return client.get(reverse("venues:venue", args=[venue.pk])).content.decode()


def change(client, target, **changes):
    """Send the target's own form back with some fields changed."""
    address = reverse("venues:target", args=[target.pk])
    form = client.get(address).context["form"]
    sent = {field.name: field.value() for field in form if field.value() is not None}
    return client.post(address, {**sent, **changes})


def test_the_first_range_of_an_academy_is_its_usual_one_and_has_a_tee_line(cast, coach):
    coach.post(reverse("venues:add"), a_range(cast))
    venue = Venue.objects.get()
    assert (venue.slug, venue.is_default, venue.tee_lines.get().name) == ("north", True, "Mats")


def test_a_new_usual_range_takes_the_place_of_the_one_before(cast, coach, venue):
    coach.post(reverse("venues:add"), {**a_range(cast), "is_default": "on"})
    assert Venue.objects.default_of(cast.academy).name == "North"


def test_a_range_sent_twice_is_one_range(cast, coach):
    coach.post(reverse("venues:add"), a_range(cast))
    response = coach.post(reverse("venues:add"), a_range(cast))
    assert (response.status_code, Venue.objects.count()) == (422, 1)
    assert "There is a “North” here already." in response.content.decode()


def test_a_range_cannot_take_the_slug_of_elsewhere(cast):
    facts = {"name": "Elsewhere!", "time_zone": "UTC", "is_default": False, "tee_line": "Mats"}
    assert actions.add_venue(academy=cast.academy, **facts).slug == "elsewhere-2"


def test_a_time_zone_that_is_none_is_told(cast, coach):
    response = coach.post(reverse("venues:add"), {**a_range(cast), "time_zone": "Mars"})
    assert response.status_code == 422
    assert "use a name like Europe/London" in response.content.decode()


def test_the_usual_range_can_be_changed_and_renamed(cast, coach, venue):
    sent = {"name": "South", "time_zone": "Europe/Paris"}
    coach.post(reverse("venues:edit", args=[venue.pk]), sent)
    venue.refresh_from_db()
    assert (venue.name, venue.time_zone, venue.is_default) == ("South", "Europe/Paris", False)
    coach.post(reverse("venues:edit", args=[venue.pk]), {**sent, "is_default": "on"})
    assert Venue.objects.default_of(cast.academy) == venue


def test_elsewhere_is_not_listed_as_a_range(cast, coach):
    Venue.objects.elsewhere_of(cast.academy)
    assert "Elsewhere" not in coach.get(reverse("venues:venues")).content.decode()


@pytest.mark.parametrize(("unit", "distance_m"), [("yd", 50 * 0.9144), ("m", 50.0)])
def test_a_distance_is_typed_in_the_academys_unit_and_kept_in_metres(cast, coach, line, unit, distance_m):
    cast.academy.distance_unit = unit
    cast.academy.save()
    coach.post(reverse("venues:add_target", args=[line.pk]), A_TARGET)
    assert Target.objects.get(name="Red").distance_m == distance_m
    assert DistanceUnit(unit).show(distance_m) in shown(coach, line.venue)


def test_a_distance_that_was_not_touched_stays_exact(coach, target):
    Target.objects.filter(pk=target.pk).update(distance_m=51.2345)
    assert change(coach, target, name="Blue").status_code == 302
    target.refresh_from_db()
    assert (target.name, target.distance_m) == ("Blue", 51.2345)


def test_the_page_says_where_nobody_checked_a_distance(coach, target):
    assert "nobody checked this distance" in shown(coach, target.tee_line.venue)
    change(coach, target, checked_on="2026-03-01")
    assert "nobody checked this distance" not in shown(coach, target.tee_line.venue)


def test_another_distance_forgets_the_day_on_which_the_old_one_was_checked(coach, target):
    change(coach, target, checked_on="2026-03-01")
    change(coach, target, distance="60")
    target.refresh_from_db()
    assert target.checked_on is None
    change(coach, target, distance="61", checked_on="2026-03-02")
    target.refresh_from_db()
    assert target.checked_on == date(2026, 3, 2)


def test_a_target_may_have_no_distance(coach, line):
    coach.post(reverse("venues:add_target", args=[line.pk]), {**A_TARGET, "distance": ""})
    assert "not known" in shown(coach, line.venue)


BAD_TARGETS = [
    ({"name": ""}, "This field is required"),
    ({"name": "flag 1"}, "There is a “flag 1” here already"),
    ({"distance": "-5"}, "A target stands up to"),
    ({"distance": "0"}, "A target stands up to"),
    ({"distance": "9999"}, "A target stands up to"),
    ({"distance": "nan"}, "Enter a number"),
    ({"direction_deg": "91"}, "from −90 (left) to 90 (right)"),
    ({"elevation": "500"}, "up or down"),
    ({"kind": "tree"}, "Select a valid choice"),
    ({"checked_on": "2126-01-01"}, "has not come yet"),
]


@pytest.mark.parametrize(("changes", "words"), BAD_TARGETS)
def test_a_bad_target_comes_back_with_words_and_is_not_stored(coach, target, changes, words):
    address = reverse("venues:add_target", args=[target.tee_line_id])
    response = coach.post(address, {**A_TARGET, **changes})
    assert (response.status_code, Target.objects.count()) == (422, 1)
    assert words in response.content.decode()


@pytest.mark.parametrize("arc", [("30", "-30"), ("-91", "0"), ("0", "91"), ("5", "5")])
def test_a_bays_arc_runs_from_left_to_right_within_a_half_circle(coach, line, arc):
    sent = {"name": "1", "arc_left_deg": arc[0], "arc_right_deg": arc[1]}
    response = coach.post(reverse("venues:add_bay", args=[line.pk]), sent)
    assert (response.status_code, Bay.objects.count()) == (422, 0)
    assert "from left to right" in response.content.decode()


def test_a_bay_and_a_tee_line_sent_twice_are_one_each(coach, line):
    for status in (302, 422):
        assert coach.post(reverse("venues:add_bay", args=[line.pk]), A_BAY).status_code == status
        lines = reverse("venues:add_line", args=[line.venue_id])
        assert coach.post(lines, {"name": "Grass"}).status_code == status
    assert (Bay.objects.count(), TeeLine.objects.count()) == (1, 2)


def test_an_archived_target_is_out_of_use_and_can_be_used_again(coach, target):
    for _ in range(2):
        coach.post(reverse("venues:archive_target", args=[target.pk]))
    assert not Target.objects.in_use().exists()
    assert "Archived targets (1)" in shown(coach, target.tee_line.venue)
    coach.post(reverse("venues:restore_target", args=[target.pk]))
    assert Target.objects.in_use().get() == target


def test_a_player_reads_the_range_and_is_offered_no_change(cast, target):
    page = shown(cast.client("player"), target.tee_line.venue)
    assert "Flag 1" in page
    assert "Add a target" not in page
    assert "Archive" not in page


def test_the_queries_of_a_range_do_not_grow_with_lines_bays_and_targets(coach, venue, django_assert_num_queries):
    address = reverse("venues:venue", args=[venue.pk])
    with django_assert_num_queries(8):
        coach.get(address)
    for n in range(4):
        line = TeeLine.objects.create(venue=venue, name=f"Line {n}")
        for m in range(3):
            Bay.objects.create(tee_line=line, name=str(m))
            Target.objects.create(tee_line=line, name=str(m), distance_m=50.0)
    with django_assert_num_queries(8):
        coach.get(address)


def test_tomorrow_is_no_day_to_have_checked_a_distance(cast, coach, target):
    tomorrow = cast.academy.today() + timedelta(days=1)
    assert change(coach, target, checked_on=str(tomorrow)).status_code == 422


@pytest.mark.parametrize(
    ("typed", "kept"),
    [("100, 30 60", [30, 60, 100]), ("30,30", [30]), ("", []), (" 50 ", [50])],
)
def test_the_sizes_of_the_buckets_are_typed_as_numbers_and_kept_smallest_first(typed, kept):
    cast = make_cast()
    venue = make.make_range(cast.academy)
    coach = cast.client("coach")
    sent = {"name": "North", "time_zone": "UTC", "bucket_sizes": typed}
    assert coach.post(reverse("venues:edit", args=[venue.pk]), sent).status_code == 302
    venue.refresh_from_db()
    assert venue.bucket_sizes == kept
    page = coach.get(reverse("venues:edit", args=[venue.pk])).content.decode()
    assert f'value="{", ".join(map(str, kept))}"' in page or not kept


@pytest.mark.parametrize("typed", ["0", "501", "-30", "thirty", "30.5", "²", "1 2 3 4 5 6 7 8 9"])
def test_sizes_that_are_none_come_back_with_what_was_typed(typed):
    cast = make_cast()
    venue = make.make_range(cast.academy)
    sent = {"name": "North", "time_zone": "UTC", "bucket_sizes": typed}
    response = cast.client("coach").post(reverse("venues:edit", args=[venue.pk]), sent)
    assert response.status_code == 422
    assert f'value="{typed}"' in response.content.decode()
    venue.refresh_from_db()
    assert venue.bucket_sizes == []


def test_a_new_range_has_its_buckets_at_once():
    cast = make_cast()
    sent = {"name": "South", "time_zone": "UTC", "tee_line": "Mats", "bucket_sizes": "40", "academy": cast.academy.pk}
    cast.client("coach").post(reverse("venues:add"), sent)
    assert Venue.objects.get(name="South").bucket_sizes == [40]
