"""The week plan and the block builder."""

import uuid
from datetime import date

from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from practice.accounts.access import fetch_editable
from practice.pages import render_page
from practice.planner import actions
from practice.planner.builder import Preview, bench_of, preview_of
from practice.planner.forms import (
    BlockForm,
    ChosenBlockForm,
    LoggedBlockForm,
    MovedBlockForm,
    NoteForm,
    SeenForm,
    new_seed,
)
from practice.planner.models import Block, FrozenError, WeekPlan
from practice.planner.weeks import week_of, week_page
from practice.players.models import Player


def _players_week(request: HttpRequest, player: uuid.UUID, monday: str) -> tuple[Player, date]:
    """Return the player, whom the user must coach, and the Monday of the week that the address names."""
    found = fetch_editable(Player.objects.select_related("academy"), request.user, pk=player)
    day = week_of(monday)
    if day is None:
        raise Http404("Weeks are named by a date such as 2026-01-05.")
    return found, day


def _plan(request: HttpRequest, plan: uuid.UUID) -> WeekPlan:
    return fetch_editable(WeekPlan.objects.select_related("player__academy"), request.user, pk=plan)


def _week_address(player_id: uuid.UUID, monday: date) -> str:
    return reverse("planner:week", args=[player_id, monday.isoformat()])


def _show_week(
    request: HttpRequest, player: Player, monday: date, *, note: NoteForm | None = None, fault: str = "", status=200
) -> HttpResponse:
    page = week_page(player, monday)
    if page.draft and note is None:
        note = NoteForm(instance=page.draft.plan)
    context = {"page": page, "note": note, "fault": fault, "section": "players"}
    return render_page(request, "planner/week.html", context, status=status)


@require_safe
def week(request: HttpRequest, player: uuid.UUID, monday: str) -> HttpResponse:
    """Show a week's draft and what is assigned."""
    found, day = _players_week(request, player, monday)
    if monday != day.isoformat():
        return redirect(_week_address(found.pk, day))
    return _show_week(request, found, day)


@require_POST
def edit_week(request: HttpRequest, player: uuid.UUID, monday: str) -> HttpResponse:
    """Open a draft of the week: the next version of what is assigned, or an empty one."""
    found, day = _players_week(request, player, monday)
    actions.start_next_version(player=found, monday=day, made_by=request.user)
    return redirect(_week_address(found.pk, day))


def _changed(request: HttpRequest, plan: WeekPlan, change) -> HttpResponse:
    """Make a change to a plan and go back to its week; where it is refused, the week says why."""
    try:
        change(plan=plan)
    except ValidationError as fault:
        status = 409 if isinstance(fault, FrozenError) else 422
        return _show_week(request, plan.player, plan.monday, fault=" ".join(fault.messages), status=status)
    return redirect(_week_address(plan.player_id, plan.monday))


@require_POST
def assign(request: HttpRequest, plan: uuid.UUID) -> HttpResponse:
    """Give the draft to the player."""
    return _changed(request, _plan(request, plan), actions.assign_plan)


@require_POST
def withdraw(request: HttpRequest, plan: uuid.UUID) -> HttpResponse:
    """Take a draft or an assigned week back."""
    return _changed(request, _plan(request, plan), actions.withdraw_plan)


@require_POST
def write_note(request: HttpRequest, plan: uuid.UUID) -> HttpResponse:
    """Set the draft's note."""
    found = _plan(request, plan)
    form = NoteForm(request.POST)
    if not form.is_valid():
        return _show_week(request, found.player, found.monday, note=form, status=422)
    note = form.cleaned_data["note"]
    return _changed(request, found, lambda plan: actions.write_note(plan=plan, note=note))


@require_POST
def set_logging(request: HttpRequest, plan: uuid.UUID) -> HttpResponse:
    """Change how much of a draft's block the player logs."""
    found = _plan(request, plan)
    form = LoggedBlockForm(request.POST)
    if not form.is_valid():
        fault = "What the player logs was not changed. Use the list beside the block."
        return _show_week(request, found.player, found.monday, fault=fault, status=422)
    chosen = {"block_id": form.cleaned_data["block"], "logging": form.cleaned_data["logging"]}
    return _changed(request, found, lambda plan: actions.set_logging(plan=plan, **chosen))


@require_POST
def move_block(request: HttpRequest, plan: uuid.UUID) -> HttpResponse:
    """Give a block another place in the week."""
    found = _plan(request, plan)
    form = MovedBlockForm(request.POST)
    if not form.is_valid():
        fault = "That block could not be moved. Use the buttons beside it."
        return _show_week(request, found.player, found.monday, fault=fault, status=422)
    where = {"block_id": form.cleaned_data["block"], "position": form.cleaned_data["position"]}
    return _changed(request, found, lambda plan: actions.move_block(plan=plan, **where))


@require_POST
def remove_block(request: HttpRequest, plan: uuid.UUID) -> HttpResponse:
    """Take a block out of the draft."""
    found = _plan(request, plan)
    form = ChosenBlockForm(request.POST)
    if not form.is_valid():
        fault = "That block could not be removed. Use the buttons beside it."
        return _show_week(request, found.player, found.monday, fault=fault, status=422)
    return _changed(request, found, lambda plan: actions.remove_block(plan=plan, block_id=form.cleaned_data["block"]))


def _block_form(player: Player, data: QueryDict) -> BlockForm:
    from analytics.reach import reach_of_bag

    bench = bench_of(player, data)
    return bench.form(data, reach_of_bag(player, full_swings=bench.full_swings(data)))


def _show_builder(
    request: HttpRequest,
    form: BlockForm,
    monday: date,
    preview: Preview | None,
    *,
    block: Block | None = None,
    status=0,
) -> HttpResponse:
    """Show the builder; a 409 says that what was seen before is no longer what would be drawn."""
    form_has_faults = form.is_bound and bool(form.errors)
    context = {
        "form": form,
        "bench": form.bench,
        "player": form.bench.player,
        "monday": monday,
        "preview": preview,
        "seen": SeenForm.of(preview.drawn, block and block.pk) if preview else None,
        # not "block": inside {% block %} that name is the template's own
        "redrawn": block,
        "no_reach": form.bench.at_targets and not any(bagged.reach for bagged in form.bag.values()),
        "changed": status == 409,
        "section": "players",
    }
    status = status or (422 if form_has_faults else 200)
    return render_page(request, "planner/builder.html", context, partial="builder", status=status)


@require_http_methods(["GET", "HEAD", "POST"])
def add_block(request: HttpRequest, player: uuid.UUID, monday: str) -> HttpResponse:
    """GET draws a block to look at, with a new seed each time; POST puts the block that was seen into the week."""
    found, day = _players_week(request, player, monday)
    if request.method != "POST":
        form = _block_form(found, request.GET)
        return _show_builder(request, form, day, preview_of(form, seed=new_seed()))
    form, seen = _block_form(found, request.POST), SeenForm(request.POST)
    preview = preview_of(form, seed=seen.seed_or_new())
    if preview is None or not seen.is_of(preview.drawn):
        return _show_builder(request, form, day, preview, status=409 if preview else 422)
    try:
        actions.add_block(
            player=found,
            monday=day,
            made_by=request.user,
            block_id=seen.cleaned_data["block"],
            recipe=form.recipe(),
            drawn=preview.drawn,
        )
    except ValidationError as fault:
        form.add_error(None, fault)
        return _show_builder(request, form, day, preview, status=422)
    return redirect(_week_address(found.pk, day))


def _as_asked(block: Block) -> QueryDict:
    """Return a stored block's recipe as the builder's form would send it."""
    data = QueryDict(mutable=True)
    beside = {"drill": str(block.drill_id or ""), "logging": block.logging, "asked": "1"}
    for name, value in (block.parameters | beside).items():
        if value is not False:
            data.setlist(name, value if isinstance(value, list) else [value])
    return data


@require_http_methods(["GET", "HEAD", "POST"])
def redraw_block(request: HttpRequest, block: uuid.UUID) -> HttpResponse:
    """GET draws a draft's block afresh to look at; POST puts what was seen in its place."""
    found = fetch_editable(Block.objects.select_related("plan__player__academy"), request.user, pk=block)
    plan = found.plan
    if not plan.is_draft:
        return _show_week(request, plan.player, plan.monday, fault=actions.FROZEN, status=409)
    if request.method != "POST":
        form = _block_form(plan.player, request.GET or _as_asked(found))
        return _show_builder(request, form, plan.monday, preview_of(form, seed=new_seed()), block=found)
    form, seen = _block_form(plan.player, request.POST), SeenForm(request.POST)
    preview = preview_of(form, seed=seen.seed_or_new())
    if preview is None or not seen.is_of(preview.drawn):
        return _show_builder(request, form, plan.monday, preview, block=found, status=409 if preview else 422)
    recipe, drawn = form.recipe(), preview.drawn
    return _changed(request, plan, lambda plan: actions.redraw_block(block=found, recipe=recipe, drawn=drawn))
