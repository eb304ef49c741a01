"""When a player competes: noted on the week's page."""

import uuid

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST

from practice.accounts.access import fetch_editable
from practice.planner.models import Competition
from practice.planner.views.weeks import players_week, show_week, week_address
from practice.planner.week_forms import CompetitionForm
from practice.planner.weeks import monday_of


@require_POST
def add_competition(request: HttpRequest, player: uuid.UUID, monday: str) -> HttpResponse:
    """Note a day on which the player competes; the same day again keeps one."""
    found, day = players_week(request, player, monday)
    form = CompetitionForm(request.POST)
    if not form.is_valid():
        return show_week(request, found, day, competition=form, status=422)
    values = form.cleaned_data
    Competition.objects.update_or_create(player=found, day=values["day"], defaults={"title": values["title"]})
    return redirect(week_address(found.pk, day))


@require_POST
def remove_competition(request: HttpRequest, competition: uuid.UUID) -> HttpResponse:
    """Take a competition out, and go back to its week."""
    found = fetch_editable(Competition.objects.select_related("player"), request.user, pk=competition)
    found.delete()
    return redirect(week_address(found.player_id, monday_of(found.day)))
