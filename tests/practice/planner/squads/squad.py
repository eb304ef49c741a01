"""What a coach sends to give a squad its week, and what its players then have."""

from practice.planner.models import Block
from tests import make
from tests.practice.planner.plans import MONDAY


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
