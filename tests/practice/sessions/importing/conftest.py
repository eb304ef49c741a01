"""A player whose shots are imported, and the command that does it."""

from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from tests.make import make_academy, make_club, make_player


@pytest.fixture
def player():
    player = make_player(make_academy("Greenside"), "Ada Brook")
    make_club(player, "56")
    return player


@pytest.fixture
def run(tmp_path, player):
    """Return a function that imports a text for the player: it gives what was printed, and what went wrong."""

    def run(text, **options):
        path = tmp_path / "shots.csv"
        path.write_bytes(text if isinstance(text, bytes) else text.encode())
        out, err = StringIO(), StringIO()
        try:
            call_command("import_shots", str(path), player=player.slug, stdout=out, stderr=err, **options)
        except CommandError as error:
            return out.getvalue(), f"{err.getvalue()}{error}"
        return out.getvalue(), err.getvalue()

    return run
