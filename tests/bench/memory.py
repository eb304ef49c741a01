"""Memory of a worker that only logged, against one that has imported everything; read from Linux's /proc."""

import os
import re
from collections.abc import Iterator
from pathlib import Path

from tests.bench.log import logging, sign_in
from tests.bench.ratio import Ratio
from tests.bench.stage import Cast, browsing, served, set_stage

SHOTS = 200


def children_of(process: int) -> list[int]:
    return [int(child) for child in Path(f"/proc/{process}/task/{process}/children").read_text().split()]


def resident_mb(process: int) -> float:
    """Return what a process keeps in memory (VmRSS, see proc_pid_status(5))."""
    [kilobytes] = re.findall(r"^VmRSS:\s+(\d+) kB$", Path(f"/proc/{process}/status").read_text(), re.M)
    return int(kilobytes) / 1024


def after_logging(application: str, cast: Cast) -> float:
    """Serve it, log shots, and return what the larger of the workers keeps: the server is a child of this process."""
    with served(application) as port, browsing(port) as browser:
        phone, headers = sign_in(browser, cast)
        log_one = logging(browser, phone, **headers)
        for _ in range(SHOTS):
            log_one()
        return max(resident_mb(worker) for server in children_of(os.getpid()) for worker in children_of(server))


def measure(*, quick: bool) -> Iterator[Ratio]:
    cast = set_stage()
    yield Ratio(
        f"memory of a worker after {SHOTS} logged shots : with everything imported",
        after_logging("practice.wsgi", cast),
        after_logging("tests.bench.everything", cast),
        goal=0.4,
        unit="MB",
    )
