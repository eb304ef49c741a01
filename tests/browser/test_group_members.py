"""Whom a coach's device holds: up to eight, told apart by name, with no network too; who goes leaves nothing behind."""

import re

import pytest
from django.utils import timezone
from playwright.sync_api import expect

from practice.sessions.models import Shot, Visit
from tests.browser.network import NO_NETWORK, connect, cut_off
from tests.browser.phone import button, expect_all_sent, expect_on_disk, on_disk, waiting
from tests.browser.squad import begin, expect_tiles, hold, log, tile
from tests.make import make_player

pytestmark = pytest.mark.django_db(transaction=True)


@NO_NETWORK
def test_the_group_its_visit_and_how_far_each_is_are_there_with_no_network_after_the_page_was_closed(
    two, phone, open_play, live_server
):
    squad, ada = two
    page = open_play(phone, squad.coach)
    begin(page, "Robin Vale", "Ada Lund")
    page.get_by_label("Which block?").select_option(label="all share: Ada's targets (Ada)")
    log(page, "Robin", "5 long")
    expect_all_sent(page)
    page.evaluate("navigator.serviceWorker.ready")
    cut_off(phone)
    log(page, "Robin", "5 short")
    log(page, "Ada", "fat")
    page.close()
    phone.set_offline(True)
    page = phone.new_page()
    page.goto(f"{live_server.url}/play/")
    expect_tiles(page)
    expect(tile(page, "Robin")).to_contain_text("Ball 3 of 3")
    expect(tile(page, "Ada")).to_contain_text("Ball 2 of 3")
    expect(page.locator("#waiting")).to_have_text("2 waiting to send")
    log(page, "Robin", "on it")
    expect(tile(page, "Robin")).to_contain_text("done")
    phone.set_offline(False)
    connect(phone)
    page.reload()
    expect_tiles(page)
    expect_all_sent(page)
    expect(tile(page, "Robin")).to_contain_text("done")
    assert Shot.objects.filter(player=squad.player).count() == 3
    assert [shot.ball.n for shot in ada.shots()] == [1]


def test_players_of_one_first_name_are_told_apart(squad, phone, open_play):
    for name in ("Ada Lund", "Ada Berg", "Ben Oke"):
        squad.add(name, ("56", 56.0))
    make_player(squad.academy, "Ben Oke", slug="ben-oke-2")
    page = open_play(phone, squad.coach)
    hold(page, "Ada Lund", "Ada Berg")
    button(page, "Start").tap()
    expect_tiles(page)
    expect(tile(page, "Ada Lund")).to_be_visible()
    expect(tile(page, "Ada Berg")).to_be_visible()
    page.get_by_role("link", name="Choose players").tap()
    for i in range(2):
        page.get_by_text("Ben Oke", exact=True).nth(i).tap()
    button(page, "Hold them on this device").tap()
    # Who comes later is on the visit of the others.
    expect(tile(page, "Ben Oke (1)")).to_be_visible()
    expect(tile(page, "Ben Oke (2)")).to_be_visible()
    expect_all_sent(page)
    assert Visit.objects.count() == 4


def test_eight_players_are_held_and_no_name_of_another_stays_on_the_device(squad, phone, open_play):
    names = [f"Player {letter}" for letter in "ABCDEFGHIJ"]
    for name in names:
        make_player(squad.academy, name)
    page = open_play(phone, squad.coach)
    for name in names[:8]:
        page.get_by_text(name, exact=True).tap()
    expect(page.get_by_text("8 of 8 chosen. To choose another, take somebody off.")).to_be_visible()
    expect(page.get_by_label("Player I")).to_be_disabled()
    button(page, "Hold them on this device").tap()
    expect(page.get_by_role("heading", name="Where are you today?")).to_be_visible()
    assert len(on_disk(page, "days")) == 8
    kept = str(on_disk(page, "days")) + str(on_disk(page, "kept"))
    assert "Player A" in kept
    assert not any(name in kept for name in ("Player I", "Player J", "Robin Vale"))


@NO_NETWORK
def test_who_is_taken_off_leaves_nothing_behind_once_all_of_theirs_is_sent(two, phone, open_play):
    squad, ada = two
    page = open_play(phone, squad.coach)
    begin(page, "Robin Vale", "Ada Lund")
    expect_all_sent(page)
    cut_off(phone)
    log(page, "Ada", "on it")
    page.get_by_role("link", name="Choose players").tap()
    page.get_by_text("Ada Lund", exact=True).tap()
    button(page, "Hold them on this device").tap()
    expect_tiles(page)
    expect(tile(page, "Ada")).to_have_count(0)
    assert len(on_disk(page, "days")) == 2
    connect(phone)
    page.reload()
    expect_all_sent(page)
    page.reload()
    expect_tiles(page)
    expect(page.get_by_text("for 1 player.")).to_be_visible()
    expect_on_disk(page, "days", lambda days: len(days) == 1)
    held = [*on_disk(page, "days"), *on_disk(page, "kept")]
    assert [row for row in held if "Ada" in str(row)] == []
    assert not any(item["player"] == str(ada.player.pk) for item in on_disk(page, "items"))
    assert len(ada.shots()) == 1


@pytest.mark.console_allows("status of 404", "status of 503")
def test_a_player_whom_the_coach_loses_is_held_no_longer_and_what_waits_for_them_still_goes_out(two, phone, open_play):
    squad, ada = two
    page = open_play(phone, squad.coach)
    begin(page, "Robin Vale", "Ada Lund")
    expect_all_sent(page)
    sync = re.compile("/sync/")
    phone.route(sync, lambda route: route.fulfill(status=503, json={"error": "resting"}))
    log(page, "Ada", "on it")
    log(page, "Robin", "on it")
    expect(waiting(page)).to_have_text("2 waiting to send")
    ada.player.archived_at = timezone.now()
    ada.player.save()
    page.reload()
    expect(page.get_by_text("for 1 player.")).to_be_visible()
    expect(tile(page, "Ada")).to_have_count(0)
    expect_on_disk(page, "days", lambda days: [day["player"] for day in days] == [str(squad.player.pk)])
    assert "Ada" not in str(on_disk(page, "kept"))
    expect(waiting(page)).to_have_text("2 waiting to send")
    phone.unroute(sync)
    page.reload()
    expect_all_sent(page)
    assert (len(squad.shots()), len(ada.shots())) == (1, 1)


@pytest.mark.console_allows("status of 404")
def test_who_is_a_coach_no_longer_holds_nobodys_day(two, phone, open_play):
    squad, _ = two
    page = open_play(phone, squad.coach)
    begin(page, "Robin Vale", "Ada Lund")
    expect_all_sent(page)
    squad.coach.memberships.all().delete()
    page.reload()
    expect(page.get_by_role("heading", name="Nobody to log for")).to_be_visible()
    expect_on_disk(page, "days", lambda days: days == [])
