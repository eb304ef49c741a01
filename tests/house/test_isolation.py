"""A test run keeps to itself, and says what it left out."""

import os
import socket
import subprocess
import sys

import pytest
from django.conf import settings
from django.db import connection

from tests import isolation
from tests.house.import_order import ROOT
from tests.isolation import NetworkForbidden, is_local

PYTEST = (sys.executable, "-m", "pytest", "-p", "no:cacheprovider")


def run_example(*options, demand=""):
    # Options of the run that runs this test are not the example's: a folder among them would run this test again.
    inherited = {name: value for name, value in os.environ.items() if name != "PYTEST_ADDOPTS"}
    return subprocess.run(
        [*PYTEST, *options, "tests/house/example_of_a_skip.py"],
        cwd=ROOT,
        env={**inherited, "PRACTICE_LEDGER_DEMAND": demand},
        capture_output=True,
        text=True,
        timeout=600,
    )


@pytest.mark.parametrize("options", [("-q",), ("-n", "1")])
def test_the_number_of_skips_and_their_reason_is_the_last_line_printed(options):
    done = run_example(*options)
    assert done.returncode == 0, done.stdout
    assert done.stdout.splitlines()[-1] == "2 skipped: 2 x this is an example"


def test_a_skip_is_a_failure_where_everything_is_demanded():
    done = run_example(demand=connection.vendor if connection.vendor == "sqlite" else "postgres")
    assert done.returncode == 1, done.stdout
    assert "2 failed, 1 passed" in done.stdout
    assert "PRACTICE_LEDGER_DEMAND is set: this is an example" in done.stdout


@pytest.mark.sqlite
def test_what_is_demanded_and_absent_stops_the_run_before_it_starts():
    done = run_example(demand="postgres")
    assert done.returncode == 4
    assert "PRACTICE_LEDGER_DEMAND asks for postgres: DATABASE_URL names no PostgreSQL" in done.stderr


def test_a_connection_that_leaves_this_machine_is_refused():
    # 192.0.2.1 is an address that no machine has (RFC 5737, TEST-NET-1).
    with pytest.raises(NetworkForbidden, match=r"192\.0\.2\.1"):
        socket.create_connection(("192.0.2.1", 9), timeout=1)
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as udp, pytest.raises(NetworkForbidden):
        udp.sendto(b"x", ("192.0.2.1", 9))
    with pytest.raises(NetworkForbidden, match="example"):
        socket.getaddrinfo("host.example", 80)


def test_a_connection_to_this_machine_is_allowed():
    with (
        socket.create_server(("127.0.0.1", 0)) as server,
        socket.create_connection(server.getsockname(), timeout=5) as connected,
    ):
        assert connected.getpeername() == server.getsockname()


@pytest.mark.parametrize(
    ("host", "local"),
    [
        ("localhost", True),
        ("127.0.0.1", True),
        ("::1", True),
        (None, True),
        ("10.0.0.1", False),
        ("a.example", False),
    ],
)
def test_only_this_machine_counts_as_local(host, local):
    assert is_local(host) is local


def test_a_developers_own_folder_is_not_touched():
    assert not settings.VAR.is_relative_to(ROOT)


@pytest.mark.parametrize(("room", "is_taken"), [(0, True), (2**62, False)])
def test_memory_is_taken_only_where_it_has_room(monkeypatch, tmp_path, room, is_taken):
    monkeypatch.setattr(isolation, "MEMORY", tmp_path)
    monkeypatch.setattr(isolation, "ROOM", room)
    assert isolation.place() == (tmp_path if is_taken else None)


def test_memory_that_is_not_there_is_not_taken(monkeypatch, tmp_path):
    monkeypatch.setattr(isolation, "MEMORY", tmp_path / "none")
    assert isolation.place() is None


@pytest.mark.sqlite
@pytest.mark.django_db
def test_the_test_database_is_a_file_with_the_settings_of_production():
    with connection.cursor() as cursor:
        pragmas = {
            name: cursor.execute(f"PRAGMA {name}").fetchone()[0]
            for name in ("journal_mode", "synchronous", "foreign_keys")
        }
    # synchronous 2 is FULL (https://sqlite.org/pragma.html#pragma_synchronous)
    assert pragmas == {"journal_mode": "wal", "synchronous": 2, "foreign_keys": 1}
    assert connection.settings_dict["NAME"].startswith(str(settings.VAR))
