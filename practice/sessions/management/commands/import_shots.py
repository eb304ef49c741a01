"""python manage.py import_shots FILE.csv --player SLUG [--dry-run] [--skip-bad]"""

from pathlib import Path

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from practice.players.lookup import add_academy_argument, find_player
from practice.sessions.importing import ImportReport, import_shots


class Command(BaseCommand):
    help = "Read a player's shots from a CSV file. All or nothing unless told otherwise; again adds nothing."

    def add_arguments(self, parser):
        parser.add_argument("file", metavar="FILE.csv", type=Path)
        parser.add_argument("--player", metavar="SLUG", required=True)
        add_academy_argument(parser)
        parser.add_argument("--dry-run", action="store_true", help="store nothing, report the same")
        parser.add_argument("--skip-bad", action="store_true", help="store all but the bad rows")

    def handle(self, *, file, player, academy, dry_run, skip_bad, **options):
        player = find_player(player, academy)
        try:
            with file.open("rb") as stream:
                report = import_shots(
                    player=player,
                    stream=stream,
                    file_name=file.name,
                    now=timezone.now(),
                    skip_bad=skip_bad,
                    dry_run=dry_run,
                )
        except OSError as error:
            raise CommandError(f"{file} cannot be read: {error.strerror}.") from error
        self.tell(report, dry_run=dry_run, skip_bad=skip_bad)

    def tell(self, report: ImportReport, *, dry_run: bool, skip_bad: bool) -> None:
        """Print what happened; raise CommandError, and so exit with 1, on any fault."""
        for text in (*(f"warning: {warning}" for warning in report.warnings), *report.faults):
            self.stderr.write(str(text))
        counts = f"{report.new} new, {report.held} already held"
        if report.faults and not skip_bad:
            raise CommandError(f"Nothing was stored: {told(report.faults)}. The rest would be {counts}.")
        self.stdout.write(f"{counts} (dry run: nothing was stored)" if dry_run else counts)
        if report.faults:
            raise CommandError(f"Left out: {told(report.faults)}.")


def told(faults: list) -> str:
    """Return how many faults there are, in words."""
    return "1 fault" if len(faults) == 1 else f"{len(faults)} faults"
