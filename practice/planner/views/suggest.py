"""The suggested week: looked at, and taken over into the draft as it was seen."""

import uuid
from datetime import date

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods

from practice.drills.kinds import KINDS
from practice.pages import render_page
from practice.planner.bounds import SuggestionError
from practice.planner.pages.load import jump_words, load_of, usual_week
from practice.planner.pages.week import bucket_lines
from practice.planner.stage_blocks import SuggestedBlock
from practice.planner.suggest_actions import draw_all, take_over
from practice.planner.suggest_forms import SeenWeekForm
from practice.planner.views.weeks import players_week, week_address
from practice.players.models import Player
from practice.venues.models import Venue


@require_http_methods(["GET", "HEAD", "POST"])
def suggest_week(request: HttpRequest, player: uuid.UUID, monday: str) -> HttpResponse:
    """GET suggests a week to look at; POST draws the blocks that were seen and puts them into the draft."""
    found, day = players_week(request, player, monday)
    if request.method != "POST":
        return _show(request, found, day)
    return _take_over(request, found, day)


def _show(
    request: HttpRequest, player: Player, monday: date, *, fault: str = "", changed: bool = False, status: int = 0
) -> HttpResponse:
    from analytics.pages.suggest import suggest_form, suggest_page

    form, bench = suggest_form(
        player, request.POST if request.method == "POST" else request.GET, usual_week(player, monday)
    )
    page = suggest_page(player, monday, form, bench)
    status = status or (422 if form.is_bound and not form.is_valid() else 200)
    context = {"page": page, "form": form, "fault": fault or page.fault, "changed": changed, "section": "players"}
    context["jump"] = jump_words(load_of(player, monday, page.balls))
    context["buckets"] = _buckets(page)
    return render_page(request, "planner/suggest.html", context, status=status)


def _buckets(page) -> list[str]:
    """Say which buckets the week would come to: what is kept of the draft, and what is suggested."""
    asked = [(block.day, block.balls_asked, block.venue) for block in page.kept]
    asked += [(block.day, block.balls, _venue(page, block)) for block, _ in page.suggested]
    return bucket_lines(asked, Venue.objects.default_of(page.player.academy_id))


def _venue(page, block: SuggestedBlock) -> Venue | None:
    """Return the range that a suggested block is drawn at, as its recipe says it."""
    if block.kind == "check_day":
        return page.again.venue
    return page.bench.place.venue if KINDS[block.kind].aims == "targets" else None


def _take_over(request: HttpRequest, player: Player, monday: date) -> HttpResponse:
    from analytics.pages.suggest import suggest_form, suggest_page

    form, bench = suggest_form(player, request.POST, usual_week(player, monday))
    page = suggest_page(player, monday, form, bench)
    seen = SeenWeekForm(request.POST)
    if not page.suggested:
        return _show(request, player, monday, status=422)
    if not seen.is_valid() or seen.cleaned_data["seen"] != page.seen:
        return _show(request, player, monday, changed=True, status=409)
    try:
        drawn = draw_all(page.bench, page.bag, page.suggested, page.again)
    except SuggestionError as fault:
        return _show(request, player, monday, fault=str(fault), status=422)
    take_over(player=player, monday=monday, made_by=request.user, drawn=drawn)
    messages.success(request, "The suggested blocks are in the draft. Change what you like, then assign the week.")
    return redirect(week_address(player.pk, monday))
