"""The printed sheet of a week as Chromium prints it: pages of A4, black on white, with everything on them."""

import re
from datetime import date
from pathlib import Path

import numpy as np
import pytest
from django.urls import reverse

from tests.browser.phone import Cast, sign_in
from tests.browser.printed import picture_of_first_page, read_a4
from tests.make import make_staff
from tests.practice.planner.sheets import TERMS, assign_every_kind

pytestmark = pytest.mark.django_db(transaction=True)

MONDAY = date(2026, 3, 2)


@pytest.fixture
def sheet(desk, live_server):
    """Return the sheet of a left-handed player's week with a block of every kind, on a coach's dark screen."""
    cast = Cast(handed="left")
    week = assign_every_kind(cast.player, cast.range, cast.clubs, monday=MONDAY, note="Slowly this week.")
    sign_in(desk, live_server, make_staff(cast.academy))
    page = desk.new_page()
    page.emulate_media(color_scheme="dark")
    page.goto(live_server.url + reverse("planner:sheet", args=[week.pk]))
    return page


@pytest.fixture
def printed(sheet, tmp_path) -> Path:
    path = tmp_path / "sheet.pdf"
    sheet.pdf(path=path, prefer_css_page_size=True, print_background=True)
    return path


def test_a_button_prints_it(sheet):
    sheet.evaluate("window.print = () => { document.title = 'printed'; }")
    sheet.get_by_role("button", name="Print").click()
    assert sheet.title() == "printed"


def test_a_week_is_printed_on_pages_of_a4_with_every_block_whole_on_one(printed):
    pages = read_a4(printed)
    assert len(pages) == 5
    on_page = {
        "Mixed targets": 0,
        "Strike check": 1,
        "Crossing round": 1,
        "Mixed targets, by eye": 2,
        "Carry test": 2,
        "Pick a spot": 3,
        "Turf brush": 3,
        "Smooth swing": 3,
        "Up and down": 4,
        "Bunker to the hole": 4,
        "Free practice": 4,
    }
    for title, n in on_page.items():
        assert re.search(rf"^([A-K] )?{title}$", pages[n], re.MULTILINE), title
    first = " ".join(pages[0].split())
    words = ("Robin Vale", "Week of 2 March to 8 March 2026", "110 balls", "Slowly this week.", "Take care")
    facts = "Tuesday 3 March · 20 balls · 40 minutes · off grass"
    terms = (value for value in TERMS.values() if isinstance(value, str))
    for told in (*words, facts, *terms, "7 of 10 within 10 %", "Page 1 of 5"):
        assert told in first
    rows = re.findall(r"^(\d+) (5[26]) by feel Flag (\d) (\d+) yd ± 5 SS S O L LL L M R$", pages[0], re.M)
    assert [int(n) for n, *_ in rows] == list(range(1, 21))
    # 40 and 60 m are 43.7 and 65.6 yd (1 yd = 0.9144 m exactly)
    assert {(flag, yards) for _, _, flag, yards in rows} == {("1", "44"), ("2", "66")}
    hidden = pages[2][pages[2].index("Mixed targets, by eye") : pages[2].index("Carry test")]
    assert "yd" not in hidden
    assert "±" not in hidden


def test_what_is_printed_is_black_on_white(printed):
    picture = picture_of_first_page(printed)
    assert (picture == picture[..., :1]).all(), "there is a colour on it"
    assert np.median(picture) == 255, "most of it is white paper"
    assert picture.min() < 100, "there is nothing on it"
