"""The builder with every kind of drill: what is seen is stored, and stands in the next form."""

import re
from collections import Counter
from datetime import timedelta

import pytest
from django.urls import reverse

from practice.drills.kinds import KINDS, SCORES_OF_LOG
from practice.planner import actions
from practice.planner.models import Block, WeekPlan
from practice.planner.orders import EVIDENCE, PAPERS
from practice.venues.models import Target
from tests import make
from tests.practice.planner.kinds import asked, the_drill
from tests.practice.planner.pages import balls_seen, balls_stored, builder_of, hidden_fields
from tests.practice.planner.plans import MONDAY, assign, make_drill

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("kind", KINDS)
def test_a_block_of_every_kind_is_seen_stored_as_seen_and_opened_again(coach, player, clubs, kind):
    if kind == "check_day":
        assign(player, clubs, monday=MONDAY - timedelta(days=14))
    seen = coach.get(builder_of(player), asked(player, kind))
    assert seen.status_code == 200, seen.context["form"].errors
    page = seen.content.decode()
    drill = the_drill(player, kind)
    assert drill.instructions[:40] in page
    response = coach.post(builder_of(player), hidden_fields(seen))
    assert response.status_code == 302
    block = Block.objects.get(plan__monday=MONDAY)
    assert (block.kind, block.algorithm) == (kind, seen.context["preview"].drawn.algorithm)
    assert block.cautions == drill.cautions
    seen_balls = [(club, "" if target == "no target" else target) for club, target in balls_seen(seen)]
    assert balls_stored(block) == seen_balls
    assert block.balls_asked == seen.context["preview"].count > 0
    again = coach.get(reverse("planner:redraw_block", args=[block.pk]))
    assert again.status_code == 200
    assert again.context["form"].is_valid(), again.context["form"].errors
    assert again.context["preview"].count == block.balls_asked


def test_a_pick_a_spot_block_holds_no_distance(coach, player, clubs):
    seen = coach.get(builder_of(player), asked(player, "pick_spot"))
    coach.post(builder_of(player), hidden_fields(seen))
    block = Block.objects.get()
    assert set(block.balls.values_list("target", "target_m", "below_carry_m", "above_carry_m")) == {(None,) * 4}
    assert list(block.balls.values_list("target_name", flat=True))[:3] == ["your spot 1", "your spot 1", "your spot 2"]


@pytest.mark.parametrize("kind", ["random_target", "crossing", "ladder", "one_ball"])
def test_only_targets_inside_the_arc_of_the_bay_are_drawn(coach, player, clubs, kind):
    bay = Target.objects.first().tee_line.bays.create(
        academy=player.academy, name="3", arc_left_deg=-5, arc_right_deg=5
    )
    outside = Target.objects.get(name="Flag 2")
    Target.objects.filter(pk=outside.pk).update(direction_deg=20)
    everything = asked(player, kind, place=str(bay.pk), profile=None)
    refused = coach.get(builder_of(player), everything)
    assert refused.status_code == 422
    assert "cannot be hit at from this place" in refused.content.decode()
    inside = [pk for pk in everything["targets"] if pk != str(outside.pk)]
    seen = coach.get(builder_of(player), everything | {"targets": inside})
    assert seen.status_code == 200
    assert "Flag 2" not in {ball.target for ball in seen.context["preview"].balls}


@pytest.mark.parametrize(
    ("log", "clubs_asked", "balls"), [("shots", 3, 10), ("strike", 1, 10), ("turf", 3, 30), ("swing", 3, 30)]
)
def test_a_drill_of_ones_own_is_drawn_by_the_parts_that_were_chosen(coach, player, clubs, log, clubs_asked, balls):
    drill = make_drill(player.academy, "own", parameters={"log": log, "score": SCORES_OF_LOG[log][0]})
    sent = {
        "asked": "1",
        "drill": str(drill.pk),
        "balls": 10,
        "clubs": [str(club.pk) for club in clubs[:clubs_asked]],
        "swings": ["9:00"],
        "targets": [str(target.pk) for target in Target.objects.all()],
        "full_swings": "on",
    }
    seen = coach.get(builder_of(player), sent)
    assert seen.status_code == 200, seen.context["form"].errors
    assert coach.post(builder_of(player), hidden_fields(seen)).status_code == 302
    block = Block.objects.get()
    assert (block.balls.count(), block.parameters["log"]) == (balls, log)
    assert block.balls.filter(target_m=None).exists() == (log != "shots")
    two = sent | {"clubs": [str(club.pk) for club in clubs[:2]]}
    assert coach.get(builder_of(player), two).status_code == (422 if log == "strike" else 200)


def test_a_block_without_listed_balls_counts_in_the_week(coach, player, clubs):
    coach.post(builder_of(player), hidden_fields(coach.get(builder_of(player), asked(player, "free"))))
    assert "15 balls this week." in coach.get(reverse("planner:week", args=[player.pk, str(MONDAY)])).content.decode()
    actions.assign_plan(plan=WeekPlan.objects.get())
    assert WeekPlan.objects.get().state == "assigned"


def test_the_distances_that_were_faced_last_stand_in_the_next_form(coach, player, clubs):
    coach.post(builder_of(player), hidden_fields(coach.get(builder_of(player), asked(player, "random_target"))))
    form = coach.get(builder_of(player)).context["form"]
    assert form["profile"].value() == "40 2\n60"


def test_the_next_week_of_an_easing_stands_in_the_form(coach, player, clubs):
    def stored(week):
        sent = asked(player, "random_target", week=week, weights="even")
        coach.post(builder_of(player), hidden_fields(coach.get(builder_of(player), sent)))

    def offered():
        form = coach.get(builder_of(player)).context["form"]
        return form["week"].value(), form["weeks"].value()

    assert offered() == (1, 6)
    stored(1)
    assert offered() == (1, 6)
    actions.assign_plan(plan=WeekPlan.objects.get())
    assert offered() == (2, 4)
    WeekPlan.objects.update(monday=MONDAY - timedelta(days=7))
    stored(2)
    actions.assign_plan(plan=WeekPlan.objects.get(monday=MONDAY))
    assert offered() == (3, 4)


def test_a_week_that_is_copied_eases_on_and_shares_the_balls_by_the_need_of_today(coach, player, clubs):
    earlier = reverse("planner:add_block", args=[player.pk, str(MONDAY - timedelta(days=7))])
    by_need = asked(player, "random_target", profile=None, balls=24)
    coach.post(earlier, hidden_fields(coach.get(earlier, by_need)))
    actions.assign_plan(plan=WeekPlan.objects.get())
    venue = Target.objects.first().tee_line.venue
    for club, miss_m in zip(clubs, (1.0, 1.0, 9.0), strict=True):
        for n in range(12):
            error_m = miss_m if n % 2 else -miss_m
            make.make_shot(club, venue, target_m=50.0, carry_m=50.0 + error_m, measured_by="laser")
    assert coach.post(reverse("planner:copy_last_week", args=[player.pk, str(MONDAY)])).status_code == 302
    block = Block.objects.get(plan__monday=MONDAY)
    hit = Counter(block.balls.values_list("club__label", flat=True))
    assert hit["58"] > hit["50"]
    assert hit["58"] > hit["54"]
    assert (block.parameters["order"], block.parameters["week"], block.parameters["weeks"]) == ("easing", 3, 4)


def test_an_academy_that_exists_is_given_the_kinds_that_it_lacks(coach, player, clubs):
    make_drill(player.academy, title="Our own mix")
    drills = coach.get(builder_of(player)).context["bench"].drills
    assert {drill.kind for drill in drills} == KINDS.keys() - {"own"}
    assert drills[0].title == "Our own mix"


def test_the_builder_says_what_is_known_of_the_order_of_practice(coach, player, clubs):
    page = coach.get(builder_of(player)).content.decode()
    for paper in ("Shea &amp; Morgan, 1979", "Brady, 1998", "Czyż and others, 2024", "Ammar and others, 2024"):
        assert paper in page
    assert EVIDENCE in page
    assert len(PAPERS) == page.count("<p>", page.index("<details>"), page.index("</details>"))


def test_every_paper_on_the_order_of_practice_can_be_looked_up():
    """Author, year, journal, volume, and pages, the article's number or a DOI; one is a poster."""
    papers = re.findall(r"[(]([^()]*, (?:19|20)\d\d, [^()]*)[)]", " ".join(PAPERS))
    assert len(papers) == len(re.findall(r"\b(?:19|20)\d\d\b", " ".join(PAPERS))) == 7
    found = re.compile(r".*, (?:19|20)\d\d, [A-Z][A-Za-z.:& ]* \d+, (?:\d+(?:-\d+)?|doi 10[.]\d+/\S+)")
    assert [paper for paper in papers if not found.fullmatch(paper)] == [
        "Coker, 2010, a poster at the AAHPERD convention"
    ]
