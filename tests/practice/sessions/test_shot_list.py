"""The coach's list of a player's shots, and setting one aside."""

from datetime import UTC, datetime, timedelta

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from practice.accounts.models import Device
from practice.sessions.done import TOLD
from practice.sessions.models import BlockTally, Shot, TurfSwing
from practice.sessions.shot_list import SESSIONS_A_PAGE, shot_line, shot_pages
from practice.units import DistanceUnit
from tests import make
from tests.practice.sessions.plan import make_block
from tests.practice.sessions.sync.examples import item_of

NOON = datetime(2026, 5, 4, 12, tzinfo=UTC)


@pytest.fixture
def coach(stage) -> Client:
    client = Client()
    client.force_login(make.make_staff(stage.player.academy))
    return client


def address(stage, name: str = "shots", shot: Shot | None = None) -> str:
    return reverse(f"practice_sessions:{name}", args=[stage.player.pk, *([shot.uid] if shot else [])])


def line_of(stage, **values):
    return shot_line(make.make_shot(stage.club, stage.venue, **values), DistanceUnit.YARDS, at="12:00")


@pytest.mark.parametrize(
    ("values", "field", "words"),
    [
        # 1 yd = 0.9144 m exactly
        ({"target_m": 45.72, "target_name": "Flag 2"}, "target", "Flag 2 50 yd"),
        ({"target_m": None}, "target", "stock ball"),
        ({"target_m": None, "target_name": "Bunker", "carry_m": None, "error_m": -3.0}, "target", "Bunker"),
        ({"carry_m": 45.72}, "carry", "50 yd"),
        ({"carry_m": None, "target_m": None, "error_m": -4.572}, "carry", "5 yd short"),
        ({"carry_m": None, "seen": False}, "carry", "not seen"),
        ({"carry_m": None, "contact": "shank"}, "carry", "–"),
        ({"lateral_m": -1.8288}, "sideways", "-2 yd"),
        ({"contact": "fat"}, "contact", "fat"),
        ({"contact": "clean", "contact_note": "heavy"}, "contact", "a little heavy"),
        ({"contact": "clean"}, "contact", "clean"),
        ({}, "contact", ""),
        ({"contact": "fat", "surface": "grass"}, "contact", "fat"),
        ({"contact": "fat", "surface": "mat"}, "contact", "fat (on a mat, hard to tell)"),
        ({"contact": "thin", "surface": "mat"}, "contact", "thin"),
        ({"surface": "grass", "lie": "rough"}, "off", "grass, rough"),
        ({"surface": "sand", "lie": "sand"}, "off", "sand"),
        ({}, "off", ""),
        ({"measured_by": "laser"}, "measured", "laser"),
        ({"warm_up": True, "helped": True}, "notes", "warm-up, helped"),
        ({"swing": "9:00"}, "swing", "half (9:00)"),
    ],
)
def test_a_shot_is_told_in_words(stage, values, field, words):
    assert getattr(line_of(stage, **values), field) == words


def test_the_list_shows_sessions_newest_first_in_the_time_of_the_range(stage, coach):
    east = make.make_range(stage.player.academy, default=False, time_zone="Pacific/Auckland", name="East")
    make.make_shot(stage.club, stage.venue, hit_at=NOON - timedelta(days=2), target_name="Older")
    make.make_shot(stage.club, east, hit_at=NOON, target_name="First", setting="course", label="round 1")
    make.make_shot(
        stage.club, east, hit_at=NOON + timedelta(minutes=5), target_name="Second", setting="course", label="round 1"
    )
    page = coach.get(address(stage)).content.decode()
    assert page.index("Second") < page.index("First") < page.index("Older")
    assert "Tue 5 May 2026, East, on the course, round 1" in page
    assert "00:05" in page


def test_undone_shots_are_not_listed_and_an_empty_list_says_what_will_be_there(stage, coach):
    make.make_shot(stage.club, stage.venue, deleted=True)
    assert "No shots yet" in coach.get(address(stage)).content.decode()


def test_a_shot_is_set_aside_with_a_reason_and_taken_back_in_from_the_page_the_coach_was_on(stage, coach):
    shot = make.make_shot(stage.club, stage.venue)
    url = f"{address(stage, 'set_aside', shot)}?page=3"
    assert "Why does this shot not count?" in coach.get(url).content.decode()
    answer = coach.post(url, {"reason": " other bay "})
    assert answer.url == f"{address(stage)}?page=3#shot-{shot.uid}"
    assert Shot.objects.get().set_aside_reason == "other bay"
    page = coach.get(address(stage)).content.decode()
    assert "set aside" in page
    assert "other bay" in page
    # a browser sends again
    assert coach.post(url, {"reason": "other bay"}).status_code == 302
    for _ in range(2):
        assert coach.post(address(stage, "back_in", shot)).status_code == 302
    assert Shot.objects.live().exists()


@pytest.mark.parametrize("reason", ["", "   ", "x" * 201])
def test_without_a_fit_reason_the_form_comes_back(stage, coach, reason):
    shot = make.make_shot(stage.club, stage.venue)
    answer = coach.post(address(stage, "set_aside", shot), {"reason": reason})
    assert answer.status_code == 422
    assert "errorlist" in answer.content.decode()
    assert Shot.objects.live().exists()


def test_an_undone_shot_cannot_be_set_aside(stage, coach):
    shot = make.make_shot(stage.club, stage.venue, deleted=True)
    assert coach.get(address(stage, "set_aside", shot)).status_code == 404


def test_an_id_that_two_players_use_means_the_one_in_the_address(stage, coach):
    shot = make.make_shot(stage.club, stage.venue)
    mate = make.make_player(stage.player.academy)
    make.make_shot(make.make_club(mate), stage.venue, uid=shot.uid)
    coach.post(address(stage, "set_aside", shot), {"reason": "other bay"})
    assert Shot.objects.live().get().player == mate


def test_the_player_reads_the_list_and_is_offered_no_setting_aside(stage, coach):
    make.make_shot(stage.club, stage.venue)
    assert "Set aside" in coach.get(address(stage)).content.decode()
    own = stage.phone.client.get(address(stage)).content.decode()
    assert "56" in own
    assert "Set aside" not in own


def test_older_sessions_are_on_the_next_page(stage, coach):
    for n in range(SESSIONS_A_PAGE + 1):
        make.make_shot(stage.club, stage.venue, hit_at=NOON - timedelta(days=n), target_name=f"Session {n}")
    first, second = (coach.get(address(stage), {"page": n}).content.decode() for n in (1, 2))
    assert f"Session {SESSIONS_A_PAGE}" not in first
    assert "Older" in first
    assert f"Session {SESSIONS_A_PAGE}" in second
    assert "Newer" in second
    assert coach.get(address(stage), {"page": "nonsense"}).status_code == 200


def test_the_statements_do_not_grow_with_shots(stage, coach):
    def statements() -> int:
        with CaptureQueriesContext(connection) as captured:
            assert coach.get(address(stage)).status_code == 200
        return len(captured)

    make.make_shot(stage.club, stage.venue)
    few = statements()
    for n in range(12):
        club = make.make_club(stage.player, f"c{n}")
        make.make_shot(club, stage.venue, hit_at=NOON - timedelta(days=n // 4))
    assert statements() == few


def coach_phone(stage, name: str = "Kim Ash") -> Device:
    user = make.make_staff(stage.player.academy)
    type(user).objects.filter(pk=user.pk).update(name=name)
    return Device.objects.create(user=user, label="Phone")


def test_a_shot_says_who_entered_it_where_that_was_not_the_player(stage, coach):
    own, theirs = (
        make.make_shot(stage.club, stage.venue, device=device) for device in (stage.phone.device, coach_phone(stage))
    )
    imported = make.make_shot(stage.club, stage.venue)
    told = {line.uid: line.entered_by for line in shot_pages(stage.player, None)[1][0].lines}
    assert told == {own.uid: "", theirs.uid: "Kim Ash", imported.uid: ""}
    assert "entered by Kim Ash" in coach.get(address(stage)).content.decode()


def test_turf_work_is_counted_session_by_session(stage, coach):
    kinds = {
        ("clean", "brush"): 18,
        ("clean", "divot"): 2,
        ("thin", "none"): 3,
        ("thin", "divot"): 3,
        ("fat", "divot"): 4,
    }
    swings = [item_of(stage, "turf", {"contact": c, "ground": g}) for (c, g), n in kinds.items() for _ in range(n)]
    undone = item_of(stage, "turf", deleted=True)
    other_day = item_of(stage, "turf", at="2026-05-02T10:00:00Z")
    stage.phone.send(*swings, undone, other_day)
    later, earlier = shot_pages(stage.player, None)[1]
    assert later.swings == ["Turf: 30 swings, 20 clean, 6 thin, 4 fat; brushed 18, divot 9, no ground 3"]
    assert earlier.swings == ["Turf: 1 swing, 1 thin; no ground 1"]
    assert later.swings[0] in coach.get(address(stage)).content.decode()


def test_a_tally_is_told_and_said_to_be_from_memory(stage, coach):
    counts = {"balls": 20, "on": 11, "long": 4, "short": 3, "mishits": 1}
    all_seen = {"balls": 2, "on": 0, "long": 2, "short": 0, "mishits": 0}
    stage.phone.send(item_of(stage, "tally", counts), item_of(stage, "tally", all_seen))
    (session,) = shot_pages(stage.player, None)[1]
    assert session.counts == [
        "Mixed targets, at the end: 20 hit, 11 on, 4 long, 3 short, 1 mishit, 1 not seen",
        "Mixed targets, at the end: 2 hit, 2 long",
    ]
    page = coach.get(address(stage)).content.decode()
    assert session.counts[0] in page
    assert "Counted from memory at the end of a block. No figure mixes these with balls that were logged." in page
    assert "<table" not in page
    assert "No shots yet" not in page


def test_marks_smooth_swings_and_outcomes_are_told_session_by_session(stage, coach):
    answers = [{"made": 7}, {"best_run": 3}, {"yes": True}, {"yes": False}, {"leaves_m": [0.9144, 1.8288]}, {}]
    nothing = dict.fromkeys(("made", "best_run", "yes", "leaves_m"))
    outcomes = [item_of(stage, "outcome", nothing | answer) for answer in answers]
    outcomes.append(item_of(stage, "outcome", nothing | {"block": str(make_block(stage).pk), "balls": 5}))
    marks = [item_of(stage, "strike_mark") for _ in range(2)]
    swings = [item_of(stage, "swing"), item_of(stage, "swing", {"smooth": True})]
    undone = [item_of(stage, kind, deleted=True) for kind in ("strike_mark", "swing", "outcome")]
    stage.phone.send(*outcomes[:-1], *marks, *swings, *undone, outcomes[-1])
    beside, of_block = sorted(shot_pages(stage.player, None)[1], key=lambda session: -len(session.counts))
    assert beside.swings == ["Smooth swing: 1 of 2 swings smooth", "Strike: 2 marks with the 56"]
    assert beside.counts == [
        "Other balls: 10 hit, 7 made",
        "Other balls: 10 hit, best run 3",
        "Other balls: 10 hit, yes",
        "Other balls: 10 hit, no",
        "Other balls: 10 hit, 1.5 yd from the hole on average (2 balls)",
        "Other balls: 10 hit",
    ]
    assert of_block.counts == ["Mixed targets: 5 hit"]
    assert beside.counts[0] in coach.get(address(stage)).content.decode()


def test_without_a_tally_nothing_is_said_of_memory(stage, coach):
    make.make_shot(stage.club, stage.venue)
    assert "from memory" not in coach.get(address(stage)).content.decode()


def test_what_a_coach_counted_is_told_apart_from_what_the_player_did(stage):
    stage.phone.send(*(item_of(stage, kind) for kind in ("turf", "turf", "tally")))
    TurfSwing.objects.filter(pk=TurfSwing.objects.latest("pk").pk).update(device=coach_phone(stage))
    BlockTally.objects.update(device=coach_phone(stage, "Lee Moss"))
    stage.phone.send(item_of(stage, "tally"))
    for_elsewhere, on_range = sorted(
        shot_pages(stage.player, None)[1], key=lambda session: session.place != "Elsewhere"
    )
    assert for_elsewhere.swings == [
        "Turf: 1 swing, 1 thin; no ground 1",
        "Turf: 1 swing, 1 thin; no ground 1 (entered by Kim Ash)",
    ]
    assert [told.endswith(" (entered by Lee Moss)") for told in on_range.counts] == [True, False]


def test_the_statements_do_not_grow_with_turf_work_tallies_and_who_entered_them(stage, coach):
    def statements() -> int:
        with CaptureQueriesContext(connection) as captured:
            assert coach.get(address(stage)).status_code == 200
        return len(captured)

    def log(day: int) -> None:
        device = coach_phone(stage, f"Coach {day}")
        make.make_shot(stage.club, stage.venue, hit_at=NOON - timedelta(days=day), device=device)
        at = (NOON - timedelta(days=day)).isoformat()
        stage.phone.send(*(item_of(stage, kind, at=at) for kind in TOLD))
        BlockTally.objects.update(device=device)

    log(0)
    few = statements()
    for day in (0, 0, 1, 2):
        log(day)
    assert statements() == few
