"""The block builder: what is drawn is looked at, and what was seen goes into the week."""

import uuid
from datetime import date

from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods

from practice.accounts.access import fetch_editable
from practice.pages import render_page
from practice.planner import actions
from practice.planner.builder import Preview, as_sent, bench_of, preview_of
from practice.planner.forms import BlockForm, SeenForm, new_seed
from practice.planner.models import Block
from practice.planner.undo import FROZEN
from practice.planner.views.weeks import changed, players_week, show_week, week_address
from practice.players.models import Player


def _block_form(player: Player, data: QueryDict) -> BlockForm:
    from analytics.reach import reach_of_bag

    bench = bench_of(player, data)
    bag = reach_of_bag(player, full_swings=bench.full_swings(data))
    if data.get("weights") == "need":
        from analytics.needs import with_needs

        bag = with_needs(player, bag)
    return bench.form(data, bag)


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
    found, day = players_week(request, player, monday)
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
    return redirect(week_address(found.pk, day))


def _as_asked(block: Block) -> QueryDict:
    """Return a stored block's recipe as the builder's form would send it."""
    return as_sent(block.parameters, drill=str(block.drill_id or ""), logging=block.logging)


def _same_size(block: Block, form: BlockForm) -> dict:
    """Return what another drill's form starts with, so that it takes as many balls as the block it is swapped for."""
    field = form.fields.get("balls")
    return {"balls": min(max(block.balls_asked, field.min_value), field.max_value)} if field else {}


@require_http_methods(["GET", "HEAD", "POST"])
def redraw_block(request: HttpRequest, block: uuid.UUID) -> HttpResponse:
    """GET draws a draft's block afresh to look at; POST puts what was seen in its place."""
    found = fetch_editable(Block.objects.select_related("plan__player__academy"), request.user, pk=block)
    plan = found.plan
    if not plan.is_draft:
        return show_week(request, plan.player, plan.monday, fault=FROZEN, status=409)
    if request.method != "POST":
        form = _block_form(plan.player, request.GET or _as_asked(found))
        form.initial |= _same_size(found, form)
        return _show_builder(request, form, plan.monday, preview_of(form, seed=new_seed()), block=found)
    form, seen = _block_form(plan.player, request.POST), SeenForm(request.POST)
    preview = preview_of(form, seed=seen.seed_or_new())
    if preview is None or not seen.is_of(preview.drawn):
        return _show_builder(request, form, plan.monday, preview, block=found, status=409 if preview else 422)
    recipe, drawn = form.recipe(), preview.drawn
    return changed(request, plan, lambda plan: actions.redraw_block(block=found, recipe=recipe, drawn=drawn))
