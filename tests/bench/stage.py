"""A database with an academy in it, served as in real use, and somebody signed in over HTTP."""

import http.client
import json
import os
import re
import shutil
import socket
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import urlencode

from django.conf import settings
from django.core.management import call_command
from django.db import connection

from practice.accounts.models import Academy, User
from practice.clubs.models import Club
from practice.players.models import Player
from practice.venues.models import Venue
from tests.make import PASSWORD, make_academy, make_club, make_player, make_range, make_staff

LOFTS_DEG = (50.0, 54.0, 58.0, 62.0)
BEHIND_PROXY = ("--workers", "2")
FACING_PHONES = (*BEHIND_PROXY, "--threads", "4")
"""As DEVELOPERS.md starts it in real use: behind a proxy that holds the phones' connections, or holding them itself."""


@dataclass(frozen=True)
class Cast:
    """Who is in the database; coach and player sign in with the tests' password."""

    academy: Academy
    coach: User
    player: Player
    clubs: list[Club]
    range: Venue


def set_stage() -> Cast:
    """Make the tables, an academy, its coach, a range, and a player with a bag and a password."""
    call_command("migrate", verbosity=0)
    academy = make_academy("Bench")
    coach = make_staff(academy, password=PASSWORD)
    player = make_player(academy, "Own Player", signs_in=True)
    player.user.email = "player@example.org"
    player.user.set_password(PASSWORD)
    player.user.save()
    return Cast(academy, coach, player, make_bag(player), make_range(academy))


def make_bag(player: Player) -> list[Club]:
    return [make_club(player, f"{loft_deg:.0f}", loft_deg=loft_deg) for loft_deg in LOFTS_DEG]


def copy_of_database(name: str) -> Path:
    """Return a copy of the database as it is, in a new folder whose name begins like that."""
    folder = tempfile.mkdtemp(prefix=name, dir=settings.VAR)
    # A copy of the file holds everything once the write-ahead log is written back.
    connection.cursor().execute("PRAGMA wal_checkpoint(TRUNCATE)")
    connection.close()
    return Path(shutil.copy(settings.DATABASES["default"]["NAME"], Path(folder) / "practice.sqlite3"))


@contextmanager
def on_database(path: Path) -> Iterator[None]:
    """Let Django in this process work on another database file."""
    own = connection.settings_dict["NAME"]
    connection.close()
    connection.settings_dict["NAME"] = path
    try:
        yield
    finally:
        connection.close()
        connection.settings_dict["NAME"] = own


@contextmanager
def served(application: str, server: Sequence[str] = BEHIND_PROXY, **environment: str) -> Iterator[int]:
    """Serve a WSGI application on this machine, leaving nothing in HOME; gives the port."""
    with socket.create_server(("127.0.0.1", 0)) as free:
        port = free.getsockname()[1]
    quiet = ("--log-level", "error", "--no-control-socket")
    command = [sys.executable, "-m", "gunicorn", "--bind", f"127.0.0.1:{port}", *server, *quiet, application]
    server = subprocess.Popen(command, env={**os.environ, **environment})
    try:
        _wait_for(port, server)
        yield port
    finally:
        server.terminate()
        server.wait()


def _wait_for(port: int, server: subprocess.Popen) -> None:
    for _ in range(600):
        if server.poll() is not None:
            raise RuntimeError("the server ended by itself")
        try:
            socket.create_connection(("127.0.0.1", port), timeout=5).close()
        except ConnectionRefusedError:
            time.sleep(0.1)
        else:
            return
    raise RuntimeError("the server does not answer")


class Browser:
    """One kept-alive connection with cookies."""

    def __init__(self, port: int):
        self.connection = http.client.HTTPConnection("127.0.0.1", port, timeout=120)
        self.cookies: dict[str, str] = {}

    def ask(self, method: str, path: str, body: bytes | None = None, **headers: str) -> bytes:
        """Return the answer's body; anything but success or a redirect is a fault of the measurement."""
        named = {name.replace("_", "-"): value for name, value in headers.items()}
        cookie = "; ".join(f"{name}={value}" for name, value in self.cookies.items())
        try:
            self.connection.request(method, path, body, {"Cookie": cookie, **named})
            answer = self.connection.getresponse()
        except (ConnectionResetError, BrokenPipeError):
            # The server hangs up on a connection that nobody used for two seconds.
            self.connection.close()
            return self.ask(method, path, body, **headers)
        content = answer.read()
        if answer.status >= 400:
            raise RuntimeError(f"{method} {path} answers {answer.status}: {content[:300]!r}")
        for name, value in re.findall(r"^(\w+)=([^;]*)", "\n".join(answer.headers.get_all("Set-Cookie", [])), re.M):
            self.cookies[name] = value
        return content

    def sign_in(self, email: str) -> dict:
        """Sign in through the page and return the handshake's JSON."""
        page = self.ask("GET", "/sign-in/").decode()
        token = re.search(r'name="csrfmiddlewaretoken" value="(\w+)"', page)[1]
        form = {"csrfmiddlewaretoken": token, "email": email, "password": PASSWORD}
        self.ask("POST", "/sign-in/", urlencode(form).encode(), Content_Type="application/x-www-form-urlencoded")
        return json.loads(self.ask("GET", "/play/me.json", Accept="application/json"))


@contextmanager
def browsing(port: int) -> Iterator[Browser]:
    browser = Browser(port)
    with closing(browser.connection):
        yield browser
