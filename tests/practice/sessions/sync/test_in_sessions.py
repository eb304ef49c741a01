"""Practice in a session that is no shot: which session it belongs to, and what it keeps of what has gone meanwhile."""

from datetime import date
from io import StringIO

import pytest
from django.core.management import call_command
from django.utils import timezone

from practice.ids import uuid7
from practice.planner.models import Block
from practice.sessions.models import BlockOutcome, BlockTally, PracticeSession, TurfSwing, Visit
from practice.venues.models import Venue
from tests import make
from tests.practice.sessions.plan import make_block
from tests.practice.sessions.sync.examples import EXAMPLES, item_of

in_sessions = pytest.mark.parametrize("kind", ["turf", "tally", "strike_mark", "swing", "outcome"])


@in_sessions
def test_it_belongs_to_the_session_of_its_visit_with_the_shots_of_that_visit(stage, kind):
    values = {"venue": str(stage.venue.pk), "setting": "course", "label": "round 1"}
    visit = stage.phone.item("visit", values)
    # in whatever order they stand in the request
    shot = stage.phone.shot(stage.club, visit=visit["id"])
    stage.phone.send(item_of(stage, kind, {"visit": visit["id"]}), shot, visit)
    session = PracticeSession.objects.get()
    row = EXAMPLES[kind].model.objects.get()
    assert (row.session, str(row.visit.uid)) == (session, visit["id"])
    assert (session.setting, session.label, session.local_date) == ("course", "round 1", date(2026, 5, 4))


@in_sessions
def test_it_moves_to_its_session_when_its_visit_comes_later_or_is_corrected(stage, kind):
    model = EXAMPLES[kind].model
    east = make.make_range(stage.player.academy, default=False, time_zone="Pacific/Auckland")
    visit = stage.phone.item("visit", {"venue": str(stage.venue.pk), "label": "late"})
    item = item_of(stage, kind, {"visit": visit["id"]}, at="2026-05-04T23:00:00Z")
    assert stage.phone.results(item) == ["stored"]
    assert model.objects.get().session.label == ""
    assert stage.phone.results(visit) == ["stored"]
    assert model.objects.get().session.label == "late"
    again = stage.phone.item("visit", {"venue": str(east.pk)}, id=visit["id"], revision=2)
    assert stage.phone.results(again) == ["stored"]
    session = model.objects.get().session
    assert (session.venue, session.local_date, session.label) == (east, date(2026, 5, 5), "")
    assert Visit.objects.get().revision == 2


@in_sessions
@pytest.mark.parametrize("has_range", [True, False])
def test_without_a_visit_the_place_is_that_of_the_block_or_elsewhere(stage, kind, has_range):
    block = make_block(stage, assigned=False)
    Block.objects.filter(pk=block.pk).update(venue=stage.venue if has_range else None)
    block.plan.state, block.plan.assigned_at = "assigned", timezone.now()
    block.plan.save()
    stage.phone.send(item_of(stage, kind, {"block": str(block.pk)}))
    expected = stage.venue.slug if has_range else Venue.ELSEWHERE
    assert EXAMPLES[kind].model.objects.get().session.venue.slug == expected


@in_sessions
def test_it_counts_for_a_block_that_was_taken_back_meanwhile(stage, kind):
    block = make_block(stage)
    block.withdraw(at=timezone.now())
    assert stage.phone.results(item_of(stage, kind, {"block": str(block.pk)})) == ["stored"]
    assert EXAMPLES[kind].model.objects.get().block == block


def test_turf_work_needs_no_block_no_club_and_no_visit_and_is_kept_when_they_are_gone(stage):
    draft = make_block(stage, assigned=False)
    gone = {"block": str(draft.pk), "club": str(uuid7()), "visit": None}
    assert stage.phone.results(item_of(stage, "turf"), item_of(stage, "turf", gone)) == ["stored", "stored"]
    assert set(TurfSwing.objects.values_list("block", "club", "visit")) == {(None, None, None)}
    assert stage.phone.results(item_of(stage, "turf", {"club": str(stage.club.pk)})) == ["stored"]
    assert TurfSwing.objects.latest("pk").club == stage.club


def test_a_tally_of_a_draft_is_rejected(stage):
    draft = make_block(stage, assigned=False)
    reason = stage.phone.reason(item_of(stage, "tally", {"block": str(draft.pk)}))
    assert reason == "This block is not in your plan any more. Load the plan again."
    assert not PracticeSession.objects.exists()


@pytest.mark.parametrize(
    ("counts", "not_seen"),
    [({}, 1), ({"on": 12}, 0), ({"on": 0, "long": 0, "short": 0, "mishits": 0}, 20)],
)
def test_what_a_tally_leaves_open_was_not_seen(stage, counts, not_seen):
    stage.phone.send(item_of(stage, "tally", counts))
    assert BlockTally.objects.get().not_seen == not_seen


@pytest.mark.parametrize(
    ("values", "said"),
    [
        ({"balls": 0}, "'balls' must be a whole number from 1 to 200"),
        ({"balls": 201}, "'balls' must be a whole number from 1 to 200"),
        ({"on": -1}, "'on' must be a whole number from 0 to 200"),
        ({"short": 2.5}, "'short' must be a whole number"),
        ({"mishits": True}, "'mishits' must be a whole number"),
    ],
)
def test_a_tally_counts_in_whole_balls(stage, values, said):
    assert said in stage.phone.reason(item_of(stage, "tally", values))


@pytest.mark.parametrize(
    ("values", "said"),
    [
        ({"balls": 201}, "'balls' must be a whole number from 0 to 200"),
        ({"balls": 10, "best_run": 11, "made": None}, "11 in a row of 10 balls hit"),
        ({"balls": 2, "best_run": None, "made": None}, "3 distances of 2 balls hit"),
        ({"leaves_m": [1.0, "near"]}, "'leaves_m' must be a number"),
        ({"leaves_m": [1.0, 100.5]}, "'leaves_m' must be between 0 and 100"),
        ({"leaves_m": [1.0] * 201}, "'leaves_m' must be a list of up to 200 numbers"),
        ({"leaves_m": 1.0}, "'leaves_m' must be a list of up to 200 numbers"),
    ],
)
def test_an_outcome_holds_no_more_than_was_hit_and_no_nonsense(stage, values, said):
    assert said in stage.phone.reason(item_of(stage, "outcome", values))


def test_an_outcome_of_a_block_that_is_gone_still_counts_as_balls_hit(stage):
    draft = make_block(stage, assigned=False)
    assert stage.phone.results(item_of(stage, "outcome", {"block": str(draft.pk), "balls": 40})) == ["stored"]
    assert BlockOutcome.objects.values_list("block", "balls").get() == (None, 40)


@pytest.mark.parametrize("kind", ["swing", "strike_mark"])
def test_a_swing_is_kept_without_a_club_that_is_gone_and_a_mark_is_not(stage, kind):
    (answer,) = stage.phone.send(item_of(stage, kind, {"club": str(uuid7())}))
    said = "This club is not in your bag any more. Discard this mark."
    assert (answer["result"], answer["reason"]) == (("stored", "") if kind == "swing" else ("rejected", said))


def report_of(stage) -> str:
    out = StringIO()
    call_command("report", player=stage.player.slug, stdout=out)
    return out.getvalue()


def test_what_is_no_shot_is_in_no_figure_of_the_report(stage):
    stage.phone.send(*(stage.phone.shot(stage.club) for _ in range(3)))
    before = report_of(stage)
    club = {"club": str(stage.club.pk)}
    beside = [item_of(stage, kind, club) for kind in ("turf", "strike_mark", "swing")]
    assert set(stage.phone.results(*beside, item_of(stage, "tally"), item_of(stage, "outcome"))) == {"stored"}
    assert report_of(stage) == before
