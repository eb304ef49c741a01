"""The SQL statements of one request, as they were run, to be run again for other shots."""

import json
from contextlib import contextmanager
from pathlib import Path
from uuid import UUID

from django.conf import settings
from django.db import connection

from practice.sessions.models import Shot

FIRST_SHOT = 7_000_000
"""Where the ids of shots begin: so high that no other number in a statement is taken for one."""


def number_shots_from(first: int) -> None:
    """Let the database give shots ids from this number on."""
    with connection.cursor() as cursor:
        table = Shot._meta.db_table
        cursor.execute("DELETE FROM sqlite_sequence WHERE name = %s", [table])
        cursor.execute("INSERT INTO sqlite_sequence (name, seq) VALUES (%s, %s)", [table, first])


@contextmanager
def recorded():
    """Record every statement with its parameters, the beginnings and ends of transactions among them; gives a list."""
    statements: list[tuple[str, list]] = []
    open_before = False

    def note(execute, sql, params, many, context):
        nonlocal open_before
        # The end of a transaction does not come by here: the next statement shows it.
        if open_before and not connection.in_atomic_block:
            statements.append(("COMMIT", []))
        statements.append((sql.replace("%s", "?"), list(params or ())))
        open_before = connection.in_atomic_block
        return execute(sql, params, many, context)

    with connection.execute_wrapper(note):
        yield statements
    if open_before:
        statements.append(("COMMIT", []))


def write_script(path: Path, statements: list[tuple[str, list]], *, database: Path, delivery: bytes) -> None:
    """Write down what the bare application is to do: the statements, with marks for what each shot has of its own."""
    [item] = json.loads(delivery)["items"]
    shot = Shot.objects.get(uid=item["id"])
    marks = {UUID(item["id"]).hex: "uid", item["number"]: "number", shot.pk: "shot"}
    steps = [(sql, params, {n: marks[p] for n, p in enumerate(params) if p in marks}) for sql, params in statements]
    pragmas = settings.DATABASES["default"]["OPTIONS"]["init_command"]
    path.write_text(json.dumps({"database": str(database), "pragmas": pragmas, "steps": steps}))
