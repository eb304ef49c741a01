"""Blocks of a draft: how they are changed from the week's page."""

import uuid

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_POST

from practice.planner import actions
from practice.planner.forms import ChosenBlockForm, LoggedBlockForm, MovedBlockForm
from practice.planner.views.weeks import changed, fetch_plan, show_week


@require_POST
def set_logging(request: HttpRequest, plan: uuid.UUID) -> HttpResponse:
    """Change how much of a draft's block the player logs."""
    found = fetch_plan(request, plan)
    form = LoggedBlockForm(request.POST)
    if not form.is_valid():
        fault = "What the player logs was not changed. Use the list beside the block."
        return show_week(request, found.player, found.monday, fault=fault, status=422)
    chosen = {"block_id": form.cleaned_data["block"], "logging": form.cleaned_data["logging"]}
    return changed(request, found, lambda plan: actions.set_logging(plan=plan, **chosen))


@require_POST
def move_block(request: HttpRequest, plan: uuid.UUID) -> HttpResponse:
    """Give a block another place in the week."""
    found = fetch_plan(request, plan)
    form = MovedBlockForm(request.POST)
    if not form.is_valid():
        fault = "That block could not be moved. Use the buttons beside it."
        return show_week(request, found.player, found.monday, fault=fault, status=422)
    where = {"block_id": form.cleaned_data["block"], "position": form.cleaned_data["position"]}
    return changed(request, found, lambda plan: actions.move_block(plan=plan, **where))


@require_POST
def remove_block(request: HttpRequest, plan: uuid.UUID) -> HttpResponse:
    """Take a block out of the draft."""
    found = fetch_plan(request, plan)
    form = ChosenBlockForm(request.POST)
    if not form.is_valid():
        fault = "That block could not be removed. Use the buttons beside it."
        return show_week(request, found.player, found.monday, fault=fault, status=422)
    return changed(request, found, lambda plan: actions.remove_block(plan=plan, block_id=form.cleaned_data["block"]))
