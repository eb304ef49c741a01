"""Blocks of a draft: how they are changed from the week's page."""

import uuid
from collections.abc import Callable
from dataclasses import replace

from django import forms
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_POST

from practice.planner import actions
from practice.planner.marks import MARK
from practice.planner.models import Block, WeekPlan
from practice.planner.repeats import Asked, Benches, BlockRecipe, ask
from practice.planner.undo import lock_draft
from practice.planner.views.copies import bags_of
from practice.planner.views.weeks import changed, fetch_plan, show_week
from practice.planner.week_forms import ChosenBlockForm, MovedBlockForm, TermsForm


def _with_form(
    request: HttpRequest, plan: uuid.UUID, form: type[forms.Form], fault: str, change: Callable
) -> HttpResponse:
    """Change a plan by `change(plan=, ...)` with the fields of a form; one with faults stores nothing and is told."""
    found = fetch_plan(request, plan)
    sent = form(request.POST)
    if not sent.is_valid():
        return show_week(request, found.player, found.monday, fault=fault, status=422)
    return changed(request, found, lambda plan: change(plan=plan, **sent.cleaned_data))


def _block_of(plan: WeekPlan, block_id: uuid.UUID) -> Block | None:
    blocks = plan.blocks.select_related("plan__player__academy").prefetch_related("balls__club__setups")
    return blocks.filter(pk=block_id).first()


def _drawn_again(block: Block, recipe: BlockRecipe) -> Asked:
    """Draw a block's recipe, changed in something, from the same seed; raises ValidationError with the reasons."""
    player = block.plan.player
    bag = bags_of([player], [recipe])(recipe.parameters.get("full_swings", True))[player.pk]
    asked = ask(recipe, bench=Benches([player]).bench(recipe, player), bag=bag, seed=block.seed)
    if asked.drawn is None:
        raise ValidationError([f"“{block.title}” was not changed.", *asked.said])
    return asked


@require_POST
def move_block(request: HttpRequest, plan: uuid.UUID) -> HttpResponse:
    """Give a block another place in the week."""
    fault = "That block could not be moved. Use the buttons beside it."
    return _with_form(request, plan, MovedBlockForm, fault, actions.move_block)


@require_POST
def remove_block(request: HttpRequest, plan: uuid.UUID) -> HttpResponse:
    """Take a block out of the draft."""
    fault = "That block could not be removed. Use the buttons beside it."
    return _with_form(request, plan, ChosenBlockForm, fault, actions.remove_block)


@require_POST
def halve_block(request: HttpRequest, plan: uuid.UUID) -> HttpResponse:
    """Give a block of the draft half its balls."""
    fault = "That block could not be halved. Use the buttons beside it."
    return _with_form(request, plan, ChosenBlockForm, fault, _halve)


def _halve(*, plan: WeekPlan, block_id: uuid.UUID) -> None:
    """Draw half of a block's balls; nothing happens where the block is gone."""
    block = _block_of(lock_draft(plan), block_id)
    if block is None:
        return
    recipe = BlockRecipe.of(block)
    if block.kind == "check_day":
        raise ValidationError(
            f"“{block.title}” brings all the balls of an earlier block back, so it cannot be halved. Press “Swap or "
            "draw again” and choose a smaller block, or remove it."
        )
    if not recipe.has_size:
        raise ValidationError(f"“{block.title}” has no number of balls to halve. Leave out clubs or targets instead.")
    half = _drawn_again(block, recipe.sized(1 / 2))
    if half.balls >= block.balls_asked:
        raise ValidationError(f"“{block.title}” cannot be halved any more. Leave out clubs or targets, or remove it.")
    terms = {name: half.recipe.terms[name] for name in ("minutes", *MARK)}
    actions.set_terms(plan=plan, block_id=block_id, redrawn=(half.filled, half.drawn), **terms)


@require_POST
def set_terms(request: HttpRequest, plan: uuid.UUID) -> HttpResponse:
    """Change what is assigned with a block of the draft."""
    found = fetch_plan(request, plan)
    chosen = ChosenBlockForm(request.POST)
    if not chosen.is_valid():
        fault = "Nothing was changed. Use the form under the block."
        return show_week(request, found.player, found.monday, fault=fault, status=422)
    block = _block_of(found, chosen.cleaned_data["block_id"])
    if block is None or not found.is_draft:
        return changed(request, found, lambda plan: lock_draft(plan))
    form = TermsForm(request.POST, instance=block)
    if not form.is_valid():
        return show_week(request, found.player, found.monday, terms=form, status=422)
    return changed(request, found, lambda plan: _set_terms(plan, form))


def _set_terms(plan: WeekPlan, form: TermsForm) -> None:
    block, redrawn = form.instance, None
    if form.redraws:
        recipe = BlockRecipe.of(block)
        shown = form.cleaned_data["number_shown"]
        again = _drawn_again(block, replace(recipe, parameters=recipe.parameters | {"number_shown": shown}))
        redrawn = again.filled, again.drawn
    actions.set_terms(plan=plan, block_id=block.pk, redrawn=redrawn, **form.terms())
