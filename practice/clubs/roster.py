"""Players and their bags from a CSV file, one line a club; and a player's bag as such lines."""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date
from typing import BinaryIO

from django.db import transaction
from django.utils.text import slugify

from practice.accounts.models import Academy
from practice.clubs.actions import add_club
from practice.clubs.models import MAX_CARRIED, Club, ClubKind, ClubSetup, SetupReason
from practice.clubs.roster_lines import BUILD, OPTIONAL, REQUIRED, RosterFault, RosterLine, read_line, says_putter
from practice.csv_table import CsvTable, Fault
from practice.players.models import Player


@dataclass
class RosterReport:
    """What became of a roster; with any fault nothing was stored."""

    faults: list[Fault] = field(default_factory=list)
    warnings: list[str] = field(default_factory=list)
    players_made: dict[str, str] = field(default_factory=dict)
    clubs_made: int = 0
    setups_made: list[ClubSetup] = field(default_factory=list)
    clubs_moved: int = 0
    clubs_rebuilt: int = 0
    lines_held: int = 0


@transaction.atomic
def import_roster(*, academy: Academy, stream: BinaryIO, today: date) -> RosterReport:
    """Store the players and clubs of a roster file, all of it or, with any fault, nothing.

    Whoever calls must resettle the shots of the clubs in `setups_made`, in the same transaction.

    Parameters
    ----------
    stream
        An open binary file.
    today
        The academy's local date; a setup cannot start later.
    """
    table = CsvTable(stream, required=REQUIRED, optional=OPTIONAL)
    report = RosterReport(warnings=table.warnings)
    taken = defaultdict(list)
    for line in _oldest_first(_read_lines(table, report, today)):
        try:
            player = _player_of(line, academy, report)
            _check_against(taken[player.pk, line.label], line)
            _take(player, line, report)
        except RosterFault as fault:
            report.faults.append(Fault(line.line, str(fault)))
    report.warnings += _overfull_bags({pk for pk, _ in taken})
    if report.faults:
        transaction.set_rollback(True)
        return RosterReport(faults=sorted(report.faults), warnings=report.warnings)
    return report


def _read_lines(table: CsvTable, report: RosterReport, today: date) -> Iterator[RosterLine]:
    """Yield the lines that can be read; put the others' faults into the report."""
    for item in table:
        try:
            if isinstance(item, Fault):
                report.faults.append(item)
            else:
                yield read_line(item.line, item.cells, today)
        except RosterFault as fault:
            report.faults.append(Fault(item.line, str(fault)))


def _oldest_first(lines: Iterator[RosterLine]) -> list[RosterLine]:
    """Return lines so that a club's first setup is made before the later ones, whatever their order in the file."""
    return sorted(lines, key=lambda line: line.valid_from or date.min)


def kind_of(label: str, loft_deg: float | None) -> ClubKind:
    """Return a club's kind from its name and loft, which the coach can correct; common practice, no source."""
    if loft_deg is None or says_putter(label):
        return ClubKind.PUTTER
    if loft_deg >= 42:
        return ClubKind.WEDGE
    return ClubKind.IRON if loft_deg >= 18 else ClubKind.WOOD


def _player_of(line: RosterLine, academy: Academy, report: RosterReport) -> Player:
    """Return the player a line means, made where there is none."""
    by_slug_or_name = {"slug": line.slug} if line.slug else {"name": line.name}
    found = list(Player.objects.filter(academy=academy, **by_slug_or_name).order_by("slug"))
    if len(found) > 1:
        slugs = ", ".join(player.slug for player in found)
        raise RosterFault(f"more than one player is called {line.name}; say which in a column slug: {slugs}")
    player = found[0] if found else _make_player(line, academy, report)
    if player.name != line.name:
        raise RosterFault(f"the slug {player.slug} is that of {player.name}")
    if player.handed != line.handed:
        raise RosterFault(f"{player.name} is held as {player.handed}-handed; change that on the player's page")
    return player


def _make_player(line: RosterLine, academy: Academy, report: RosterReport) -> Player:
    slug = line.slug or slugify(line.name)[:80]
    if not slug:
        raise RosterFault(f"no slug can be made of {line.name}; give one in a column slug")
    if holder := Player.objects.filter(academy=academy, slug=slug).first():
        raise RosterFault(f"the slug {slug} is that of {holder.name}; give {line.name} another in a column slug")
    report.players_made[slug] = line.name
    return Player.objects.create(academy=academy, name=line.name, slug=slug, handed=line.handed)


def _check_against(taken: list[RosterLine], line: RosterLine) -> None:
    """Refuse a line that repeats or contradicts one before it, and remember it."""
    for before in taken:
        if before.valid_from == line.valid_from:
            raise RosterFault(f"{line.label} stands in line {before.line} already; valid_from dates another setup")
        if before.carried != line.carried:
            raise RosterFault(f"carried differs from line {before.line} for the same club")
        for name in before.build.keys() & line.build.keys():
            if before.build[name] != line.build[name]:
                raise RosterFault(f"{name} differs from line {before.line} for the same club")
    taken.append(line)


def _take(player: Player, line: RosterLine, report: RosterReport) -> None:
    """Store what a line says of a club, where it is not held already."""
    club = bag_by_label(player).get(line.label)
    if club is None:
        facts = {"label": line.label, "kind": kind_of(line.label, line.loft_deg), "carried": line.carried}
        facts |= line.build
        # The first setup is open to the past whatever its date: shots hit before it was entered need one.
        add_club(player=player, loft_deg=line.loft_deg, bounce_deg=None, **facts)
        report.clubs_made += 1
        return
    is_new = _is_new_setup(club, line)
    if is_new:
        made = {"loft_deg": line.loft_deg, "valid_from": line.valid_from, "reason": SetupReason.BENT}
        report.setups_made.append(ClubSetup.objects.create(club=club, **made))
    if moved := club.carried != line.carried:
        club.carried = line.carried
        club.save(update_fields=["carried"])
        report.clubs_moved += 1
    rebuilt = {name: value for name, value in line.build.items() if getattr(club, name) != value}
    if rebuilt:
        Club.objects.filter(pk=club.pk).update(**rebuilt)
        report.clubs_rebuilt += 1
    report.lines_held += not is_new and not moved and not rebuilt


def _is_new_setup(club: Club, line: RosterLine) -> bool:
    """Tell whether a line dates a setup that is not held; an undated other loft is a fault."""
    if line.valid_from is None:
        if line.loft_deg not in {setup.loft_deg for setup in club.setups.all()}:
            held = club.setup_now.loft_deg
            raise RosterFault(f"{club.label} is held with loft {held}; date the new one in a column valid_from")
        return False
    held = club.setup_on(line.valid_from)
    if held.loft_deg != line.loft_deg and held.valid_from == line.valid_from:
        raise RosterFault(f"{club.label} is held with loft {held.loft_deg} from {held.valid_from}")
    return held.loft_deg != line.loft_deg


def bag_by_label(player: Player) -> dict[str, Club]:
    """Return the club that each label means, with its setups: the carried one, else the newest that had the label."""
    clubs = Club.objects.filter(player=player).with_setups().order_by("carried", "created_at", "pk")
    return {club.label: club for club in clubs}


def _overfull_bags(players: set) -> list[str]:
    counts = [(p, p.clubs.carried().count()) for p in Player.objects.filter(pk__in=players).order_by("slug")]
    return [
        f"{player.name} carries {n} clubs; a round allows {MAX_CARRIED} (Rules of Golf, Rule 4.1b)"
        for player, n in counts
        if n > MAX_CARRIED
    ]


def roster_rows(player: Player) -> Iterator[list[str]]:
    """Yield the header and the lines from which import_roster makes this player's bag again."""
    yield [*REQUIRED, *OPTIONAL]
    for club in bag_by_label(player).values():
        for setup in club.setups.all():
            loft = "" if setup.loft_deg is None else repr(setup.loft_deg)
            since = setup.valid_from.isoformat() if setup.valid_from else ""
            carried = "yes" if club.carried else "no"
            build = [_cell(getattr(club, name)) for name in BUILD]
            yield [player.name, player.handed, club.label, loft, carried, player.slug, since, *build]


def _cell(value: str | float | None) -> str:
    return repr(value) if isinstance(value, float) else value or ""
