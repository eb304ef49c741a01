"""Reads whose SQL is made once.

Django makes a statement anew each time a queryset is read, which takes ten times as long as SQLite needs to run a small
one; logging a ball takes ten of those. Here a queryset is compiled once, with stand-ins for the ids it is about, and at
each reading the ids take their places.
"""

from collections.abc import Callable, Iterable
from datetime import date, timedelta
from uuid import UUID

from django.db import DEFAULT_DB_ALIAS, connections
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.backends.utils import CursorWrapper
from django.db.models import Model, QuerySet
from django.db.models.base import ModelState
from django.db.models.query import ModelIterable

Known = UUID | date | str
"""What a row can be asked for by."""


class Statement:
    """A read by ids, days or words: `build(*given)` makes its queryset; each of `given` is one of them or a list.

    The queryset is of models, also with `only` and `select_related` but without annotations, or a `values_list`, whose
    rows are tuples.
    """

    def __init__(self, build: Callable[..., QuerySet]):
        self.build = build

    def rows(self, *given: Known | Iterable[Known]) -> list:
        """Return what the queryset of these reads; nothing, and without a statement, where a list is empty."""
        known, shape = [], []
        for each in given:
            alone = isinstance(each, Known)
            own = [each] if alone else _filled_up(list(each))
            if not own:
                return []
            known += own
            shape.append((0 if alone else len(own), type(own[0])))
        # With the connection: it is one thread's alone, and so is what is read over it.
        made = connections[DEFAULT_DB_ALIAS].__dict__.setdefault("made_statements", {})
        key = self, tuple(shape)
        if key not in made:
            made[key] = _Made(self.build, key[1])
        return made[key].rows(known)

    def by_key(self, *given: Known | Iterable[Known]) -> dict:
        """Return the same rows, each by its primary key."""
        return {row.pk: row for row in self.rows(*given)}


def _filled_up(known: list) -> list:
    """Return the list, its last member repeated up to a power of two: few sizes need few statements."""
    return known + known[-1:] * ((1 << (len(known) - 1).bit_length()) - len(known)) if known else known


def _stand_in(kind: type, number: int) -> Known:
    """Return the value that stands for the number in a statement, and that nothing else in it can be."""
    if kind is str:
        return f"\0{number}"
    return UUID(int=number) if kind is UUID else date.min + timedelta(days=number)


def _taken_by(connection: BaseDatabaseWrapper) -> dict[type, Callable]:
    """Return, by type, what makes of a known value what the database takes."""
    has_uuids = connection.features.has_native_uuid_field
    return {
        str: str,
        date: connection.ops.adapt_datefield_value,
        UUID: (lambda each: each) if has_uuids else (lambda each: each.hex),
    }


def kept_cursor(connection: BaseDatabaseWrapper) -> CursorWrapper:
    """Return the cursor of a connection: to make one takes longer than a small statement, so it is kept with it."""
    if connection.force_debug_cursor:
        return connection.cursor()
    own, cursor = connection.__dict__.get("made_cursor", (None, None))
    # The connection to the database itself may be a new one.
    if own is None or own is not connection.connection:
        cursor = connection.cursor()
        connection.__dict__["made_cursor"] = connection.connection, cursor
    return cursor


class _Made:
    """A queryset compiled for a certain shape: of each given how many, 0 for one that is no list, and of what type."""

    def __init__(self, build: Callable[..., QuerySet], shape: tuple[tuple[int, type], ...]):
        given, stand_ins = [], []
        for size, kind in shape:
            own = [_stand_in(kind, number) for number in range(len(stand_ins), len(stand_ins) + (size or 1))]
            given.append(own if size else own[0])
            stand_ins += own
        self.queryset = build(*given)
        self.connection = connections[self.queryset.db]
        self.taken = _taken_by(self.connection)
        compiler = self.queryset.query.get_compiler(self.queryset.db)
        sql, params = compiler.as_sql()
        number = {own: i for i, own in enumerate(self._in_database(stand_ins))}
        # What is no stand-in, such as a state, stays what it is.
        self.params = [(number.get(param), param) for param in params]
        if set(number.values()) - {i for i, _ in self.params}:
            raise ValueError("The statement makes no use of some of what it is asked for by.")
        self.sql, self.compiler = sql, compiler
        self.converters = compiler.get_converters([column for column, *_ in compiler.select])
        is_of_models = issubclass(self.queryset._iterable_class, ModelIterable)
        self.row = _maker(compiler.klass_info, compiler.select, self.queryset.db) if is_of_models else tuple

    def _in_database(self, known: list[Known]) -> list:
        return [self.taken[type(each)](each) for each in known]

    def rows(self, known: list[Known]) -> list:
        known = self._in_database(known)
        cursor = kept_cursor(self.connection)
        cursor.execute(self.sql, [param if i is None else known[i] for i, param in self.params])
        rows = cursor.fetchall()
        return [self.row(row) for row in self.compiler.apply_converters(rows, self.converters)]


def _maker(info: dict, select: list[tuple], using: str) -> Callable[[list], Model | None]:
    """Return what makes a model of a row and of the rows that came with it, or None where none came, as Django does.

    It is made as unpickling makes it, without the constructor, which asks about each field whether it was given and
    tells of each model that it begins and ends to be one: nobody listens to that here.
    """
    model, own = info["model"], slice(info["select_fields"][0], info["select_fields"][-1] + 1)
    names = [column.target.attname for column, *_ in select[own]]
    key = own.start + names.index(model._meta.pk.attname)
    related = [
        (_maker(each, select, using), each["local_setter"], each["remote_setter"])
        for each in info.get("related_klass_infos", ())
    ]

    def make(row: list) -> Model | None:
        if row[key] is None:
            return None
        made = model.__new__(model)
        made._state = ModelState()
        made._state.adding, made._state.db = False, using
        made.__dict__.update(zip(names, row[own], strict=True))
        for make_other, set_here, set_there in related:
            other = make_other(row)
            set_here(made, other)
            if other is not None:
                set_there(other, made)
        return made

    return make
