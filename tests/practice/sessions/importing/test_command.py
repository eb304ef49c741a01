"""import_shots as a command: its options, its player, its file and its exit code."""

import os
import subprocess
import sys
from io import StringIO
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command
from django.db import connection

from practice.sessions.models import ImportBatch, Shot
from tests.make import make_academy, make_club, make_player
from tests.practice.sessions.importing.rows import GOOD, table

pytestmark = pytest.mark.django_db


ROOT = Path(__file__).resolve().parents[4]


def test_skip_bad_stores_all_but_the_bad_rows_and_still_fails(run):
    out, err = run(table(GOOD, "nonsense", "2026-05-04T10:20:00Z,56,60,61"), skip_bad=True)
    assert out == "2 new, 0 already held\n"
    assert "line 3: the line has 1 cells" in err
    assert "Left out: 1 fault." in err
    assert Shot.objects.count() == 2


def test_a_dry_run_reports_the_same_and_stores_nothing(run):
    run(table(GOOD))
    out, err = run(table(GOOD, "2026-05-04T10:20:00Z,56,60,61"), dry_run=True)
    assert (out, err) == ("1 new, 1 already held (dry run: nothing was stored)\n", "")
    assert "line 2: the line has 1 cells" in run(table("nonsense"), dry_run=True)[1]
    assert Shot.objects.count() == 1
    assert ImportBatch.objects.count() == 1


def test_the_player_is_looked_for_in_every_academy(tmp_path, player):
    path = tmp_path / "shots.csv"
    path.write_text(table(GOOD))
    with pytest.raises(CommandError, match=r"There is no player 'ada-brok'\. Did you mean ada-brook\?"):
        call_command("import_shots", str(path), player="ada-brok")
    make_club(make_player(make_academy("Parkside"), "Ada Brook"))
    with pytest.raises(CommandError, match="add --academy with one of: greenside, parkside"):
        call_command("import_shots", str(path), player="ada-brook")
    call_command("import_shots", str(path), player="ada-brook", academy="parkside", stdout=StringIO())
    assert Shot.objects.get().player.academy.slug == "parkside"


def test_a_file_that_is_not_there_is_told(player):
    with pytest.raises(CommandError, match="cannot be read: No such file"):
        call_command("import_shots", "/nowhere/shots.csv", player=player.slug)


@pytest.mark.sqlite
@pytest.mark.django_db(transaction=True)
def test_a_script_sees_exit_code_1_on_a_fault_and_0_without(tmp_path, player):
    path = tmp_path / "shots.csv"
    environment = os.environ | {"DATABASE_URL": f"sqlite:///{connection.settings_dict['NAME']}"}
    command = [sys.executable, "manage.py", "import_shots", str(path), "--player", player.slug]
    path.write_text(table(GOOD))
    done = subprocess.run(command, cwd=ROOT, env=environment, capture_output=True, text=True, check=False)
    assert (done.returncode, done.stdout, done.stderr) == (0, "1 new, 0 already held\n", "")
    path.write_text(table(GOOD, "nonsense"))
    done = subprocess.run(command, cwd=ROOT, env=environment, capture_output=True, text=True, check=False)
    assert done.returncode == 1
    assert "line 3: the line has 1 cells" in done.stderr
    assert "Traceback" not in done.stderr
