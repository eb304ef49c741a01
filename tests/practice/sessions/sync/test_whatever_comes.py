"""Whatever is sent, each item gets one answer."""

import json

import pytest
from django.urls import reverse
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from practice.ids import uuid7
from practice.sessions.items import KINDS
from tests.practice.sessions.sync.examples import item_of

URL = reverse("practice_sessions:sync")


ANYTHING = st.recursive(
    st.none()
    | st.booleans()
    | st.integers(-(10**25), 10**25)
    | st.floats(allow_nan=False, allow_infinity=False)
    | st.sampled_from(
        ["", "feel", "1e999", "\0", "\ud800", "2026-05-04T10:15:00Z", str(uuid7()), "x" * 500, "0001-01-01T00:00+23:59"]
    )
    | st.text(max_size=5),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner, max_size=3),
    max_leaves=5,
)
FIELDS = ("kind", "id", "player", "revision", "deleted", "device", "number", "at", "offset_ms", "values", "extra")
VALUES = sorted({name for kind in KINDS.values() for name in kind.schema})


@pytest.mark.django_db
@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_whatever_is_sent_each_item_gets_one_answer(stage, data):
    items = []
    for _ in range(data.draw(st.integers(1, 4))):
        item = item_of(stage, data.draw(st.sampled_from(sorted(KINDS))))
        item |= data.draw(st.dictionaries(st.sampled_from(FIELDS), ANYTHING, max_size=2))
        if isinstance(item["values"], dict):
            item["values"] |= data.draw(st.dictionaries(st.sampled_from(VALUES), ANYTHING, max_size=2))
        items.append(data.draw(st.sampled_from([item, item, item, data.draw(ANYTHING)])))
    body = json.dumps({"items": items}).replace('"1e999"', "1e999")
    response = stage.phone.client.post(URL, body, "application/json")
    assert response.status_code == 200
    answers = response.json()["answers"]
    assert len(answers) == len(items)
    assert {answer["result"] for answer in answers} <= {"stored", "duplicate", "rejected"}
