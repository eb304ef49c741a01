"""What can be measured, and how: each subject in a fresh process and a folder of its own."""

import multiprocessing
import os
import tempfile
from importlib import import_module

from tests.bench.figure import Figure
from tests.bench.ratio import Ratio

SUBJECTS = {
    "page": "tests.bench.page",
    "log": "tests.bench.log",
    "sync": "tests.bench.sync",
    "busy": "tests.bench.busy",
    "memory": "tests.bench.memory",
    "import": "tests.bench.read_in",
    "dashboard": "tests.bench.dashboard",
    "block": "tests.bench.block",
    "share_out": "tests.bench.share_out",
    "squad": "tests.bench.squad",
    "score": "tests.bench.score",
    "choice": "tests.bench.choice",
    "pooled": "tests.bench.pooled",
    "flight": "tests.bench.flight",
    "plan": "tests.bench.plan",
}
NOT_OURS = ("DATABASE_URL", "PRACTICE_LEDGER_ENV", "PRACTICE_LEDGER_SECRET_KEY", "PRACTICE_LEDGER_HOSTS")
"""What a developer may have set for a server: nothing is measured, and above all nothing written, there."""


def measure(subject: str, folder: str, quick: bool) -> list[Ratio | Figure]:
    """Measure one subject in this process, with `folder` for its database."""
    for name in NOT_OURS:
        os.environ.pop(name, None)
    os.environ |= {"PRACTICE_LEDGER_VAR": folder, "DJANGO_SETTINGS_MODULE": "tests.bench.settings"}
    # After the environment is set: settings are read once.
    import_module("django").setup()
    return list(import_module(SUBJECTS[subject]).measure(quick=quick))


def measure_apart(subject: str, quick: bool) -> list[Ratio | Figure]:
    """Measure one subject in a fresh process with a folder that goes afterwards, so that none warms up the next."""
    with (
        tempfile.TemporaryDirectory(prefix="practice-ledger-bench-") as folder,
        multiprocessing.get_context("spawn").Pool(1) as fresh,
    ):
        return fresh.apply(measure, (subject, folder, quick))
