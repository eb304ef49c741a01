"""python manage.py report [--player SLUG] --format json"""

import json

from django.core.management.base import BaseCommand

from practice.players.lookup import add_academy_argument, check_tables, find_academy, find_player
from practice.players.models import Player


class Command(BaseCommand):
    help = "Print a player's scores, or every player's, as JSON. Distances are in metres."

    def add_arguments(self, parser):
        parser.add_argument("--player", metavar="SLUG", help="the player; without it all players, as a list")
        add_academy_argument(parser)
        parser.add_argument("--format", choices=["json"], default="json")

    def handle(self, *, player, academy, **options):
        from analytics.reports import full_report

        if player:
            answer = full_report(find_player(player, academy))
        else:
            check_tables()
            every = Player.objects.select_related("academy").order_by("academy__slug", "slug")
            if academy:
                every = every.filter(academy=find_academy(academy))
            answer = [full_report(one) for one in every]
        self.stdout.write(json.dumps(answer, indent=2, ensure_ascii=False, allow_nan=False))
