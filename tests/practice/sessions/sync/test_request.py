"""Sync over HTTP: what is no list of items at all."""

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from practice.sessions.models import Shot
from practice.sessions.sync import MAX_ITEMS

URL = reverse("practice_sessions:sync")


@pytest.mark.parametrize(
    "body",
    ["", "null", "[]", "1", '"items"', "{}", '{"items": {}}', '{"items": null}', "{", '{"items": [NaN]}', "[" * 9999],
)
def test_a_body_that_is_no_list_of_items_is_a_400_that_says_so(stage, body):
    response = stage.phone.client.post(URL, body, "application/json")
    assert response.status_code == 400
    assert response.json()["error"] == "bad_request"
    assert response.json()["message"]


def test_a_form_is_a_400(stage):
    assert stage.phone.client.post(URL, {"items": "[]"}).status_code == 400


def test_an_empty_list_is_answered(stage):
    response = stage.phone.post({"items": []})
    assert response.json()["answers"] == []
    assert abs(response.json()["server_time_ms"] / 1000 - timezone.now().timestamp()) < 60


def test_too_many_items_are_a_413_and_nothing_is_stored(stage):
    items = [stage.phone.shot(stage.club)] * (MAX_ITEMS + 1)
    response = stage.phone.post({"items": items})
    assert (response.status_code, response.json()["error"]) == (413, "too_large")
    assert not Shot.objects.exists()


def test_too_large_a_body_is_a_413(stage, settings):
    settings.DATA_UPLOAD_MAX_MEMORY_SIZE = 1000
    assert stage.phone.post({"items": ["x" * 1000]}).status_code == 413


def test_a_script_that_is_signed_out_gets_401_and_a_stale_token_403(stage):
    signed_out = Client().post(URL, "{}", "application/json", headers={"Accept": "application/json"})
    assert (signed_out.status_code, signed_out.json()["error"]) == (401, "signed_out")
    strict = Client(enforce_csrf_checks=True)
    strict.force_login(stage.player.user)
    headers = {"Accept": "application/json"}
    stale = strict.post(URL, {"items": []}, "application/json", headers=headers | {"X-CSRFToken": "x" * 64})
    assert (stale.status_code, stale.json()["error"]) == (403, "csrf")
    token = strict.get(reverse("practice_sessions:me"), headers=headers).json()["csrf"]
    fresh = strict.post(URL, {"items": []}, "application/json", headers=headers | {"X-CSRFToken": token})
    assert fresh.status_code == 200
