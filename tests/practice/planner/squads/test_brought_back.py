"""Drafts that a squad's week replaced are brought back."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from practice.planner import actions
from practice.planner.models import DraftSnapshot, WeekPlan
from practice.planner.undo import DEPTH, undo_change
from tests import make
from tests.practice.planner.plans import MONDAY, put_block, rows_of
from tests.practice.planner.squads.squad import choice, equip_alike, give

pytestmark = pytest.mark.django_db


@pytest.fixture
def own_draft(cast, template) -> WeekPlan:
    """A draft of the player's own: two blocks of 7 and 9 balls, one of them pinned, and a note."""
    clubs = list(cast.player.clubs.exclude(kind="putter"))
    plan = put_block(cast.player, clubs, balls=7, seed=3).plan
    block = put_block(cast.player, clubs, balls=9, seed=4)
    actions.set_terms(plan=plan, block_id=block.pk, day=3, cue="Slow", pinned=True)
    actions.write_note(plan=plan, note="Softly now")
    plan.refresh_from_db()
    return plan


def change_of(coach, player) -> WeekPlan:
    """Press "Take back" on the player's week, as its page offers it, and return the draft."""
    page = coach.get(reverse("planner:week", args=[player.pk, str(MONDAY)])).content.decode()
    assert "Take back: the squad’s week" in page
    draft = WeekPlan.objects.drafts().get(player=player, monday=MONDAY)
    assert coach.post(reverse("planner:undo", args=[draft.pk])).status_code == 302
    return WeekPlan.objects.get(pk=draft.pk)


def without_plans(rows):
    """Return a draft's rows without the plan that they stand in."""
    note, rows = rows
    return note, [{name: value for name, value in row.items() if name != "plan_id"} for row in rows]


def test_a_draft_that_was_replaced_is_brought_back_with_the_balls_of_each_block(
    coach, cast, address, template, own_draft
):
    before = rows_of(own_draft)
    chosen = choice(template, [cast.player, cast.team_mate], replace="on")
    seen = coach.post(address, chosen)
    assert "it is replaced, and can be brought back" in " ".join(seen.content.decode().split())
    answer = coach.post(address, chosen | seen.context["seen"], follow=True)
    told = "A draft was replaced. To bring it back, open the player’s week and press “Take back: the squad’s week”."
    assert told in answer.content.decode()
    assert rows_of(own_draft) != before
    assert rows_of(own_draft)[0] == ""
    theirs = rows_of(WeekPlan.objects.drafts().get(player=cast.team_mate))
    assert [block.balls.count() for block in change_of(coach, cast.player).blocks.order_by("position")] == [7, 9]
    assert rows_of(own_draft) == before
    assert rows_of(WeekPlan.objects.drafts().get(player=cast.team_mate)) == theirs


def test_what_was_changed_in_the_draft_before_is_still_taken_back_after_it(coach, cast, address, template, own_draft):
    give(coach, address, choice(template, [cast.player], replace="on"))
    change_of(coach, cast.player)
    coach.post(reverse("planner:undo", args=[own_draft.pk]))
    assert rows_of(own_draft)[0] == ""
    assert own_draft.blocks.count() == 2


def test_several_drafts_are_kept_apart(coach, cast, address, template, own_draft):
    other = put_block(cast.team_mate, list(cast.team_mate.clubs.all()), balls=5).plan
    before = [rows_of(plan) for plan in (own_draft, other)]
    chosen = choice(template, [cast.player, cast.team_mate], replace="on")
    seen = coach.post(address, chosen)
    page = coach.post(address, chosen | seen.context["seen"], follow=True).content.decode()
    assert "2 drafts were replaced. To bring each back" in page
    for player in (cast.player, cast.team_mate):
        change_of(coach, player)
    assert [rows_of(plan) for plan in (own_draft, other)] == before


def test_assigned_at_once_it_comes_back_as_the_next_draft_and_the_assigned_week_stays(
    coach, cast, address, template, own_draft
):
    before = rows_of(own_draft)
    chosen = choice(template, [cast.player], replace="on", assign="on")
    seen = coach.post(address, chosen)
    told = coach.post(address, chosen | seen.context["seen"], follow=True).content.decode()
    assert "press “Edit this week” and then “Take back: the squad’s week”. The assigned week stays until" in told
    assigned = WeekPlan.objects.assigned().get(player=cast.player, monday=MONDAY)
    given = rows_of(assigned)
    page = coach.get(reverse("planner:week", args=[cast.player.pk, str(MONDAY)])).content.decode()
    assert "A draft was replaced by the squad’s week, which was assigned at once." in page
    # what is assigned is taken back by no undo
    refused = coach.post(reverse("planner:undo", args=[assigned.pk]))
    assert (refused.status_code, rows_of(assigned)) == (409, given)
    coach.post(reverse("planner:edit_week", args=[cast.player.pk, str(MONDAY)]))
    draft = change_of(coach, cast.player)
    assert draft != assigned
    assert without_plans(rows_of(draft)) == without_plans(before)
    assert rows_of(assigned) == given
    actions.assign_plan(plan=draft)
    assert WeekPlan.objects.assigned().get(player=cast.player, monday=MONDAY) == draft
    assert not DraftSnapshot.objects.filter(plan__player=cast.player).exists()


def test_it_comes_back_too_where_the_assigned_week_was_taken_back(coach, cast, address, template, own_draft):
    before = rows_of(own_draft)
    give(coach, address, choice(template, [cast.player], replace="on", assign="on"))
    actions.withdraw_plan(plan=WeekPlan.objects.assigned().get(player=cast.player, monday=MONDAY))
    coach.post(reverse("planner:edit_week", args=[cast.player.pk, str(MONDAY)]))
    assert without_plans(rows_of(change_of(coach, cast.player))) == without_plans(before)


def test_nobody_else_sees_or_brings_back_anything(coach, cast, address, template, own_draft):
    give(coach, address, choice(template, [cast.player], replace="on"))
    given = rows_of(own_draft)
    week = reverse("planner:week", args=[cast.player.pk, str(MONDAY)])
    undo = reverse("planner:undo", args=[own_draft.pk])
    for role, status in (("outsider", 404), ("team_mate", 404), ("signed_out", 302)):
        client = cast.client(role)
        assert (client.get(week).status_code, client.post(undo).status_code) == (status, status)
    assert not DraftSnapshot.objects.visible_to(cast.outsider).exists()
    assert not DraftSnapshot.objects.visible_to(cast.player.user).exists()
    assert rows_of(own_draft) == given


def test_the_same_weeks_sent_twice_replace_a_draft_once(coach, cast, address, template, own_draft):
    before = rows_of(own_draft)
    chosen = choice(template, [cast.player], replace="on")
    seen = coach.post(address, chosen)
    answers = [coach.post(address, chosen | seen.context["seen"]).status_code for _ in range(2)]
    assert answers == [302, 409]
    change_of(coach, cast.player)
    assert rows_of(own_draft) == before


def test_a_draft_that_somebody_changed_meanwhile_is_seen_before_it_is_replaced(
    coach, cast, address, template, own_draft
):
    chosen = choice(template, [cast.player], replace="on")
    seen = coach.post(address, chosen)
    actions.write_note(plan=own_draft, note="Changed by another coach")
    assert coach.post(address, chosen | seen.context["seen"]).status_code == 409
    assert WeekPlan.objects.get(pk=own_draft.pk).note == "Changed by another coach"


def test_of_a_draft_that_is_replaced_again_and_again_the_last_standings_are_kept(
    coach, cast, address, template, own_draft
):
    for _ in range(DEPTH):
        give(coach, address, choice(template, [cast.player], replace="on"))
    assert own_draft.snapshots.count() == DEPTH
    for _ in range(DEPTH):
        undo_change(plan=own_draft)
    assert [block.balls.count() for block in own_draft.blocks.order_by("position")] == [7, 9]


def test_the_statements_do_not_grow_with_replaced_drafts(coach, cast, address, template):
    def statements(players) -> int:
        for player in players:
            put_block(player, list(player.clubs.exclude(kind="putter")), balls=6)
        chosen = choice(template, players, replace="on")
        seen = coach.post(address, chosen)
        with CaptureQueriesContext(connection) as asked:
            assert coach.post(address, chosen | seen.context["seen"]).status_code == 302
        return len([query for query in asked.captured_queries if "INSERT INTO" not in query["sql"]])

    few = statements([cast.player, cast.team_mate])
    more = [make.make_player(cast.academy) for _ in range(6)]
    for player in more:
        equip_alike(player)
    assert statements([cast.player, cast.team_mate, *more]) == few
