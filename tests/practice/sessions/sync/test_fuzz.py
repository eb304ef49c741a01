"""Whatever is sent: never a fault of the server, one answer for each item, what was answered is what is held, and
nothing of another academy changes.
"""

import json
import logging
from collections.abc import Iterator
from contextlib import contextmanager
from uuid import UUID

import pytest
from django.apps import apps
from django.db import connection, transaction
from django.urls import reverse
from hypothesis import given, settings

from practice.accounts.access import AcademyOwned
from practice.ids import uuid7
from practice.sessions.items import KINDS
from practice.sessions.models import ShotRevision
from tests import make
from tests.conftest import engine
from tests.practice.sessions.phone import Phone
from tests.practice.sessions.stage import make_stage
from tests.practice.sessions.sync.drawn import BODIES_AT_ONCE, LITERALS, ROWS, WHOSE, Draft, Ref, bodies, raw_bodies
from tests.practice.sessions.sync.examples import item_of, row_of

pytestmark = pytest.mark.django_db

URL = reverse("practice_sessions:sync")
# PostgreSQL takes longer to take back what was stored, and differs in little: long numbers, zero characters.
FEWER = 1 if engine() == "sqlite3" else 10
ITEM_BODIES, RAW_BODIES = 4500 // FEWER, 1000 // FEWER

# --- where it is sent

OWNED = [model for model in apps.get_models() if issubclass(model, AcademyOwned)]


class World:
    """Two players of one academy, a coach of theirs, and a player of another; each has sent one item of each kind."""

    def __init__(self):
        academy = make.make_academy()
        self.stages = {
            "ours": make_stage(academy),
            "mates": make_stage(academy),
            "theirs": make_stage(make.make_academy()),
        }
        ours = self.stages["ours"]
        self.phones = {"player": ours.phone, "coach": Phone(ours.player, user=make.make_staff(academy))}
        self.ids = {(whose, name): self.id_of(whose, name) for whose in WHOSE for name in [*ROWS, "player", "device"]}
        self.examples = {(whose, kind): item_of(stage, kind) for whose, stage in self.stages.items() for kind in KINDS}
        self.uids = [str(uuid7()) for _ in range(4)]
        for (whose, _), item in self.examples.items():
            assert self.stages[whose].phone.results(item) == ["stored"]
        self.academy, self.other = academy, self.stages["theirs"].player.academy
        others = [model.objects.filter(academy=self.other).order_by("pk").values_list() for model in OWNED]
        self.statements = [rows.query.sql_with_params() for rows in others]
        self.held = self.rows_held()
        self.marks = self.marks_held()
        self.others = self.rows_of_the_other()
        self.posted = 0

    def id_of(self, whose: str, name: str) -> str:
        if whose == "nobodys":
            return str(uuid7())
        stage = self.stages[whose]
        rows = {"player": lambda: stage.player, "device": lambda: stage.phone.device}
        row = rows[name]() if name in rows else row_of(stage, name)
        return str(getattr(row, "uid", row.pk))

    def rows_held(self) -> dict[tuple, int]:
        """Return the revision of every item of our academy by (kind, player, id)."""
        return {
            (name, player, uid): revision
            for name, kind in KINDS.items()
            for player, uid, revision in kind.model.objects.filter(academy=self.academy).values_list(
                "player_id", "uid", "revision"
            )
        }

    def marks_held(self) -> set[tuple]:
        """Return (player, id, device, running number) of every sending of a shot to our academy."""
        sent = ShotRevision.objects.filter(academy=self.academy)
        return set(sent.values_list("shot__player_id", "shot__uid", "device_id", "running_number"))

    def rows_of_the_other(self) -> list[list]:
        """Return every row that the other academy has in any table, as the database holds it."""
        rows = []
        with connection.cursor() as cursor:
            for statement in self.statements:
                cursor.execute(*statement)
                rows.append(cursor.fetchall())
        return rows

    def item(self, draft: object, sender: str) -> object:
        """Return what is sent for a draft, or for anything else."""
        if not isinstance(draft, Draft):
            return self.filled(draft)
        item = self.examples[draft.whose if draft.whose in self.stages else "ours", draft.kind]
        changes = {"device": str(self.phones[sender].device.pk)} | draft.envelope | draft.odd_fields
        if draft.place < len(self.uids):
            changes = {"id": self.uids[draft.place]} | changes
        if draft.whose == "nobodys":
            changes = {"player": Ref("nobodys", "player")} | changes
        return self.filled(
            {"values": item["values"] | draft.values, **{k: v for k, v in item.items() if k != "values"}} | changes
        )

    def filled(self, value: object) -> object:
        """Return a value with ids for what it refers to."""
        if isinstance(value, Ref):
            return self.ids.get((value.whose, value.name), self.uids[WHOSE.index(value.whose)])
        if isinstance(value, dict):
            return {name: self.filled(inner) for name, inner in value.items()}
        return [self.filled(inner) for inner in value] if isinstance(value, list) else value

    def body(self, drafts: list, sender: str) -> bytes:
        text = json.dumps({"items": [self.item(draft, sender) for draft in drafts]})
        for literal, written in LITERALS.items():
            text = text.replace(literal, written)
        return text.encode()


@pytest.fixture
def world(db) -> Iterator[World]:
    # Thousands of refusals would fill the log that pytest keeps.
    logging.disable(logging.WARNING)
    yield World()
    logging.disable(logging.NOTSET)


@contextmanager
def undone():
    """Take back whatever is stored inside."""
    with transaction.atomic():
        yield
        transaction.set_rollback(True)


# --- what must hold


class Ledger:
    """What the server says it holds, beside what it holds."""

    def __init__(self, world: World):
        self.world = world
        self.held = dict(world.held)
        self.marks = set(world.marks)
        self.visits_named: set[UUID] = set()

    def deliver(self, sender: str, body: bytes, content_type: str = "application/json") -> None:
        """Send a body and believe the answers, after a look at each."""
        self.world.posted += 1
        client = self.world.phones[sender].client
        response = client.generic("POST", URL, body, content_type, headers={"Accept": "application/json"})
        assert response.status_code in (200, 400, 413), response.content
        reply = response.json()
        if response.status_code != 200:
            assert reply["error"] in ("bad_request", "too_large")
            assert reply["message"]
            return
        items = json.loads(body, parse_int=float)["items"]
        assert len(reply["answers"]) == len(items)
        for item, answer in zip(items, reply["answers"], strict=True):
            self.believe(item, answer)

    def believe(self, item: object, answer: dict) -> None:
        assert answer["result"] in ("stored", "duplicate", "rejected")
        assert bool(answer["reason"]) == (answer["result"] == "rejected")
        assert answer["reason"].isprintable()
        if answer["result"] != "rejected":
            assert all(answer[name] == item[name] for name in ("id", "kind", "revision", "number"))
            self.note(item, stored=answer["result"] == "stored")

    def note(self, item: dict, *, stored: bool) -> None:
        player, uid = UUID(item["player"]), UUID(item["id"])
        key = item["kind"], player, uid
        assert stored or key in self.held
        if stored:
            self.held[key] = max(self.held.get(key, 0), int(item["revision"]))
        if item["kind"] == "shot":
            mark = player, uid, UUID(item["device"]), int(item["number"])
            assert stored == (mark not in self.marks)
            self.marks.add(mark)
        if visit := item["values"].get("visit"):
            self.visits_named.add(UUID(visit))

    def check(self) -> None:
        """Compare with the database."""
        held = self.world.rows_held()
        # A visit that something names and that has not come itself is held under revision 0.
        to_come = {key for key in held.keys() - self.held.keys() if key[0] == "visit" and held[key] == 0}
        assert {uid for _, _, uid in to_come} <= self.visits_named
        assert {key: revision for key, revision in held.items() if key not in to_come} == self.held
        assert self.world.marks_held() == self.marks
        assert self.world.rows_of_the_other() == self.world.others


def test_whatever_items_are_sent_what_is_answered_is_held_and_nothing_else(world):
    @settings(max_examples=ITEM_BODIES // BODIES_AT_ONCE, deadline=None)
    @given(bodies)
    def holds(sent):
        with undone():
            ledger = Ledger(world)
            for sender, items in sent:
                ledger.deliver(sender, world.body(items, sender))
            ledger.check()

    holds()
    assert world.posted >= ITEM_BODIES


def test_whatever_bytes_are_sent_they_are_answered_and_change_nothing(world):
    @settings(max_examples=RAW_BODIES // BODIES_AT_ONCE, deadline=None)
    @given(raw_bodies)
    def holds(sent):
        ledger = Ledger(world)
        with undone():
            for body, content_type in sent:
                ledger.deliver("player", body, content_type)
            assert ledger.held == world.held
            ledger.check()

    holds()
    assert world.posted >= RAW_BODIES
