"""The ball limits that coaches set for players who have none of their own."""

import uuid

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods

from practice.pages import render_page
from practice.planner.views.squads import fetch_staffed
from practice.planner.week_forms import BallLimitsForm


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
