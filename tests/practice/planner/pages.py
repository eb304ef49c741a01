"""The pages of a week and of its builder: where they are, what they send, what is seen on them."""

import re

from django.urls import reverse

from practice.clubs.models import Club
from practice.venues.models import Target
from tests.practice.planner.plans import MONDAY


def week_of(player, monday=MONDAY):
    return reverse("planner:week", args=[player.pk, str(monday)])


def builder_of(player):
    return reverse("planner:add_block", args=[player.pk, str(MONDAY)])


def choice(player, **changes):
    """Return what the builder's page sends for a block of all wedges at all flags."""
    chosen = {
        "asked": "1",
        "balls": "12",
        "clubs": [str(club.pk) for club in Club.objects.filter(player=player).for_pitching()],
        "targets": [str(target.pk) for target in Target.objects.filter(academy=player.academy)],
        "number_shown": "on",
        "full_swings": "on",
        **changes,
    }
    return {name: value for name, value in chosen.items() if value is not None}


def hidden_fields(response):
    """Return the fields of the form that puts what is seen into the week."""
    form = response.content.decode().split('method="post"')[-1].split("</form>")[0]
    fields = {}
    for name, value in re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)"', form):
        fields.setdefault(name, []).append(value)
    return fields


def balls_seen(response):
    return [(row.club, row.target) for row in response.context["preview"].balls]


def balls_stored(block):
    return list(block.balls.values_list("club__label", "target_name"))
