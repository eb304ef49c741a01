"""python manage.py import_roster FILE.csv [--academy SLUG]"""

from datetime import datetime
from pathlib import Path

from django.core.management.base import BaseCommand, CommandError
from django.db import transaction

from practice.accounts.zones import zone
from practice.clubs.models import Club
from practice.clubs.roster import RosterReport, import_roster
from practice.players.lookup import find_academy
from practice.sessions.actions import resettle_setups


class Command(BaseCommand):
    help = "Read players and their bags from a CSV file, one line a club. All or nothing; again changes nothing."

    def add_arguments(self, parser):
        parser.add_argument("file", metavar="FILE.csv", type=Path)
        parser.add_argument("--academy", metavar="SLUG", help="needed only if there is more than one academy")

    def handle(self, *, file, academy, **options):
        academy = find_academy(academy)
        today = datetime.now(zone(academy.time_zone)).date()
        try:
            with file.open("rb") as stream, transaction.atomic():
                report = import_roster(academy=academy, stream=stream, today=today)
                for club in Club.objects.filter(setups__in=report.setups_made).distinct().with_setups():
                    resettle_setups(club=club)
        except OSError as error:
            raise CommandError(f"{file} cannot be read: {error.strerror}.") from error
        self.tell(report)

    def tell(self, report: RosterReport) -> None:
        """Print what happened; raise CommandError where nothing was stored."""
        for text in (*(f"warning: {warning}" for warning in report.warnings), *report.faults):
            self.stderr.write(str(text))
        if report.faults:
            raise CommandError(f"Nothing was stored: {count(len(report.faults), 'bad line')}.")
        for slug, name in report.players_made.items():
            self.stdout.write(f"made {slug} ({name})")
        made = [
            count(len(report.players_made), "new player"),
            count(report.clubs_made, "new club"),
            count(len(report.setups_made), "new setup"),
        ]
        self.stdout.write(
            f"{', '.join(made)}; {report.clubs_moved} put in or out of the bag, "
            f"{report.clubs_rebuilt} described anew, {report.lines_held} already held"
        )


def count(n: int, thing: str) -> str:
    """Return how many there are, in words."""
    return f"{n} {thing}" if n == 1 else f"{n} {thing}s"
