"""python manage.py export_player SLUG FILE.zip"""

from pathlib import Path

from django.core.management.base import BaseCommand, CommandError

from practice.players.lookup import add_academy_argument, find_player
from practice.sessions.exporting import export_player


class Command(BaseCommand):
    help = "Write everything held on a player to a zip of CSV files. It is personal: take care who can read it."

    def add_arguments(self, parser):
        parser.add_argument("player", metavar="SLUG")
        parser.add_argument("file", metavar="FILE.zip", type=Path)
        add_academy_argument(parser)
        parser.add_argument("--force", action="store_true", help="replace the file if it is there already")

    def handle(self, *, player, file, academy, force, **options):
        player = find_player(player, academy)
        if file.exists() and not force:
            raise CommandError(f"{file} is there already; name another file, or add --force to replace it.")
        try:
            export_player(player=player, path=file)
        except OSError as error:
            raise CommandError(f"{file} cannot be written: {error.strerror}.") from error
        self.stdout.write(f"wrote everything held on {player.slug} to {file}")
