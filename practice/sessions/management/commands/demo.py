"""python manage.py demo: everything that is needed to look around, with one command."""

import os
import socket
import sys

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from practice.accounts.models import Academy
from practice.sessions.demo import people
from practice.sessions.demo.load import load_demo

HOST = "127.0.0.1"


class Command(BaseCommand):
    help = "Migrate, load the invented academy if the database is empty, print the sign-ins, and serve."

    def add_arguments(self, parser):
        parser.add_argument("--port", type=int, default=8000)
        parser.add_argument("--no-serve", action="store_true", help="stop after loading")

    def handle(self, *, port, no_serve, **options):
        if settings.PRODUCTION:
            raise CommandError("The demonstration has passwords that everybody knows; it does not run in production.")
        if not no_serve:
            self._check_port(port)
        call_command("migrate", verbosity=0)
        self._load()
        call_command("collectstatic", interactive=False, verbosity=0)
        self._print_sign_ins(port)
        if not no_serve:
            self._serve(port)

    def _check_port(self, port: int) -> None:
        with socket.socket() as probe:
            probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            try:
                probe.bind((HOST, port))
            except OSError as fault:
                raise CommandError(
                    f"Port {port} on {HOST} is taken ({fault.strerror}). Stop what uses it, "
                    f"or choose another: python manage.py demo --port {port + 1}"
                ) from fault

    def _load(self) -> None:
        if Academy.objects.exists():
            self.stdout.write("The database holds an academy already: nothing was loaded.")
            return
        self.stdout.write("Loading the invented academy: 12 players, 12 weeks ...")
        self.stdout.flush()
        load_demo(today=timezone.localdate())

    def _print_sign_ins(self, port: int) -> None:
        if not Academy.objects.filter(name=people.ACADEMY).exists():
            return
        self.stdout.write(f"\nSign in at http://{HOST}:{port}/ with the password: {people.PASSWORD}")
        player = next(golfer for golfer in people.GOLFERS if golfer.email)
        for role, (name, email) in [
            ("owner", people.OWNER),
            ("coach", people.COACH),
            ("player", (player.name, player.email)),
        ]:
            self.stdout.write(f"  {role:7} {email}  ({name})")
        self.stdout.write(
            "The other players have no e-mail: sign in as the coach, open a player and show the sign-in code.\n"
        )

    def _serve(self, port: int) -> None:
        self.stdout.write(f"Serving on http://{HOST}:{port}/  (stop with Ctrl+C)")
        self.stdout.flush()
        # One process with threads: enough for one person looking around; see DEVELOPERS.md for real use.
        os.execv(
            sys.executable,
            [
                sys.executable,
                "-m",
                "gunicorn",
                "--bind",
                f"{HOST}:{port}",
                "--threads",
                "4",
                "--no-control-socket",
                "practice.wsgi",
            ],
        )
