"""Many rows written at once, given as columns.

`bulk_create` makes an object of each row and asks each field about each value of each, which costs several times what
the database itself takes. Here a field is asked once about each of the values that its column holds.
"""

from functools import partial

from django.db import connections, models

Columns = dict[str, list]
"""The values of each column, by the name of the attribute that holds it (`club_id`, not `club`); all equally long."""


ROWS_AT_ONCE = 50
"""So a shot's 54 columns stay far below the 32,766 parameters that SQLite takes in a statement (its documentation,
"Implementation Limits"), and the 128 prepared statements that a connection keeps stay small."""


def insert_columns(model: type[models.Model], columns: Columns, *, using: str) -> list:
    """Insert new rows and return their primary keys, which the database gives, in the order of the rows.

    What is not given has its default.
    """
    connection = connections[using]
    quoted = connection.ops.quote_name
    count = len(next(iter(columns.values())))
    fields = [field for field in model._meta.concrete_fields if field is not model._meta.auto_field]
    given = [columns.get(field.attname) or [field.get_default() for _ in range(count)] for field in fields]
    rows = list(zip(*map(partial(_prepared, connection), fields, given), strict=True))
    names = ", ".join(quoted(field.column) for field in fields)
    places = ", ".join(["%s"] * len(fields))
    pks = []
    with connection.cursor() as cursor:
        for start in range(0, count, ROWS_AT_ONCE):
            some = rows[start : start + ROWS_AT_ONCE]
            places_of_rows = ", ".join([f"({places})"] * len(some))
            cursor.execute(
                f"INSERT INTO {quoted(model._meta.db_table)} ({names}) VALUES {places_of_rows}"
                f" RETURNING {quoted(model._meta.pk.column)}",
                [value for row in some for value in row],
            )
            pks += [pk for (pk,) in cursor.fetchall()]
    return pks


def update_columns(model: type[models.Model], pks: list, columns: Columns, *, using: str) -> None:
    """Set the columns of rows that are there, each known by its primary key."""
    connection = connections[using]
    quoted = connection.ops.quote_name
    key = model._meta.pk
    fields = [field for field in model._meta.concrete_fields if field.attname in columns]
    given = [*(columns[field.attname] for field in fields), pks]
    rows = zip(*map(partial(_prepared, connection), [*fields, key], given), strict=True)
    changes = ", ".join(f"{quoted(field.column)} = %s" for field in fields)
    sql = f"UPDATE {quoted(model._meta.db_table)} SET {changes} WHERE {quoted(key.column)} = %s"
    with connection.cursor() as cursor:
        cursor.executemany(sql, list(rows))


def _prepared(connection, field: models.Field, column: list) -> list:
    """Return a column as the database takes it; equal values are prepared once, but an object of JSON has no hash."""
    if isinstance(field, models.JSONField):
        return [field.get_db_prep_save(value, connection) for value in column]
    different = set(column)
    # Most of what can be said of a ball is left unsaid; no other field writes None as anything but NULL.
    if different == {None}:
        return column
    known = {value: field.get_db_prep_save(value, connection) for value in different}
    return [known[value] for value in column]
