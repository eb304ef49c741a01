"""A printed face typed in: the marks that its numbers become, what is refused, and that no mark is stored twice."""

import uuid

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from practice.planner import actions
from practice.planner.models import Block, WeekPlan
from practice.sessions.adherence import done_of
from practice.sessions.models import StrikeMark, TurfSwing
from tests.practice.planner.plans import MONDAY

pytestmark = pytest.mark.django_db


@pytest.fixture
def block(week) -> Block:
    """Six balls with one club."""
    return week.blocks.get(title="Strike check")


def address(cast, block: Block) -> str:
    return reverse("practice_sessions:sheet", args=[cast.player.pk, block.pk])


def send(cast, block: Block, *, by: str = "player", follow: bool = False, **marks: tuple[str, str]):
    """Send a sheet: `n3=("-4", "12")` is the third row, low to high before heel to toe."""
    cells = {
        f"{cell}-{row[1:]}": typed
        for row, mark in marks.items()
        for cell, typed in zip(("low_high_mm", "heel_toe_mm"), mark, strict=True)
    }
    return cast.client(by).post(address(cast, block), {"day": "2026-03-04"} | cells, follow=follow)


def stored() -> list[tuple[float, float]]:
    """Return the marks, (low-high, heel-toe) in mm."""
    return list(StrikeMark.objects.live().order_by("done_at").values_list("low_high_mm", "heel_toe_mm"))


def test_marks_are_stored_with_club_block_day_and_how_well_they_are_known(cast, block):
    assert send(cast, block, n1=("-4", "12"), n2=("0", "−7,5"), n4=("80", "-80")).status_code == 302
    assert stored() == [(-4, 12), (0, -7.5), (80, -80)]
    mark = StrikeMark.objects.select_related("block", "club", "session").order_by("done_at").first()
    assert (mark.block, mark.club) == (block, block.balls.get(n=1).club)
    assert mark.session.local_date.isoformat() == "2026-03-04"
    assert (mark.session.setting, mark.resolution_mm) == ("range", 5)
    assert done_of([block])[block.pk].hit == 3


def test_a_mark_of_a_block_of_two_clubs_is_of_the_club_of_its_row(cast, block):
    other = cast.player.clubs.exclude(pk=block.balls.get(n=1).club_id).first()
    WeekPlan.objects.filter(pk=block.plan_id).update(state="draft", assigned_at=None)
    block.balls.filter(n=2).update(club=other)
    WeekPlan.objects.filter(pk=block.plan_id).update(state="assigned", assigned_at=block.plan.created_at)
    send(cast, block, n1=("1", "1"), n2=("2", "2"))
    assert StrikeMark.objects.get(low_high_mm=2).club == other
    assert StrikeMark.objects.get(low_high_mm=1).club != other


def test_a_coach_may_type_it_in_and_has_one_row_a_ball(cast, block):
    page = cast.client("coach").get(address(cast, block)).content.decode()
    assert 'aria-label="Mark 6, heel (−) to toe (+), mm"' in page
    assert 'name="low_high_mm-7"' not in page
    assert ">Target<" not in page
    send(cast, block, by="coach", n6=("3", "0"))
    assert stored() == [(3, 0)]


@pytest.mark.parametrize(
    ("mark", "told"),
    [
        (("3", ""), "Mark 2, heel (−) to toe (+), mm</a> is empty: a mark has both numbers"),
        (("", "-3"), "Mark 2, low (−) to high (+), mm</a> is empty: a mark has both numbers"),
        (("81", "0"), "“81” is no number of millimetres from −80 to 80"),
        (("0", "-80.5"), "“-80.5” is no number of millimetres from −80 to 80"),
        (("low", "0"), "“low” is no number of millimetres"),
        (("nan", "0"), "“nan” is no number of millimetres"),
        (("1e1", "0"), "“1e1” is no number of millimetres"),
    ],
)
def test_what_is_no_mark_is_told_and_nothing_stored_and_nothing_lost(cast, block, mark, told):
    answer = send(cast, block, n1=("-4", "12"), n2=mark)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert told in page
    assert "Correct 1 cell" in page
    assert stored() == []
    for name, typed in (("low_high_mm-1", "-4"), ("heel_toe_mm-1", "12")):
        assert f'name="{name}" value="{typed}"' in page
    for name, typed in zip(("low_high_mm-2", "heel_toe_mm-2"), mark, strict=True):
        assert f'name="{name}" value="{typed}"' in page


def test_an_empty_sheet_of_marks_says_so(cast, block):
    answer = send(cast, block, n1=("", ""))
    assert answer.status_code == 422
    assert "Nothing was typed." in answer.content.decode()


class TestNothingTwice:
    def test_the_same_sheet_sent_twice_is_stored_once_also_where_rows_were_left_out(self, cast, block):
        for _ in range(2):
            answer = send(cast, block, follow=True, n2=("1", "2"), n5=("3", "4"))
        assert stored() == [(1, 2), (3, 4)]
        page = answer.content.decode()
        assert 'name="low_high_mm-5"' not in page
        assert 'name="low_high_mm-1"' in page

    def test_so_it_is_with_swings(self, cast, week):
        sheet = {"day": "2026-03-04", "contact-2": "c", "ground-2": "b", "contact-5": "f", "ground-5": "d"}
        for _ in range(2):
            cast.client("player").post(address(cast, week.blocks.get(title="Turf brush")), sheet)
        assert TurfSwing.objects.count() == 2

    def test_a_mark_from_the_phone_takes_the_first_row_that_is_left(self, cast, block):
        send(cast, block, n1=("1", "2"), n3=("3", "4"))
        mark = StrikeMark.objects.first()
        mark.pk, mark.uid = None, uuid.uuid4()
        mark.save()
        send(cast, block, n2=("5", "5"), n4=("6", "6"))
        assert StrikeMark.objects.filter(low_high_mm=5).count() == 0
        assert StrikeMark.objects.count() == 4

    def test_a_mark_that_was_undone_can_be_typed_in_again(self, cast, block):
        send(cast, block, n1=("1", "2"), n2=("3", "4"))
        StrikeMark.objects.filter(low_high_mm=1).update(deleted=True, revision=2)
        send(cast, block, n1=("-1", "-2"))
        assert sorted(stored()) == [(-1, -2), (3, 4)]

    def test_an_older_sheet_counts_for_the_week_as_it_was_edited_since_and_the_other_way_round(self, cast, block):
        plan = actions.start_next_version(player=cast.player, monday=MONDAY, made_by=cast.coach)
        actions.assign_plan(plan=plan)
        new = plan.blocks.get(title="Strike check")
        send(cast, block, n2=("1", "1"))
        send(cast, new, n2=("2", "2"), n3=("3", "3"))
        send(cast, block, n3=("4", "4"), n4=("5", "5"))
        assert sorted(stored()) == [(1, 1), (3, 3), (5, 5)]


def test_the_statements_of_storing_do_not_grow_with_marks(cast, block):
    counts = []
    for rows in ((1,), (2, 3, 4, 5, 6)):
        with CaptureQueriesContext(connection) as captured:
            send(cast, block, **{f"n{n}": ("1", "1") for n in rows})
        counts.append(len(captured))
    assert counts[1] <= counts[0]


def test_a_sheet_that_is_all_logged_says_so(cast, block):
    page = send(cast, block, follow=True, **{f"n{n}": ("1", "1") for n in range(1, 7)}).content.decode()
    assert "All of this block is logged." in page
