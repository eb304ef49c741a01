"""A squad's week looked at, player by player, before anything is stored."""

from datetime import UTC, datetime, time, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from practice.clubs.models import StatedCarry
from practice.planner import actions
from practice.planner.giving import save_template
from practice.planner.models import Competition, WeekPlan, WeekTemplate
from practice.planner.weeks import WEEK, monday_of
from practice.venues.models import Target
from tests import make
from tests.practice.planner.plans import MONDAY, assign, equip, make_drill, put_block
from tests.practice.planner.squads.squad import choice, equip_alike, give

pytestmark = pytest.mark.django_db


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


def test_a_draft_that_somebody_made_meanwhile_is_seen_before_it_is_replaced(coach, cast, address, template):
    chosen = choice(template, [cast.player], replace="on")
    seen = coach.post(address, chosen)
    put_block(cast.player, list(cast.player.clubs.exclude(kind="putter")))
    assert coach.post(address, chosen | seen.context["seen"]).status_code == 409


def test_a_large_squad_is_looked_at_too(coach, cast, address, template):
    more = [make.make_player(cast.academy) for _ in range(60)]
    seen = coach.post(address, choice(template, more, **{f"balls_{player.pk}": "" for player in more}))
    assert len(seen.context["weeks"]) == 60


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


def test_without_players_weeks_or_templates_the_page_says_where_to_begin(coach, address):
    page = coach.get(address).content.decode()
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
