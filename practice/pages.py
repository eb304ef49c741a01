"""How every page of the coach's side is answered: whole, or as the named partial that htmx asked for."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render


def render_page(
    request: HttpRequest, template: str, context: dict, *, partial: str = "", status: int = 200
) -> HttpResponse:
    """Render a page; under htmx only its partial, whose name is also the id of the element it replaces.

    A form with faults is answered with status 422, which htmx is told to swap in.
    """
    if partial and request.htmx and not request.htmx.boosted:
        template = f"{template}#{partial}"
    return render(request, template, context, status=status)
