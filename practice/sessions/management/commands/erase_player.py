"""python manage.py erase_player SLUG"""

import sys

from django.core.management.base import BaseCommand, CommandError

from practice.players.lookup import add_academy_argument, find_player
from practice.players.models import Player
from practice.sessions.erasing import erase_player


class Command(BaseCommand):
    help = "Delete a player and everything held on them, for good. Asks first at a terminal; a script is not asked."

    def add_arguments(self, parser):
        parser.add_argument("player", metavar="SLUG")
        add_academy_argument(parser)
        parser.add_argument("--yes", action="store_true", help="do not ask")

    def handle(self, *, player, academy, yes, **options):
        player = find_player(player, academy)
        if sys.stdin.isatty() and not yes:
            self.ask(player)
        slug = player.slug
        erase_player(player)
        self.stdout.write(f"{slug} and everything held on them is gone; backups and exports made before still hold it")

    def ask(self, player: Player) -> None:
        """Raise CommandError unless the slug is typed again."""
        shots = player.shots.count()
        answer = input(f"This deletes {player.name} and {shots} shots for good. Type {player.slug} to go on: ")
        if answer.strip() != player.slug:
            raise CommandError("Nothing was erased.")
