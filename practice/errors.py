"""Error pages that say what to do."""

from django.http import JsonResponse
from django.shortcuts import render


def csrf_failure(request, reason=""):
    """Answer a request whose form is too old: JSON to a script, a page to a person."""
    message = (
        "This page was open too long, or cookies are off. Allow cookies for this site, load the page again and repeat "
        "the last step; nothing was lost."
    )
    if request.headers.get("Accept", "").startswith("application/json"):
        return JsonResponse({"error": "csrf", "message": message}, status=403)
    return render(request, "403.html", {"exception": message}, status=403)
