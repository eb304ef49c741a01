"""Phones that store at the same time take turns."""

import fcntl
import os
from collections.abc import Iterator
from contextlib import contextmanager

from django.db import connection


@contextmanager
def own_turn() -> Iterator[None]:
    """Wait until no other phone's entries are being stored, in any process that serves the same SQLite file.

    For speed alone: SQLite lets one write at a time by itself, but who finds it busy sleeps, longer after each look,
    while nobody writes. The lock on a file beside the database wakes the next one at once, and is let go of when its
    process dies. PostgreSQL has locks like that of its own; see `queue_up`.
    """
    if connection.vendor != "sqlite":
        yield
        return
    queue = os.open(f"{connection.settings_dict['NAME']}-turns", os.O_RDONLY | os.O_CREAT | os.O_CLOEXEC, 0o644)
    try:
        fcntl.flock(queue, fcntl.LOCK_EX)
        yield
    finally:
        os.close(queue)
