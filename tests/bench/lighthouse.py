"""What Lighthouse says of the phone page, where npm is there to fetch it."""

import json
import shutil
import socket
import subprocess
import tempfile
from collections.abc import Iterator

from playwright.sync_api import Playwright

from tests.bench.figure import Figure
from tests.browser.phone import sign_in
from tests.conftest import find_chromium

COMMAND = ("npx", "--yes", "lighthouse@12.2.3", "--quiet", "--output=json", "--disable-storage-reset")
GOALS = {"accessibility": 100, "best-practices": 100, "performance": 95}


def scores(playwright: Playwright, server, player) -> Iterator[Figure]:
    """Yield a score for each of GOALS, for the plan of a signed-in player on a phone that has never been here."""
    categories = audited(playwright, server, player) if shutil.which("npx") else {}
    for category, goal in GOALS.items():
        score = categories.get(category, {}).get("score")
        value, unit = (None, "(not measured: no Lighthouse here)") if score is None else (100 * score, "of 100")
        yield Figure(f"Lighthouse: {category}", value, unit, goal, at_least=True)


def audited(playwright: Playwright, server, player) -> dict:
    """Return Lighthouse's categories; nothing where npm does not bring it."""
    with socket.create_server(("127.0.0.1", 0)) as free:
        port = free.getsockname()[1]
    # Lighthouse goes into a browser that is signed in already: it opens a tab of its own there.
    browser = {"executable_path": find_chromium(), "args": [f"--remote-debugging-port={port}"]}
    with (
        tempfile.TemporaryDirectory() as profile,
        playwright.chromium.launch_persistent_context(profile, **browser) as context,
    ):
        sign_in(context, server, player.user)
        command = [*COMMAND, f"--only-categories={','.join(GOALS)}", f"--port={port}", f"{server.url}/play/"]
        done = subprocess.run(command, capture_output=True, text=True, timeout=600)
    return json.loads(done.stdout)["categories"] if done.returncode == 0 else {}
