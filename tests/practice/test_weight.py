"""What a phone asks for stays light: numpy, scipy, pandas and plotly cost a worker seconds and 170 MB."""

import json
import os
import subprocess
import sys
from datetime import timedelta

import pytest
from django.conf import settings
from django.db import connection
from django.utils import timezone

from practice.accounts.actions import make_sign_in_link
from tests import make
from tests.practice.planner.plans import assign, equip


@pytest.mark.sqlite
@pytest.mark.django_db(transaction=True)
def test_signing_in_logging_a_block_and_the_summary_load_nothing_heavy():
    academy = make.make_academy()
    player = make.make_player(academy, signs_in=True)
    _, clubs = equip(player)
    today = timezone.now().date()
    assign(player, clubs, monday=today - timedelta(days=today.weekday()))
    _, token = make_sign_in_link(academy=academy, user=player.user, made_by=make.make_staff(academy))

    done = subprocess.run(
        [sys.executable, "-W", "error", "-m", "tests.practice.light_visit", token],
        cwd=settings.ROOT,
        env={**os.environ, "DATABASE_URL": f"sqlite:///{connection.settings_dict['NAME']}"},
        capture_output=True,
        text=True,
        timeout=120,
    )

    assert done.returncode == 0, done.stderr
    came_back = json.loads(done.stdout)
    assert came_back.pop("carries_short_by_m") == pytest.approx([2.0])
    assert came_back == {"answers": ["stored"], "heavy": []}
