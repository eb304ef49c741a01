"""A squad's week given to all at once, each with the own clubs and distances."""

import re

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from practice.clubs.models import StatedCarry
from practice.planner import actions
from practice.planner.marks import PassMark
from practice.planner.models import Block, PlanState, WeekPlan, WeekTemplate
from tests import make
from tests.practice.planner.plans import MONDAY, assign, make_drill, put_block
from tests.practice.planner.squads.squad import balls_of, choice, equip_alike, give

pytestmark = pytest.mark.django_db


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


TEN_OF_TWELVE = {"pass_made": 10, "pass_of": 12, "pass_within_pct": 10}


def test_a_player_with_fewer_balls_gets_a_pass_mark_out_of_fewer(coach, cast, address, template):
    WeekTemplate.objects.update(blocks=[held | {"terms": held["terms"] | TEN_OF_TWELVE} for held in template.blocks])
    third = make.make_player(cast.academy)
    equip_alike(third)
    give(coach, address, choice(template, [cast.team_mate, third], **{f"balls_{third.pk}": "6"}))
    marks = [
        Block.objects.get(plan__player=player, plan__state="draft").pass_mark for player in (cast.team_mate, third)
    ]
    assert marks == [PassMark(10, 12, 10), PassMark(5, 6, 10)]


def test_sent_twice_the_weeks_are_given_once(coach, cast, address, template):
    chosen = choice(template, [cast.team_mate])
    seen = coach.post(address, chosen)
    for _ in range(2):
        coach.post(address, chosen | seen.context["seen"])
    assert WeekPlan.objects.filter(player=cast.team_mate).count() == 1


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
