"""What holds for every kind of item: this runs over the registry, and a new kind needs an example only."""

from datetime import UTC, datetime
from itertools import permutations

import pytest

from practice.ids import uuid7
from practice.sessions.items import KINDS
from practice.sessions.models import Visit
from tests import make
from tests.practice.sessions.stage import make_stage
from tests.practice.sessions.sync.examples import EXAMPLES, corrected, item_of, row_of, rows_named_by, told

of_every_kind = pytest.mark.parametrize("kind", KINDS)
SHARED = ("venue", "tee_line", "bay", "target")
"""Rows that all players of an academy may name."""


def the_row(kind: str, **lookup):
    return EXAMPLES[kind].model.objects.get(**lookup)


def test_every_kind_has_an_example():
    assert EXAMPLES.keys() == KINDS.keys()


@of_every_kind
def test_an_item_is_kept_as_it_was_sent(stage, kind):
    item = item_of(stage, kind, at="2026-05-04T10:15:00+02:00", offset_ms=1500)
    assert stage.phone.results(item) == ["stored"]
    row = the_row(kind)
    assert told(row, item["values"]) == item["values"]
    assert (row.player, row.academy) == (stage.player, stage.player.academy)
    assert (str(row.uid), row.revision, row.deleted) == (item["id"], 1, False)
    assert (row.device, row.running_number, row.clock_offset_ms) == (stage.phone.device, item["number"], 1500)
    assert row.phone_at == datetime(2026, 5, 4, 8, 15, tzinfo=UTC)


@of_every_kind
def test_an_item_that_comes_again_is_a_duplicate(stage, kind):
    item = item_of(stage, kind)
    assert stage.phone.results(item, item) == ["stored", "duplicate"]
    assert stage.phone.results(item) == ["duplicate"]
    assert told(the_row(kind), item["values"]) == item["values"]


@of_every_kind
def test_in_whatever_order_the_settings_of_an_item_arrive_the_last_one_stands(stage, kind):
    for order in permutations(range(3)):
        first = item_of(stage, kind)
        settings = [first, corrected(stage, first, revision=2), corrected(stage, first, revision=3, deleted=True)]
        for place in order:
            assert stage.phone.results(settings[place]) in (["stored"], ["duplicate"])
        row = the_row(kind, uid=first["id"])
        assert (row.revision, row.deleted, row.running_number) == (3, True, settings[2]["number"])
        assert told(row, first["values"]) == settings[2]["values"]


@of_every_kind
def test_an_item_is_corrected_and_an_earlier_setting_that_comes_late_changes_nothing(stage, kind):
    first = item_of(stage, kind)
    third = corrected(stage, first, revision=3)
    late = first | {"revision": 2, "number": next(stage.phone.numbers)}
    for item in (first, third, late):
        stage.phone.send(item)
    assert third["values"] != first["values"]
    assert told(the_row(kind), first["values"]) == third["values"]


@of_every_kind
def test_what_was_undone_stays_undone_until_it_is_taken_back(stage, kind):
    first = item_of(stage, kind)
    undone = first | {"revision": 3, "deleted": True, "number": next(stage.phone.numbers)}
    assert stage.phone.results(first, undone) == ["stored", "stored"]
    stage.phone.send(corrected(stage, first, revision=2), first)
    assert (the_row(kind).revision, the_row(kind).deleted) == (3, True)
    stage.phone.send(corrected(stage, first, revision=4))
    assert (the_row(kind).revision, the_row(kind).deleted) == (4, False)


@of_every_kind
def test_an_item_of_another_player_is_rejected_in_the_same_words_as_one_of_nobody(stage, kind):
    mate = make.make_player(stage.player.academy, signs_in=True)
    far = make.make_player(make.make_academy(), signs_in=True)
    for player in (mate.pk, far.pk, uuid7()):
        reason = stage.phone.reason(item_of(stage, kind, player=str(player)))
        assert reason == "This is not your player. Sign in as the player who made this entry."
    assert not EXAMPLES[kind].model.objects.exists()


@of_every_kind
def test_a_wrong_item_is_rejected_in_words_and_keeps_none_out(stage, kind):
    example, kind_of_item = EXAMPLES[kind], KINDS[kind]
    assert example.said in stage.phone.reason(item_of(stage, kind, example.wrong))
    assert "'mood' is not a field of this" in stage.phone.reason(item_of(stage, kind, {"mood": "good"}))
    for name in kind_of_item.required:
        assert f"'{name}' is missing" in stage.phone.reason(item_of(stage, kind, {name: None}))
    assert not example.model.objects.exists()
    assert stage.phone.results(item_of(stage, kind, example.wrong), item_of(stage, kind)) == ["rejected", "stored"]


@of_every_kind
def test_an_id_is_each_players_own_in_the_same_academy_and_in_another(stage, kind):
    uid = str(uuid7())
    others = [make_stage(stage.player.academy), make_stage(make.make_academy())]
    for each in others:
        item = item_of(each, kind, id=uid)
        assert each.phone.results(item, item) == ["stored", "duplicate"]
    item = item_of(stage, kind, id=uid, revision=7, deleted=True)
    assert stage.phone.results(item) == ["stored"]
    for each in others:
        row = the_row(kind, player=each.player)
        assert (row.academy, row.revision, row.deleted) == (each.player.academy, 1, False)


@of_every_kind
def test_no_row_of_somebody_else_is_ever_tied_to_an_item(stage, kind):
    mate, far = make_stage(stage.player.academy), make_stage(make.make_academy())
    tried = [(far, name) for name in rows_named_by(kind)]
    tried += [(mate, name) for name in rows_named_by(kind) if name not in SHARED]
    for other, name in tried:
        theirs = row_of(other, name)
        item = item_of(stage, kind, {name: str(theirs.uid if isinstance(theirs, Visit) else theirs.pk)})
        assert stage.phone.results(item) in (["stored"], ["rejected"])
        for row in EXAMPLES[kind].model.objects.filter(player=stage.player):
            assert getattr(row, name) != theirs


@of_every_kind
def test_a_delivery_that_breaks_off_keeps_nothing_and_is_taken_when_it_comes_again(stage, kind, monkeypatch):
    items = [item_of(stage, each) for each in KINDS]

    def fail(self, entries):
        raise RuntimeError("the disk is full")

    monkeypatch.setattr(KINDS[kind], "store", fail)
    with pytest.raises(RuntimeError):
        stage.phone.send(*items)
    assert not any(example.model.objects.exists() for example in EXAMPLES.values())
    monkeypatch.undo()
    assert stage.phone.results(*items) == ["stored"] * len(items)
