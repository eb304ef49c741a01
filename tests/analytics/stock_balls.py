"""Stock balls for tests of the pages that are made of them."""

from datetime import timedelta

from django.utils import timezone

from tests import make


def hit(club, venue, carries_m, *, days_ago=10, **values):
    """Log a measured stock ball of range balls on grass for each carry; `values` may say otherwise."""
    hit_at = timezone.now() - timedelta(days=days_ago)
    known = {"target_m": None, "measured_by": "laser", "swing": "9:00", "ball_type": "range", "surface": "grass"}
    for carry_m in carries_m:
        make.make_shot(club, venue, hit_at=hit_at, **{**known, "carry_m": carry_m, **values})
