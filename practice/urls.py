"""All addresses. Ids in them are UUIDs; what a user may not see is a 404."""

from django.urls import include, path

urlpatterns = [
    # First what is asked for most: addresses are tried in this order.
    path("", include("practice.sessions.urls")),
    path("", include("practice.accounts.urls")),
    path("", include("practice.players.urls")),
    path("", include("practice.clubs.urls")),
    path("", include("practice.venues.urls")),
    path("", include("practice.drills.urls")),
    path("", include("practice.planner.urls")),
    path("", include("analytics.urls")),
]
