"""Many rows written at once, given as columns.

`bulk_create` makes an object of each row and asks each field about each value of each, which costs several times what
the database itself takes. Here a field is asked once about each of the values that its column holds, and not at all
about those that it would hand on as they are: most of what is said of a ball.
"""

from dataclasses import dataclass
from datetime import datetime
from functools import cache
from itertools import chain
from types import NoneType

from django.db import DEFAULT_DB_ALIAS, connections, models
from django.db.backends.base.base import BaseDatabaseWrapper

from practice.statements import kept_cursor

Columns = dict[str, list]
"""The values of each column, by the name of the attribute that holds it (`club_id`, not `club`); all equally long."""


ROWS_AT_ONCE = 50
"""So a shot's 47 columns stay far below the 32,766 parameters that SQLite takes in a statement (its documentation,
"Implementation Limits"), and the 128 prepared statements that a connection keeps stay small."""


def insert_columns(model: type[models.Model], columns: Columns) -> list:
    """Insert new rows and return their primary keys, which the database gives, in the order of the rows.

    What is not given has its default.
    """
    connection = connections[DEFAULT_DB_ALIAS]
    count = len(next(iter(columns.values())))
    written = _written(model)
    given = [columns.get(held.name) or [held.field.get_default() for _ in range(count)] for held in written]
    rows = list(zip(*_prepared(written, given, connection), strict=True))
    cursor = kept_cursor(connection)
    pks = []
    for start in range(0, count, ROWS_AT_ONCE):
        some = rows[start : start + ROWS_AT_ONCE]
        cursor.execute(_insert_of(model, len(some)), list(chain.from_iterable(some)))
        pks += [pk for (pk,) in cursor.fetchall()]
    return pks


@cache
def _insert_of(model: type[models.Model], rows: int) -> str:
    """Return the statement that inserts so many rows."""
    quoted = connections[DEFAULT_DB_ALIAS].ops.quote_name
    written = _written(model)
    names = ", ".join(quoted(held.field.column) for held in written)
    row = ", ".join(["%s"] * len(written))
    rows_of_places = ", ".join([f"({row})"] * rows)
    table, key = quoted(model._meta.db_table), quoted(model._meta.pk.column)
    return f"INSERT INTO {table} ({names}) VALUES {rows_of_places} RETURNING {key}"


def update_columns(model: type[models.Model], pks: list, columns: Columns) -> None:
    """Set the columns of rows that are there, each known by its primary key."""
    connection = connections[DEFAULT_DB_ALIAS]
    quoted = connection.ops.quote_name
    changed = [held for held in _written(model) if held.name in columns]
    key = _Written.of(model._meta.pk)
    given = [*(columns[held.name] for held in changed), pks]
    rows = list(zip(*_prepared([*changed, key], given, connection), strict=True))
    changes = ", ".join(f"{quoted(held.field.column)} = %s" for held in changed)
    sql = f"UPDATE {quoted(model._meta.db_table)} SET {changes} WHERE {quoted(key.field.column)} = %s"
    kept_cursor(connection).executemany(sql, rows)


HANDED_ON = {
    "BigAutoField": int,
    "BigIntegerField": int,
    "BooleanField": bool,
    "CharField": str,
    "FloatField": float,
    "PositiveBigIntegerField": int,
    "PositiveIntegerField": int,
    "PositiveSmallIntegerField": int,
}
"""By kind of field, the type of value that its `get_db_prep_save` returns unchanged."""


@dataclass(frozen=True)
class _Written:
    """A column that is written: the attribute that holds its value, its field, and the types that it hands on."""

    name: str
    field: models.Field
    kind: str
    handed_on: frozenset[type]

    @classmethod
    def of(cls, field: models.Field) -> "_Written":
        # What points to a row holds what the key of that row holds.
        kind = (field.target_field if field.is_relation else field).get_internal_type()
        return cls(field.attname, field, kind, frozenset({HANDED_ON.get(kind, NoneType), NoneType}))

    def prepared(self, column: list, connection: BaseDatabaseWrapper) -> list:
        """Return the values as the database takes them."""
        if self.kind == "UUIDField":
            return column if connection.features.has_native_uuid_field else [each and each.hex for each in column]
        # An object of JSON has no hash.
        if self.kind == "JSONField":
            return [self.field.get_db_prep_save(value, connection) for value in column]
        prepare = _moment if self.kind == "DateTimeField" else self.field.get_db_prep_save
        known = {value: prepare(value, connection) for value in set(column)}
        return [known[value] for value in column]


def _prepared(written: list[_Written], given: list[list], connection: BaseDatabaseWrapper) -> list[list]:
    """Return columns as the database takes them."""
    return [
        column if held.handed_on.issuperset(map(type, column)) else held.prepared(column, connection)
        for held, column in zip(written, given, strict=True)
    ]


def _moment(moment: datetime | None, connection: BaseDatabaseWrapper) -> datetime | str | None:
    if moment and moment.tzinfo is None:
        raise ValueError(f"{moment} has no time zone.")
    return connection.ops.adapt_datetimefield_value(moment)


@cache
def _written(model: type[models.Model]) -> list[_Written]:
    """Return the columns of a model but the key that the database gives."""
    return [_Written.of(field) for field in model._meta.concrete_fields if field is not model._meta.auto_field]
