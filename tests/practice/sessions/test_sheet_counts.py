"""Printed blocks without shots typed in: swings one by one, and what a block came to."""

from datetime import date

import pytest
from django.urls import reverse

from practice.accounts.models import Device, User
from practice.planner.models import WeekPlan
from practice.sessions.actions import store_in_sessions
from practice.sessions.erasing import erase_user
from practice.sessions.models import SESSION_ITEMS, BlockOutcome, BlockTally, PhoneItem, SmoothSwing, TurfSwing
from practice.sessions.shot_list import shot_pages
from practice.sessions.values import SessionEntry
from practice.units import YARD_M

pytestmark = pytest.mark.django_db


def cell_of(name: str) -> str:
    """Return the name of a cell: `best_run_1` is the best run of row 1."""
    return "-".join(name.rsplit("_", 1))


def send(cast, week: WeekPlan, title: str, *, by: str = "player", **cells):
    """Send the sheet of a block: `contact_3="c"` is what the third swing was."""
    address = reverse("practice_sessions:sheet", args=[cast.player.pk, week.blocks.get(title=title).pk])
    given = {"day": "2026-03-04", "surface": "grass", "measured_by": "eye"}
    return cast.client(by).post(address, given | {cell_of(name): told for name, told in cells.items()})


def stored(model: type[PhoneItem], *names: str) -> list[tuple]:
    return list(model.objects.order_by("done_at", "pk").values_list(*names))


def test_turf_swings_are_stored_in_order_with_club_day_and_block(cast, week):
    assert send(cast, week, "Turf brush", contact_1="C", ground_1="b", contact_2="f", ground_2="D").status_code == 302
    assert stored(TurfSwing, "contact", "ground", "surface") == [("clean", "brush", "grass"), ("fat", "divot", "grass")]
    swing = TurfSwing.objects.select_related("block", "session", "club").first()
    assert (swing.block.title, swing.session.local_date) == ("Turf brush", date(2026, 3, 4))
    assert swing.club == swing.block.balls.get(n=1).club


def test_smooth_swings_are_stored(cast, week):
    send(cast, week, "Smooth swing", smooth_1="s", smooth_2="b", smooth_3="s")
    assert stored(SmoothSwing, "smooth", "how") == [(True, ""), (False, ""), (True, "")]


def test_swings_that_are_logged_are_shown_and_not_doubled(cast, week):
    for _ in range(2):  # the same sheet sent twice
        send(cast, week, "Smooth swing", smooth_1="s", smooth_2="b")
    assert SmoothSwing.objects.count() == 2
    address = reverse("practice_sessions:sheet", args=[cast.player.pk, week.blocks.get(title="Smooth swing").pk])
    page = cast.client("player").get(address).content.decode()
    assert 'name="smooth-2"' not in page
    assert 'name="smooth-3"' in page


def test_counts_at_the_end_are_a_tally(cast, week):
    send(cast, week, "Crossing round", balls_1="12", on_1="6", long_1="2", short_1="3", mishits_1="1")
    assert stored(BlockTally, "balls", "on", "long", "short", "mishits") == [(12, 6, 2, 3, 1)]
    send(cast, week, "Crossing round", balls_1="12", on_1="0", long_1="0", short_1="0", mishits_1="0")
    assert BlockTally.objects.count() == 1


@pytest.mark.parametrize(
    ("title", "cells", "outcome"),
    [
        ("Up and down", {"balls_1": "10", "made_1": "6"}, (10, 6, None)),
        ("Free practice", {"balls_1": "22"}, (22, None, None)),
        # 1 yd = 0.9144 m exactly
        ("Bunker to the hole", {"balls_1": "4", "leaves_1": "3 4,5;  12"}, (4, None, [3, 4.5, 12])),
    ],
)
def test_an_outcome_is_stored_as_the_score_asks(cast, week, title, cells, outcome):
    assert send(cast, week, title, **cells).status_code == 302
    ((balls, made, leaves_m),) = stored(BlockOutcome, "balls", "made", "leaves_m")
    leaves = leaves_m and [pytest.approx(leave * YARD_M) for leave in outcome[2]]
    assert (balls, made, leaves_m) == (outcome[0], outcome[1], leaves)


@pytest.mark.parametrize(
    ("score", "cell", "typed", "field", "value"),
    [
        ("yes_no", "yes_1", "Y", "yes", True),
        ("yes_no", "yes_1", "n", "yes", False),
        ("best_run", "best_run_1", "4", "best_run", 4),
    ],
)
def test_other_scores_have_cells_of_their_own(cast, week, score, cell, typed, field, value):
    WeekPlan.objects.filter(pk=week.pk).update(state="draft", assigned_at=None)
    block = week.blocks.get(title="Up and down")
    block.plan.refresh_from_db()
    block.parameters |= {"score": score}
    block.save()
    WeekPlan.objects.filter(pk=week.pk).update(state="assigned", assigned_at=week.created_at)
    cells = {"balls_1": "10", "yes_1": "", cell: typed}
    answer = send(cast, week, "Up and down", **cells)
    assert answer.status_code == 302
    assert stored(BlockOutcome, field) == [(value,)]


@pytest.mark.parametrize(
    ("title", "cells", "told"),
    [
        ("Turf brush", {"contact_2": "x", "ground_2": "b"}, "“x” is none of these: C clean, T thin, F fat"),
        ("Turf brush", {"contact_1": "c"}, "is empty: B brush, D divot, N none"),
        ("Smooth swing", {"smooth_1": "y"}, "“y” is none of these: S smooth, B it broke"),
        ("Crossing round", {"balls_1": "12"}, "Correct 4 cells"),
        (
            "Crossing round",
            {"balls_1": "9", "on_1": "6", "long_1": "2", "short_1": "3", "mishits_1": "1"},
            "are fewer than the 12 that you told of",
        ),
        ("Crossing round", dict.fromkeys(("balls_1", "on_1", "long_1", "short_1", "mishits_1"), "0"), "at least 1"),
        ("Up and down", {"balls_1": "10", "made_1": "11"}, "is more than the 10 balls hit"),
        ("Up and down", {"balls_1": "10000", "made_1": "1"}, "“10000” cannot be read: type a number up to 200"),
        ("Up and down", {"balls_1": "²", "made_1": "1"}, "cannot be read: type a number up to 200"),
        ("Bunker to the hole", {"balls_1": "2", "leaves_1": "3 4 5"}, "are 3 distances of 2 balls hit"),
        ("Bunker to the hole", {"balls_1": "2", "leaves_1": "near"}, "must be distances from 0 to 109 yards"),
        ("Bunker to the hole", {"balls_1": "2", "leaves_1": "-1"}, "must be distances from 0 to 109 yards"),
    ],
)
def test_what_cannot_be_is_told_and_nothing_stored_and_nothing_lost(cast, week, title, cells, told):
    answer = send(cast, week, title, **cells)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert told in page
    for name, typed in cells.items():
        assert f'name="{cell_of(name)}" value="{typed}"' in page
    assert not any(model.objects.exists() for model in (TurfSwing, SmoothSwing, BlockTally, BlockOutcome))


SHEETS = {
    "Turf brush": {"contact_1": "c", "ground_1": "b"},
    "Smooth swing": {"smooth_1": "s"},
    "Strike check": {"low_high_mm_1": "-4", "heel_toe_mm_1": "12"},
    "Crossing round": {"balls_1": "12", "on_1": "6", "long_1": "2", "short_1": "3", "mishits_1": "1"},
    "Free practice": {"balls_1": "22"},
    "Mixed targets": {"depth_1": "o"},
}
"""A sheet of each kind of row that is stored."""


def told_of(cast) -> tuple[list[str], list[str]]:
    """Return what the list says of what was typed in: sentences beside the shots, and who entered the shots."""
    sessions = shot_pages(cast.player, None)[1]
    sentences = [told for session in sessions for told in (*session.swings, *session.counts)]
    return sentences, [line.entered_by for session in sessions for line in session.lines]


@pytest.mark.parametrize("by", ["player", "coach"])
def test_whoever_typed_a_sheet_in_is_told_where_that_was_not_the_player(cast, week, by):
    User.objects.filter(pk=cast.coach.pk).update(name="Kim Ash")
    for title, cells in SHEETS.items():
        assert send(cast, week, title, by=by, **cells).status_code == 302
    typed_by = cast.coach if by == "coach" else cast.player.user
    for model in SESSION_ITEMS:
        assert model.objects.get().made_by == typed_by
    sentences, shots = told_of(cast)
    assert len(sentences) == len(SESSION_ITEMS)
    assert {told.endswith(" (entered by Kim Ash)") for told in sentences} == {by == "coach"}
    assert shots == ["Kim Ash" if by == "coach" else ""]
    page = cast.client("coach").get(reverse("practice_sessions:shots", args=[cast.player.pk])).content.decode()
    assert page.count("entered by Kim Ash") == (len(SHEETS) if by == "coach" else 0)


def test_a_typed_row_outlives_the_sign_in_that_typed_it(cast, week):
    for title, cells in SHEETS.items():
        send(cast, week, title, by="coach", **cells)
    erase_user(cast.coach)
    assert {model.objects.get().made_by_id for model in SESSION_ITEMS} == {None}
    sentences, shots = told_of(cast)
    assert len(sentences) == len(SESSION_ITEMS)
    assert not any("entered by" in told for told in sentences)
    assert shots == [""]


def test_what_the_phone_sets_after_a_sheet_is_the_phones(cast, week):
    """A swing that a coach typed in, corrected on the player's phone: the device tells, and the typing is forgotten."""
    send(cast, week, "Smooth swing", by="coach", smooth_1="s")
    swing = SmoothSwing.objects.select_related("session__venue").get()
    device = Device.objects.create(user=cast.player.user, label="Phone")
    entry = SessionEntry(
        uid=swing.uid,
        revision=swing.revision + 1,
        device=device,
        running_number=1,
        phone_at=swing.done_at,
        venue=swing.session.venue,
        setting=swing.session.setting,
        label=swing.session.label,
        values={"block": swing.block, "visit": None, "done_at": swing.done_at, "club": swing.club, "smooth": False},
    )
    store_in_sessions(model=SmoothSwing, player=cast.player, entries=[entry], received_at=swing.done_at)
    swing.refresh_from_db()
    assert (swing.smooth, swing.device, swing.made_by) == (False, device, None)
    assert told_of(cast)[0] == ["Smooth swing: 0 of 1 swing smooth"]


def test_one_bad_swing_keeps_the_good_ones_out_too(cast, week):
    send(cast, week, "Smooth swing", smooth_1="s", smooth_2="?")
    assert SmoothSwing.objects.count() == 0


def test_a_block_without_a_place_of_its_own_was_hit_at_the_usual_range_unless_told_otherwise(cast, week):
    address = reverse("practice_sessions:sheet", args=[cast.player.pk, week.blocks.get(title="Smooth swing").pk])
    usual = cast.academy.venues.get(is_default=True)
    assert f'<option value="{usual.pk}" selected>' in cast.client("player").get(address).content.decode()
