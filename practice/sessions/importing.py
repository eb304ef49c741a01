"""Shots from a CSV file: all or nothing, or all but the bad rows."""

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import datetime
from itertools import islice
from typing import BinaryIO, NamedTuple

from django.db import transaction

from practice.csv_table import CsvTable, Fault
from practice.players.models import Player
from practice.sessions.actions import STORED, store_shots
from practice.sessions.csv_shots import OPTIONAL, REQUIRED, BadRow, ShotReader
from practice.sessions.models import ImportBatch, Shot
from practice.sessions.row_identity import differences
from practice.sessions.values import ShotEntry
from practice.sessions.words import Source

ROWS_AT_ONCE = 500


@dataclass
class ImportReport:
    """What became of a file: how many shots are new and how many were held before; every fault and warning."""

    new: int = 0
    held: int = 0
    faults: list[Fault] = field(default_factory=list)
    warnings: list[str] = field(default_factory=list)


class Line(NamedTuple):
    """A row that was read: its line, its shot, and whether it brought its own id."""

    number: int
    entry: ShotEntry
    has_id: bool


@transaction.atomic
def import_shots(
    *,
    player: Player,
    stream: BinaryIO,
    file_name: str,
    now: datetime,
    made_by=None,
    skip_bad: bool = False,
    dry_run: bool = False,
) -> ImportReport:
    """Store a player's shots from a file, in one transaction and in bounded memory.

    Parameters
    ----------
    stream
        An open binary file that can be read twice.
    now
        The time of the import; no shot is hit later.
    skip_bad
        Store all but the bad rows; otherwise any fault keeps everything out.
    dry_run
        Store nothing and report the same.
    """
    batch = ImportBatch(player=player, file_name=file_name[:200], file_sha256=_digest(stream), made_by=made_by)
    table = CsvTable(stream, required=REQUIRED, optional=OPTIONAL)
    report = ImportReport(warnings=table.warnings)
    lines = _read_lines(table, ShotReader(player, now), report)
    while some := list(islice(lines, ROWS_AT_ONCE)):
        new = _not_held(player, some, report)
        if not new or dry_run or (report.faults and not skip_bad):
            report.new += len(new)
            continue
        if batch.pk is None:
            batch.save()
        answers = store_shots(
            player=player, entries=new, source=Source.CSV.value, received_at=now, made_by=made_by, batch=batch
        )
        report.new += answers.count(STORED)
        report.held += len(answers) - answers.count(STORED)
    if not (report.new or report.held or report.faults):
        report.faults.append(Fault(1, "there are no shots below the header"))
    report.faults.sort()
    if dry_run or (report.faults and not skip_bad):
        transaction.set_rollback(True)
    return report


def _digest(stream: BinaryIO) -> str:
    digest = hashlib.file_digest(stream, "sha256").hexdigest()
    stream.seek(0)
    return digest


def _read_lines(table: CsvTable, reader: ShotReader, report: ImportReport) -> Iterator[Line]:
    """Yield every row that is a shot, once; put what is wrong with the others into the report."""
    first = {}
    for item in table:
        if isinstance(item, Fault):
            report.faults.append(item)
            continue
        try:
            entry = reader.read(item.cells)
        except BadRow as bad:
            report.faults.append(Fault(item.line, str(bad)))
            continue
        before = first.setdefault(entry.uid, item.line)
        if before != item.line:
            report.faults.append(Fault(item.line, f"is the same shot as line {before}; delete one of them"))
            continue
        yield Line(item.line, entry, bool(item.cells.get("id", "").strip()))


def _not_held(player: Player, lines: list[Line], report: ImportReport) -> list[ShotEntry]:
    """Return the entries that are new; count those held, and report ids held with other values."""
    shots = Shot.objects.filter(player=player, uid__in=[line.entry.uid for line in lines])
    held = set(shots.values_list("uid", flat=True))
    # A row without an id is known by its values: it was held whatever became of the shot since.
    to_compare = [line for line in lines if line.has_id and line.entry.uid in held]
    others = _held_with_other_values(player, to_compare)
    report.held += len(held) - len(others)
    report.faults += others
    return [line.entry for line in lines if line.entry.uid not in held]


def _held_with_other_values(player: Player, lines: list[Line]) -> list[Fault]:
    shots = Shot.objects.filter(player=player, uid__in=[line.entry.uid for line in lines])
    held = {shot.uid: shot for shot in shots.select_related("club", "session__venue")}
    return [
        Fault(number, f"id {entry.uid} is held with other values: {'; '.join(other)}")
        for number, entry, _ in lines
        if (other := differences(entry, held[entry.uid]))
    ]
