"""The coach's analysis pages."""

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from practice.accounts.access import fetch_visible
from practice.pages import render_page
from practice.players.models import Player


@require_safe
def dashboard(request: HttpRequest, player) -> HttpResponse:
    """Show a player's distance control: every club and swing, and the trend of the one chosen."""
    from analytics.dashboard import player_dashboard

    found = fetch_visible(Player.objects.select_related("academy"), request.user, pk=player)
    shown = player_dashboard(found, request.GET.get("cell", ""))
    return render_page(request, "analytics/dashboard.html", {"dashboard": shown, "section": "players"}, partial="trend")
