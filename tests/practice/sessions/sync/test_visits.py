"""Visits that a phone sends, and how they take along what was done on them."""

from datetime import date

import pytest

from practice.sessions.models import Shot, Visit
from practice.venues.models import Bay, TeeLine
from tests import make


def test_a_corrected_visit_takes_its_shots_along(stage):
    east = make.make_range(stage.player.academy, default=False, time_zone="Pacific/Auckland")
    visit = stage.phone.item("visit", {"venue": str(stage.venue.pk)})
    stage.phone.send(visit, stage.phone.shot(stage.club, visit=visit["id"], item={"at": "2026-05-04T23:00:00Z"}))
    before = Shot.objects.get().changed_at
    again = stage.phone.item("visit", {"venue": str(east.pk)}, id=visit["id"], revision=2)
    assert stage.phone.results(again) == ["stored"]
    shot = Shot.objects.get()
    assert (shot.session.venue, shot.session.local_date) == (east, date(2026, 5, 5))
    assert shot.changed_at > before


def test_a_visit_keeps_all_its_conditions(stage):
    line = stage.venue.tee_lines.get()
    bay = Bay.objects.create(tee_line=line, name="Bay 7")
    values = {
        "venue": str(stage.venue.pk),
        "tee_line": str(line.pk),
        "bay": str(bay.pk),
        "setting": "range",
        "label": "evening",
        "stand": "offset",
        "offset_m": -2.5,
        "measured_by": "laser",
        "resolution_m": 0.5,
        "ball_type": "range",
        "surface": "mat",
        "wind": "breeze",
        "wind_from": "left",
    }
    stage.phone.send(stage.phone.item("visit", values))
    visit = Visit.objects.get()
    links = {name: str(getattr(visit, f"{name}_id")) for name in ("venue", "tee_line", "bay")}
    assert {name: getattr(visit, name) for name in values} | links == values
    assert visit.academy == stage.player.academy


def test_a_later_revision_of_a_visit_forgets_what_it_no_longer_says(stage):
    visit = stage.phone.item("visit", {"venue": str(stage.venue.pk), "wind": "windy", "resolution_m": 1.0})
    again = stage.phone.item("visit", {"venue": str(stage.venue.pk)}, id=visit["id"], revision=2)
    stage.phone.send(visit, again)
    assert (Visit.objects.get().wind, Visit.objects.get().resolution_m) == ("", None)


def test_a_visit_to_a_range_of_another_academy_is_rejected(stage):
    other = make.make_range(make.make_academy())
    reason = stage.phone.reason(stage.phone.item("visit", {"venue": str(other.pk)}))
    assert reason == "This range is not on your academy's list any more. Choose another one."


def test_a_line_or_bay_that_is_gone_or_elsewhere_does_not_lose_the_visit(stage):
    other = make.make_range(stage.player.academy, default=False).tee_lines.get()
    bay = Bay.objects.create(tee_line=other, name="Bay 1")
    values = {"venue": str(stage.venue.pk), "tee_line": str(other.pk), "bay": str(bay.pk)}
    assert stage.phone.results(stage.phone.item("visit", values)) == ["stored"]
    assert (Visit.objects.get().tee_line, Visit.objects.get().bay) == (None, None)
    assert TeeLine.objects.count() == 2


@pytest.mark.parametrize(
    ("values", "said"),
    [
        ({"wind": "gale"}, "'wind' must be one of nothing, calm"),
        ({"offset_m": 51}, "between -50 and 50"),
        ({"stand": ""}, "stand"),
    ],
)
def test_wrong_values_of_a_visit_are_rejected(stage, values, said):
    assert said in stage.phone.reason(stage.phone.item("visit", {"venue": str(stage.venue.pk)} | values))
