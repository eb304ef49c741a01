"""The drill library: what blocks are made of. The staff reads and changes it; players get drills with their weeks."""

import uuid

from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from practice.accounts.access import fetch_editable
from practice.accounts.models import Academy
from practice.drills.forms import DrillForm, NewDrillForm
from practice.drills.kinds import KINDS
from practice.drills.models import Drill
from practice.drills.pages import shelf_of


def _staffed_academies(request: HttpRequest) -> list[Academy]:
    academies = list(request.user.staffed_academies())
    if not academies:
        raise PermissionDenied("Drills are written by the coaches.")
    return academies


def _show_form(request: HttpRequest, form: DrillForm, new: NewDrillForm | None = None) -> HttpResponse:
    context = {"form": form, "new": new, "kind": KINDS[form.instance.kind].title, "section": "drills"}
    return render(request, "drills/form.html", context, status=422 if request.method == "POST" else 200)


@require_safe
def drills(request: HttpRequest) -> HttpResponse:
    """List the drills of the user's academies."""
    shelves = [shelf_of(academy) for academy in _staffed_academies(request)]
    return render(request, "drills/drills.html", {"shelves": shelves, "section": "drills"})


@require_http_methods(["GET", "HEAD", "POST"])
def add(request: HttpRequest) -> HttpResponse:
    """Write a drill: one of the academy's own, or another of a kind that it has."""
    academies = _staffed_academies(request)
    new = NewDrillForm(request.POST or request.GET, academies=academies)
    if new.is_valid():
        form = DrillForm(request.POST or None, instance=new.drill())
    else:
        new = NewDrillForm({}, academies=academies)
        new.full_clean()
        form = DrillForm(None, instance=new.drill())
    if form.stored():
        return redirect("drills:drills")
    return _show_form(request, form, new)


@require_http_methods(["GET", "HEAD", "POST"])
def edit(request: HttpRequest, drill: uuid.UUID) -> HttpResponse:
    """Change a drill; blocks that follow it already keep their own copy of its words."""
    form = DrillForm(request.POST or None, instance=fetch_editable(Drill.objects.all(), request.user, pk=drill))
    if form.stored():
        return redirect("drills:drills")
    return _show_form(request, form)


@require_POST
def archive(request: HttpRequest, drill: uuid.UUID) -> HttpResponse:
    """Leave a drill out of new blocks; blocks of it stay."""
    return _archived(request, drill, at=timezone.now())


@require_POST
def restore(request: HttpRequest, drill: uuid.UUID) -> HttpResponse:
    """Offer an archived drill again."""
    return _archived(request, drill, at=None)


def _archived(request: HttpRequest, drill: uuid.UUID, *, at) -> HttpResponse:
    found = fetch_editable(Drill.objects.all(), request.user, pk=drill)
    found.archived_at = at
    found.save(update_fields=["archived_at"])
    return redirect("drills:drills")
