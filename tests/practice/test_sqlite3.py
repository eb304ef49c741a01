"""Our SQLite translates placeholders as Django's does."""

import pytest
from django.db import connection
from django.db.backends.sqlite3.base import SQLiteCursorWrapper

from practice.sqlite3.base import Cursor

pytestmark = [pytest.mark.django_db, pytest.mark.sqlite]


@pytest.mark.parametrize(
    ("query", "params"),
    [
        ("SELECT %s, %s", (1, "two")),
        ("SELECT '100 %%', %s", ("%s",)),
        ("SELECT %(own)s, %(own)s", {"own": 3}),
        ("SELECT '%%'", ()),
    ],
)
def test_a_statement_reads_what_it_reads_over_a_cursor_of_djangos(query, params):
    with connection.cursor() as cursor:
        cursor.execute(query, params)
        ours = cursor.fetchall()
    assert isinstance(cursor.cursor, Cursor)
    theirs = connection.connection.cursor(factory=SQLiteCursorWrapper).execute(query, params).fetchall()
    assert ours == theirs


def test_a_statement_is_translated_once(monkeypatch):
    """Seen by what is left to translate: nothing, the second time."""
    asked = []

    class Regex:
        def sub(self, mark, query):
            asked.append(query)
            return query.replace("%s", mark)

    monkeypatch.setattr("django.db.backends.sqlite3.base.FORMAT_QMARK_REGEX", Regex())
    with connection.cursor() as cursor:
        for own in (1, 2):
            cursor.execute("SELECT %s + 41", [own])
    assert asked == ["SELECT %s + 41"]
