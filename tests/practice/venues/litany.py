"""The litany of the pages about ranges: every player of the academy reads, the staff changes."""

from practice.venues.models import Target, TeeLine
from tests import make
from tests.practice.litany import Cast, Row


def a_venue(cast: Cast) -> dict:
    return {"venue": make.make_range(cast.academy).pk}


def a_line(cast: Cast) -> dict:
    return {"line": TeeLine.objects.get(venue=a_venue(cast)["venue"]).pk}


def a_bay(cast: Cast) -> dict:
    return {"bay": TeeLine.objects.get(pk=a_line(cast)["line"]).bays.create(academy=cast.academy, name="1").pk}


def a_target(cast: Cast) -> dict:
    return {"target": Target.objects.filter(tee_line=a_line(cast)["line"]).first().pk}


def a_range(cast: Cast) -> dict:
    return {"name": "North", "time_zone": "Europe/London", "tee_line": "Mats", "academy": cast.academy.pk}


A_BAY = {"name": "2", "arc_left_deg": "-30", "arc_right_deg": "30"}
A_TARGET = {"name": "Red", "kind": "flag", "distance": "50", "direction_deg": "0", "elevation": "0"}
FOR_STAFF = {"team_mate": 403, "player": 403}
"""Team mates see the academy's ranges too, so they are told that they may only look."""

ROWS = [
    Row("venues:venues", player=200, team_mate=200, outsider=200),
    Row("venues:add", outsider=200, **FOR_STAFF),
    Row("venues:add", method="post", data=a_range, works=302, outsider=422, **FOR_STAFF),
    Row("venues:venue", a_venue, player=200, team_mate=200),
    Row("venues:edit", a_venue, **FOR_STAFF),
    Row("venues:edit", a_venue, method="post", data=a_range, works=302, **FOR_STAFF),
    Row("venues:add_line", a_venue, method="post", data=lambda cast: {"name": "Grass"}, works=302, **FOR_STAFF),
    Row("venues:line", a_line, **FOR_STAFF),
    Row("venues:line", a_line, method="post", data=lambda cast: {"name": "Grass"}, works=302, **FOR_STAFF),
    Row("venues:add_bay", a_line, method="post", data=lambda cast: A_BAY, works=302, **FOR_STAFF),
    Row("venues:bay", a_bay, **FOR_STAFF),
    Row("venues:bay", a_bay, method="post", data=lambda cast: A_BAY, works=302, **FOR_STAFF),
    Row("venues:add_target", a_line, method="post", data=lambda cast: A_TARGET, works=302, **FOR_STAFF),
    Row("venues:target", a_target, **FOR_STAFF),
    Row("venues:target", a_target, method="post", data=lambda cast: A_TARGET, works=302, **FOR_STAFF),
    Row("venues:archive_target", a_target, method="post", works=302, **FOR_STAFF),
    Row("venues:restore_target", a_target, method="post", works=302, **FOR_STAFF),
]
