"""A squad of two, and the template of a week that both can hit."""

import pytest
from django.urls import reverse

from practice.planner import actions
from practice.planner.giving import save_template
from tests.practice.planner.plans import MONDAY, equip, put_block
from tests.practice.planner.squads.squad import equip_alike


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
