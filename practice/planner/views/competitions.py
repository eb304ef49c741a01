"""When a player competes, and the ball limits that coaches set for those who have none of their own."""

import uuid

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods, require_POST

from practice.accounts.access import fetch_editable
from practice.pages import render_page
from practice.planner.models import Competition
from practice.planner.views.squads import fetch_staffed
from practice.planner.views.weeks import players_week, show_week, week_address
from practice.planner.week_forms import BallLimitsForm, CompetitionForm
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


@require_http_methods(["GET", "HEAD", "POST"])
def ball_limits(request: HttpRequest, academy: uuid.UUID) -> HttpResponse:
    """Set how many balls a day the coaches want at most of players without a limit of their own."""
    found = fetch_staffed(request, academy)
    name = found.name
    form = BallLimitsForm(request.POST or None, instance=found)
    if form.is_bound and form.is_valid():
        form.save()
        messages.success(request, f"The ball limits of {name} are set.")
        return redirect("players:roster")
    context = {"form": form, "academy": name, "section": "players"}
    return render_page(request, "planner/ball_limits.html", context, status=422 if form.is_bound else 200)
