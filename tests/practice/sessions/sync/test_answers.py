"""One answer an item, in their order, and what the log says of those that are rejected."""

import logging

import pytest

from practice.ids import uuid7
from practice.sessions.models import Shot


def test_every_item_is_answered_in_order_and_a_rejected_one_keeps_none_out(stage):
    phone, club = stage.phone, stage.club
    items = [
        phone.shot(club),
        "nonsense",
        phone.item("visit", {"venue": str(stage.venue.pk)}),
        phone.shot(club, carry_m=-1.0),
        {"kind": "shot", "id": [1], "number": 3},
        phone.item("stop", {}),
        phone.item("weather", {}),
        phone.shot(club, weather="fine"),
        phone.shot(club),
    ]
    answers = phone.send(*items)
    assert [answer["result"] for answer in answers] == [
        *("stored", "rejected", "stored", "rejected", "rejected"),
        *("stored", "rejected", "rejected", "stored"),
    ]
    for item, answer in zip(items, answers, strict=True):
        if isinstance(item, dict) and isinstance(item["id"], str):
            assert {name: answer[name] for name in ("id", "kind", "revision", "number")} == {
                name: item[name] for name in ("id", "kind", "revision", "number")
            }
        assert bool(answer["reason"]) == (answer["result"] == "rejected")
    assert Shot.objects.count() == 2


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"revision": 0}, "revision"),
        ({"revision": True}, "revision"),
        ({"revision": 2**31}, "revision"),
        ({"revision": 1.0}, "revision"),
        ({"deleted": 1}, "deleted"),
        ({"number": -1}, "number"),
        ({"number": 2**53}, "number"),
        ({"number": None}, "number"),
        ({"id": "1"}, "id"),
        ({"player": 7}, "player"),
        ({"device": ""}, "device"),
        ({"at": "2026-05-04T10:00:00"}, "at"),
        ({"at": 1777889700}, "at"),
        ({"offset_ms": 0.5}, "offset_ms"),
        ({"values": []}, "object"),
        ({"kind": ["shot"]}, "kind"),
        ({"mood": "good"}, "mood"),
    ],
)
def test_a_malformed_item_is_rejected_and_the_reason_names_the_field(stage, changes, said):
    assert said in stage.phone.reason(stage.phone.shot(stage.club, item=changes))


def test_the_log_says_what_was_rejected_and_why_and_nothing_that_was_sent(stage, caplog):
    secret = "Somebodys Name"
    items = [
        stage.phone.shot(stage.club, target_name=secret * 9),
        stage.phone.shot(stage.club, carry_m=777.0, target_name=secret),
        stage.phone.shot(stage.club, carry_m=778.0, target_name=secret),
        stage.phone.shot(stage.club, item={secret: secret}),
        stage.phone.item(secret, {}),
        stage.phone.item("stop", {}, player=str(uuid7())),
        stage.phone.item("stop", {}, device=str(uuid7())),
        secret,
    ]
    with caplog.at_level(logging.WARNING, logger="practice"):
        stage.phone.send(*items)
    told = [record.getMessage() for record in caplog.records if record.name == "practice.sessions.sync"]
    assert told == [
        "rejected 1 item(s), kind shot: malformed (no known field)",
        "rejected 1 item(s), kind shot: malformed (target_name)",
        "rejected 2 item(s), kind shot: values",
        "rejected 1 item(s), kind stop: not your player",
        "rejected 1 item(s), kind stop: unknown device",
        "rejected 1 item(s), kind unknown kind: malformed (no known field)",
        "rejected 1 item(s), kind unknown kind: not known here",
    ]
    assert not any(word in line for line in told for word in (secret, "777", stage.player.name))
