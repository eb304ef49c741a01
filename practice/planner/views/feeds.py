"""The calendar of a player's plan: the page that makes its secret address, and what is found there."""

import uuid

from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.cache import cache_control
from django.views.decorators.http import conditional_page, require_POST, require_safe

from practice.accounts.access import fetch_visible
from practice.pages import render_page
from practice.planner.feeds import feed_text, find_feed, make_feed, revoke_feed
from practice.planner.models import CalendarFeed, WeekPlan
from practice.planner.weeks import monday_of
from practice.players.models import Player


def _player(request: HttpRequest, player: uuid.UUID) -> Player:
    """Return the player, whom the user is or coaches: either may hand out the player's calendar and end it."""
    return fetch_visible(Player.objects.select_related("academy"), request.user, pk=player)


def _show(request: HttpRequest, player: Player, *, address: str = "") -> HttpResponse:
    live = CalendarFeed.objects.live().filter(player=player).select_related("made_by")
    weeks = WeekPlan.objects.assigned().filter(player=player, monday__gte=monday_of(player.academy.today()))
    context = {
        "player": player,
        "feed": live.first(),
        "address": address,
        "weeks": list(weeks.order_by("monday")),
        "section": "players",
    }
    return render_page(request, "planner/calendar.html", context)


@cache_control(no_store=True)
@require_safe
def calendar(request: HttpRequest, player: uuid.UUID) -> HttpResponse:
    """Say whether the plan can be fetched as a calendar; how, nobody can say again."""
    return _show(request, _player(request, player))


@cache_control(no_store=True)
@require_POST
def make_address(request: HttpRequest, player: uuid.UUID) -> HttpResponse:
    """Make an address and show it: the page is the answer to the POST itself, because the secret is kept nowhere."""
    found = _player(request, player)
    _, secret = make_feed(player=found, made_by=request.user)
    address = request.build_absolute_uri(reverse("planner:feed", args=[secret]))
    return _show(request, found, address=address)


@require_POST
def revoke_address(request: HttpRequest, player: uuid.UUID) -> HttpResponse:
    """End the address; again changes nothing."""
    found = _player(request, player)
    revoke_feed(player=found, by=request.user)
    messages.success(request, "The address no longer works. What a calendar program has fetched already stays with it.")
    return redirect("planner:calendar", found.pk)


@login_not_required  # a calendar program signs in nowhere: the address is the key, and opens titles and days only
@cache_control(private=True, no_cache=True)
@conditional_page
@require_safe
def feed(request: HttpRequest, secret: str) -> HttpResponse:
    """Answer with the calendar, or 304 to a program that has it as it is."""
    found = find_feed(secret)
    if found is None:
        raise Http404("There is no calendar at this address.")
    return HttpResponse(feed_text(found), content_type="text/calendar; charset=utf-8")
