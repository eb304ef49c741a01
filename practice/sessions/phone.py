"""What a phone keeps so that the page opens with no signal: the shell, and the worker that keeps it."""

import re
from hashlib import sha256

from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.template.loader import render_to_string
from django.urls import reverse
from django.views.decorators.cache import cache_control
from django.views.decorators.http import require_safe

from practice.compress import compressed

ASSET = re.compile(rf'="({settings.STATIC_URL}[^"]+)"')


def shell_text() -> str:
    """Return the page before anything is known of who opens it."""
    return render_to_string("sessions/play.html")


@login_not_required  # the same for everybody and without any data, so that a phone can open it with no signal
@compressed
@cache_control(no_cache=True)
@require_safe
def shell(request: HttpRequest) -> HttpResponse:
    return HttpResponse(shell_text())


@login_not_required  # the browser looks for a newer one by itself, whoever is signed in
@compressed
@cache_control(no_cache=True)
@require_safe
def worker(request: HttpRequest) -> HttpResponse:
    """The script of the service worker. It stands at the root so that it may answer for "/" too."""
    text = shell_text()
    context = {
        "shell": reverse("practice_sessions:shell"),
        "assets": ASSET.findall(text),
        # The shell names its assets by hashes of what is in them: a change in any of them is a change in it.
        "version": sha256(text.encode()).hexdigest()[:16],
    }
    return render(request, "sessions/worker.js", context, content_type="text/javascript")
