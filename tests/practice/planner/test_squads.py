"""A squad's week: looked at player by player, then given to all at once, each with the own clubs and distances."""

import re
from datetime import UTC, datetime, time, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from practice.clubs.models import StatedCarry
from practice.planner import actions
from practice.planner.giving import save_template
from practice.planner.marks import PassMark
from practice.planner.models import Block, Competition, DraftSnapshot, PlanState, WeekPlan, WeekTemplate
from practice.planner.undo import DEPTH, undo_change
from practice.planner.weeks import WEEK, monday_of
from practice.venues.models import Target
from tests import make
from tests.practice.litany import make_cast
from tests.practice.planner.plans import MONDAY, assign, equip, make_drill, put_block, rows_of

pytestmark = pytest.mark.django_db
TEN_OF_TWELVE = {"pass_made": 10, "pass_of": 12, "pass_within_pct": 10}


@pytest.fixture
def cast():
    return make_cast()


@pytest.fixture
def coach(cast):
    return cast.client("coach")


@pytest.fixture
def address(cast):
    return reverse("planner:squad", args=[cast.academy.pk, str(MONDAY)])


@pytest.fixture
def template(cast):
    """A template of one block of 12 balls, made from the player's clubs; the player's own week is thrown away."""
    plan = put_block(cast.player, equip(cast.player)[1]).plan
    template = save_template(plan=plan, name="Mixed")
    actions.withdraw_plan(plan=plan)
    equip_alike(cast.team_mate)
    return template


def equip_alike(player):
    for label, carry_m in (("50", 90.0), ("54", 80.0), ("58", 70.0)):
        make.make_club(player, label, loft_deg=float(label), stated_full_m=carry_m)


def choice(template, players, **more):
    chosen = {"source": f"template-{template.pk}", "players": [str(player.pk) for player in players], **more}
    return {name: value for name, value in chosen.items() if value is not None}


def give(coach, address, chosen):
    """Look at the weeks, then store what was seen."""
    seen = coach.post(address, chosen)
    assert seen.status_code == 200
    return coach.post(address, chosen | seen.context["seen"])


def balls_of(player):
    return Block.objects.get(plan__player=player, plan__monday=MONDAY, plan__state="draft").balls


def test_each_player_gets_the_week_with_the_own_clubs_and_what_was_seen_is_what_is_stored(
    coach, cast, address, template
):
    chosen = choice(template, [cast.player, cast.team_mate])
    seen = coach.post(address, chosen)
    assert not WeekPlan.objects.drafts().exists()
    response = coach.post(address, chosen | seen.context["seen"])
    assert response.status_code == 302
    assert "2 of 2 players now, as a draft" in coach.get(response.url).content.decode()
    for week in seen.context["weeks"]:
        balls = balls_of(week.player)
        assert balls.exclude(club__player=week.player).count() == 0
        drawn = [(ball.club, ball.target) for ball in week.asked[0].drawn.balls]
        assert list(balls.values_list("club__label", "target_name")) == drawn


def test_two_players_with_the_same_clubs_do_not_hit_the_same_balls(coach, cast, address, template):
    StatedCarry.objects.update(carry_m=85.0)
    give(coach, address, choice(template, [cast.player, cast.team_mate]))
    first, second = (
        list(balls_of(player).values_list("club__label", "target_name")) for player in (cast.player, cast.team_mate)
    )
    assert first != second


def test_assigned_at_once_the_weeks_take_the_place_of_those_before(coach, cast, address, template):
    old = assign(cast.player, list(cast.player.clubs.exclude(kind="putter")))
    chosen = choice(template, [cast.player, cast.team_mate], assign="on", replace="on")
    assert give(coach, address, chosen).status_code == 302
    new = WeekPlan.objects.assigned().filter(monday=MONDAY)
    assert {plan.player for plan in new} == {cast.player, cast.team_mate}
    assert WeekPlan.objects.get(pk=old.pk).state == PlanState.WITHDRAWN
    assert new.get(player=cast.player).version == old.version + 1


def test_a_week_that_is_there_is_kept_unless_the_coach_says_otherwise(coach, cast, address, template):
    held = put_block(cast.player, list(cast.player.clubs.exclude(kind="putter"))).plan
    seen = coach.post(address, choice(template, [cast.player, cast.team_mate]))
    assert "has a draft already: stays as it is" in " ".join(seen.content.decode().split())
    give(coach, address, choice(template, [cast.player, cast.team_mate]))
    assert WeekPlan.objects.drafts().get(player=cast.player) == held
    assert WeekPlan.objects.drafts().filter(player=cast.team_mate).exists()
    seen = coach.post(address, choice(template, [cast.player], replace="on"))
    assert "has a draft already: it is replaced" in " ".join(seen.content.decode().split())
    (before,) = Block.objects.filter(plan=held)
    give(coach, address, choice(template, [cast.player], replace="on"))
    assert WeekPlan.objects.drafts().get(player=cast.player) == held
    assert held.blocks.get().pk != before.pk


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


class TestBroughtBack:
    def test_a_draft_that_was_replaced_is_brought_back_with_the_balls_of_each_block(
        self, coach, cast, address, template, own_draft
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

    def test_what_was_changed_in_the_draft_before_is_still_taken_back_after_it(
        self, coach, cast, address, template, own_draft
    ):
        give(coach, address, choice(template, [cast.player], replace="on"))
        change_of(coach, cast.player)
        coach.post(reverse("planner:undo", args=[own_draft.pk]))
        assert rows_of(own_draft)[0] == ""
        assert own_draft.blocks.count() == 2

    def test_several_drafts_are_kept_apart(self, coach, cast, address, template, own_draft):
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
        self, coach, cast, address, template, own_draft
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

    def test_it_comes_back_too_where_the_assigned_week_was_taken_back(self, coach, cast, address, template, own_draft):
        before = rows_of(own_draft)
        give(coach, address, choice(template, [cast.player], replace="on", assign="on"))
        actions.withdraw_plan(plan=WeekPlan.objects.assigned().get(player=cast.player, monday=MONDAY))
        coach.post(reverse("planner:edit_week", args=[cast.player.pk, str(MONDAY)]))
        assert without_plans(rows_of(change_of(coach, cast.player))) == without_plans(before)

    def test_nobody_else_sees_or_brings_back_anything(self, coach, cast, address, template, own_draft):
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

    def test_the_same_weeks_sent_twice_replace_a_draft_once(self, coach, cast, address, template, own_draft):
        before = rows_of(own_draft)
        chosen = choice(template, [cast.player], replace="on")
        seen = coach.post(address, chosen)
        answers = [coach.post(address, chosen | seen.context["seen"]).status_code for _ in range(2)]
        assert answers == [302, 409]
        change_of(coach, cast.player)
        assert rows_of(own_draft) == before

    def test_a_draft_that_somebody_changed_meanwhile_is_seen_before_it_is_replaced(
        self, coach, cast, address, template, own_draft
    ):
        chosen = choice(template, [cast.player], replace="on")
        seen = coach.post(address, chosen)
        actions.write_note(plan=own_draft, note="Changed by another coach")
        assert coach.post(address, chosen | seen.context["seen"]).status_code == 409
        assert WeekPlan.objects.get(pk=own_draft.pk).note == "Changed by another coach"

    def test_of_a_draft_that_is_replaced_again_and_again_the_last_standings_are_kept(
        self, coach, cast, address, template, own_draft
    ):
        for _ in range(DEPTH):
            give(coach, address, choice(template, [cast.player], replace="on"))
        assert own_draft.snapshots.count() == DEPTH
        for _ in range(DEPTH):
            undo_change(plan=own_draft)
        assert [block.balls.count() for block in own_draft.blocks.order_by("position")] == [7, 9]

    def test_the_statements_do_not_grow_with_replaced_drafts(self, coach, cast, address, template):
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


def without_plans(rows):
    """Return a draft's rows without the plan that they stand in."""
    note, rows = rows
    return note, [{name: value for name, value in row.items() if name != "plan_id"} for row in rows]


def test_an_assigned_week_stays_while_its_replacement_is_a_draft(coach, cast, address, template):
    held = assign(cast.player, list(cast.player.clubs.exclude(kind="putter")))
    give(coach, address, choice(template, [cast.player], replace="on"))
    assert WeekPlan.objects.assigned().get(player=cast.player) == held
    assert WeekPlan.objects.drafts().get(player=cast.player).version == held.version + 1


def test_one_players_week_is_given_to_the_others_with_its_terms(coach, cast, address, template):
    block = put_block(cast.player, list(cast.player.clubs.exclude(kind="putter"))[:2])
    terms = {"day": 2, "cue": "Slow", "pass_made": 7, "pass_of": 10, "pass_within_pct": 10, "pinned": True}
    actions.set_terms(plan=block.plan, block_id=block.pk, **terms)
    chosen = {"source": f"week-{block.plan_id}", "players": [str(cast.team_mate.pk)]}
    give(coach, address, chosen)
    given = Block.objects.get(plan__player=cast.team_mate)
    assert {name: getattr(given, name) for name in terms} == terms
    assert set(given.balls.values_list("club__label", flat=True)) == {"50", "54"}


def test_a_player_is_left_out_and_another_gets_fewer_balls(coach, cast, address, template):
    third = make.make_player(cast.academy)
    equip_alike(third)
    chosen = choice(template, [cast.team_mate, third], **{f"balls_{third.pk}": "6"})
    give(coach, address, chosen)
    assert not WeekPlan.objects.drafts().filter(player=cast.player).exists()
    assert (balls_of(cast.team_mate).count(), balls_of(third).count()) == (12, 6)


def test_another_number_of_balls_holds_for_blocks_of_every_size(coach, cast, address, template):
    drill = make_drill(cast.academy, "carry_test", parameters={"balls_each": 4})
    held = template.blocks[0]
    test = held | {"drill": str(drill.pk), "title": drill.title, "parameters": {"balls_each": 4, "swings": ["9:00"]}}
    WeekTemplate.objects.update(blocks=[held, test])
    give(coach, address, choice(template, [cast.team_mate], **{f"balls_{cast.team_mate.pk}": "12"}))
    blocks = Block.objects.filter(plan__player=cast.team_mate, plan__state="draft").order_by("position")
    assert [block.balls.count() for block in blocks] == [6, 6]


def test_a_player_with_fewer_balls_gets_a_pass_mark_out_of_fewer(coach, cast, address, template):
    WeekTemplate.objects.update(blocks=[held | {"terms": held["terms"] | TEN_OF_TWELVE} for held in template.blocks])
    third = make.make_player(cast.academy)
    equip_alike(third)
    give(coach, address, choice(template, [cast.team_mate, third], **{f"balls_{third.pk}": "6"}))
    marks = [
        Block.objects.get(plan__player=player, plan__state="draft").pass_mark for player in (cast.team_mate, third)
    ]
    assert marks == [PassMark(10, 12, 10), PassMark(5, 6, 10)]


def test_a_check_day_in_a_squads_week_says_of_everybody_else_why_it_cannot_come_again(coach, cast, address, template):
    asked = put_block(cast.player, list(cast.player.clubs.exclude(kind="putter")), monday=MONDAY - timedelta(days=14))
    actions.assign_plan(plan=asked.plan)
    drill = cast.academy.drills.get(kind="check_day")
    again = template.blocks[0] | {"drill": str(drill.pk), "parameters": {"earlier": str(asked.pk)}}
    WeekTemplate.objects.update(blocks=[again])

    def told(player):
        (week,) = coach.post(address, choice(template, [player])).context["weeks"]
        return " ".join(week.said)

    assert told(cast.player) == ""
    none_yet = f"No block at targets was assigned to {cast.team_mate.name} yet, so none can come again."
    assert none_yet in told(cast.team_mate)
    builder = reverse("planner:add_block", args=[cast.team_mate.pk, str(MONDAY)])
    assert none_yet in coach.get(builder, {"asked": "1", "drill": str(drill.pk)}).content.decode()
    assign(cast.team_mate, list(cast.team_mate.clubs.all()), monday=MONDAY - timedelta(days=14))
    assert f"Choose one where a block is added to {cast.team_mate.name}’s own week." in told(cast.team_mate)


def test_what_cannot_be_hit_is_shown_for_each_player_before_anything_is_stored(coach, cast, address, template):
    cast.team_mate.clubs.filter(label="58").delete()
    StatedCarry.objects.filter(club__player=cast.team_mate, club__label="54").update(carry_m=32.0)
    Target.objects.filter(name="Flag 4").update(distance_m=95.0)
    unknown = make.make_player(cast.academy, "Nobody Knows")
    seen = coach.post(address, choice(template, [cast.player, cast.team_mate, unknown]))
    weeks = {week.player: week for week in seen.context["weeks"]}
    assert "No club like the 58 in the bag." in weeks[cast.team_mate].asked[0].said
    assert any("Flag 4" in words for words in weeks[cast.team_mate].asked[0].said)
    assert weeks[unknown].balls == 0
    assert "Nothing of this week can be hit" in seen.content.decode()
    assert not WeekPlan.objects.drafts().exists()
    give(coach, address, choice(template, [cast.player, cast.team_mate, unknown]))
    assert not WeekPlan.objects.filter(player=unknown).exists()


def test_what_is_said_of_several_blocks_stands_once(coach, cast, address, template):
    drill = make_drill(cast.academy, "carry_test")
    held = template.blocks[0]
    test = held | {"drill": str(drill.pk), "title": "Test", "parameters": {"balls_each": 2, "swings": ["9:00"]}}
    WeekTemplate.objects.update(blocks=[held, held, test])
    cast.team_mate.clubs.filter(label="58").delete()
    cast.team_mate.clubs.get(label="54").stated_carries.all().delete()
    Target.objects.filter(name="Flag 4").update(distance_m=95.0)
    (week,) = coach.post(address, choice(template, [cast.team_mate])).context["weeks"]
    assert "No club like the 58 in the bag." in week.said
    assert [words.partition(":")[0] for words in week.said if "Flag 4" in words] == ["Mixed targets"]


def test_who_competes_and_who_has_a_lower_limit_is_said_before_anything_is_stored(coach, cast, address, template):
    cast.team_mate.is_junior = True
    cast.team_mate.save()
    cast.academy.junior_daily_ball_limit = 10
    cast.academy.save()
    for days in (-1, 5, 20):
        Competition.objects.create(player=cast.player, day=MONDAY + timedelta(days=days))
    seen = coach.post(address, choice(template, [cast.player, cast.team_mate]))
    told = {week.player: week.cautions for week in seen.context["weeks"]}
    assert [words.partition(". ")[0] for words in told[cast.player]] == ["Competes on Saturday 7 March"]
    assert told[cast.team_mate] == ["One block alone has 12 balls, over your own limit of 10 a day."]
    assert "Competes on Saturday 7 March" in seen.content.decode()


def test_what_changed_since_it_was_seen_is_shown_again_and_not_stored(coach, cast, address, template):
    chosen = choice(template, [cast.team_mate])
    seen = coach.post(address, chosen)
    StatedCarry.objects.filter(club__player=cast.team_mate).update(carry_m=50.0)
    response = coach.post(address, chosen | seen.context["seen"])
    assert response.status_code == 409
    assert "has changed since you looked" in response.content.decode()
    assert not WeekPlan.objects.drafts().exists()


def test_what_was_seen_must_come_back_whole(coach, cast, address, template):
    chosen = choice(template, [cast.team_mate])
    assert coach.post(address, chosen | {"digest": "nonsense"}).status_code == 409
    assert coach.post(address, chosen | {"digest": "0" * 64, "seed": "1"}).status_code == 409
    assert not WeekPlan.objects.drafts().exists()


def test_a_large_squad_is_looked_at_too(coach, cast, address, template):
    more = [make.make_player(cast.academy) for _ in range(60)]
    seen = coach.post(address, choice(template, more, **{f"balls_{player.pk}": "" for player in more}))
    assert len(seen.context["weeks"]) == 60


def test_a_draft_that_somebody_made_meanwhile_is_seen_before_it_is_replaced(coach, cast, address, template):
    chosen = choice(template, [cast.player], replace="on")
    seen = coach.post(address, chosen)
    put_block(cast.player, list(cast.player.clubs.exclude(kind="putter")))
    assert coach.post(address, chosen | seen.context["seen"]).status_code == 409


def test_sent_twice_the_weeks_are_given_once(coach, cast, address, template):
    chosen = choice(template, [cast.team_mate])
    seen = coach.post(address, chosen)
    for _ in range(2):
        coach.post(address, chosen | seen.context["seen"])
    assert WeekPlan.objects.filter(player=cast.team_mate).count() == 1


BAD = [
    ({"source": None}, "Choose a template"),
    ({"source": "template-nonsense"}, "not there any more"),
    ({"players": []}, "Choose at least one player"),
    ({"players": ["nobody"]}, "off the roster now"),
    ({"balls": "0"}, "greater than or equal to 1"),
    ({"balls": "10000"}, "less than or equal to 1000"),
    ({"balls": "many"}, "whole number"),
]


@pytest.mark.parametrize(("wrong", "words"), BAD)
def test_a_choice_that_cannot_be_given_says_why_and_stores_nothing(coach, cast, address, template, wrong, words):
    chosen = choice(template, [cast.team_mate])
    if "balls" in wrong:
        wrong = {f"balls_{cast.team_mate.pk}": wrong["balls"]}
    chosen = {name: value for name, value in (chosen | wrong).items() if value is not None}
    response = coach.post(address, chosen)
    assert response.status_code == 422
    assert words in response.content.decode()
    assert not WeekPlan.objects.drafts().exists()


def test_a_range_closed_since_is_told_for_every_player(coach, cast, address, template):
    template.academy.venues.update(archived_at="2026-01-01T00:00Z")
    page = coach.post(address, choice(template, [cast.player, cast.team_mate])).content.decode()
    assert page.count("Nothing of this week can be hit") == 2


def test_without_players_weeks_or_templates_the_page_says_where_to_begin():
    cast = make_cast()
    page = cast.client("coach").get(reverse("planner:squad", args=[cast.academy.pk, str(MONDAY)])).content.decode()
    assert "Plan one player’s week first" in page


def test_any_day_leads_to_the_weeks_monday(coach, cast):
    response = coach.get(reverse("planner:squad", args=[cast.academy.pk, "2026-03-05"]))
    assert response.url == reverse("planner:squad", args=[cast.academy.pk, "2026-03-02"])


def test_players_and_templates_of_another_academy_are_not_offered(coach, cast, address, template):
    other = make.make_player(make.make_academy(), "Stranger")
    theirs = save_template(plan=put_block(other, equip(other)[1]).plan, name="Theirs")
    page = coach.get(address).content.decode()
    assert "Stranger" not in page
    assert "Theirs" not in page
    assert coach.post(address, choice(theirs, [cast.player])).status_code == 422


def test_a_deleted_template_is_gone_and_its_weeks_stay(coach, cast, address, template):
    give(coach, address, choice(template, [cast.team_mate]))
    assert coach.post(reverse("planner:delete_template", args=[template.pk])).status_code == 302
    assert not WeekTemplate.objects.exists()
    assert WeekPlan.objects.drafts().filter(player=cast.team_mate).exists()


def test_the_statements_grow_with_rows_of_balls_and_not_with_players(coach, cast, address, template):
    def statements(players):
        chosen = choice(template, players, assign="on", replace="on")
        seen = coach.post(address, chosen)
        with CaptureQueriesContext(
            connection,
        ) as asked:
            assert coach.post(address, chosen | seen.context["seen"]).status_code == 302
        told = [query["sql"] for query in asked.captured_queries]
        inserts = [sql for sql in told if re.match(r"INSERT INTO .planner_(ball|block|weekplan)\b", sql)]
        return len(told) - len(inserts)

    few = statements([cast.player, cast.team_mate])
    more = [make.make_player(cast.academy) for _ in range(6)]
    for player in more:
        equip_alike(player)
    assert statements([cast.player, cast.team_mate, *more]) == few


def test_looking_at_the_weeks_asks_about_loads_once_for_the_whole_squad(coach, cast, address, template):
    def statements(players):
        with CaptureQueriesContext(connection) as asked:
            assert coach.post(address, choice(template, players)).status_code == 200
        return len(asked)

    more = [make.make_player(cast.academy) for _ in range(6)]
    for player in more:
        equip_alike(player)
    statements([cast.player])  # what is asked once a process
    few = statements([cast.player, cast.team_mate])
    assert statements([cast.player, cast.team_mate, *more]) == few


def test_each_player_is_told_how_the_balls_stand_to_the_own_weeks_before(coach, cast, template):
    coming = monday_of(cast.academy.today()) + WEEK
    address = reverse("planner:squad", args=[cast.academy.pk, str(coming)])
    at = datetime.combine(coming - 2 * WEEK, time(12), UTC)
    for _ in range(5):
        make.make_shot(cast.player.clubs.first(), cast.academy.venues.get(), hit_at=at)
    weeks = coach.post(address, choice(template, [cast.player, cast.team_mate])).context["weeks"]
    cautions = {week.player: week.cautions for week in weeks}
    assert cautions[cast.player] == ["12 balls are more than in any of the 5 weeks before: the most was 5."]
    assert cautions[cast.team_mate] == [
        "Nothing was logged in the 5 weeks before, so nobody knows what the player is used to."
    ]


def test_the_squads_weeks_have_the_caution_of_the_week_page(coach, cast, address, template):
    page = coach.post(address, choice(template, [cast.player])).content.decode()
    assert "stop at pain" in page
    assert reverse("planner:ball_limits", args=[cast.academy.pk]) in page
