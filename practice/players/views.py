"""The coach's pages about players: the roster, and one player."""

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from practice.accounts.access import fetch_editable
from practice.accounts.models import Academy
from practice.pages import render_page
from practice.planner.weeks import monday_of
from practice.players.actions import add_player
from practice.players.forms import NewPlayerForm, PlayerForm
from practice.players.models import Player
from practice.players.pages import player_page, roster_lines


def staffed_academies(request: HttpRequest) -> list[Academy]:
    """Return the academies of a coach; anybody else is told where their own pages are."""
    academies = list(request.user.staffed_academies())
    if not academies:
        raise PermissionDenied("This page is for coaches. Your own practice is on the start page.")
    return academies


def fetch_player(request: HttpRequest, player) -> Player:
    """Return the player whom the user, as a coach, looks after."""
    return fetch_editable(Player.objects.select_related("academy", "user"), request.user, pk=player)


@require_safe
def roster(request: HttpRequest) -> HttpResponse:
    academies = staffed_academies(request)
    named = request.GET.get("named", "").strip()
    lines = roster_lines(request.user, named=named)
    context = {
        "section": "players",
        "named": named,
        "lines": lines,
        "hurting": [line for line in lines if line.hurt_on],
        "several_academies": len(academies) > 1,
        "squads": [(academy, monday_of(academy.today()).isoformat()) for academy in academies],
        "owned": list(request.user.owned_academies()),
        "archived": list(Player.objects.editable_by(request.user).archived()),
    }
    return render_page(request, "players/roster.html", context, partial="roster")


@require_safe
def player(request: HttpRequest, player) -> HttpResponse:
    page = player_page(fetch_player(request, player))
    return render(request, "players/player.html", {"section": "players", "page": page, "player": page.player})


@require_http_methods(["GET", "HEAD", "POST"])
def add(request: HttpRequest) -> HttpResponse:
    form = NewPlayerForm(request.POST or None, academies=staffed_academies(request))
    if request.method == "POST" and form.is_valid():
        added = add_player(**form.cleaned_data)
        messages.success(request, f"{added.name} is on the roster. Next: the bag.")
        return redirect("players:player", added.pk)
    status = 422 if request.method == "POST" else 200
    return render(request, "players/form.html", {"section": "players", "form": form}, status=status)


@require_http_methods(["GET", "HEAD", "POST"])
def edit(request: HttpRequest, player) -> HttpResponse:
    player = fetch_player(request, player)
    name = player.name
    form = PlayerForm(request.POST or None, instance=player, today=player.academy.today())
    if request.method == "POST" and form.is_valid():
        form.save()
        return redirect("players:player", player.pk)
    status = 422 if request.method == "POST" else 200
    context = {"section": "players", "form": form, "player": player, "name": name}
    return render(request, "players/form.html", context, status=status)


@require_POST
def archive(request: HttpRequest, player) -> HttpResponse:
    player = fetch_player(request, player)
    player.archive()
    messages.success(request, f"{player.name} is off the roster; everything recorded is kept.")
    return redirect("players:roster")


@require_POST
def restore(request: HttpRequest, player) -> HttpResponse:
    player = fetch_player(request, player)
    player.restore()
    messages.success(request, f"{player.name} is back on the roster.")
    return redirect("players:player", player.pk)
