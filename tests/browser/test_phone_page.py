"""The player's phone page: a block logged ball by ball by touch, and what is then in the database."""

import re
from datetime import timedelta
from importlib import import_module

import pytest
from django.conf import settings
from django.contrib.auth import BACKEND_SESSION_KEY, HASH_SESSION_KEY, SESSION_KEY
from django.db import transaction
from django.utils import timezone
from playwright.sync_api import expect

from practice.accounts.models import Device
from practice.planner.models import Ball, Block, PlanState, WeekPlan
from practice.sessions.models import PainStop, Shot, ShotRevision, SkippedBall, Visit
from practice.venues.models import Bay, Target
from tests.browser.conftest import PHONE
from tests.make import make_academy, make_club, make_player, make_range

pytestmark = pytest.mark.django_db(transaction=True)

YARD_M = 0.9144  # exactly, by the international agreement of 1959 (NIST SP 811)


BLOCK = {
    "position": 1,
    "kind": "random_target",
    "title": "Mixed targets",
    "cautions": "Take care.",
    "seed": 1,
    "algorithm": "test",
    "inputs_sha256": "0" * 64,
}
AROUND = {"below_swing": "9:00", "below_carry_m": 48 * YARD_M, "above_swing": "10:30", "above_carry_m": 62 * YARD_M}


class Cast:
    """A player with two wedges, a range with two flags, and a plan with a block."""

    def __init__(self, **player):
        self.academy = make_academy()
        self.player = make_player(self.academy, "Robin Vale", signs_in=True, **player)
        self.clubs = [make_club(self.player, "52", loft_deg=52.0), make_club(self.player, "56")]
        self.range = make_range(self.academy, (40.0, 60.0))
        self.line = self.range.tee_lines.get()
        self.flags = list(self.line.targets.order_by("distance_m"))

    def assign(self, *asked, around: dict | None = None, **block) -> list[Ball]:
        """Assign a block of (club, flag or None) balls in this week and return its balls.

        `around` holds the stock swings either side, as fields of a ball.
        """
        today = timezone.now().date()
        with transaction.atomic():
            plan = WeekPlan.objects.create(player=self.player, monday=today - timedelta(days=today.weekday()))
            row = Block.objects.create(**BLOCK | {"plan": plan, "venue": self.range} | block)
            for n, (club, flag) in enumerate(asked, 1):
                Ball.objects.create(block=row, n=n, club=club, **self.aim(flag, **around or {}))
            WeekPlan.objects.filter(pk=plan.pk).update(state=PlanState.ASSIGNED, assigned_at=timezone.now())
        return list(row.balls.all())

    @staticmethod
    def aim(flag: Target | None, **around) -> dict:
        if flag is None:
            return {"swing": "9:00"}
        where = {"target_m": flag.distance_m, "direction_deg": flag.direction_deg}
        return {"swing": "feel", "target": flag, "target_name": flag.name, **where, **around}

    def mixed(self, n: int, **block) -> list[Ball]:
        """Assign n balls that change club and flag every time."""
        return self.assign(*((self.clubs[i % 2], self.flags[i % 2]) for i in range(n)), **block)

    def shots(self) -> list[Shot]:
        return list(Shot.objects.filter(player=self.player).order_by("running_number"))


def sign_in(context, live_server, user) -> None:
    """Sign a context in as a sign-in link would: a session that names its device, as a cookie."""
    device = Device.objects.create(user=user, label="Phone")
    session = import_module(settings.SESSION_ENGINE).SessionStore()
    session[SESSION_KEY] = str(user.pk)
    session[BACKEND_SESSION_KEY] = "django.contrib.auth.backends.ModelBackend"
    session[HASH_SESSION_KEY] = user.get_session_auth_hash()
    session["device"] = str(device.pk)
    session.save()
    cookie = {"name": settings.SESSION_COOKIE_NAME, "value": session.session_key, "url": live_server.url}
    context.add_cookies([cookie])


@pytest.fixture
def cast():
    return Cast()


@pytest.fixture
def open_play(live_server):
    """Return a function that signs a phone in and opens its page."""

    def open_play(context, user):
        sign_in(context, live_server, user)
        page = context.new_page()
        page.goto(f"{live_server.url}/play/")
        return page

    return open_play


def button(page, name):
    return page.get_by_role("button", name=name, exact=True)


def start_block(page, *, measured_by="by eye", bay=None, title="Mixed targets", choose=None):
    """Go from the plan through the visit to the first ball."""
    page.get_by_role("link", name="Start").tap()
    expect(page.get_by_role("heading", name="Where are you today?")).to_be_visible()
    page.get_by_text(measured_by, exact=True).tap()
    if bay:
        page.get_by_label("Bay").select_option(bay)
    if choose:
        choose(page)
    button(page, "Start").tap()
    expect(page.get_by_role("heading", name=title)).to_be_visible()
    button(page, "First ball").tap()
    expect_ball(page, 1)


def expect_ball(page, n):
    expect(page.get_by_role("heading", name=re.compile(rf"^Ball {n} of "))).to_be_visible()


def tap_ball(page, n, name):
    """Finish ball n by one tap; Playwright waits until the page takes taps again."""
    expect_ball(page, n)
    button(page, name).tap()


def expect_all_sent(page):
    expect(page.locator("#waiting")).to_have_text("0 waiting to send")


def test_a_block_of_mixed_results_is_stored_as_it_was_tapped(cast, phone, open_play):
    balls = cast.mixed(7)
    page = open_play(phone, cast.player.user)
    expect(page.get_by_text("0 of 7")).to_be_visible()
    start_block(page)

    tap_ball(page, 1, "5 long")
    tap_ball(page, 2, "10+ short, left")
    tap_ball(page, 3, "thin")
    tap_ball(page, 4, "not seen")
    expect_ball(page, 5)
    page.get_by_label("other club").select_option("56")
    expect(page.get_by_text("With the 56.")).to_be_visible()
    page.get_by_text("a little heavy", exact=True).tap()
    tap_ball(page, 5, "on it, right")
    tap_ball(page, 6, "skip")
    expect_ball(page, 7)
    page.get_by_text("Type it instead").tap()
    page.get_by_label("Carry, yd", exact=True).fill("41")
    page.get_by_label("Side, yd (left: minus)", exact=True).fill("-3")
    button(page, "Save").tap()

    expect(page.get_by_role("heading", name="Mixed targets: done")).to_be_visible()
    expect(page.get_by_text("6 balls hit; mishits: 1 thin; 1 skipped.")).to_be_visible()
    expect_all_sent(page)
    zone_m, step_m = 5 * YARD_M, YARD_M
    rows = [
        (shot.ball.n, shot.club.label, shot.carry_m, shot.lateral_m, shot.contact, shot.contact_note, shot.resolution_m)
        for shot in cast.shots()
    ]
    near, far = 40.0, 60.0
    assert rows == [
        (1, "52", pytest.approx(near + zone_m), 0, "", "", pytest.approx(zone_m)),
        (2, "56", pytest.approx(far - 2 * zone_m), pytest.approx(-zone_m), "", "", pytest.approx(zone_m)),
        (3, "52", None, None, "thin", "", None),
        (4, "56", None, None, "", "", None),
        (5, "56", pytest.approx(near), pytest.approx(zone_m), "clean", "heavy", pytest.approx(zone_m)),
        (7, "52", pytest.approx(41 * step_m), pytest.approx(-3 * step_m), "", "", pytest.approx(zone_m)),
    ]
    assert [shot.seen for shot in cast.shots()] == [True, True, True, False, True, True]
    assert {(shot.measured_by, shot.source, shot.number_shown, shot.swing) for shot in cast.shots()} == {
        ("eye", "phone", True, "feel")
    }
    assert SkippedBall.objects.get(player=cast.player).ball == balls[5]
    assert all(shot.visit == Visit.objects.get(player=cast.player) for shot in cast.shots())


def test_a_tap_on_the_picture_is_stored_with_its_precision_and_nudged_by_one(cast, phone, open_play):
    cast.mixed(2)
    page = open_play(phone, cast.player.user)
    start_block(page, measured_by="launch monitor")
    picture = page.get_by_role("img")
    box = picture.bounding_box()
    # The picture spans 40 yd and the cross is in its middle: a quarter up and an eighth right is 10 long, 5 right.
    picture.tap(position={"x": box["width"] * 5 / 8, "y": box["height"] / 4})
    expect_ball(page, 2)
    last = page.get_by_label("The last ball")
    target_yd = 40 / YARD_M
    expect(last).to_contain_text(f"{target_yd + 10:.0f} yd, 10 long, 5 right")
    last.get_by_role("button", name="Carry, yd: one less").tap()
    expect(last).to_contain_text(f"{target_yd + 9:.0f} yd, 9 long, 5 right")
    expect_all_sent(page)
    (shot,) = cast.shots()
    assert (shot.carry_m, shot.lateral_m) == pytest.approx((round(target_yd + 9) * YARD_M, 5 * YARD_M))
    tapped, nudged = ShotRevision.objects.filter(shot=shot).order_by("revision")
    # 15 px of thumb on a picture of 40 yd across some 360 px.
    assert tapped.values["resolution_m"] == pytest.approx(2 * YARD_M)
    assert nudged.values["resolution_m"] == pytest.approx(YARD_M)


def test_a_ball_is_fresh_when_its_club_or_target_differs_from_the_one_before(cast, phone, open_play):
    (wedge, sand), (near, far) = cast.clubs, cast.flags
    cast.assign((wedge, near), (wedge, near), (sand, near), (sand, far), (sand, far))
    page = open_play(phone, cast.player.user)
    start_block(page)
    for n in range(1, 6):
        tap_ball(page, n, "on it")
    expect(page.get_by_role("heading", name="Mixed targets: done")).to_be_visible()
    expect_all_sent(page)
    assert [shot.fresh for shot in cast.shots()] == [True, False, True, True, False]


def test_undo_brings_the_ball_back_and_leaves_a_deleted_row(cast, phone, open_play):
    cast.mixed(2)
    page = open_play(phone, cast.player.user)
    start_block(page)
    tap_ball(page, 1, "shank")
    expect_ball(page, 2)
    button(page, "Undo").tap()
    tap_ball(page, 1, "on it")
    tap_ball(page, 2, "skip")
    expect(page.get_by_role("heading", name="Mixed targets: done")).to_be_visible()
    button(page, "Undo").tap()
    tap_ball(page, 2, "on it")
    expect(page.get_by_role("heading", name="Mixed targets: done")).to_be_visible()
    expect_all_sent(page)
    undone, first, second = cast.shots()
    # The running number grew once for each: the undone shot carries that of its undoing.
    assert [(s.contact, s.deleted, s.revision) for s in (undone, first, second)] == [
        ("shank", True, 2),
        ("", False, 1),
        ("", False, 1),
    ]
    assert list(SkippedBall.objects.values_list("deleted", "revision")) == [(True, 2)]


def test_a_past_ball_is_corrected_and_keeps_its_time(cast, phone, open_play):
    cast.mixed(2)
    page = open_play(phone, cast.player.user)
    start_block(page)
    tap_ball(page, 1, "5 long")
    expect_ball(page, 2)
    expect_all_sent(page)
    hit_at = cast.shots()[0].hit_at
    # Loaded again: what is corrected now comes from the server, not from the page's memory.
    page.reload()
    page.get_by_role("link", name="Past balls").tap()
    page.get_by_role("link", name="1. 52 Flag 1").tap()
    expect(button(page, "5 long")).to_have_attribute("aria-pressed", "true")
    button(page, "5 short").tap()
    page.get_by_text("a little thin", exact=True).tap()
    button(page, "Save").tap()
    expect(page.get_by_role("heading", name="Past balls")).to_be_visible()
    expect(page.get_by_role("link", name="1. 52 Flag 1")).to_contain_text("5 short, a little thin")
    expect_all_sent(page)
    (shot,) = cast.shots()
    assert (shot.revision, shot.contact, shot.contact_note) == (2, "clean", "thin")
    assert shot.carry_m == pytest.approx(40 - 5 * YARD_M)
    assert abs(shot.hit_at - hit_at) < timedelta(milliseconds=1)
    page.get_by_role("link", name="1. 52 Flag 1").tap()
    button(page, "Delete this ball").tap()
    expect(page.get_by_text("Nothing hit yet.")).to_be_visible()
    expect_all_sent(page)
    assert cast.shots()[0].deleted


def test_a_double_tap_logs_one_shot(cast, phone, open_play):
    """Both taps happen in one task of the page, so the test does not depend on how fast the machine is."""
    cast.mixed(2)
    page = open_play(phone, cast.player.user)
    start_block(page)
    page.evaluate(
        """() => { for (let i = 0; i < 2; i++) document.querySelector('[aria-label="on it"]').click(); }""",
    )
    expect_ball(page, 2)
    # The second ball takes no tap either until the page has rested.
    page.evaluate("""() => document.querySelector('.entry[inert] [aria-label="on it"]')?.click()""")
    tap_ball(page, 2, "5 long")
    expect(page.get_by_role("heading", name="Mixed targets: done")).to_be_visible()
    expect_all_sent(page)
    assert [shot.ball.n for shot in cast.shots()] == [1, 2]


def test_a_hidden_number_stands_nowhere_on_the_page(cast, phone, open_play):
    cast.mixed(3, number_shown=False, around=AROUND)
    page = open_play(phone, cast.player.user)
    start_block(page)

    def told():
        """Return the page's markup without what has figures of its own: ids, counts, clubs, names of flags."""
        markup = page.locator("#page").evaluate("node => node.outerHTML")
        tags = r'</?h1|tabindex="-1"|(min|max)="-?\d+"|value="[0-9a-f-]{36}"'
        return re.sub(rf'{tags}|/block/[^"]*|Ball \d of \d|\b5[26]\b|Flag \d', "", markup)

    assert not re.search(r"\d", told())
    tap_ball(page, 1, "far long, left")
    expect_ball(page, 2)
    expect(page.get_by_label("The last ball")).to_contain_text("far long, left")
    assert not re.search(r"\d", told())
    page.get_by_role("link", name="Correct").tap()
    expect(button(page, "far long, left")).to_have_attribute("aria-pressed", "true")
    assert page.locator("input[type=number]").evaluate_all("inputs => inputs.map(input => input.value)")[0] == ""
    expect_all_sent(page)
    (shot,) = cast.shots()
    assert (shot.number_shown, shot.carry_m) == (False, pytest.approx(40 + 10 * YARD_M))


def test_a_ball_between_two_stock_swings_names_both(cast, phone, open_play):
    cast.assign((cast.clubs[0], cast.flags[1]), around=AROUND)
    page = open_play(phone, cast.player.user)
    start_block(page)
    expect(page.get_by_text("feel: between half 48 yd and three-quarter 62 yd")).to_be_visible()
    expect(page.get_by_role("heading", name="Ball 1 of 1 52 land it at Flag 2 66 yd")).to_be_visible()


def test_a_stock_ball_takes_a_typed_carry(cast, phone, open_play):
    cast.assign((cast.clubs[0], None), kind="carry_test", title="Carry test")
    page = open_play(phone, cast.player.user)
    start_block(page, measured_by="laser", title="Carry test")
    page.get_by_label("Carry, yd", exact=True).fill("82")
    button(page, "Save").tap()
    expect(page.get_by_role("heading", name="Carry test: done")).to_be_visible()
    expect_all_sent(page)
    (shot,) = cast.shots()
    assert (shot.swing, shot.target_m, shot.lateral_m, shot.number_shown) == ("9:00", None, None, None)
    assert shot.carry_m == pytest.approx(82 * YARD_M)


def test_a_target_at_an_unknown_distance_takes_short_or_long(cast, phone, open_play):
    cast.flags[0].distance_m = None
    cast.assign((cast.clubs[0], cast.flags[0]))
    page = open_play(phone, cast.player.user)
    start_block(page)
    tap_ball(page, 1, "5 short")
    expect(page.get_by_role("heading", name="Mixed targets: done")).to_be_visible()
    expect_all_sent(page)
    (shot,) = cast.shots()
    assert (shot.carry_m, shot.target_m, shot.error_m) == (None, None, pytest.approx(-5 * YARD_M))


def test_standing_behind_the_line_makes_every_target_further(cast, phone, open_play):
    cast.mixed(1)

    def behind(page):
        page.get_by_text("in front or behind", exact=True).tap()
        page.get_by_label("In front by, yd (behind: minus)", exact=True).fill("-10")

    page = open_play(phone, cast.player.user)
    start_block(page, choose=behind)
    # 40 m is 43.7 yd, and ten yards behind the line it is 53.7.
    expect(page.get_by_role("heading", name="Ball 1 of 1 52 land it at Flag 1 54 yd")).to_be_visible()
    tap_ball(page, 1, "on it")
    expect(page.get_by_role("heading", name="Mixed targets: done")).to_be_visible()
    expect_all_sent(page)
    assert cast.shots()[0].target_m == pytest.approx(40 + 10 * YARD_M)
    assert Visit.objects.get(player=cast.player).offset_m == pytest.approx(-10 * YARD_M)


def test_a_flag_outside_the_bays_arc_can_only_be_skipped(cast, phone, open_play):
    Bay.objects.create(tee_line=cast.line, name="Bay 1", arc_left_deg=-10, arc_right_deg=10)
    cast.flags[0].direction_deg = 20
    cast.mixed(2)
    page = open_play(phone, cast.player.user)
    start_block(page, bay="Bay 1")
    expect(page.get_by_text("This flag is outside your bay's arc: skip it.")).to_be_visible()
    expect(button(page, "on it")).to_have_count(0)
    button(page, "Skip this ball").tap()
    tap_ball(page, 2, "on it")
    expect(page.get_by_role("heading", name="Mixed targets: done")).to_be_visible()
    expect_all_sent(page)
    assert [shot.ball.n for shot in cast.shots()] == [2]


def test_something_hurts_closes_the_day_and_tells_the_coach(cast, phone, open_play):
    cast.mixed(2)
    page = open_play(phone, cast.player.user)
    start_block(page)
    button(page, "Something hurts: stop").tap()
    expect(page.get_by_role("heading", name="Stopped for today")).to_be_visible()
    expect(page.get_by_text("A physician or a qualified professional decides")).to_be_visible()
    expect_all_sent(page)
    assert PainStop.objects.get(player=cast.player).local_date == timezone.now().date()
    page.reload()
    expect(page.get_by_role("heading", name="Stopped for today")).to_be_visible()


def test_a_stop_tapped_by_mistake_is_taken_back(cast, phone, open_play):
    cast.mixed(2)
    page = open_play(phone, cast.player.user)
    start_block(page)
    button(page, "Something hurts: stop").tap()
    button(page, "Tapped by mistake: undo").tap()
    expect(page.get_by_text("0 of 2")).to_be_visible()
    expect_all_sent(page)
    assert PainStop.objects.get(player=cast.player).deleted


@pytest.mark.console_allows("status of 401", "status of 403")
def test_a_lapsed_sign_in_keeps_the_balls_and_sends_them_after_signing_in_again(cast, phone, open_play, live_server):
    cast.mixed(2)
    page = open_play(phone, cast.player.user)
    start_block(page)
    expect_all_sent(page)
    phone.clear_cookies()
    tap_ball(page, 1, "5 long")
    tap_ball(page, 2, "fat")
    expect(page.get_by_role("heading", name="Mixed targets: done")).to_be_visible()
    expect(page.get_by_text("Your sign-in has lapsed.")).to_be_visible()
    expect(page.locator("#waiting")).to_have_text("2 waiting to send")
    assert cast.shots() == []
    page.reload()
    expect(page.get_by_role("heading", name="Sign in again")).to_be_visible()
    expect(page.get_by_text("2 items logged on this phone are kept.")).to_be_visible()
    sign_in(phone, live_server, cast.player.user)
    page.reload()
    expect_all_sent(page)
    assert [(shot.ball.n, shot.contact) for shot in cast.shots()] == [(1, ""), (2, "fat")]


@pytest.mark.console_allows("status of 401", "status of 403")
def test_another_players_sign_in_neither_sends_nor_sees_what_waits(cast, phone, open_play, live_server):
    cast.mixed(2)
    page = open_play(phone, cast.player.user)
    start_block(page)
    expect_all_sent(page)
    phone.clear_cookies()
    tap_ball(page, 1, "5 long")
    expect(page.locator("#waiting")).to_have_text("1 waiting to send")
    other = make_player(cast.academy, signs_in=True)
    sign_in(phone, live_server, other.user)
    page.reload()
    expect(page.get_by_role("heading", name="This block is not in your plan now")).to_be_visible()
    page.get_by_role("link", name="Today's plan").first.tap()
    expect(page.get_by_role("heading", name=other.name)).to_be_visible()
    expect_all_sent(page)
    assert Shot.objects.count() == 0


@pytest.mark.console_allows("Failed to load resource")
def test_without_a_connection_the_balls_wait_and_go_out_when_it_is_back(cast, phone, open_play):
    cast.mixed(2)
    page = open_play(phone, cast.player.user)
    start_block(page)
    expect_all_sent(page)
    phone.set_offline(True)
    tap_ball(page, 1, "5 long")
    expect(page.get_by_text("No connection.")).to_be_visible()
    expect(page.locator("#waiting")).to_have_text("1 waiting to send")
    phone.set_offline(False)
    expect_all_sent(page)
    assert len(cast.shots()) == 1


def test_a_shot_that_the_server_refuses_stays_and_says_why(cast, phone, open_play):
    cast.mixed(1)
    page = open_play(phone, cast.player.user)
    start_block(page)
    # The coach takes the club away while the player stands over the ball.
    for ball in Ball.objects.all():
        ball.block.plan.delete()
    cast.clubs[0].delete()
    tap_ball(page, 1, "on it")
    expect(page.locator("#waiting")).to_have_text("0 waiting to send, 1 not taken")
    page.get_by_role("link", name="Today's plan").first.tap()
    expect(page.get_by_text("This club is not in your bag any more.")).to_be_visible()
    button(page, "Discard").tap()
    expect_all_sent(page)


def test_the_summary_says_what_three_balls_show_and_what_two_cannot(cast, phone, open_play):
    (wedge, sand), (near, _) = cast.clubs, cast.flags
    cast.assign((wedge, near), (wedge, near), (sand, near), (sand, near))
    page = open_play(phone, cast.player.user)
    start_block(page)
    tap_ball(page, 1, "5 long")
    tap_ball(page, 2, "10+ long")
    expect_ball(page, 3)
    page.get_by_role("link", name="Past balls").tap()
    page.evaluate("location.hash = location.hash.replace('/shots', '/summary')")
    expect(page.get_by_text("it takes 3 to say long or short")).to_be_visible()
    page.get_by_role("link", name="Go on").tap()
    tap_ball(page, 3, "on it")
    tap_ball(page, 4, "topped")
    # Errors of 5, 10 and 0 yd: mean 5, standard deviation with n - 1 also 5; the topped ball is left out.
    expect(page.get_by_text("You tend long by 5 yd; scatter 5 yd (3 balls).")).to_be_visible()
    expect(page.get_by_text("These are 4 balls: too few to prove anything.")).to_be_visible()


def test_the_block_can_be_logged_with_the_keyboard_alone(cast, desk, open_play):
    cast.mixed(2)
    page = open_play(desk, cast.player.user)

    def press(name, role="button"):
        """Tab to the control of that name, as someone without a pointer does, and press it."""
        target = page.get_by_role(role, name=name, exact=True)
        expect(target).to_be_visible()
        for _ in range(60):
            if target.evaluate("node => node === document.activeElement"):
                break
            page.keyboard.press("Tab")
        expect(target).to_be_focused()
        page.keyboard.press("Enter")

    press("Start", "link")
    press("Start")
    press("First ball")
    expect_ball(page, 1)
    expect(page.get_by_role("heading", name=re.compile("^Ball 1 of 2"))).to_be_focused()
    press("5 long, right")
    expect_ball(page, 2)
    expect(page.locator("#said")).to_have_text("Saved on this phone.")
    expect(page.locator(".entry[inert]")).to_have_count(0)
    press("fat")
    expect(page.get_by_role("heading", name="Mixed targets: done")).to_be_focused()
    expect_all_sent(page)
    assert [shot.contact for shot in cast.shots()] == ["", "fat"]


def test_a_left_hander_gets_the_buttons_the_other_way_round(phone, open_play):
    cast = Cast(handed="left")
    cast.mixed(2)
    page = open_play(phone, cast.player.user)
    start_block(page)
    fat, shank = (button(page, name).bounding_box()["x"] for name in ("fat", "shank"))
    assert shank < fat
    # Left of the target stays left: only the buttons change sides.
    left, right = (button(page, f"on it, {side}").bounding_box()["x"] for side in ("left", "right"))
    assert left < right


@pytest.mark.parametrize("size", [(320, 568), (390, 844), (844, 390)])
def test_every_control_is_big_enough_and_nothing_runs_off_the_side(cast, open_context, open_play, size):
    cast.mixed(3)
    page = open_play(open_context(**{**PHONE, "viewport": {"width": size[0], "height": size[1]}}), cast.player.user)

    def check():
        small = page.locator("button, .button, select, summary, .chip, .top a, input[type=number]").evaluate_all(
            """nodes => nodes.filter(node => node.checkVisibility())
                .map(node => [node.textContent, node.getBoundingClientRect()])
                .filter(([, box]) => Math.min(box.height, box.width) < 44).map(([text]) => text)"""
        )
        assert small == []
        assert page.evaluate("document.documentElement.scrollWidth") <= size[0]

    check()
    start_block(page, measured_by="laser")
    check()
    page.get_by_role("img").tap(position={"x": 60, "y": 60})
    expect_ball(page, 2)
    check()
    page.get_by_role("link", name="Correct").tap()
    expect(button(page, "Delete this ball")).to_be_visible()
    check()


def test_club_and_target_are_big_enough_to_read_from_two_metres(cast, phone, open_play):
    """Common practice, no source: letters of 5 arc minutes are just legible, so 2 m ask for 3 mm, some 19 CSS px.

    Twice that for sun and movement; capitals are about 0.7 of the font size, so 52 px would do for both.
    """
    cast.mixed(1)
    page = open_play(phone, cast.player.user)
    start_block(page)
    size = "node => parseFloat(getComputedStyle(node).fontSize)"
    assert page.locator(".club").evaluate(size) >= 80
    assert page.locator(".target").evaluate(size) >= 40


def test_a_player_of_metres_sees_and_enters_metres(phone, open_play):
    cast = Cast(distance_unit="m")
    cast.mixed(1)
    page = open_play(phone, cast.player.user)
    start_block(page)
    expect(page.get_by_role("heading", name="Ball 1 of 1 52 land it at Flag 1 40 m")).to_be_visible()
    tap_ball(page, 1, "5 long")
    expect(page.get_by_role("heading", name="Mixed targets: done")).to_be_visible()
    expect_all_sent(page)
    assert (cast.shots()[0].carry_m, cast.shots()[0].resolution_m) == (45, 5)


def test_the_page_has_the_colours_of_the_other_pages():
    """It repeats them so as to need one stylesheet only; this is what keeps the two from drifting apart."""
    tokens = re.compile(r"(--[\w-]+): (#[0-9a-f]{6});")
    ledger, play = (
        tokens.findall((settings.ROOT / "static" / path).read_text()) for path in ("ledger/ledger.css", "play/play.css")
    )
    assert len(play) == 20
    assert set(play) <= set(ledger)


def test_a_lasered_distance_takes_the_place_of_the_ranges_own(cast, phone, open_play):
    cast.mixed(2)

    def laser(page):
        page.get_by_text("lasered from here", exact=True).tap()
        page.get_by_label("Flag 1, yd", exact=True).fill("47")

    page = open_play(phone, cast.player.user)
    start_block(page, choose=laser)
    expect(page.get_by_role("heading", name="Ball 1 of 2 52 land it at Flag 1 47 yd")).to_be_visible()
    tap_ball(page, 1, "on it")
    # The other flag was not lasered: 60 m are 66 yd.
    expect(page.get_by_role("heading", name="Ball 2 of 2 56 land it at Flag 2 66 yd")).to_be_visible()
    expect_all_sent(page)
    assert cast.shots()[0].target_m == pytest.approx(47 * YARD_M)


def test_the_choices_of_a_visit_are_remembered_and_can_be_changed(cast, phone, open_play):
    cast.mixed(1)
    page = open_play(phone, cast.player.user)
    start_block(page, measured_by="laser")
    expect_all_sent(page)
    page.reload()
    page.get_by_role("link", name="Today's plan").first.tap()
    page.get_by_role("link", name="Change").tap()
    expect(page.get_by_role("radio", name="laser", exact=True)).to_be_checked()
    page.get_by_text("grass", exact=True).tap()
    button(page, "Start").tap()
    expect(page.get_by_text("0 of 1")).to_be_visible()
    expect_all_sent(page)
    visits = Visit.objects.filter(player=cast.player).order_by("running_number")
    assert [(visit.measured_by, visit.surface) for visit in visits] == [("laser", "mat"), ("laser", "grass")]


def test_an_empty_field_saves_nothing(cast, phone, open_play):
    cast.assign((cast.clubs[0], None), (cast.clubs[0], None), kind="carry_test", title="Carry test")
    page = open_play(phone, cast.player.user)
    start_block(page, measured_by="laser", title="Carry test")
    button(page, "Save").tap()
    expect(page.get_by_label("Carry, yd", exact=True)).to_be_focused()
    page.get_by_label("Carry, yd", exact=True).fill("0")
    button(page, "Save").tap()
    page.get_by_label("Carry, yd", exact=True).fill("80")
    button(page, "Save").tap()
    expect_ball(page, 2)
    expect_all_sent(page)
    assert [shot.carry_m for shot in cast.shots()] == [pytest.approx(80 * YARD_M)]


def test_running_numbers_grow_even_when_the_phone_lost_its_storage(cast, phone, open_play):
    cast.mixed(2)
    page = open_play(phone, cast.player.user)
    start_block(page)
    tap_ball(page, 1, "on it")
    expect_ball(page, 2)
    expect_all_sent(page)
    page.evaluate("localStorage.clear()")
    tap_ball(page, 2, "on it")
    expect(page.get_by_role("heading", name="Mixed targets: done")).to_be_visible()
    expect_all_sent(page)
    assert [shot.ball.n for shot in cast.shots()] == [1, 2]
    assert cast.shots()[0].running_number < cast.shots()[1].running_number


def test_two_academies_of_one_player_are_told_apart(cast, phone, open_play):
    cast.mixed(1)
    elsewhere = make_player(make_academy("Zenith"), "Robin at Zenith")
    elsewhere.user = cast.player.user
    elsewhere.save()
    page = open_play(phone, cast.player.user)
    page.get_by_label("Player").select_option(str(elsewhere.pk))
    expect(page.get_by_role("heading", name="Robin at Zenith")).to_be_visible()
    expect(page.get_by_text("Nothing is planned for you now.")).to_be_visible()
    page.get_by_label("Player").select_option(str(cast.player.pk))
    expect(page.get_by_text("0 of 1")).to_be_visible()


def luminance(colour: str) -> float:
    """Relative luminance of #rrggbb as WCAG 2.2 defines it."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    red, green, blue = (part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_every_text_has_a_contrast_of_seven_to_one(scheme):
    """WCAG 2.2, success criterion 1.4.6: (lighter + 0.05) / (darker + 0.05) of at least 7."""
    light, dark = (settings.ROOT / "static/play/play.css").read_text().split("prefers-color-scheme: dark", 1)
    token = dict(re.findall(r"--([\w-]+): (#[0-9a-f]{6});", light if scheme == "light" else dark))
    on_all = [(text, ground) for text in ("ink", "soft") for ground in ("paper", "card", "faint", "note")]
    on_some = [(text, ground) for text in ("act", "stop") for ground in ("paper", "card")]
    for text, ground in [*on_all, *on_some, ("act-ink", "act"), ("act", "note")]:
        bright, dim = sorted((luminance(token[text]), luminance(token[ground])), reverse=True)
        assert (bright + 0.05) / (dim + 0.05) >= 7, f"{text} on {ground}"
