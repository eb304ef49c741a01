"""The builder with every kind of drill: what is seen is stored, and what cannot be drawn stores nothing."""

import re
from collections import Counter
from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from practice.clubs.models import Club, StatedCarry
from practice.drills.actions import add_default_drills
from practice.drills.kinds import KINDS, SCORES_OF_LOG
from practice.drills.models import Drill
from practice.planner import actions
from practice.planner.check_day import difference
from practice.planner.models import Block, WeekPlan
from practice.planner.orders import EVIDENCE, PAPERS
from practice.venues.models import Target
from tests import make
from tests.practice.planner.plans import MONDAY, assign, equip, make_drill, put_block
from tests.practice.planner.test_views import balls_seen, balls_stored, builder_of, hidden_fields

pytestmark = pytest.mark.django_db

CHOSEN = {
    "random_target": {"balls": 12, "order": "easing", "week": 2, "weeks": 4, "weights": "need", "profile": "40 2\n60"},
    "carry_test": {"balls_each": 3, "swings": ["9:00", "full"], "shuffled": "on"},
    "crossing": {"number_shown": "on", "full_swings": "on"},
    "pick_spot": {"spots": 4},
    "ladder": {"trips": 2, "full_swings": "on"},
    "one_ball": {"balls": 5, "full_swings": "on"},
    "strike_check": {"balls": 6, "swings": ["full"]},
    "strike_bucket": {"balls": 30, "swings": ["9:00"]},
    "turf_brush": {"balls_each": 10, "swings": ["9:00"]},
    "smooth_swing": {"balls_each": 10, "swings": ["9:00"]},
    "check_day": {},
    "free": {"balls": 15},
    "own": {"balls": 20},
}
ONE_CLUB = ("strike_check", "strike_bucket")


@pytest.fixture
def player():
    return make.make_player(make.make_academy(), "Nora Field")


@pytest.fixture
def clubs(player):
    return equip(player)[1]


@pytest.fixture
def coach(player, client):
    client.force_login(make.make_staff(player.academy))
    return client


def the_drill(player, kind: str) -> Drill:
    add_default_drills(player.academy)
    return Drill.objects.filter(kind=kind).first() or make_drill(player.academy, kind)


def asked(player, kind: str, **changes) -> dict:
    """Return what the builder's form sends for a block of a kind; a change of None leaves that out."""
    drill = the_drill(player, kind)
    clubs = [str(club.pk) for club in Club.objects.exclude(kind="putter").order_by("label")]
    sent = {"asked": "1", "drill": str(drill.pk), **CHOSEN[kind]}
    if drill.aims in ("targets", "swings", "spot"):
        sent["clubs"] = clubs[:1] if kind in ONE_CLUB else clubs
    if drill.aims == "targets":
        sent["targets"] = [str(target.pk) for target in Target.objects.all()]
    if kind == "check_day":
        sent["earlier"] = str(Block.objects.get().pk)
    sent |= changes
    return {name: value for name, value in sent.items() if value is not None}


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


def test_a_check_day_brings_the_same_balls_back_without_the_numbers(coach, player, clubs):
    first = assign(player, clubs, monday=MONDAY - timedelta(days=14)).blocks.get()
    coach.post(builder_of(player), hidden_fields(coach.get(builder_of(player), asked(player, "check_day"))))
    again = Block.objects.get(plan__monday=MONDAY)
    assert difference(first, again) == ""
    shots = ("n", "club", "target", "target_name", "target_m")
    assert list(again.balls.values_list(*shots)) == list(first.balls.values_list(*shots))
    assert set(again.balls.values_list("swing", "below_swing", "above_swing")) == {("feel", "", "")}
    assert (again.number_shown, again.venue) == (False, first.venue)


def test_a_check_day_before_its_block_is_refused_and_one_soon_after_is_warned_of(coach, player, clubs):
    plan = put_block(player, clubs, monday=MONDAY + timedelta(days=7)).plan
    Block.objects.update(day=2)
    actions.assign_plan(plan=plan)
    response = coach.post(builder_of(player), hidden_fields(coach.get(builder_of(player), asked(player, "check_day"))))
    assert response.status_code == 422
    assert "a day at least after the block that it repeats" in response.content.decode()
    assert not Block.objects.filter(plan__monday=MONDAY).exists()

    WeekPlan.objects.update(monday=MONDAY)
    later = reverse("planner:add_block", args=[player.pk, str(MONDAY)])
    assert coach.post(later, hidden_fields(coach.get(later, asked(player, "check_day")))).status_code == 302
    check = Block.objects.get(kind="check_day")

    def week_with(day: int) -> str:
        terms = {"block_id": check.pk, "day": day, "logging": "every"}
        sent = coach.post(reverse("planner:set_terms", args=[check.plan_id]), terms)
        shown = sent if sent.status_code == 422 else coach.get(reverse("planner:week", args=[player.pk, str(MONDAY)]))
        return shown.content.decode()

    assert "a day at least after the block that it repeats" in week_with(2)
    assert "comes 1 day after the block that it repeats" in week_with(3)
    assert "the block that it repeats" not in week_with(5)


@pytest.mark.parametrize("change", ["moved", "archived", "gone"])
def test_a_check_day_at_a_target_that_is_no_longer_there_says_so_and_stores_nothing(coach, player, clubs, change):
    assign(player, clubs, monday=MONDAY - timedelta(days=14))
    choice, flag = asked(player, "check_day"), Target.objects.filter(name="Flag 2")
    if change == "moved":
        flag.update(distance_m=47.0)
    elif change == "archived":
        flag.update(archived_at=timezone.now())
    else:
        flag.delete()
    response = coach.post(builder_of(player), choice)
    assert response.status_code == 422
    assert "Flag 2 of that block moved, or cannot be hit at from there any more" in response.content.decode()
    assert not Block.objects.filter(plan__monday=MONDAY).exists()


def test_a_check_day_does_not_bring_back_a_target_outside_the_arc_of_its_bay(coach, player, clubs):
    flag = Target.objects.get(name="Flag 2")
    Target.objects.filter(pk=flag.pk).update(direction_deg=20)
    bay = flag.tee_line.bays.create(academy=player.academy, name="3", arc_left_deg=-30, arc_right_deg=30)
    earlier = reverse("planner:add_block", args=[player.pk, str(MONDAY - timedelta(days=14))])
    coach.post(earlier, hidden_fields(coach.get(earlier, asked(player, "crossing", place=str(bay.pk)))))
    actions.assign_plan(plan=WeekPlan.objects.get())
    assert coach.get(builder_of(player), asked(player, "check_day")).status_code == 200
    bay.arc_right_deg = 10
    bay.save()
    response = coach.get(builder_of(player), asked(player, "check_day"))
    assert response.status_code == 422
    assert "Flag 2 of that block" in response.content.decode()


def test_a_check_day_with_a_club_that_left_the_bag_says_so(coach, player, clubs):
    assign(player, clubs, monday=MONDAY - timedelta(days=14))
    choice = asked(player, "check_day")
    Club.objects.filter(pk=clubs[0].pk).update(carried=False)
    response = coach.get(builder_of(player), choice)
    assert response.status_code == 422
    assert "The 50 of that block is no longer carried." in response.content.decode()


def test_another_players_block_does_not_come_again(coach, player, clubs):
    mate = make.make_player(player.academy)
    theirs = assign(mate, [make.make_club(mate, "56", stated_full_m=80.0)]).blocks.get()
    choice = asked(player, "check_day", earlier=str(theirs.pk))
    for words in ("so none can come again", "That block cannot come again for Nora Field: it is another player’s"):
        response = coach.get(builder_of(player), choice)
        assert response.status_code == 422
        assert words in response.content.decode()
        assign(player, clubs)


def test_without_an_earlier_block_there_is_no_check_day_yet(coach, player, clubs):
    page = coach.get(builder_of(player), {"drill": the_drill(player, "check_day").pk}).content.decode()
    assert "Nothing at targets was assigned to Nora Field yet" in page


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


def test_the_distances_that_were_faced_last_stand_in_the_next_form(coach, player, clubs):
    coach.post(builder_of(player), hidden_fields(coach.get(builder_of(player), asked(player, "random_target"))))
    form = coach.get(builder_of(player)).context["form"]
    assert form["profile"].value() == "40 2\n60"


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


def test_an_academy_that_exists_is_given_the_kinds_that_it_lacks(coach, player, clubs):
    make_drill(player.academy, title="Our own mix")
    drills = coach.get(builder_of(player)).context["bench"].drills
    assert {drill.kind for drill in drills} == KINDS.keys() - {"own"}
    assert drills[0].title == "Our own mix"


BAD = [
    ("random_target", {"balls": 0}, "at least one ball"),
    ("random_target", {"balls": 10_000}, "at most 200 balls"),
    ("random_target", {"profile": "forty"}, "“forty” is no distance"),
    ("random_target", {"profile": "40 -1"}, "“40 -1” is no distance"),
    ("random_target", {"profile": "0 1"}, "“0 1” is no distance"),
    ("random_target", {"profile": "nan 1"}, "“nan 1” is no distance"),
    ("random_target", {"profile": "\n".join(["40"] * 21)}, "at most 20 distances"),
    ("random_target", {"profile": "300"}, "No target in reach is near"),
    ("random_target", {"order": "sideways"}, "Select a valid choice"),
    ("random_target", {"order": "easing", "week": 5, "weeks": 4}, "which week this is, and of how many"),
    ("random_target", {"order": "easing", "week": None}, "which week this is, and of how many"),
    ("carry_test", {"balls_each": 0}, "At least one"),
    ("carry_test", {"swings": None}, "Choose at least one swing length"),
    ("carry_test", {"balls_each": 20, "swings": ["7:30", "9:00", "10:30", "full"]}, "on another day"),
    ("crossing", {"targets": None}, "Choose at least one target"),
    ("pick_spot", {"spots": 0}, "At least one"),
    ("pick_spot", {"spots": 10_000}, "at most 100 spots"),
    ("ladder", {"trips": 0}, "At least one"),
    ("one_ball", {"balls": 150}, "different shots, not 150"),
    ("one_ball", {"balls": 10_000}, "at most 200 balls"),
    ("strike_check", {"balls": 4}, "At least 5"),
    ("strike_check", {"balls": 11}, "at most 10 balls"),
    ("strike_check", {"swings": ["9:00", "full"]}, "Choose one swing length"),
    ("strike_bucket", {"clubs": []}, "Choose at least one club"),
    ("turf_brush", {"balls_each": 10_000}, "At most 30"),
    ("free", {"balls": 0}, "at least one ball"),
    ("free", {"balls": 10_000}, "at most 200 balls"),
    ("check_day", {"earlier": None}, "Choose the block that comes again"),
]


@pytest.mark.parametrize(("kind", "changes", "words"), BAD, ids=str)
def test_what_cannot_be_drawn_says_why_and_stores_nothing(coach, player, clubs, kind, changes, words):
    if kind == "check_day":
        assign(player, clubs, monday=MONDAY - timedelta(days=14))
    sent = asked(player, kind, **changes)
    for send in (coach.get, coach.post):
        response = send(builder_of(player), sent)
        assert response.status_code == 422
        assert words in response.content.decode()
    assert not WeekPlan.objects.filter(monday=MONDAY).exists()
    assert not Block.objects.filter(plan__monday=MONDAY).exists()


def test_the_marks_of_two_clubs_are_not_put_on_one_face(coach, player, clubs):
    two = [str(club.pk) for club in clubs[:2]]
    response = coach.get(builder_of(player), asked(player, "strike_check", clubs=two))
    assert response.status_code == 422
    assert "the marks of two would lie on one face" in response.content.decode()


@pytest.mark.parametrize(
    ("kind", "words"),
    [
        ("ladder", "a ladder needs two steps or more"),
        ("random_target", "only the club changes from ball to ball"),
        ("crossing", "No order can keep all neighbours different"),
        ("one_ball", "make 3 different shots, not 5"),
    ],
)
def test_a_range_with_one_flag_is_told_in_words(coach, player, clubs, kind, words):
    Target.objects.exclude(name="Flag 4").delete()
    response = coach.get(builder_of(player), asked(player, kind, profile=None, order="random"))
    assert words in response.content.decode()
    assert response.status_code == (200 if kind in ("random_target", "crossing") else 422)


@pytest.mark.parametrize("kind", [kind for kind in KINDS if kind not in ("free", "own", "check_day")])
def test_a_bag_without_wedges_is_told_where_to_enter_them(coach, player, kind):
    make.make_range(player.academy)
    make.make_putter(player)
    response = coach.get(builder_of(player), asked(player, kind))
    assert response.status_code == 422
    page = response.content.decode()
    assert "Nora Field carries no club for pitching." in page
    assert reverse("clubs:bag", args=[player.pk]) in page
    assert not Block.objects.exists()


@pytest.mark.parametrize("kind", ["random_target", "crossing", "ladder", "one_ball"])
def test_a_player_without_data_is_sent_to_a_carry_test(coach, player, clubs, kind):
    StatedCarry.objects.all().delete()
    response = coach.get(builder_of(player), asked(player, kind))
    assert response.status_code == 422
    assert "Plan a carry test first" in response.content.decode()
    assert not Block.objects.exists()


@pytest.mark.parametrize("kind", ["carry_test", "pick_spot", "strike_check", "turf_brush", "smooth_swing", "free"])
def test_a_player_without_data_can_be_given_what_needs_no_distance(coach, player, clubs, kind):
    StatedCarry.objects.all().delete()
    assert coach.get(builder_of(player), asked(player, kind)).status_code == 200


@pytest.mark.parametrize("kind", ["random_target", "crossing", "ladder", "one_ball"])
def test_targets_out_of_reach_are_told_in_words(coach, player, clubs, kind):
    Target.objects.update(distance_m=300.0)
    response = coach.get(builder_of(player), asked(player, kind, profile=None))
    assert response.status_code == 422
    assert "No club reaches any of these targets" in response.content.decode()


def test_a_block_without_listed_balls_counts_in_the_week(coach, player, clubs):
    coach.post(builder_of(player), hidden_fields(coach.get(builder_of(player), asked(player, "free"))))
    assert "15 balls this week." in coach.get(reverse("planner:week", args=[player.pk, str(MONDAY)])).content.decode()
    actions.assign_plan(plan=WeekPlan.objects.get())
    assert WeekPlan.objects.get().state == "assigned"
