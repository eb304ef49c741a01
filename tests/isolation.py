"""Gives a test run a folder and an environment of its own, and no network.

A pytest plugin rather than a part of conftest.py: pytest-django reads the settings before any conftest.py is
loaded, and a developer's var/ must not be touched even then. Workers of a parallel run inherit the folder.
"""

import atexit
import ipaddress
import os
import shutil
import sys
import tempfile
from pathlib import Path

DEVELOPERS_OWN = ("PRACTICE_LEDGER_ENV", "PRACTICE_LEDGER_SECRET_KEY", "PRACTICE_LEDGER_HOSTS")
"""What a developer may have set for a server; the tests run on the defaults."""

NETWORK_EVENTS = ("socket.connect", "socket.sendto", "socket.getaddrinfo")
"""Audit events of the standard library's sockets; see 'Audit events table' in the Python documentation."""

MEMORY = Path("/dev/shm")
ROOM = 2**30
"""Bytes that the databases, the collected files and the browsers' profiles of a run find room in."""


class NetworkForbidden(RuntimeError):
    """A test tried to leave this machine."""


def is_local(host: str | None) -> bool:
    """Tell whether a host is this machine itself."""
    if host in (None, "", "localhost"):
        return True
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return False


def refuse_network(event: str, args: tuple) -> None:
    """Raise NetworkForbidden for what would leave this machine; Unix sockets are files."""
    if event not in NETWORK_EVENTS:
        return
    host = args[0] if event == "socket.getaddrinfo" else args[1]
    if isinstance(host, tuple):
        host = host[0]
    elif event != "socket.getaddrinfo":
        return
    if isinstance(host, bytes):
        host = host.decode("ascii", "replace")
    if not is_local(host):
        raise NetworkForbidden(f"Tests use no network, but this one asked for {host!r} ({event}).")


def place() -> Path | None:
    """Return a folder in memory where the system has such with room, else None: the system's folder for such files.

    The databases are files and wait for their disk as in production; in memory that takes no time. What a killed
    process wrote is kept there as on a disk; no test plays a power cut.
    """
    roomy = os.access(MEMORY, os.W_OK) and shutil.disk_usage(MEMORY).free >= ROOM
    return MEMORY if roomy else None


def make_surroundings() -> None:
    """Point the application at a new folder that goes when the run ends."""
    folder = Path(tempfile.mkdtemp(prefix="practice-ledger-tests-", dir=place()))
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    for name in DEVELOPERS_OWN:
        os.environ.pop(name, None)
    os.environ["PRACTICE_LEDGER_VAR"] = str(folder)
    # WhiteNoise warns of a folder that is not there, and warnings are errors.
    (folder / "static").mkdir()


if "PYTEST_XDIST_WORKER" not in os.environ:
    make_surroundings()
sys.addaudithook(refuse_network)
