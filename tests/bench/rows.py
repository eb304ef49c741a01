"""Rows as they stand in the tables: read, and written again straight into a database file."""

import sqlite3
from collections.abc import Iterable
from contextlib import closing, contextmanager
from pathlib import Path

from django.conf import settings


@contextmanager
def opened(path: Path):
    """Open a database file with the settings of real use, for statements that begin and end transactions themselves."""
    options = settings.DATABASES["default"]["OPTIONS"]
    with closing(sqlite3.connect(path, timeout=options["timeout"], isolation_level=None)) as database:
        database.executescript(options["init_command"])
        yield database


def columns_of(database: sqlite3.Connection, model) -> list[str]:
    """Return the names of a table's columns, in their order."""
    return [name for _, name, *_ in database.execute(f"PRAGMA table_info({model._meta.db_table})")]


def rows_of(database: sqlite3.Connection, model, where: str = "1") -> list[tuple]:
    """Return the rows of a table, by id."""
    return database.execute(f"SELECT * FROM {model._meta.db_table} WHERE {where} ORDER BY id").fetchall()


def insert(database: sqlite3.Connection, model, rows: Iterable[tuple]) -> None:
    """Insert whole rows by one executemany."""
    places = ", ".join("?" * len(columns_of(database, model)))
    database.executemany(f"INSERT INTO {model._meta.db_table} VALUES ({places})", rows)
