"""Ranges: players of the academy read them, the staff changes them."""

import uuid

from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from practice.accounts.access import fetch_editable, fetch_visible
from practice.venues import actions, pages
from practice.venues.forms import NewVenueForm, TeeLineForm, VenueForm
from practice.venues.models import Bay, Target, TeeLine, Venue

VENUES = Venue.objects.select_related("academy")
LINES = TeeLine.objects.select_related("venue__academy")


def _show_venue(request: HttpRequest, venue: Venue, *, sent=None, status: int = 200) -> HttpResponse:
    editable = Venue.objects.editable_by(request.user).filter(pk=venue.pk).exists()
    page = pages.venue_page(venue, editable=editable, sent=sent)
    context = {"page": page, "editable": editable, "section": "venues"}
    return render(request, "venues/venue.html", context, status=status)


def _show_form(request: HttpRequest, form, title: str, venue: Venue | None = None) -> HttpResponse:
    context = {"form": form, "title": title, "venue": venue, "section": "venues"}
    return render(request, "venues/form.html", context, status=422 if request.method == "POST" else 200)


@require_safe
def venues(request: HttpRequest) -> HttpResponse:
    """List the ranges of the user's academies."""
    found = VENUES.visible_to(request.user).in_use().exclude(slug=Venue.ELSEWHERE)
    context = {"venues": list(found), "may_add": request.user.coaches, "section": "venues"}
    return render(request, "venues/venues.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
def add(request: HttpRequest) -> HttpResponse:
    """Add a range with its first tee line."""
    academies = list(request.user.staffed_academies())
    if not academies:
        raise PermissionDenied("Ranges are entered by the coaches.")
    form = NewVenueForm(request.POST or None, academies=academies)
    if form.is_bound and form.is_valid():
        venue = actions.add_venue(**form.cleaned_data)
        return redirect("venues:venue", venue.pk)
    return _show_form(request, form, "Add a range")


@require_safe
def venue(request: HttpRequest, venue: uuid.UUID) -> HttpResponse:
    """Show one range: its tee lines, bays and targets."""
    return _show_venue(request, fetch_visible(VENUES, request.user, pk=venue))


@require_http_methods(["GET", "HEAD", "POST"])
def edit(request: HttpRequest, venue: uuid.UUID) -> HttpResponse:
    """Change a range's name, clock, or whether it is the usual one."""
    found = fetch_editable(VENUES, request.user, pk=venue)
    siblings = Venue.objects.filter(academy=found.academy_id)
    form = VenueForm(request.POST or None, instance=found, siblings=siblings)
    if form.is_bound and form.is_valid():
        actions.change_venue(venue=form.instance, is_default=form.cleaned_data["is_default"])
        return redirect("venues:venue", found.pk)
    return _show_form(request, form, "Change the range", found)


@require_POST
def add_line(request: HttpRequest, venue: uuid.UUID) -> HttpResponse:
    """Add a tee line."""
    found = fetch_editable(VENUES, request.user, pk=venue)
    return _added(request, pages.line_form(found, request.POST), found)


@require_POST
def add_bay(request: HttpRequest, line: uuid.UUID) -> HttpResponse:
    """Add a bay to a tee line."""
    found = fetch_editable(LINES, request.user, pk=line)
    return _added(request, pages.bay_form(found, request.POST), found.venue)


@require_POST
def add_target(request: HttpRequest, line: uuid.UUID) -> HttpResponse:
    """Add a target to a tee line."""
    found = fetch_editable(LINES, request.user, pk=line)
    return _added(request, pages.target_form(found, request.POST), found.venue)


def _added(request: HttpRequest, form, venue: Venue) -> HttpResponse:
    if not form.is_valid():
        return _show_venue(request, venue, sent=form, status=422)
    form.save()
    return redirect("venues:venue", venue.pk)


@require_http_methods(["GET", "HEAD", "POST"])
def line(request: HttpRequest, line: uuid.UUID) -> HttpResponse:
    """Rename a tee line."""
    found = fetch_editable(LINES, request.user, pk=line)
    form = TeeLineForm(request.POST or None, instance=found, siblings=found.venue.tee_lines.all())
    return _changed(request, form, "Rename the tee line", found.venue)


@require_http_methods(["GET", "HEAD", "POST"])
def bay(request: HttpRequest, bay: uuid.UUID) -> HttpResponse:
    """Change a bay."""
    found = fetch_editable(Bay.objects.select_related("tee_line__venue__academy"), request.user, pk=bay)
    form = pages.bay_form(found.tee_line, request.POST or None, bay=found)
    return _changed(request, form, "Change the bay", found.tee_line.venue)


def _fetch_target(request: HttpRequest, target: uuid.UUID) -> Target:
    return fetch_editable(Target.objects.select_related("tee_line__venue__academy"), request.user, pk=target)


@require_http_methods(["GET", "HEAD", "POST"])
def target(request: HttpRequest, target: uuid.UUID) -> HttpResponse:
    """Change a target; blocks that were assigned keep the distance they were drawn with."""
    found = _fetch_target(request, target)
    form = pages.target_form(found.tee_line, request.POST or None, target=found)
    return _changed(request, form, "Change the target", found.tee_line.venue)


def _changed(request: HttpRequest, form, title: str, venue: Venue) -> HttpResponse:
    if form.is_bound and form.is_valid():
        form.save()
        return redirect("venues:venue", venue.pk)
    return _show_form(request, form, title, venue)


@require_POST
def archive_target(request: HttpRequest, target: uuid.UUID) -> HttpResponse:
    """Leave a target out of new blocks; what was hit at it stays."""
    return _archived(request, target, at=timezone.now())


@require_POST
def restore_target(request: HttpRequest, target: uuid.UUID) -> HttpResponse:
    """Offer an archived target again."""
    return _archived(request, target, at=None)


def _archived(request: HttpRequest, target: uuid.UUID, *, at) -> HttpResponse:
    found = _fetch_target(request, target)
    found.archived_at = at
    found.save(update_fields=["archived_at"])
    return redirect("venues:venue", found.tee_line.venue_id)
