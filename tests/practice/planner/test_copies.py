"""Weeks made from other weeks: halved blocks, last week copied, templates."""

from datetime import UTC, datetime, timedelta

import pytest
from django.db.models.signals import pre_save
from django.urls import reverse

from practice.clubs.models import StatedCarry
from practice.planner import actions
from practice.planner.builder import bench_of
from practice.planner.giving import add_asked, draw_weeks, recipes_in, save_template
from practice.planner.marks import PassMark
from practice.planner.models import Ball, Block, WeekPlan, WeekTemplate
from practice.planner.repeats import BlockRecipe, recipes_of
from practice.planner.views.copies import bags_of
from practice.venues.models import Target, TeeLine
from tests import make
from tests.practice.planner.pages import choice, hidden_fields, week_of
from tests.practice.planner.plans import MONDAY, assign, equip, make_drill, put_block

pytestmark = pytest.mark.django_db
LAST = MONDAY - timedelta(days=7)
MONDAY_NOON = datetime(2026, 3, 2, 12, tzinfo=UTC)


def send(coach, name, player, **data):
    return coach.post(reverse(f"planner:{name}", args=[player.pk, str(MONDAY)]), data)


def labels(block):
    return set(block.balls.values_list("club__label", flat=True))


# Halving


@pytest.mark.parametrize(("balls", "half"), [(12, 6), (11, 6), (2, 1)])
def test_a_halved_block_keeps_its_drill_targets_and_terms(coach, cast, clubs, balls, half):
    block = put_block(cast.player, clubs, balls=balls)
    actions.set_terms(plan=block.plan, block_id=block.pk, minutes=40, cue="Slow")
    Block.objects.update(reason="9:00 with the 54: short")
    address = reverse("planner:halve_block", args=[block.plan_id])
    assert coach.post(address, {"block_id": block.pk}).status_code == 302
    block.refresh_from_db()
    assert abs(block.balls.count() - balls / 2) <= 0.5
    assert (block.minutes, block.cue, block.parameters["balls"]) == (20, "Slow", block.balls.count())
    assert block.reason == "9:00 with the 54: short"


@pytest.mark.parametrize(
    ("balls", "logging", "mark", "half"),
    [
        (20, "every", (7, 10), (4, 5)),
        (12, "every", (12, 12), (6, 6)),
        (2, "every", (1, 2), (1, 1)),
        (20, "third", (5, 7), (3, 4)),
        (8, "third", (3, 3), (2, 2)),
        (20, "end", (7, 10), None),  # none of its balls is judged
    ],
)
def test_a_halved_blocks_pass_mark_is_halved_and_out_of_balls_that_are_judged(
    coach, cast, clubs, balls, logging, mark, half
):
    block = put_block(cast.player, clubs, balls=balls, logging=logging)
    block.pass_mark = PassMark(*mark, 10)
    block.save()
    coach.post(reverse("planner:halve_block", args=[block.plan_id]), {"block_id": block.pk})
    block = Block.objects.get()
    assert block.balls.count() == balls // 2
    assert block.pass_mark == (half and PassMark(*half, 10))


def test_a_mark_is_never_out_of_more_balls_than_the_players_clubs_and_targets_make(cast, clubs):
    bench_of(cast.player, {})  # adds the default drills
    drill = cast.academy.drills.get(kind="crossing")
    where = {"place": str(TeeLine.objects.get().pk), "targets": [str(target.pk) for target in Target.objects.all()]}
    terms = {"pass_made": 70, "pass_of": 100, "pass_within_pct": 10}
    recipe = BlockRecipe(str(drill.pk), drill.title, where, "third", [("50", 50.0), ("58", 58.0)], terms)
    (week,) = draw_weeks([recipe], [cast.player], monday=MONDAY, bags=bags_of([cast.player], [recipe]), seed=1)
    block = add_asked(player=cast.player, monday=MONDAY, made_by=None, asked=week.asked, change="a test").blocks.get()
    assert 1 < block.pass_of == block.balls_judged("third") < block.balls.count()
    assert block.pass_made == round(0.7 * block.pass_of)


KINDS_WITH_A_SIZE = {
    "free": {"balls": 20},
    "carry_test": {"balls_each": 4, "swings": ["9:00", "full"]},
    "pick_spot": {"spots": 4},
    "ladder": {"trips": 2},
    "one_ball": {"balls": 4},
    "strike_bucket": {"balls": 20, "swings": ["full"]},
    "turf_brush": {"balls_each": 6, "swings": ["9:00"]},
    "smooth_swing": {"balls_each": 6, "swings": ["9:00"]},
    "own": {"balls": 10},
}


@pytest.mark.parametrize("kind", KINDS_WITH_A_SIZE)
def test_a_block_of_every_kind_with_a_size_is_kept_drawn_again_and_halved(coach, cast, clubs, kind):
    bench_of(cast.player, {})  # adds the default drills
    drill = cast.academy.drills.filter(kind=kind).first() or make_drill(cast.academy, kind)
    flags = [str(target.pk) for target in Target.objects.all()]
    where = {"place": str(TeeLine.objects.get().pk), "targets": flags} if drill.aims == "targets" else {}
    bag = {"none": [], "swings": [("50", 50.0)]}.get(drill.aims, [("50", 50.0), ("58", 58.0)])
    recipe = BlockRecipe(str(drill.pk), drill.title, KINDS_WITH_A_SIZE[kind] | where, "every", bag, {"cue": "Slow"})
    week = draw_weeks([recipe], [cast.player], monday=MONDAY, bags=bags_of([cast.player], [recipe]), seed=1)
    plan = add_asked(player=cast.player, monday=MONDAY, made_by=None, asked=week[0].asked, change="a test")
    block = plan.blocks.get()
    whole = block.balls_asked
    kept = recipes_in(save_template(plan=plan, name="Kept"))[0]
    assert kept.parameters.items() >= recipe.parameters.items()
    assert coach.post(reverse("planner:halve_block", args=[plan.pk]), {"block_id": block.pk}).status_code == 302
    half = Block.objects.get()
    assert (half.kind, half.cue) == (kind, "Slow")
    # a ladder turns at its top, so two trips take one ball less than twice one trip's
    assert whole / 2 <= half.balls_asked <= whole / 2 + 1


def test_a_block_without_a_number_of_balls_says_what_to_do_instead(coach, cast, clubs):
    block = put_block(cast.player, clubs)
    block.parameters = {name: value for name, value in block.parameters.items() if name != "balls"}
    block.save()
    response = coach.post(reverse("planner:halve_block", args=[block.plan_id]), {"block_id": block.pk})
    assert response.status_code == 422
    assert "Leave out clubs or targets instead" in response.content.decode()


def halving(coach, block):
    """Press "Halve", which is refused; return the page."""
    steps, balls = block.plan.snapshots.count(), list(block.balls.values())
    response = coach.post(reverse("planner:halve_block", args=[block.plan_id]), {"block_id": block.pk})
    assert response.status_code == 422
    assert (block.plan.snapshots.count(), list(block.balls.values())) == (steps, balls)
    return response.content.decode()


@pytest.mark.parametrize(
    ("kind", "size"), [("ladder", {"trips": 1}), ("carry_test", {"balls_each": 1, "swings": ["9:00"]})]
)
def test_halving_that_takes_no_ball_away_is_refused_in_words(coach, cast, clubs, kind, size):
    bench_of(cast.player, {})  # adds the default drills
    drill = cast.academy.drills.get(kind=kind)
    where = {"place": str(TeeLine.objects.get().pk), "targets": [str(target.pk) for target in Target.objects.all()]}
    parameters = size | (where if drill.aims == "targets" else {})
    recipe = BlockRecipe(str(drill.pk), drill.title, parameters, "every", [("50", 50.0), ("58", 58.0)], {})
    (week,) = draw_weeks([recipe], [cast.player], monday=MONDAY, bags=bags_of([cast.player], [recipe]), seed=1)
    plan = add_asked(player=cast.player, monday=MONDAY, made_by=None, asked=week.asked, change="a test")
    page = halving(coach, plan.blocks.get())
    assert f"“{drill.title}” cannot be halved any more. Leave out clubs or targets, or remove it." in page


def test_a_check_day_is_not_halved_and_says_what_to_do_instead(coach, cast, clubs):
    block = put_block(cast.player, clubs)
    Block.objects.update(kind="check_day", parameters={"earlier": str(block.pk)})
    assert "Press “Swap or draw again” and choose a smaller block, or remove it." in halving(coach, block)


# Last week


def test_last_weeks_blocks_are_drawn_anew_into_the_draft(coach, cast, clubs):
    before = assign(cast.player, clubs[:2], monday=LAST, seed=5).blocks.get()
    assert send(coach, "copy_last_week", cast.player).status_code == 302
    copy = Block.objects.exclude(pk=before.pk).get()
    assert (copy.plan.monday, copy.plan.state) == (MONDAY, "draft")
    assert copy.balls.count() == before.balls.count()
    assert labels(copy) == {"50", "54"}
    assert copy.seed != before.seed


def test_copying_adds_to_a_draft_and_can_be_taken_back(coach, cast, clubs):
    assign(cast.player, clubs, monday=LAST)
    plan = put_block(cast.player, clubs).plan
    send(coach, "copy_last_week", cast.player)
    assert list(plan.blocks.order_by("position").values_list("position", flat=True)) == [1, 2]
    coach.post(reverse("planner:undo", args=[plan.pk]))
    assert plan.blocks.count() == 1


def test_with_nothing_assigned_last_week_that_is_said_and_no_draft_is_begun(coach, cast, clubs):
    response = send(coach, "copy_last_week", cast.player)
    assert response.status_code == 422
    assert "nothing to copy" in response.content.decode()
    assert not WeekPlan.objects.exists()


def test_what_can_no_longer_be_hit_is_left_out_and_said(coach, cast, clubs):
    first, second = (put_block(cast.player, clubs, monday=LAST, seed=seed) for seed in (1, 2))
    gone = Target.objects.get(name="Flag 1")
    first.parameters["targets"].remove(str(gone.pk))
    Block.objects.filter(pk=first.pk).update(title="Without the flag", parameters=first.parameters)
    Block.objects.filter(pk=second.pk).update(title="With the flag")
    actions.assign_plan(plan=first.plan)
    Target.objects.filter(pk=gone.pk).update(archived_at=MONDAY_NOON)
    assert send(coach, "copy_last_week", cast.player).status_code == 302
    assert Block.objects.filter(plan__monday=MONDAY).count() == 1
    page = coach.get(reverse("planner:week", args=[cast.player.pk, str(MONDAY)])).content.decode()
    assert "“With the flag” was left out" in page
    assert "cannot be hit at from this place" in page


def test_where_nothing_can_be_hit_any_more_nothing_is_stored(coach, cast, clubs):
    assign(cast.player, clubs, monday=LAST)
    Target.objects.update(archived_at=MONDAY_NOON)
    response = send(coach, "copy_last_week", cast.player)
    assert response.status_code == 422
    assert "Nothing was put into the week" in response.content.decode()
    assert not WeekPlan.objects.filter(monday=MONDAY).exists()


def made_from_last(coach, player, way):
    """Make this week from the last in one of the ways there are; return the page that says what comes of it."""
    before = WeekPlan.objects.get(monday=LAST)
    if way == "squad":
        address = reverse("planner:squad", args=[player.academy_id, str(MONDAY)])
        chosen = {"source": f"week-{before.pk}", "players": [str(player.pk)]}
        seen = coach.post(address, chosen)
        assert coach.post(address, chosen | seen.context["seen"]).status_code == 302
        return seen.content.decode()
    if way == "copy":
        assert send(coach, "copy_last_week", player).status_code == 302
    else:
        template = save_template(plan=before, name="Kept")
        assert send(coach, "use_template", player, template=template.pk).status_code == 302
    return coach.get(week_of(player)).content.decode()


@pytest.mark.parametrize("way", ["copy", "template", "squad"])
def test_a_week_made_from_another_has_only_targets_inside_the_arc_of_its_bay(coach, cast, clubs, way):
    line = TeeLine.objects.get()
    bay = line.bays.create(academy=cast.academy, name="3", arc_left_deg=-30, arc_right_deg=30)
    Target.objects.filter(name__in=["Flag 1", "Flag 2"]).update(direction_deg=20)
    inside = {str(target.pk): target.name for target in Target.objects.filter(direction_deg=0)}
    builder = reverse("planner:add_block", args=[cast.player.pk, str(LAST)])
    for more in ({}, {"targets": list(inside)}):
        asked = choice(cast.player, place=str(bay.pk), **more)
        assert coach.post(builder, hidden_fields(coach.get(builder, asked))).status_code == 302
    actions.assign_plan(plan=WeekPlan.objects.get())
    type(bay).objects.filter(pk=bay.pk).update(arc_right_deg=10)
    said = made_from_last(coach, cast.player, way)
    assert "A target that was chosen cannot be hit at from this place." in said
    block = Block.objects.get(plan__monday=MONDAY)
    assert set(block.balls.values_list("target_name", flat=True)) == set(inside.values())


# Templates


def test_a_template_holds_recipes_without_anybodys_clubs(cast, clubs):
    block = put_block(cast.player, clubs)
    actions.set_terms(
        plan=block.plan, block_id=block.pk, day=1, cue="Slow", pass_made=7, pass_of=10, pass_within_pct=10
    )
    template = save_template(plan=block.plan, name="Mixed")
    held = str(template.blocks)
    assert not any(str(club.pk) in held for club in clubs)
    assert [name for name, _ in template.blocks[0]["clubs"]] == sorted(labels(block))
    assert recipes_in(WeekTemplate.objects.get()) == recipes_of(block.plan)


def test_a_template_is_kept_by_name_and_drawn_with_the_players_own_clubs(coach, cast, clubs):
    block = put_block(cast.player, clubs)
    address = reverse("planner:save_as_template", args=[block.plan_id])
    assert coach.post(address, {"name": "  Mixed   work "}).status_code == 302
    for label, loft_deg in (("GW", 51.0), ("SW", 55.0)):
        make.make_club(cast.team_mate, label, loft_deg=loft_deg, stated_full_m=90.0)
    template = WeekTemplate.objects.get(name="Mixed work")
    assert send(coach, "use_template", cast.team_mate, template=template.pk).status_code == 302
    drawn = Block.objects.get(plan__player=cast.team_mate)
    assert labels(drawn) == {"GW", "SW"}
    assert drawn.balls.count() == 12
    assert not drawn.balls.exclude(club__player=cast.team_mate).exists()


@pytest.mark.parametrize(
    ("bag", "own"),
    [
        ([("50", 47.0), ("A", 50.0)], {"50"}),  # the label counts before the loft
        ([("A", 51.0), ("B", 48.5), ("C", None)], {"A"}),
        ([("A", 53.0)], {"A"}),
        ([("A", 53.1), ("B", 46.9)], set()),
    ],
)
def test_a_club_is_matched_by_its_label_then_by_the_nearest_loft_within_three_degrees(coach, cast, clubs, bag, own):
    template = save_template(plan=put_block(cast.player, clubs[:1]).plan, name="One club")
    for label, loft_deg in bag:
        make.make_club(cast.team_mate, label, loft_deg=loft_deg, stated_full_m=90.0)
    send(coach, "use_template", cast.team_mate, template=template.pk)
    balls = Ball.objects.filter(block__plan__player=cast.team_mate)
    assert set(balls.values_list("club__label", flat=True)) == own


@pytest.mark.parametrize(
    ("name", "words"), [("", "Give the template a name"), ("mixed", "already"), ("x" * 61, "at most 60")]
)
def test_a_template_without_a_good_name_is_not_kept(coach, cast, clubs, name, words):
    plan = put_block(cast.player, clubs).plan
    save_template(plan=plan, name="Mixed")
    response = coach.post(reverse("planner:save_as_template", args=[plan.pk]), {"name": name})
    assert response.status_code == 422
    assert words in response.content.decode()
    assert WeekTemplate.objects.count() == 1


def test_a_name_that_another_coach_takes_meanwhile_is_told_in_words(coach, cast, clubs):
    def rival(**_):
        WeekTemplate.objects.bulk_create([WeekTemplate(academy=cast.academy, name="Mixed")])

    plan = put_block(cast.player, clubs).plan
    pre_save.connect(rival, sender=WeekTemplate)
    try:
        response = coach.post(reverse("planner:save_as_template", args=[plan.pk]), {"name": "Mixed"})
    finally:
        pre_save.disconnect(rival, sender=WeekTemplate)
    assert response.status_code == 422
    assert "There is a template “Mixed” already" in response.content.decode()
    assert not WeekTemplate.objects.exists()  # the other's too went with the savepoint


def test_an_empty_week_makes_no_template(coach, cast, clubs):
    plan = actions.start_next_version(player=cast.player, monday=MONDAY, made_by=None)
    response = coach.post(reverse("planner:save_as_template", args=[plan.pk]), {"name": "Empty"})
    assert "nothing in this week" in response.content.decode()
    assert not WeekTemplate.objects.exists()


@pytest.mark.parametrize("code", ["", "nonsense", "01a21f36-5152-701a-8f03-bec97818d08e"])
def test_a_template_that_is_gone_says_so(coach, cast, clubs, code):
    response = send(coach, "use_template", cast.player, template=code)
    assert response.status_code == 422
    assert "not there any more" in response.content.decode()


def test_a_template_of_another_academy_is_not_there(coach, cast, clubs):
    other = make.make_player(make.make_academy())
    template = save_template(plan=put_block(other, equip(other)[1]).plan, name="Theirs")
    assert send(coach, "use_template", cast.player, template=template.pk).status_code == 422


def test_a_player_of_whose_clubs_nothing_is_known_gets_nothing_and_is_told_why(coach, cast, clubs):
    template = save_template(plan=put_block(cast.player, clubs).plan, name="Mixed")
    make.make_club(cast.team_mate, "50", loft_deg=50.0)
    StatedCarry.objects.filter(club__player=cast.team_mate).delete()
    response = send(coach, "use_template", cast.team_mate, template=template.pk)
    assert response.status_code == 422
    page = response.content.decode()
    assert "How far the 50 goes is not known yet" in page
    assert "No club like the 58" in page
    assert not WeekPlan.objects.filter(player=cast.team_mate).exists()
