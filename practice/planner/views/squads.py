"""A squad's week: looked at player by player, then given to all at once."""

import uuid
from dataclasses import replace
from datetime import date

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods

from practice.accounts.models import Academy
from practice.pages import render_page
from practice.planner import giving
from practice.planner.models import PlanState, WeekPlan, WeekTemplate
from practice.planner.pages.load import jump_words, loads_of
from practice.planner.squad_forms import SeenWeeksForm, SquadForm
from practice.planner.views.copies import bags_of
from practice.planner.weeks import WEEK, week_of
from practice.players.models import Player


def fetch_staffed(request: HttpRequest, academy: uuid.UUID) -> Academy:
    """Return the academy if the user coaches there; a player of it gets 403, anybody else 404."""
    found = request.user.staffed_academies().filter(pk=academy).first()
    if found:
        return found
    if request.user.memberships.filter(academy=academy).exists():
        raise PermissionDenied("Weeks are given by the coaches.")
    raise Http404("There is nothing here for you.")


def _form(data: QueryDict | None, academy: Academy, monday: date) -> SquadForm:
    players = Player.objects.filter(academy=academy).on_the_roster().select_related("academy")
    plans = WeekPlan.objects.filter(player__in=players, monday__in=[monday, monday - WEEK])
    plans = plans.exclude(state=PlanState.WITHDRAWN).select_related("player").order_by("player__name", "-monday")
    templates = WeekTemplate.objects.filter(academy=academy)
    return SquadForm(data, players=list(players), templates=list(templates), plans=list(plans))


def _drawn(form: SquadForm, monday: date, seed: int) -> list[giving.PlayersWeek]:
    players, recipes = form.chosen(), form.recipes()
    return giving.draw_weeks(
        recipes, players, monday=monday, bags=bags_of(players, recipes), seed=seed, balls=form.balls()
    )


def _show_squad(
    request: HttpRequest,
    academy: Academy,
    monday: date,
    form: SquadForm,
    *,
    seed: int = 0,
    weeks: list[giving.PlayersWeek] | None = None,
    status: int = 200,
) -> HttpResponse:
    """Show the form and, where there is something to look at, the weeks; a 409 says that they are not what was seen."""
    seen = {"seed": seed, "digest": giving.fingerprint_of(weeks)} if weeks else None
    if weeks:
        loads = loads_of([week.player for week in weeks], monday, {week.player.pk: week.balls for week in weeks})
        weeks = [replace(week, jump=jump_words(loads[week.player.pk])) for week in weeks]
    context = {
        "academy": academy,
        "monday": monday,
        "previous": monday - WEEK,
        "next": monday + WEEK,
        "form": form,
        "weeks": weeks,
        "replaces": bool(weeks) and form.cleaned_data["replace"],
        "assigns": bool(weeks) and form.cleaned_data["assign"],
        "seen": seen,
        "sent": [(name, value) for name in form.fields for value in form.data.getlist(name)] if weeks else [],
        "changed": status == 409,
        "section": "players",
    }
    return render_page(request, "planner/squad.html", context, status=status)


@require_http_methods(["GET", "HEAD", "POST"])
def squad(request: HttpRequest, academy: uuid.UUID, monday: str) -> HttpResponse:
    """GET shows the form; POST draws the weeks to look at, and gives what was seen where that is sent along.

    Looking is a POST too, because the choices of a large squad are longer than an address may be.
    """
    found, day = fetch_staffed(request, academy), week_of(monday)
    if day is None:
        raise Http404("Weeks are named by a date such as 2026-01-05.")
    if monday != day.isoformat():
        return redirect("planner:squad", found.pk, day.isoformat())
    form = _form(request.POST if request.method == "POST" else None, found, day)
    if not form.is_valid():
        return _show_squad(request, found, day, form, status=422 if form.is_bound else 200)
    seen = SeenWeeksForm(request.POST)
    seed = seen.seed_or_new()
    weeks = _drawn(form, day, seed)
    if "digest" not in request.POST:
        return _show_squad(request, found, day, form, seed=seed, weeks=weeks)
    if not seen.is_valid() or seen.cleaned_data["digest"] != giving.fingerprint_of(weeks):
        return _show_squad(request, found, day, form, seed=seed, weeks=weeks, status=409)
    given = giving.give_weeks(
        weeks,
        monday=day,
        made_by=request.user,
        replace=form.cleaned_data["replace"],
        assign=form.cleaned_data["assign"],
    )
    told = [given_words(len(given), len(weeks), assigned=form.cleaned_data["assign"])]
    if replaced := sum(week.held == PlanState.DRAFT for week in given):
        told.append(replaced_words(replaced, assigned=form.cleaned_data["assign"]))
    messages.success(request, " ".join(told))
    return redirect("planner:squad", found.pk, day.isoformat())


def given_words(given: int, asked: int, *, assigned: bool) -> str:
    """Say how many players have the week now, and how."""
    as_what = "assigned" if assigned else "as a draft"
    return f"The week stands for {given} of {asked} player{'' if asked == 1 else 's'} now, {as_what}."


def replaced_words(drafts: int, *, assigned: bool) -> str:
    """Say how drafts that were replaced are brought back."""
    took, it = ("A draft was", "it") if drafts == 1 else (f"{drafts} drafts were", "each")
    told = f"{took} replaced. To bring {it} back, open the player’s week and press "
    if assigned:
        told += "“Edit this week” and then "
    told += f"“Take back: {giving.CHANGE}”."
    return told + (" The assigned week stays until you assign what you brought back." if assigned else "")
