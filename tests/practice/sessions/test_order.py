"""Whatever the order, the repeats and the batches in which a phone's items arrive, the same rows stand in the end."""

from datetime import UTC, datetime, timedelta

import pytest
from django.db import transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from practice.ids import uuid7
from practice.sessions.models import Shot, ShotRevision, SkippedBall, TurfSwing, Visit
from practice.sessions.sync import answer_items
from practice.venues.models import Venue
from tests import make
from tests.practice.sessions.plan import make_block

RECEIVED = datetime(2026, 5, 10, tzinfo=UTC)
SHOTS = [str(uuid7()) for _ in range(3)]
VISITS = [str(uuid7()) for _ in range(2)]
SKIP = str(uuid7())
SWING = str(uuid7())

revisions = st.sets(st.integers(1, 5), min_size=1, max_size=3)
hour = st.integers(0, 72)
shot = st.fixed_dictionaries(
    {
        "deleted": st.booleans(),
        "hour": hour,
        "carry_m": st.integers(1, 90),
        "visit": st.sampled_from([*VISITS, None]),
        "club": st.integers(0, 1),
    }
)
visit = st.fixed_dictionaries(
    {
        "deleted": st.booleans(),
        "hour": hour,
        "venue": st.integers(0, 1),
        "setting": st.sampled_from(["range", "course"]),
        "label": st.sampled_from(["", "evening"]),
    }
)
skip = st.fixed_dictionaries({"deleted": st.booleans(), "hour": hour, "ball": st.integers(0, 1)})
turf = st.fixed_dictionaries(
    {
        "deleted": st.booleans(),
        "hour": hour,
        "visit": st.sampled_from([*VISITS, None]),
        "contact": st.sampled_from(["clean", "thin", "fat"]),
    }
)


@st.composite
def histories(draw) -> list[tuple[str, str, int, dict]]:
    """Draw (kind, id, revision, what was set) of shots, visits, a skip and a swing; no revision comes twice."""
    told = []
    drawn = (("shot", SHOTS, shot), ("visit", VISITS, visit), ("skip", [SKIP], skip), ("turf", [SWING], turf))
    for kind, ids, values in drawn:
        for uid in ids:
            told += [(kind, uid, revision, draw(values)) for revision in sorted(draw(revisions))]
    return told


@st.composite
def deliveries(draw, history) -> list[list[int]]:
    """Draw batches of places in the history: every one at least once, some again, in any order."""
    places = list(range(len(history)))
    sent = draw(st.permutations(places + draw(st.lists(st.sampled_from(places), max_size=5))))
    cuts = sorted(draw(st.sets(st.integers(1, len(sent) - 1), max_size=4)))
    return [sent[a:b] for a, b in zip([0, *cuts], [*cuts, len(sent)], strict=True)]


class Arrivals:
    """The items of one history, delivered to a player, and the rows that come of it."""

    def __init__(self, stage, history):
        self.stage = stage
        self.clubs = [stage.club, make.make_club(stage.player, "60")]
        self.venues = [stage.venue, make.make_range(stage.player.academy, default=False, time_zone="Asia/Tokyo")]
        Venue.objects.elsewhere_of(stage.player.academy)  # else each try would make one of its own
        self.balls = list(make_block(stage, balls=2).balls.all())
        self.items = [self.item(number, *told) for number, told in enumerate(history, 1)]

    def item(self, number: int, kind: str, uid: str, revision: int, told: dict) -> dict:
        at = datetime(2026, 5, 4, tzinfo=UTC) + timedelta(hours=told["hour"])
        fields = {"id": uid, "revision": revision, "number": number, "at": at.isoformat(), "deleted": told["deleted"]}
        if kind == "shot":
            club = self.clubs[told["club"]]
            return self.stage.phone.shot(club, item=fields, carry_m=told["carry_m"], visit=told["visit"])
        if kind == "skip":
            return self.stage.phone.item("skip", {"ball": str(self.balls[told["ball"]].pk)}, **fields)
        if kind == "turf":
            values = {"contact": told["contact"], "ground": "brush", "visit": told["visit"]}
            return self.stage.phone.item("turf", values, **fields)
        values = {"venue": str(self.venues[told["venue"]].pk), "setting": told["setting"], "label": told["label"]}
        return self.stage.phone.item("visit", values, **fields)

    def rows(self, batches) -> dict:
        """Return what is held after these batches, in a database that forgets it again."""
        with transaction.atomic():
            for batch in batches:
                sent = [self.items[place] for place in batch]
                answers = answer_items(user=self.stage.player.user, sent=sent, received_at=RECEIVED)
                assert {answer["result"] for answer in answers} <= {"stored", "duplicate"}
            session = [f"session__{name}" for name in ("local_date", "venue", "setting", "label")]
            shot = ("uid", "revision", "deleted", "running_number", "hit_at", "carry_m", "club", "setup", "visit__uid")
            turf = ("uid", "revision", "deleted", "running_number", "done_at", "contact", "visit__uid")
            visit = ("uid", "revision", "deleted", "running_number", "started_at", "venue", "setting", "label")
            held = {
                "shots": set(Shot.objects.values_list(*shot, *session)),
                "revisions": sorted(ShotRevision.objects.values_list("shot__uid", "revision", "running_number")),
                "visits": set(Visit.objects.values_list(*visit)),
                "turf": set(TurfSwing.objects.values_list(*turf, *session)),
                "skips": set(SkippedBall.objects.values_list("uid", "revision", "deleted", "running_number", "ball")),
            }
            transaction.set_rollback(True)
        return held


@pytest.mark.django_db
@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_order_repeats_and_batches_make_no_difference(stage, data):
    history = data.draw(histories())
    with transaction.atomic():
        arrivals = Arrivals(stage, history)
        in_order = arrivals.rows([[place] for place in range(len(history))])
        assert len(in_order["shots"]) == 3
        assert arrivals.rows(data.draw(deliveries(history))) == in_order
        transaction.set_rollback(True)


@pytest.mark.django_db
@settings(max_examples=10, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(history=histories())
def test_the_highest_revision_is_what_is_held(stage, history):
    with transaction.atomic():
        arrivals = Arrivals(stage, history)
        held = arrivals.rows([range(len(history))])
        transaction.set_rollback(True)
    highest = {}
    for number, (kind, uid, revision, told) in enumerate(history, 1):
        highest[kind, uid] = max(highest.get((kind, uid), (0,)), (revision, number, told["deleted"]))
    for kind, rows in {"shot": "shots", "visit": "visits", "skip": "skips", "turf": "turf"}.items():
        for uid, revision, deleted, number, *_ in held[rows]:
            assert highest[kind, str(uid)] == (revision, number, deleted)
