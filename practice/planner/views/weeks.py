"""A player's week: what is drafted, what is assigned, and how one becomes the other."""

import uuid
from datetime import date

from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from practice.accounts.access import fetch_editable
from practice.pages import render_page
from practice.planner import actions
from practice.planner.easing import RULE
from practice.planner.models import FrozenError, WeekPlan
from practice.planner.pages.week import week_page
from practice.planner.undo import undo_change
from practice.planner.week_forms import CompetitionForm, NoteForm, TermsForm
from practice.planner.weeks import week_of
from practice.players.models import Player
from practice.sessions.adherence import done_between


def players_week(request: HttpRequest, player: uuid.UUID, monday: str) -> tuple[Player, date]:
    """Return the player, whom the user must coach, and the Monday of the week that the address names."""
    found = fetch_editable(Player.objects.select_related("academy"), request.user, pk=player)
    day = week_of(monday)
    if day is None:
        raise Http404("Weeks are named by a date such as 2026-01-05.")
    return found, day


def fetch_plan(request: HttpRequest, plan: uuid.UUID) -> WeekPlan:
    return fetch_editable(WeekPlan.objects.select_related("player__academy"), request.user, pk=plan)


def week_address(player_id: uuid.UUID, monday: date) -> str:
    return reverse("planner:week", args=[player_id, monday.isoformat()])


def show_week(
    request: HttpRequest,
    player: Player,
    monday: date,
    *,
    note: NoteForm | None = None,
    terms: TermsForm | None = None,
    competition: CompetitionForm | None = None,
    fault: str = "",
    status=200,
) -> HttpResponse:
    """Show a week; `note`, `terms` or `competition` is a form that came back with faults."""
    page = week_page(player, monday, sent=terms)
    if page.draft and note is None:
        note = NoteForm(instance=page.draft.plan)
    context = {
        "page": page,
        "note": note,
        "competition": competition or CompetitionForm(),
        "rule": RULE,
        "done": done_between(player, monday, monday),
        "fault": fault,
        "section": "players",
    }
    return render_page(request, "planner/week.html", context, status=status)


@require_safe
def week(request: HttpRequest, player: uuid.UUID, monday: str) -> HttpResponse:
    """Show a week's draft and what is assigned."""
    found, day = players_week(request, player, monday)
    if monday != day.isoformat():
        return redirect(week_address(found.pk, day))
    return show_week(request, found, day)


@require_POST
def edit_week(request: HttpRequest, player: uuid.UUID, monday: str) -> HttpResponse:
    """Open a draft of the week: the next version of what is assigned, or an empty one."""
    found, day = players_week(request, player, monday)
    actions.start_next_version(player=found, monday=day, made_by=request.user)
    return redirect(week_address(found.pk, day))


def changed(request: HttpRequest, plan: WeekPlan, change) -> HttpResponse:
    """Make a change to a plan and go back to its week; where it is refused, the week says why."""
    try:
        change(plan=plan)
    except ValidationError as fault:
        status = 409 if isinstance(fault, FrozenError) else 422
        return show_week(request, plan.player, plan.monday, fault=" ".join(fault.messages), status=status)
    return redirect(week_address(plan.player_id, plan.monday))


@require_POST
def assign(request: HttpRequest, plan: uuid.UUID) -> HttpResponse:
    """Give the draft to the player."""
    return changed(request, fetch_plan(request, plan), actions.assign_plan)


@require_POST
def withdraw(request: HttpRequest, plan: uuid.UUID) -> HttpResponse:
    """Take a draft or an assigned week back."""
    return changed(request, fetch_plan(request, plan), actions.withdraw_plan)


@require_POST
def undo(request: HttpRequest, plan: uuid.UUID) -> HttpResponse:
    """Take the last change of a draft back."""
    return changed(request, fetch_plan(request, plan), undo_change)


@require_POST
def write_note(request: HttpRequest, plan: uuid.UUID) -> HttpResponse:
    """Set the draft's note."""
    found = fetch_plan(request, plan)
    form = NoteForm(request.POST)
    if not form.is_valid():
        return show_week(request, found.player, found.monday, note=form, status=422)
    note = form.cleaned_data["note"]
    return changed(request, found, lambda plan: actions.write_note(plan=plan, note=note))
