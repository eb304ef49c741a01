"""The printed sheet of a week."""

import uuid

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from practice.accounts.access import fetch_visible
from practice.pages import render_page
from practice.planner import sheet_codes
from practice.planner.models import WeekPlan
from practice.planner.pages.sheet import sheet_of


@require_safe
def sheet(request: HttpRequest, week: uuid.UUID) -> HttpResponse:
    """Show an assigned week as it is printed; a draft has no sheet, for it may still change."""
    plans = WeekPlan.objects.assigned().select_related("player__academy")
    found = fetch_visible(plans, request.user, pk=week)
    context = {"sheet": sheet_of(found), "player": found.player, "codes": sheet_codes, "section": "players"}
    return render_page(request, "planner/sheet.html", context)
