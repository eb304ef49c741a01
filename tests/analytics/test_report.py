"""The report of a large imported file, against an outside computation from the file's own text."""

import io
import json
import math
from datetime import UTC, datetime

import pytest
from django.core.management import call_command

from practice.sessions.models import Shot
from tests.analytics.shots_csv import CLUBS, scores_of, shots_csv
from tests.make import make_academy, make_club, make_player, make_range, make_shot

TEN_THOUSAND = shots_csv(10_000, seed=20261125)


def report_of(slug: str = "") -> dict:
    out = io.StringIO()
    call_command("report", *(["--player", slug] if slug else []), "--format", "json", stdout=out)
    return json.loads(out.getvalue())


def with_bag(academy, **fields):
    player = make_player(academy, **fields)
    for label, loft_deg in CLUBS.items():
        make_club(player, label, loft_deg=loft_deg)
    return player


def assert_close(ours, theirs, where):
    """Assert equality to 1e-9: relative, absolute below 1."""
    if isinstance(theirs, list | tuple):
        assert ours is not None, where
        for one, other in zip(ours, theirs, strict=True):
            assert_close(one, other, where)
    elif isinstance(theirs, float):
        assert ours is not None, where
        assert math.isclose(ours, theirs, rel_tol=1e-9, abs_tol=1e-9), (where, ours, theirs)
    else:
        assert ours == theirs, (where, ours, theirs)


@pytest.fixture
def imported(db, tmp_path):
    player = with_bag(make_academy(), slug="pat")
    make_range(player.academy)
    path = tmp_path / "shots.csv"
    path.write_text(TEN_THOUSAND, encoding="utf-8", newline="")
    out = io.StringIO()
    call_command("import_shots", str(path), "--player", "pat", stdout=out)
    return player, path, out.getvalue()


def test_every_number_of_ten_thousand_imported_shots_equals_an_outside_computation(imported):
    report = report_of("pat")
    expected = scores_of(TEN_THOUSAND)
    assert report["shots"] == 10_000
    assert {(cell["club"], cell["swing"], cell["by"]) for cell in report["cells"]} == set(expected)
    for cell in report["cells"]:
        key = cell["club"], cell["swing"], cell["by"]
        ours = {"club", "swing", "by", "resolution_m", "near", "pooled", "suspected", "level"}
        assert set(cell) == {*ours, *expected[key]}
        for name, theirs in expected[key].items():
            assert_close(cell[name], theirs, (key, name))


def test_the_same_file_again_adds_nothing_and_says_so(imported):
    player, path, _ = imported
    before = report_of("pat")
    out = io.StringIO()
    call_command("import_shots", str(path), "--player", "pat", stdout=out)
    assert "0 new, 10000 already held" in out.getvalue().replace(",000", "000").replace("10,000", "10000")
    assert Shot.objects.filter(player=player).count() == 10_000
    assert report_of("pat") == before


def test_cells_come_in_order_of_loft_then_swing_and_a_club_without_loft_last(db):
    academy = make_academy()
    player, venue = make_player(academy, slug="pat"), make_range(academy)
    lofts = {"60": 60.0, "X": None, "46": 46.0}
    for label, loft_deg in lofts.items():
        club = make_club(player, label, loft_deg=loft_deg)
        for swing in ("feel", "full", "7:30"):
            make_shot(club, venue, swing=swing)
    order = [(cell["club"], cell["swing"]) for cell in report_of("pat")["cells"]]
    assert order == [(club, swing) for club in ("46", "60", "X") for swing in ("7:30", "full", "feel")]


def test_a_player_without_shots_has_an_empty_report(db):
    academy = make_academy(slug="links")
    make_player(academy, "Pat Moor", slug="pat")
    assert report_of("pat") == {
        "player": "pat",
        "name": "Pat Moor",
        "academy": "links",
        "units": {"distance": "m"},
        "as_of": None,
        "shots": 0,
        "mishit_rate_pct": None,
        "mishit_rate_ci95_pct": None,
        "progress": [],
        "watched": [],
        "cells": [],
    }


def test_undone_and_set_aside_shots_count_nowhere(db):
    academy = make_academy()
    player, venue = make_player(academy, slug="pat"), make_range(academy)
    club = make_club(player)
    make_shot(club, venue, carry_m=50.0, target_m=48.0)
    make_shot(club, venue, carry_m=99.0, target_m=48.0, deleted=True)
    aside = make_shot(club, venue, carry_m=10.0, target_m=48.0)
    Shot.objects.filter(pk=aside.pk).update(set_aside_at=aside.hit_at, set_aside_reason="wrong player")
    report = report_of("pat")
    assert report["shots"] == 1
    assert [(cell["n"], cell["bias_m"]) for cell in report["cells"]] == [(1, 2.0)]


def test_without_a_player_the_report_is_a_list_of_all(db):
    for slug in ("pat", "robin"):
        make_player(make_academy(), slug=slug)
    assert sorted(one["player"] for one in report_of()) == ["pat", "robin"]


def test_the_order_in_which_shots_were_stored_changes_no_digit(db):
    academy = make_academy()
    make_range(academy)
    errors = [0.1 * n - 2.35 for n in range(40)]

    def stored(slug, order):
        club = make_club(make_player(academy, slug=slug))
        venue = academy.venues.first()
        for n in order:
            hit_at = datetime(2026, 5, 1 + n % 4, tzinfo=UTC)
            make_shot(
                club,
                venue,
                hit_at=hit_at,
                target_m=50.0,
                carry_m=50.0 + errors[n],
                lateral_m=errors[-n],
                label="ab"[n % 2],
            )
        return report_of(slug)["cells"]

    assert stored("pat", range(40)) == stored("robin", reversed(range(40)))


def test_a_target_above_gives_figures_on_the_level_beside_the_raw_ones_and_a_level_one_none(db):
    academy = make_academy()
    player, venue = make_player(academy, slug="pat"), make_range(academy)
    for label, loft_deg, up_m in (("56", 56.0, 3.0), ("60", 60.0, 0.0)):
        club = make_club(player, label, loft_deg=loft_deg)
        for carry_m in (41.0, 42.0, 43.0):
            make_shot(club, venue, target_m=46.0, carry_m=carry_m, lateral_m=1.0, elevation_m=up_m)
        make_shot(club, venue, target_m=46.0, carry_m=5.0, elevation_m=up_m, contact="topped")
    above, level = report_of("pat")["cells"]
    assert (above["bias_m"], above["n"], level["level"]) == (-4.0, 3, None)
    found = above["level"]
    assert (found["n"], found["n_corrected"], found["n_lateral"]) == (3, 3, 3)
    assert -1.0 < found["bias_m"] < 1.0
    assert found["bias_ci95_m"][0] < found["bias_m"] < found["bias_ci95_m"][1]
    assert found["proximity_mean_m"] < above["proximity_mean_m"]
