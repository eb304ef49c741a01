"""A copy of the database that gets the rows ours got, by nothing but executemany."""

import sqlite3
from collections.abc import Iterator, Sequence
from contextlib import contextmanager

from django.conf import settings

from practice.sessions.models import ImportBatch, PracticeSession, Shot, ShotRevision
from tests.bench.ratio import timed
from tests.bench.rows import insert, opened, rows_of
from tests.bench.stage import copy_of_database

TABLES = (PracticeSession, ImportBatch, Shot, ShotRevision)
"""What storing shots writes to, parents first."""


class Mirror:
    """Same tables, indexes, constraints and durability; open one with `mirrored`."""

    def __init__(self, ours: sqlite3.Connection, bare: sqlite3.Connection, tables: Sequence[type]):
        self.ours, self.bare = ours, bare
        self.newest = {model: self._newest(model) for model in tables}

    def _newest(self, model) -> int | str:
        return self.ours.execute(f"SELECT coalesce(max(id), 0) FROM {model._meta.db_table}").fetchone()[0]

    def catch_up(self) -> float:
        """Write the rows that are new in ours in one transaction; return the seconds that the writing took."""
        new = {model: rows_of(self.ours, model, f"id > {newest!r}") for model, newest in self.newest.items()}
        self.newest = {model: self._newest(model) for model in self.newest}
        return timed(lambda: self._write(new))()

    def _write(self, new: dict) -> None:
        self.bare.execute("BEGIN IMMEDIATE")
        for model, rows in new.items():
            insert(self.bare, model, rows)
        self.bare.execute("COMMIT")


@contextmanager
def mirrored(tables: Sequence[type] = TABLES) -> Iterator[Mirror]:
    """Copy the database as it is now; `tables` are what is written to, parents first, with ids that only grow."""
    with opened(settings.DATABASES["default"]["NAME"]) as ours, opened(copy_of_database("bare")) as bare:
        yield Mirror(ours, bare, tables)
