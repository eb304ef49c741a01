"""The litany of the planner: weeks are the coaches' pages; a player works from the phone page."""

from uuid import uuid4

from practice.planner.feeds import make_feed
from practice.planner.giving import save_template
from practice.planner.models import Block, Competition, WeekPlan, WeekTemplate
from practice.planner.weeks import WEEK
from tests.practice.litany import Cast, Row, the_player
from tests.practice.planner.plans import MONDAY, assign, equip, put_block


def a_week(cast: Cast) -> dict:
    equip(cast.player)
    return {"player": cast.player.pk, "monday": MONDAY.isoformat()}


def a_draft(cast: Cast) -> dict:
    return {"plan": put_block(cast.player, equip(cast.player)[1]).plan_id}


def an_assigned_week(cast: Cast) -> dict:
    return {"plan": assign(cast.player, equip(cast.player)[1]).pk}


def a_draft_block(cast: Cast) -> dict:
    return {"block": put_block(cast.player, equip(cast.player)[1]).pk}


def an_assigned_block(cast: Cast) -> dict:
    return {"block": assign(cast.player, equip(cast.player)[1]).blocks.get().pk}


def the_block(cast: Cast) -> dict:
    """Return the fields that name the plan's one block."""
    return {"block_id": Block.objects.get().pk, "position": 1, "note": "", "plan": WeekPlan.objects.get().pk}


def the_terms(cast: Cast) -> dict:
    return the_block(cast) | {"logging": "third", "day": "2", "cue": "Brush the grass"}


def a_week_after_one(cast: Cast) -> dict:
    assign(cast.player, equip(cast.player)[1], monday=MONDAY - WEEK)
    return {"player": cast.player.pk, "monday": MONDAY.isoformat()}


def a_template(cast: Cast) -> dict:
    return {"template": save_template(plan=put_block(cast.player, equip(cast.player)[1]).plan, name="Mixed").pk}


def a_week_and_a_template(cast: Cast) -> dict:
    a_template(cast)
    return {"player": cast.player.pk, "monday": MONDAY.isoformat()}


def the_template(cast: Cast) -> dict:
    return {"template": WeekTemplate.objects.get().pk}


def a_name(cast: Cast) -> dict:
    return {"name": "Mixed"}


def a_squads_week(cast: Cast) -> dict:
    return {"academy": cast.academy.pk, "monday": MONDAY.isoformat()}


def a_competition(cast: Cast) -> dict:
    return {"competition": Competition.objects.create(player=cast.player, day=MONDAY).pk}


def a_competition_day(cast: Cast) -> dict:
    return {"day": MONDAY.isoformat()}


def the_academy(cast: Cast) -> dict:
    return {"academy": cast.academy.pk}


def limits(cast: Cast) -> dict:
    return {"daily_ball_limit": 120, "junior_daily_ball_limit": 60}


def no_choice(cast: Cast) -> dict:
    return {"asked": 1, "block": uuid4(), "seed": 1, "inputs_sha256": "0" * 64}


def a_sheet(cast: Cast) -> dict:
    return {"week": an_assigned_week(cast)["plan"]}


def a_feed(cast: Cast) -> dict:
    return {"secret": make_feed(player=cast.player, made_by=cast.coach)[1]}


# A draft is the staff's alone, so to the player it is not there.
OF_A_DRAFT = {"player": 404}

ROWS = [
    Row("planner:week", a_week),
    Row("planner:edit_week", a_week, method="post", works=302),
    Row("planner:add_block", a_week),
    Row("planner:add_block", a_week, method="post", data=no_choice, works=422),
    Row("planner:suggest", a_week),
    Row("planner:suggest", a_week, method="post", data=no_choice, works=422),
    Row("planner:redraw_block", a_draft_block, **OF_A_DRAFT),
    Row("planner:redraw_block", a_draft_block, method="post", data=no_choice, works=422, **OF_A_DRAFT),
    Row("planner:redraw_block", an_assigned_block, works=409),
    Row("planner:copy_last_week", a_week_after_one, method="post", works=302),
    Row("planner:copy_last_week", a_week, method="post", works=422),
    Row("planner:use_template", a_week_and_a_template, method="post", data=the_template, works=302),
    Row("planner:use_template", a_week, method="post", works=422),
    Row("planner:save_as_template", a_draft, method="post", data=a_name, works=302, **OF_A_DRAFT),
    Row("planner:save_as_template", an_assigned_week, method="post", data=a_name, works=302),
    Row("planner:delete_template", a_template, method="post", works=302, player=404),
    Row("planner:squad", a_squads_week, team_mate=403),
    Row("planner:squad", a_squads_week, method="post", works=422, team_mate=403),
    Row("planner:add_competition", a_week, method="post", data=a_competition_day, works=302),
    Row("planner:remove_competition", a_competition, method="post", works=302),
    Row("planner:ball_limits", the_academy, team_mate=403),
    Row("planner:ball_limits", the_academy, method="post", data=limits, works=302, team_mate=403),
    Row("planner:move_block", a_draft, method="post", data=the_block, works=302, **OF_A_DRAFT),
    Row("planner:move_block", an_assigned_week, method="post", data=the_block, works=409),
    Row("planner:remove_block", a_draft, method="post", data=the_block, works=302, **OF_A_DRAFT),
    Row("planner:remove_block", an_assigned_week, method="post", data=the_block, works=409),
    Row("planner:halve_block", a_draft, method="post", data=the_block, works=302, **OF_A_DRAFT),
    Row("planner:halve_block", an_assigned_week, method="post", data=the_block, works=409),
    Row("planner:set_terms", a_draft, method="post", data=the_terms, works=302, **OF_A_DRAFT),
    Row("planner:set_terms", an_assigned_week, method="post", data=the_terms, works=409),
    Row("planner:undo", a_draft, method="post", works=302, **OF_A_DRAFT),
    Row("planner:undo", an_assigned_week, method="post", works=409),
    Row("planner:write_note", a_draft, method="post", data=the_block, works=302, **OF_A_DRAFT),
    Row("planner:write_note", an_assigned_week, method="post", data=the_block, works=409),
    Row("planner:assign", a_draft, method="post", works=302, **OF_A_DRAFT),
    Row("planner:assign", an_assigned_week, method="post", works=302),
    Row("planner:withdraw", a_draft, method="post", works=302, **OF_A_DRAFT),
    Row("planner:withdraw", an_assigned_week, method="post", works=302),
    Row("planner:calendar", the_player, player=200),
    Row("planner:make_address", the_player, method="post", player=200),
    Row("planner:revoke_address", the_player, method="post", works=302, player=302),
    Row("planner:sheet", a_sheet, player=200),
    Row("planner:feed", a_feed, player=200, team_mate=200, outsider=200, signed_out=200),
]
