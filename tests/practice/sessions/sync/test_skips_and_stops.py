"""Balls left out, and days that ended because something hurt."""

from datetime import date

from practice.ids import uuid7
from practice.sessions.models import PainStop, SkippedBall
from tests.practice.sessions.plan import make_block


def test_a_skip_is_stored_and_undone(stage):
    ball = make_block(stage).balls.first()
    skip = stage.phone.item("skip", {"ball": str(ball.pk)})
    undo = skip | {"revision": 2, "deleted": True, "number": 99}
    assert stage.phone.results(skip, skip, undo, skip) == ["stored", "duplicate", "stored", "duplicate"]
    row = SkippedBall.objects.get()
    assert (row.ball, row.deleted, row.running_number) == (ball, True, 99)


def test_a_stop_closes_the_day_of_the_academy_and_is_kept_whatever_block_it_names(stage):
    stage.player.academy.time_zone = "Pacific/Auckland"
    stage.player.academy.save()
    block = make_block(stage)
    named = stage.phone.item("stop", {"block": str(block.pk)}, at="2026-05-04T23:00:00Z")
    unknown = stage.phone.item("stop", {"block": str(uuid7())}, at="2026-05-01T00:00:00Z")
    none = stage.phone.item("stop", {"block": None}, at="2026-05-02T00:00:00Z")
    assert stage.phone.results(named, unknown, none) == ["stored"] * 3
    stop = PainStop.objects.on(stage.player, date(2026, 5, 5)).get()
    assert stop.block == block
    assert PainStop.objects.filter(block=None).count() == 2
