"""Django's SQLite, which translates the placeholders of a statement once and not each time that it is run.

Django's statements have `%s` where SQLite's driver wants `?`, and a regular expression looks for them: while a ball is
logged that takes a twentieth of the processor's time.
"""

import sqlite3
from functools import lru_cache

from django.db.backends.sqlite3 import base


class DatabaseWrapper(base.DatabaseWrapper):
    def create_cursor(self, name=None):
        return self.connection.cursor(factory=Cursor)


class Cursor(base.SQLiteCursorWrapper):
    def execute(self, query, params=None):
        if type(params) not in (list, tuple):
            return super().execute(query, params)
        return sqlite3.Cursor.execute(self, _translated(query), params)


@lru_cache(maxsize=1024)
def _translated(query: str) -> str:
    return base.FORMAT_QMARK_REGEX.sub("?", query).replace("%%", "%")
