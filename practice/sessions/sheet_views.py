"""Typing in a printed sheet: finding it by its code, and its grid."""

import uuid

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from practice.accounts.access import fetch_visible
from practice.pages import render_page
from practice.players.models import Player
from practice.sessions.forms import SheetForm
from practice.sessions.sheet_counts import paper_of
from practice.sessions.sheet_page import grid_page, sheet_lines
from practice.sessions.sheet_paper import Conditions, Paper, Typed, asked_blocks_of, store_paper
from practice.venues.models import Venue


def _player(request: HttpRequest, player: uuid.UUID) -> Player:
    """Return the player, whom the user is or coaches: either may type in what was noted on paper."""
    return fetch_visible(Player.objects.select_related("academy"), request.user, pk=player)


def _paper(player: Player, block: uuid.UUID) -> Paper:
    rows = asked_blocks_of(player).select_related("plan", "venue")
    found = rows.prefetch_related("balls__club", "balls__target").filter(pk=block).first()
    if found is None:
        raise Http404("There is no sheet here.")
    found.plan.player = player
    return paper_of(found)


@require_safe
def sheets(request: HttpRequest, player: uuid.UUID) -> HttpResponse:
    """List the sheets that may be typed in; a code that is one sheet's leads to it."""
    found = _player(request, player)
    code = request.GET.get("code", "").strip().upper()
    lines = sheet_lines(found, found.academy.today(), code=code)
    if code and len(lines) == 1:
        return redirect("practice_sessions:sheet", found.pk, lines[0].id)
    context = {"player": found, "code": code, "lines": lines, "section": "players"}
    return render_page(request, "sessions/sheets.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
def sheet(request: HttpRequest, player: uuid.UUID, asked: uuid.UUID) -> HttpResponse:
    """Show a block's grid; POST checks all of it, and stores all that was typed or nothing."""
    found = _player(request, player)
    paper = _paper(found, asked)
    logged = paper.logged()
    about = {"block": paper.block, "of_shots": paper.of_shots, "today": found.academy.today()}
    form = SheetForm(request.POST if request.method == "POST" else None, **about)
    cells = paper.cells(request.POST, logged)
    reading = paper.read(cells, form.known_by)
    if form.is_valid() and not reading.faults and (reading.values or not cells):
        by = {"received_at": timezone.now(), "made_by": request.user}
        typed = store_paper(paper, values=reading.values, conditions=_conditions(found, form), **by)
        messages.success(request, _told(typed, len(logged)))
        return redirect("practice_sessions:sheet", found.pk, paper.block.pk)
    context = {
        "player": found,
        "form": form,
        "page": grid_page(paper, logged, cells, reading.faults),
        "nothing_typed": form.is_bound and not reading.values,
        "section": "players",
    }
    return render_page(request, "sessions/sheet.html", context, status=422 if form.is_bound else 200)


def _conditions(player: Player, form: SheetForm) -> Conditions:
    given = form.cleaned_data
    return Conditions(**{**given, "venue": given["venue"] or Venue.objects.elsewhere_of(player.academy)})


def _told(typed: Typed, before: int) -> str:
    """Say what was stored, and what was logged before, be it by the same form sent twice."""
    told = f"{typed.stored} row{'' if typed.stored == 1 else 's'} stored."
    if held := before + len(typed.logged):
        told += f" {held} logged before, left as {'it was' if held == 1 else 'they were'}."
    return told
