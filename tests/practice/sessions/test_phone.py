"""The shell and the worker that a phone keeps."""

import gzip
import json
import re

import brotli
import pytest
from django.conf import settings
from django.test import Client, override_settings

pytestmark = pytest.mark.django_db


def worker() -> str:
    return Client().get("/sw.js").content.decode()


def version(script: str) -> str:
    return re.search(r'VERSION = "(ledger-[0-9a-f]{16})"', script)[1]


def test_the_worker_is_a_script_of_the_root_that_browsers_ask_for_anew():
    answer = Client().get("/sw.js")
    assert answer.headers["Content-Type"] == "text/javascript"
    assert answer.headers["Cache-Control"] == "no-cache"
    assert Client().get("/play/").headers["Cache-Control"] == "no-cache"


def test_the_worker_keeps_all_that_the_page_loads_and_nothing_else():
    page = Client().get("/play/").content.decode()
    [named] = re.findall(r"ASSETS = (\[.*\]);", worker())
    loaded = {"ledger/icon.svg", "play/manifest.webmanifest", "play/play.css"}
    loaded |= {"play/early.js", "play/play.js", "play/more.js"}
    assert set(json.loads(named)) == {f"/static/{name}" for name in loaded}
    assert all(f'"{address}"' in page for address in json.loads(named))


def test_the_version_changes_with_the_page_and_only_then(tmp_path):
    first = version(worker())
    assert version(worker()) == first
    (tmp_path / "sessions").mkdir()
    shell = settings.ROOT / "templates/sessions/play.html"
    (tmp_path / "sessions/play.html").write_text(shell.read_text().replace("Opening", "Now opening"))
    [engine] = settings.TEMPLATES
    with override_settings(TEMPLATES=[engine | {"DIRS": [tmp_path, *engine["DIRS"]]}]):
        assert version(worker()) != first


UNPACKED = {"br": brotli.decompress, "gzip": gzip.decompress, "": bytes}


@pytest.mark.parametrize("encoding", UNPACKED)
@pytest.mark.parametrize("path", ["/play/", "/sw.js"])
def test_what_a_phone_loads_is_compressed_by_what_its_browser_knows(path, encoding):
    plain = Client().get(path)
    packed = Client().get(path, headers={"Accept-Encoding": f"zstd, {encoding}" if encoding else "identity"})
    assert packed.headers.get("Content-Encoding", "") == encoding
    assert int(packed.headers["Content-Length"]) == len(packed.content)
    assert UNPACKED[encoding](packed.content) == plain.content
    assert {"Accept-Encoding", "Cookie"} <= set(packed.headers["Vary"].split(", "))


def test_the_shell_holds_nothing_of_whoever_opens_it(client, django_user_model):
    signed_out = client.get("/play/").content
    client.force_login(django_user_model.objects.create(name="Robin Vale", email="robin@example.org"))
    assert client.get("/play/").content == signed_out
