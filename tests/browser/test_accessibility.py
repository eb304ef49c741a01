"""axe finds nothing to complain of on any page, and no page breaks the content policy.

The pages are those of the litany: a view with a row that answers GET is visited by each role that it lets in, and
what answers a POST with a page is posted to. The phone's pages are routes after the `#` of one address; they are
listed here, and a test finds a route that is not.
"""

import re
from dataclasses import dataclass, replace
from datetime import timedelta
from pathlib import Path

import pytest
from django.conf import settings
from django.urls import get_resolver, reverse
from django.utils import timezone
from playwright.sync_api import expect

from practice.accounts.actions import make_sign_in_link
from practice.accounts.models import Device, Role
from practice.clubs.models import ClubSetup, SetupReason
from practice.ids import uuid7
from practice.planner.actions import start_next_version
from practice.planner.weeks import monday_of
from practice.players.models import Player
from practice.sessions.demo import people
from practice.sessions.demo.load import load_demo
from practice.sessions.models import PainStop, Shot, Visit
from practice.venues.models import Bay
from tests import make
from tests.browser.axe import complaints_of_axe
from tests.browser.phone import Cast as PhoneCast
from tests.browser.phone import button, sign_in
from tests.practice.litany import Cast, Row, all_rows, nothing

pytestmark = pytest.mark.django_db(transaction=True)

ROWS = all_rows()
GETS = [row for row in ROWS if row.method == "get"]
POSTS = [row for row in ROWS if row.method == "post"]


# --- an academy with something on every page


@dataclass(frozen=True)
class House:
    """The demonstration with one player's season, and the litany's cast beside it."""

    cast: Cast
    parts: dict
    """What stands for each part of an address."""

    def address(self, view: str) -> str:
        """Return where the view is about somebody who has everything."""
        (possible,) = get_resolver(None).reverse_dict.getlist(view.split(":")[-1]) or [None]
        raise NotImplementedError
