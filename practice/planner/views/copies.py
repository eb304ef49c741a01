"""Weeks made from other weeks: copied from the one before, kept as a template, and drawn from a template again."""

import uuid
from collections.abc import Sequence
from datetime import date
from functools import partial

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST

from practice.accounts.access import fetch_editable
from practice.planner import giving
from practice.planner.forms import new_seed
from practice.planner.models import WeekPlan, WeekTemplate
from practice.planner.repeats import BlockRecipe, recipes_of
from practice.planner.views.weeks import fetch_plan, players_week, show_week, week_address
from practice.planner.week_forms import TemplateNameForm
from practice.planner.weeks import WEEK, monday_of
from practice.players.models import Player


def bags_of(players: Sequence[Player], recipes: Sequence[BlockRecipe]) -> giving.Bags:
    """Return what gives each player's bag, with full swings or without; with needs where a recipe shares by them."""
    from analytics.reach import reach_of_bags

    by_need = any(recipe.parameters.get("weights") == "need" for recipe in recipes)
    needs: dict[uuid.UUID, dict[str, float]] = {}

    def bags(full_swings: bool) -> dict:
        known = reach_of_bags(players, full_swings=full_swings)
        if not by_need:
            return known
        from analytics.needs import needs_of, with_known_needs

        # Once, though the bags are asked for twice: all shots are read and judged for it.
        if not needs:
            needs.update(needs_of({player: known[player.pk] for player in players}))
        return {player: with_known_needs(bag, needs[player]) for player, bag in known.items()}

    return bags


def _put_in(
    request: HttpRequest, player: Player, monday: date, recipes: Sequence[BlockRecipe], change: str
) -> HttpResponse:
    """Draw recipes for a player and put them into the draft; what cannot be hit is told and left out."""
    drawn = giving.draw_weeks(recipes, [player], monday=monday, bags=bags_of([player], recipes), seed=new_seed())
    asked = drawn[0].asked
    try:
        giving.add_asked(player=player, monday=monday, made_by=request.user, asked=asked, change=change)
    except ValidationError as fault:
        return show_week(request, player, monday, fault=" ".join(fault.messages), status=422)
    for each in asked:
        if each.drawn is None:
            messages.warning(request, f"“{each.recipe.title}” was left out: {' '.join(each.said)}")
    return redirect(week_address(player.pk, monday))


@require_POST
def copy_last_week(request: HttpRequest, player: uuid.UUID, monday: str) -> HttpResponse:
    """Put what was assigned in the week before into this week's draft, drawn anew."""
    found, day = players_week(request, player, monday)
    before = WeekPlan.objects.for_week(found, day - WEEK).assigned().first()
    if before is None:
        fault = "Nothing was assigned in the week before, so there is nothing to copy."
        return show_week(request, found, day, fault=fault, status=422)
    recipes = [recipe.a_week_on() for recipe in recipes_of(before)]
    return _put_in(request, found, day, recipes, "copying last week")


@require_POST
def use_template(request: HttpRequest, player: uuid.UUID, monday: str) -> HttpResponse:
    """Put the blocks of a template into this week's draft, with the player's own clubs."""
    found, day = players_week(request, player, monday)
    try:
        chosen = WeekTemplate.objects.filter(academy=found.academy_id, pk=request.POST.get("template", "")).first()
    except ValidationError:
        chosen = None
    if chosen is None:
        fault = "That template is not there any more. Choose one of the list."
        return show_week(request, found, day, fault=fault, status=422)
    return _put_in(request, found, day, giving.recipes_in(chosen), f"the template “{chosen}”")


@require_POST
def save_as_template(request: HttpRequest, plan: uuid.UUID) -> HttpResponse:
    """Keep a week's blocks as a template."""
    found = fetch_plan(request, plan)
    form = TemplateNameForm(request.POST)
    faulty = partial(show_week, request, found.player, found.monday, status=422)
    if not form.is_valid():
        return faulty(fault=" ".join(form.errors["name"]))
    try:
        template = giving.save_template(plan=found, name=form.cleaned_data["name"])
    except ValidationError as fault:
        return faulty(fault=" ".join(fault.messages))
    messages.success(request, f"The week is kept as the template “{template}”.")
    return redirect(week_address(found.player_id, found.monday))


@require_POST
def delete_template(request: HttpRequest, template: uuid.UUID) -> HttpResponse:
    """Delete a template; weeks that were made from it stay."""
    found = fetch_editable(WeekTemplate.objects.select_related("academy"), request.user, pk=template)
    found.delete()
    messages.success(request, f"The template “{found}” is deleted; weeks that were made from it stay.")
    return redirect("planner:squad", found.academy_id, monday_of(found.academy.today()).isoformat())
