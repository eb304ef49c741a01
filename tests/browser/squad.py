"""A coach's group as the browser tests use it: who is in it, and the taps that many tests share."""

import re

from playwright.sync_api import expect

from tests.browser.phone import Cast, button
from tests.make import make_club, make_player, make_staff


class Squad(Cast):
    """Robin Vale of the cast with a plan of five balls, and others of the academy with what a test gives them."""

    def __init__(self):
        super().__init__()
        self.coach = make_staff(self.academy)
        self.coach.name = "Kim Coach"
        self.coach.save()

    def add(self, name: str, *labels: tuple[str, float]) -> Cast:
        """Add a player with these clubs, as one for whom a plan can be assigned too."""
        each = Cast.__new__(Cast)
        each.academy, each.range, each.line, each.flags = self.academy, self.range, self.line, self.flags
        each.player = make_player(self.academy, name)
        each.clubs = [make_club(each.player, label, loft_deg=loft) for label, loft in labels]
        return each


def hold(page, *names):
    """Choose players of the squad, and go to where they hit."""
    expect(page.get_by_role("heading", name="Who is in the group?")).to_be_visible()
    for name in names:
        page.get_by_text(name, exact=True).tap()
    button(page, "Hold them on this device").tap()


def begin(page, *names):
    """Hold players and begin their visit."""
    hold(page, *names)
    expect(page.get_by_role("heading", name="Where are you today?")).to_be_visible()
    button(page, "Start").tap()
    expect_tiles(page)


def expect_tiles(page):
    expect(page.get_by_role("heading", name="Who hits?")).to_be_visible()


def tile(page, name):
    return page.get_by_role("link", name=re.compile(rf"^{re.escape(name)} "))


def log(page, name, result):
    """Tap the name, tap the result."""
    tile(page, name).tap()
    button(page, result).tap()
    expect_tiles(page)
