"""A player's stay at the range, as a process of its own: python -m tests.practice.light_visit TOKEN

Enters by the coach's link, opens the first block, logs its first ball, syncs, and asks for what the summary shows.
Prints as JSON what came back, and which of the heavy packages the process holds afterwards.
"""

import json
import sys

from django.test import Client, override_settings

import practice.wsgi  # noqa: F401  starts Django as a server does
from practice.ids import uuid7
from tests.conftest import PLAIN_STATIC_FILES

HEAVY = ("numpy", "pandas", "plotly", "scipy", "statsmodels")
JSON = {"Accept": "application/json"}


def ask(client: Client, path: str) -> dict:
    """Return the JSON at an address."""
    response = client.get(path, headers=JSON)
    assert response.status_code == 200, (path, response.status_code)
    return response.json()


def first_shot(me: dict, work: dict) -> dict:
    """Return the item that logs the first ball of the first block, two metres short of its target."""
    ball = work["blocks"][0]["balls"][0]
    values = {name: ball[name] for name in ("club", "swing", "target", "target_m")}
    return {
        "kind": "shot",
        "id": str(uuid7()),
        "player": work["player"]["id"],
        "revision": 1,
        "device": me["device"],
        "number": 1,
        "at": "2026-03-02T10:00:00Z",
        "values": values | {"ball": ball["id"], "carry_m": ball["target_m"] - 2.0},
    }


def visit(token: str) -> dict:
    """Do it all and return what came back."""
    client = Client()
    assert client.get("/sign-in/").status_code == 200
    assert client.get(f"/enter/{token}/").status_code == 200
    assert client.post(f"/enter/{token}/").status_code == 303
    assert client.get("/play/").status_code == 200
    me, work = ask(client, "/play/me.json"), ask(client, "/play/work.json")
    sent = {"items": [first_shot(me, work)]}
    answers = client.post("/sync/", sent, "application/json", headers=JSON).json()["answers"]
    shots = ask(client, "/play/work.json")["shots"]
    return {
        "answers": [answer["result"] for answer in answers],
        "carries_short_by_m": [shot["values"]["target_m"] - shot["values"]["carry_m"] for shot in shots],
        "heavy": [name for name in HEAVY if name in sys.modules],
    }


if __name__ == "__main__":
    with override_settings(STORAGES=PLAIN_STATIC_FILES):
        print(json.dumps(visit(sys.argv[1])))
