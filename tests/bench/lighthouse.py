"""What Lighthouse says of the phone page, where npm is there to fetch it."""

import json
import os
import shutil
import subprocess
from collections.abc import Iterator

from tests.bench.figure import Figure
from tests.conftest import find_chromium

COMMAND = (
    "npx",
    "--yes",
    "lighthouse@12.2.3",
    "--quiet",
    "--output=json",
    "--chrome-flags=--headless=new --no-sandbox",
)
GOALS = {"accessibility": 100, "best-practices": 100, "performance": 95}


def scores(url: str, cookies: str) -> Iterator[Figure]:
    """Yield a score for each of GOALS, as somebody sees the page who has these cookies."""
    categories = audited(url, cookies)
    for category, goal in GOALS.items():
        score = categories.get(category, {}).get("score")
        value, unit = (None, "(not measured: no Lighthouse here)") if score is None else (100 * score, "of 100")
        yield Figure(f"Lighthouse: {category}", value, unit, goal, at_least=True)


def audited(url: str, cookies: str) -> dict:
    """Return Lighthouse's categories; nothing where it does not run here."""
    if not shutil.which("npx"):
        return {}
    only = f"--only-categories={','.join(GOALS)}"
    command = [*COMMAND, only, f"--extra-headers={json.dumps({'Cookie': cookies})}", url]
    environment = {**os.environ, "CHROME_PATH": find_chromium()}
    done = subprocess.run(command, env=environment, capture_output=True, text=True, timeout=600)
    return json.loads(done.stdout)["categories"] if done.returncode == 0 else {}
