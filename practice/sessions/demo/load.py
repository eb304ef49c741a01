"""Loads the invented academy: people, bags, range, and twelve weeks of plans and shots."""

from datetime import date

from django.db import transaction

from practice.accounts.models import Academy
from practice.planner.weeks import monday_of
from practice.sessions.demo import people
from practice.sessions.demo.season import Season
from practice.sessions.demo.stage import set_stage


def load_demo(*, today: date) -> Academy:
    """Load the academy with its twelve weeks ending in the week of `today`; the same shots every time.

    Only the dates follow the calendar, so that there is always a current week to work in. Everything else comes from
    seeds made of the players' names.
    """
    with transaction.atomic():
        stage = set_stage(monday_of(today))
        for golfer in people.GOLFERS:
            Season(stage, golfer).play()
    return stage.academy
