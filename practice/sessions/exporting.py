"""Everything held on a player, as CSV files in a zip.

Which rows are a player's is found from the models: a model names by `academy_from` the row it belongs to, and where a
chain of these ends at a player, the row is that player's. So a new model is exported without being listed here.
"""

import csv
import os
import tempfile
from collections.abc import Iterable, Iterator
from io import TextIOWrapper
from pathlib import Path
from typing import BinaryIO
from zipfile import ZIP_DEFLATED, ZipFile, ZipInfo

from django.apps import apps
from django.db import transaction
from django.db.models import Field, QuerySet

from practice.accounts.access import AcademyOwned
from practice.accounts.models import Device, Membership, SignInLink, User
from practice.clubs.roster import roster_rows
from practice.csv_cells import written
from practice.players.models import Player
from practice.sessions.csv_shots import WRITTEN, row_of
from practice.sessions.models import Shot

SECRET = ("password", "session_key", "token_sha256", "nonce_sha256")
"""Fields that let somebody in: they are nobody's record."""

ROWS_AT_ONCE = 2000

README = """Everything that Practice Ledger holds on {name}.

shots.csv   the shots that count, as import_shots reads them
roster.csv  the bag, as import_roster reads it
held/       every row that is held, table by table, undone and set-aside shots and earlier values included

All files are CSV (RFC 4180) in UTF-8. Distances are in metres, times in UTC, and numbers are written in full.
"""


def export_player(*, player: Player, path: Path) -> None:
    """Write the player's zip to a path: whole or not at all, and readable by the file's owner only."""
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
    unfinished = Path(name)
    try:
        with os.fdopen(handle, "wb") as stream:
            write_export(player, stream)
            stream.flush()
            os.fsync(stream.fileno())
        unfinished.replace(path)
    finally:
        unfinished.unlink(missing_ok=True)


@transaction.atomic
def write_export(player: Player, stream: BinaryIO) -> None:
    """Write the player's zip; the same rows give the same bytes."""
    with ZipFile(stream, "w") as archive:
        with _open(archive, "README.txt") as text:
            text.write(README.format(name=player.name))
        _write_table(archive, "shots.csv", shot_rows(player))
        _write_table(archive, "roster.csv", roster_rows(player))
        tables = [*rows_of(player), *sign_in_rows_of(player)]
        models = {rows.model for rows in tables}
        for rows in tables:
            plural = rows.model._meta.verbose_name_plural.replace(" ", "_")
            _write_table(archive, f"held/{plural}.csv", _cells_of(rows, models))


def _open(archive: ZipFile, name: str) -> TextIOWrapper:
    # A fixed date: the time of the export is no part of what is held.
    member = ZipInfo(name, date_time=(1980, 1, 1, 0, 0, 0))
    member.compress_type = ZIP_DEFLATED
    return TextIOWrapper(archive.open(member, "w"), encoding="utf-8", newline="")


def _write_table(archive: ZipFile, name: str, rows: Iterable[list[str]]) -> None:
    with _open(archive, name) as text:
        csv.writer(text).writerows(rows)


def shot_rows(player: Player) -> Iterator[list[str]]:
    """Yield the header and the player's live shots as import_shots reads them."""
    yield list(WRITTEN)
    shots = Shot.objects.filter(player=player).live().select_related("club", "session__venue").in_order()
    yield from map(row_of, shots.iterator(chunk_size=ROWS_AT_ONCE))


def rows_of(player: Player) -> list[QuerySet]:
    """Return, model by model, the rows that are the player's alone; the player's own row comes first."""
    models = [model for model in apps.get_models() if issubclass(model, AcademyOwned)]
    paths = {model: path for model in models if (path := path_to_player(model))}
    rows = [model.objects.filter(**{path: player}) for model, path in paths.items()]
    return [each.order_by("pk") for each in (Player.objects.filter(pk=player.pk), *rows)]


def path_to_player(model: type[AcademyOwned]) -> str:
    """Return the lookup that leads from a model's rows to their player ("shot__player"); empty where none does."""
    steps = []
    while model is not Player and model.academy_from:
        steps.append(model.academy_from)
        model = model._meta.get_field(model.academy_from).related_model
    return "__".join(steps) if model is Player else ""


def sign_in_rows_of(player: Player) -> list[QuerySet]:
    """Return the rows of the player's sign-in: the user, what they are in this academy, links and devices."""
    user, here = player.user_id, player.academy_id
    return [
        User.objects.filter(pk=user),
        Membership.objects.filter(user=user, academy=here).order_by("pk"),
        SignInLink.objects.filter(user=user, academy=here).order_by("pk"),
        Device.objects.filter(user=user).order_by("pk"),
    ]


def _cells_of(rows: QuerySet, exported: set[type]) -> Iterator[list[str]]:
    """Yield the header and the rows of one table, every field by its own name.

    A row that is not in the export itself, such as a range, is also named beside its id.
    """
    fields = [field for field in rows.model._meta.concrete_fields if field.name not in SECRET]
    outside = [field for field in fields if field.is_relation and field.related_model not in exported]
    yield [*(field.attname for field in fields), *(field.name for field in outside)]
    named = rows.select_related(*(field.name for field in outside)) if outside else rows
    for row in named.iterator(chunk_size=ROWS_AT_ONCE):
        ids = [written(field.value_from_object(row)) for field in fields]
        yield [*ids, *(_name_of(row, field) for field in outside)]


def _name_of(row, field: Field) -> str:
    other = getattr(row, field.name)
    return "" if other is None else str(other)
