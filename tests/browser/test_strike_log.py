"""Strike marks on the phone: tapped on one drawn face, typed, taken back, and what is then in the database."""

import re

import pytest
from playwright.sync_api import expect

from analytics.pages.face_picture import face_picture
from practice.drills.kinds import LOOK_EVERY
from practice.sessions.models import BlockOutcome, StrikeMark
from tests.browser.axe import axe_faults
from tests.browser.phone import Cast, button, expect_all_sent

pytestmark = pytest.mark.django_db(transaction=True)

WIDE, HIGH = 96, 76
"""Of the drawn face, in mm."""


def start(page, title):
    """Go from the plan through the visit and the block's first page to its log."""
    page.get_by_role("link", name="Start").tap()
    button(page, "Start").tap()
    expect(page.get_by_role("heading", name=title)).to_be_visible()
    button(page, "First ball").tap()


def tap_face(page, x_mm, y_mm, marks):
    """Tap the face so far to the right of its middle and down from it, and wait until it shows so many marks."""
    face = page.get_by_role("img")
    expect(face).to_be_visible()
    box = face.bounding_box()
    face.tap(position={"x": box["width"] * (x_mm / WIDE + 0.5), "y": box["height"] * (y_mm / HIGH + 0.5)})
    expect(page.locator(".face .mark")).to_have_count(marks)
    expect(page.locator(".entry[inert]")).to_have_count(0)


@pytest.mark.parametrize("handed", ["right", "left"])
def test_all_marks_are_tapped_on_one_face_which_a_left_hander_sees_mirrored(handed, phone, open_play):
    cast = Cast(handed=handed)
    wedge = cast.clubs[0]
    cast.assign(*[(wedge, None)] * 5, kind="strike_check", title="Strike check", parameters={"balls": 5})
    page = open_play(phone, cast.player.user)
    start(page, "Strike check")
    expect(page.get_by_role("heading")).to_contain_text("5 balls")
    expect(page.get_by_text("52, half (9:00)")).to_be_visible()
    drawn = face_picture([], [], None, None, None, left_handed=handed == "left").outline
    assert page.locator(".face path").get_attribute("d") == drawn
    expect(page.get_by_text("no spray")).to_have_count(0)
    expect(page.get_by_text(re.compile(r"A tap is good to about \d+ mm"))).to_be_visible()

    # To the left of the middle, which is where a right-hander's toe is, and above it.
    tap_face(page, -10, -5, 1)
    tap_face(page, 4, 6, 2)
    tap_face(page, 20, 20, 3)
    button(page, "Undo").tap()
    expect(page.locator(".face .mark")).to_have_count(2)
    page.get_by_text("Type a mark instead").tap()
    page.get_by_label("To the toe, mm (heel: minus)", exact=True).fill("3")
    page.get_by_label("High, mm (low: minus)", exact=True).fill("-2")
    button(page, "Save this mark").tap()
    expect(page.locator(".face .mark")).to_have_count(3)
    expect(page.get_by_label("The last one")).to_contain_text("3 mm to the toe, 2 mm low")
    assert axe_faults(page) == []

    page.reload()
    expect(page.locator(".face .mark")).to_have_count(3)
    button(page, "Done: 3 marks").tap()
    expect(page.get_by_role("heading", name="Strike check: done")).to_be_visible()
    expect(page.get_by_text("5 balls hit.")).to_be_visible()
    expect(page.get_by_text(re.compile(r"52: 3 marks, on average \d\.\d mm from your own centre"))).to_be_visible()
    assert axe_faults(page) == []
    expect_all_sent(page)
    toe = 1 if handed == "right" else -1
    marks = StrikeMark.objects.filter(deleted=False).order_by("pk")
    told = [(mark.heel_toe_mm, mark.low_high_mm, mark.club) for mark in marks]
    near = pytest.approx
    assert told == [
        (near(10 * toe, abs=1), near(5, abs=1), wedge),
        (near(-4 * toe, abs=1), near(-6, abs=1), wedge),
        (3, -2, wedge),
    ]
    assert marks[0].resolution_mm > marks[2].resolution_mm == 1
    assert BlockOutcome.objects.values_list("balls", "block__title").get() == (5, "Strike check")


def test_in_a_strike_bucket_the_mark_is_looked_at_every_fifth_ball_and_a_check_ends_it(cast, phone, open_play):
    cast.assign(*[(cast.clubs[0], None)] * 15, kind="strike_bucket", title="Strike bucket", parameters={"balls": 15})
    assert LOOK_EVERY == 5
    page = open_play(phone, cast.player.user)
    start(page, "Strike bucket")
    expect(page.get_by_role("heading")).to_contain_text("Balls 1 to 5 of 15")
    expect(button(page, re.compile("^Done"))).to_have_count(0)
    tap_face(page, 3, 3, 1)
    expect(page.get_by_role("heading")).to_contain_text("Balls 6 to 10 of 15")
    button(page, "No mark to be seen: go on").tap()
    expect(page.get_by_role("heading")).to_contain_text("The check: 5 balls")
    expect(page.locator(".face .mark")).to_have_count(0)
    page.reload()
    expect(page.get_by_role("heading")).to_contain_text("The check: 5 balls")
    tap_face(page, 1, 1, 1)
    tap_face(page, 2, 1, 2)
    button(page, "Done: 2 marks").tap()
    expect(page.get_by_text("15 balls hit.")).to_be_visible()
    expect_all_sent(page)
    assert StrikeMark.objects.count() == 3


@pytest.mark.parametrize(
    ("balls", "looks", "told"),
    [
        (16, ["Balls 1 to 5", "Balls 6 to 10", "Ball 11"], "Hit 1 ball, look at the mark and tap it."),
        (
            17,
            ["Balls 1 to 5", "Balls 6 to 10", "Balls 11 to 12"],
            "Hit 2 balls, look at the mark of the last and tap it.",
        ),
        (
            20,
            ["Balls 1 to 5", "Balls 6 to 10", "Balls 11 to 15"],
            "Hit 5 balls, look at the mark of the last and tap it.",
        ),
        (
            24,
            ["Balls 1 to 5", "Balls 6 to 10", "Balls 11 to 15", "Balls 16 to 19"],
            "Hit 4 balls, look at the mark of the last and tap it.",
        ),
    ],
)
def test_however_many_balls_a_strike_bucket_has_its_last_five_are_the_check(balls, looks, told, cast, phone, open_play):
    cast.assign(*[(cast.clubs[0], None)] * balls, kind="strike_bucket", title="Bucket", parameters={"balls": balls})
    page = open_play(phone, cast.player.user)
    start(page, "Bucket")
    for look in looks:
        expect(page.get_by_role("heading")).to_have_text(re.compile(rf"{look} of {balls}$"))
        if look == looks[-1]:
            expect(page.get_by_text(told)).to_be_visible()
        button(page, "No mark to be seen: go on").tap()
    expect(page.get_by_role("heading")).to_have_text(re.compile(rf"The check: {LOOK_EVERY} balls$"))
    expect(button(page, "No mark to be seen: go on")).to_have_count(0)


def test_the_face_fits_a_narrow_screen_and_the_form_serves_the_keyboard(cast, new_context, open_play):
    cast.player.is_junior = True
    cast.player.save()
    cast.assign((cast.clubs[0], None), kind="strike_check", title="Strike check", parameters={"balls": 5})
    narrow = new_context(viewport={"width": 320, "height": 640}, is_mobile=True, has_touch=True)
    page = open_play(narrow, cast.player.user)
    start(page, "Strike check")
    expect(page.get_by_role("img")).to_be_visible()
    expect(page.get_by_text("Marker or tape on the face: no spray.")).to_be_visible()
    assert page.evaluate("document.documentElement.scrollWidth") == 320
    page.get_by_text("Type a mark instead").focus()
    for key in ("Enter", "Tab", "4", "Tab", "Tab", "Tab", "6", "Tab", "Tab", "Tab", "Enter"):
        page.keyboard.press(key)
    expect(page.get_by_label("The last one")).to_contain_text("4 mm to the toe, 6 mm high")
