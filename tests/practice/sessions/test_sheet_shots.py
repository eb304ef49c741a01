"""A sheet of shots typed in: what its cells become, what is refused, and that nothing is stored twice or by half."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from practice.planner import actions
from practice.planner.models import Ball, Block, WeekPlan
from practice.planner.sheet_codes import MISHITS, block_code
from practice.planner.weeks import monday_of
from practice.sessions.models import Shot, ShotRevision
from practice.sessions.sheet_shots import ShotsPaper
from practice.sessions.words import Contact
from practice.units import YARD_M
from practice.venues.models import Venue
from tests import make
from tests.practice.planner.plans import MONDAY

pytestmark = pytest.mark.django_db

GIVEN = {"day": "2026-03-04", "measured_by": "eye", "ball_type": "range", "surface": "mat"}


def block_of(week: WeekPlan, title: str = "Mixed targets") -> Block:
    return week.blocks.get(title=title)


def send(cast, block: Block, *, by: str = "player", follow: bool = False, **cells):
    """Send a sheet: `depth_3="s"` is the depth of ball 3; other names are those of the form."""
    typed = {name.replace("_", "-") if name[-1].isdigit() else name: told for name, told in cells.items()}
    address = reverse("practice_sessions:sheet", args=[cast.player.pk, block.pk])
    return cast.client(by).post(address, GIVEN | {"venue": block.venue_id or ""} | typed, follow=follow)


def shots() -> list[Shot]:
    return list(Shot.objects.select_related("ball", "session").order_by("ball__n"))


class TestWhatIsStored:
    def test_zones_are_stored_as_by_eye_at_the_size_that_the_phone_has_them(self, cast, week):
        block = block_of(week)
        answer = send(cast, block, depth_1="SS", side_1="L", depth_2="o", depth_3="ll", side_3="m")
        assert answer.status_code == 302
        first, second, third = shots()
        # ball 1 is at flag 2, 45 m: its zone is 5 yd (1 yd = 0.9144 m exactly)
        assert first.carry_m == pytest.approx(45 - 10 * YARD_M, abs=1e-9)
        assert first.lateral_m == pytest.approx(-5 * YARD_M, abs=1e-9)
        assert first.resolution_m == pytest.approx(5 * YARD_M, abs=1e-9)
        assert (first.measured_by, first.source, first.contact, first.seen) == ("eye", "sheet", "", True)
        # ball 2 is at flag 3, 60 m, and its side was not noted; ball 3 at flag 4, 75 m = 82 yd: its zone is 10 yd
        assert (second.carry_m, second.lateral_m) == (pytest.approx(60.0), None)
        assert third.carry_m == pytest.approx(75 + 20 * YARD_M, abs=1e-9)
        assert (third.lateral_m, third.resolution_m) == (0.0, pytest.approx(10 * YARD_M, abs=1e-9))

    def test_a_shot_says_what_was_asked_and_where_and_when_it_was(self, cast, week):
        block = block_of(week)
        send(cast, block, depth_1="o", depth_2="o")
        shot, after = shots()
        ball = block.balls.get(n=1)
        assert (shot.ball, shot.club, shot.swing, shot.target) == (ball, ball.club, ball.swing, ball.target)
        assert (shot.target_m, shot.target_name, shot.number_shown) == (ball.target_m, ball.target_name, True)
        assert (shot.fresh, after.fresh) == (True, True)
        assert (shot.ball_type, shot.surface, shot.session.venue) == ("range", "mat", block.venue)
        assert shot.session.local_date == date(2026, 3, 4)
        assert shot.hit_at == datetime(2026, 3, 4, 12, tzinfo=UTC)
        assert after.hit_at - shot.hit_at == timedelta(seconds=1)
        assert ShotRevision.objects.filter(made_by=cast.player.user).count() == 2

    def test_a_carry_as_a_number_is_in_the_players_unit_and_as_good_as_its_measurement(self, cast, week):
        send(cast, block_of(week), depth_1="47", side_1="-3,5", measured_by="monitor")
        (shot,) = shots()
        assert shot.carry_m == pytest.approx(47 * YARD_M, abs=1e-9)
        assert shot.lateral_m == pytest.approx(-3.5 * YARD_M, abs=1e-9)
        assert (shot.measured_by, shot.resolution_m) == ("monitor", pytest.approx(YARD_M))

    def test_letters_stay_by_eye_on_a_sheet_whose_numbers_were_measured(self, cast, week):
        send(cast, block_of(week), depth_1="s", depth_2="61", side_2="r", depth_3="50", measured_by="laser")
        eye, mixed, measured = shots()
        assert (eye.measured_by, eye.resolution_m) == ("eye", pytest.approx(5 * YARD_M))
        # a side in zones beside a measured carry: the shot is known no better than by zones
        assert (mixed.measured_by, mixed.resolution_m) == ("laser", pytest.approx(5 * YARD_M))
        assert (measured.measured_by, measured.resolution_m) == ("laser", pytest.approx(YARD_M))

    def test_mishits_and_balls_that_nobody_saw(self, cast, week):
        letters = {f"mishit_{n}": code for n, code in enumerate(MISHITS, 1)}
        send(cast, block_of(week), **letters, mishit_5="N", mishit_6="f", depth_6="ss")
        told = [(shot.contact, shot.seen, shot.carry_m is None) for shot in shots()]
        assert told == [
            ("fat", True, True),
            ("thin", True, True),
            ("topped", True, True),
            ("shank", True, True),
            ("", False, True),
            ("fat", True, False),
        ]
        assert {*MISHITS.values()} == {*Contact.values} - {"clean"}

    def test_a_stock_ball_has_a_carry_and_one_whose_through_did_not_match_is_no_stock_ball(self, cast, week):
        block = block_of(week, "Carry test")
        send(cast, block, depth_1="41", depth_2="40", match_2="x")
        first, second = shots()
        assert (first.target_m, first.swing, first.number_shown) == (None, "7:30", None)
        assert first.carry_m == pytest.approx(41 * YARD_M, abs=1e-9)
        assert second.swing == "feel"

    def test_a_spot_has_an_error_and_no_distance(self, cast, week):
        send(cast, block_of(week, "Pick a spot"), depth_1="l", side_1="r", depth_2="ss")
        first, second = shots()
        assert (first.target_m, first.carry_m, first.target_name) == (None, None, "your spot 1")
        assert (first.error_m, first.lateral_m) == (pytest.approx(5 * YARD_M), pytest.approx(5 * YARD_M))
        assert second.error_m == pytest.approx(-10 * YARD_M)
        assert (first.fresh, second.fresh) == (True, True)  # the spot is the same, the club another

    def test_balls_hit_today_are_in_order_and_not_in_the_future(self, cast, week):
        before = timezone.now()
        send(cast, block_of(week), depth_1="o", depth_2="o", depth_3="o", day=f"{before.date():%Y-%m-%d}")
        times = [shot.hit_at for shot in shots()]
        assert times == sorted(times)
        assert times[-1] <= timezone.now()

    def test_a_place_that_is_not_on_the_list_is_elsewhere(self, cast, week):
        send(cast, block_of(week), depth_1="o", venue="")
        assert shots()[0].session.venue == Venue.objects.elsewhere_of(cast.academy)

    def test_a_coach_may_type_it_in_and_is_named_with_the_shot(self, cast, week):
        send(cast, block_of(week), by="coach", depth_1="o")
        assert ShotRevision.objects.get().made_by == cast.coach


class TestWhatIsRefused:
    @pytest.mark.parametrize(
        ("cells", "told"),
        [
            ({"depth_2": "sx"}, "Ball 2, depth or carry</a>: “sx” cannot be read: type SS, S, O, L, LL, or the carry"),
            ({"depth_2": "999"}, "must be a number from 1 to 437 here"),
            ({"depth_2": "0"}, "must be a number from 1 to 437 here"),
            ({"depth_2": "1e3"}, "cannot be read"),
            ({"depth_2": "nan"}, "cannot be read"),
            ({"depth_2": "o", "side_2": "q"}, "“q” cannot be read: type L, M, R, or yards to the right"),
            ({"depth_2": "o", "side_2": "-900"}, "must be a number from -219 to 219 here"),
            ({"depth_2": "o", "mishit_2": "z"}, "“z” is none of these: F fat, T thin, P topped, S shank, N not seen"),
            ({"side_2": "l"}, "Ball 2, depth or carry</a> is empty: type SS"),
            ({"depth_2": "o", "mishit_2": "n"}, "nobody saw it, and there is a distance or side too: keep one"),
        ],
    )
    def test_a_bad_cell_is_told_with_its_row_and_what_to_type_and_nothing_is_stored(self, cast, week, cells, told):
        answer = send(cast, block_of(week), depth_1="s", side_1="r", **cells)
        page = answer.content.decode()
        assert answer.status_code == 422
        assert told in page
        assert shots() == []
        # what was typed is still there
        assert 'name="depth-1" value="s"' in page
        for name, typed in cells.items():
            assert f'name="{name.replace("_", "-")}" value="{typed}"' in page

    def test_every_bad_cell_of_the_grid_is_told_at_once(self, cast, week):
        page = send(cast, block_of(week), depth_1="?", side_4="!", depth_4="o", mishit_9="y").content.decode()
        assert "Correct 3 cells" in page
        assert page.count('aria-invalid="true"') == 3
        for cell in ("depth-1", "side-4", "mishit-9"):
            assert f'href="#{cell}"' in page
            assert f'aria-describedby="{cell}-told"' in page

    @pytest.mark.parametrize(
        ("block", "cells", "told"),
        [
            ("Carry test", {"depth_1": "o"}, "type the carry in yards"),
            ("Carry test", {"depth_1": "40", "match_1": "y"}, "is no mark here: type X, or nothing"),
            ("Pick a spot", {"depth_1": "47"}, "cannot be read: type SS, S, O, L, LL."),
        ],
    )
    def test_what_is_no_answer_of_its_kind_is_refused(self, cast, week, block, cells, told):
        answer = send(cast, block_of(week, block), **cells)
        assert answer.status_code == 422
        assert told in answer.content.decode()
        assert shots() == []

    @pytest.mark.parametrize(
        ("given", "told"),
        [
            ({"day": ""}, "Enter the day on which the balls were hit."),
            ({"day": "9999-01-01"}, "That day is still to come."),
            ({"day": "0026-03-04"}, "Enter the year in full"),
            ({"measured_by": "ear"}, "Select a valid choice"),
            ({"venue": "00000000-0000-0000-0000-000000000000"}, "That range is closed since."),
        ],
    )
    def test_a_wrong_day_or_place_keeps_the_grid(self, cast, week, given, told):
        answer = send(cast, block_of(week), depth_1="ss", **given)
        assert answer.status_code == 422
        assert told in answer.content.decode()
        assert 'name="depth-1" value="ss"' in answer.content.decode()
        assert shots() == []

    def test_an_empty_grid_says_so(self, cast, week):
        answer = send(cast, block_of(week))
        assert answer.status_code == 422
        assert "Nothing was typed." in answer.content.decode()

    def test_a_block_of_another_player_has_no_grid_here(self, cast, week):
        address = reverse("practice_sessions:sheet", args=[cast.team_mate.pk, block_of(week).pk])
        assert cast.client("coach").get(address).status_code == 404

    def test_cells_of_balls_that_are_not_noted_are_not_read(self, cast, week):
        block = block_of(week, "Mixed targets, by eye")
        page = cast.client("player").get(reverse("practice_sessions:sheet", args=[cast.player.pk, block.pk]))
        assert 'name="depth-3"' in page.content.decode()
        assert 'name="depth-2"' not in page.content.decode()
        assert send(cast, block, depth_2="o").status_code == 422
        assert shots() == []


class TestNothingTwice:
    def test_the_same_sheet_sent_twice_is_stored_once(self, cast, week):
        block = block_of(week)
        for _ in range(2):
            send(cast, block, depth_1="o", depth_2="s")
        assert len(shots()) == 2

    def test_a_ball_that_is_logged_is_shown_and_left_as_it_is(self, cast, week):
        block = block_of(week)
        send(cast, block, depth_1="ss")
        address = reverse("practice_sessions:sheet", args=[cast.player.pk, block.pk])
        page = cast.client("player").get(address).content.decode()
        assert 'name="depth-1"' not in page
        assert "logged: 39 yd" in page  # 45 m - 10 yd = 39.2 yd
        answer = send(cast, block, depth_1="ll", depth_2="o", follow=True)
        assert [round(shot.carry_m) for shot in shots()] == [36, 60]
        assert "1 row stored. 1 logged before, left as it was." in answer.content.decode()

    def test_a_ball_logged_on_the_phone_between_opening_and_sending_is_not_doubled(self, cast, week, monkeypatch):
        block = block_of(week)
        ball = block.balls.get(n=1)

        logged = ShotsPaper.logged

        def phone_was_quicker(paper):
            found = logged(paper)
            if not found:
                make.make_shot(ball.club, block.venue, source="phone", ball=ball)
            return found

        monkeypatch.setattr(ShotsPaper, "logged", phone_was_quicker)
        send(cast, block, depth_1="o", depth_2="o")
        assert [(shot.ball.n, shot.source) for shot in shots()] == [(1, "phone"), (2, "sheet")]

    def test_an_older_sheet_counts_for_the_week_as_it_was_edited_since_and_the_other_way_round(self, cast, week):
        old = block_of(week)
        plan = actions.start_next_version(player=cast.player, monday=MONDAY, made_by=cast.coach)
        actions.assign_plan(plan=plan)
        new = plan.blocks.get(title="Mixed targets")
        send(cast, old, depth_1="o")
        send(cast, new, depth_1="s", depth_2="s")
        send(cast, old, depth_2="o", depth_3="o")
        assert [(shot.ball.n, shot.ball.block_id) for shot in shots()] == [(1, old.pk), (2, new.pk), (3, old.pk)]

    def test_a_ball_whose_shot_was_undone_can_be_typed_in_again(self, cast, week):
        block = block_of(week)
        send(cast, block, depth_1="o")
        Shot.objects.update(deleted=True)
        send(cast, block, depth_1="s")
        assert Shot.objects.filter(deleted=False).count() == 1


class TestPages:
    def test_with_the_number_hidden_the_grid_tells_no_distance_not_even_of_what_is_logged(self, cast, week):
        block = block_of(week, "Mixed targets, by eye")
        send(cast, block, depth_3="ss", mishit_6="f")
        page = cast.client("player").get(reverse("practice_sessions:sheet", args=[cast.player.pk, block.pk]))
        grid = page.content.decode().split("<tbody>")[1]
        assert "yd" not in grid
        assert "logged: fat" in grid

    def test_a_code_leads_to_its_sheet_however_it_is_typed(self, cast, week):
        block, monday = block_of(week), monday_of(timezone.now().date())
        WeekPlan.objects.filter(pk=week.pk).update(monday=monday)
        address = reverse("practice_sessions:sheets", args=[cast.player.pk])
        answer = cast.client("player").get(address, {"code": f" {block_code(block.pk).lower()} "})
        assert answer.url == reverse("practice_sessions:sheet", args=[cast.player.pk, block.pk])
        unknown = cast.client("player").get(address, {"code": "ZZZZ"})
        assert "has the code ZZZZ" in unknown.content.decode()

    def test_the_list_holds_the_blocks_that_can_be_typed_in_and_how_far_they_are(self, cast, week):
        WeekPlan.objects.filter(pk=week.pk).update(monday=monday_of(timezone.now().date()))
        send(cast, block_of(week), depth_1="o", depth_2="o", mishit_3="f")
        page = cast.client("coach").get(reverse("practice_sessions:sheets", args=[cast.player.pk])).content.decode()
        titles = ("Mixed targets", "Mixed targets, by eye", "Carry test", "Pick a spot", "Strike check")
        assert all(f">{title}<" in page for title in titles)
        assert '<td class="number">20</td><td class="number">3</td>' in page

    def test_the_statements_of_the_grid_do_not_grow_with_what_is_logged(self, cast, week):
        counts, block = [], block_of(week)
        for cells in ({"depth_1": "o"}, {f"depth_{n}": "o" for n in range(2, 18)}):
            send(cast, block, **cells)
            client = cast.client("player")
            with CaptureQueriesContext(connection) as captured:
                client.get(reverse("practice_sessions:sheet", args=[cast.player.pk, block.pk]))
            counts.append(len(captured))
        assert counts[0] == counts[1]

    def test_the_statements_of_storing_do_not_grow_with_balls(self, cast, week):
        counts = []
        for cells in ({"depth_1": "o"}, {f"depth_{n}": "o" for n in range(2, 18)}):
            with CaptureQueriesContext(connection) as captured:
                send(cast, block_of(week), **cells)
            counts.append(len(captured))
        assert counts[1] <= counts[0]


def test_no_ball_is_stored_where_one_of_them_cannot_be(cast, week, monkeypatch):
    """The database refuses the second ball: the first is not stored either."""
    entry = ShotsPaper._entry

    def broken(paper, ball: Ball, values, *rest):
        return entry(paper, ball, replace(values, carry_m=-1.0) if ball.n == 2 else values, *rest)

    monkeypatch.setattr(ShotsPaper, "_entry", broken)
    with pytest.raises(Exception, match="shot_carry"):
        send(cast, block_of(week), depth_1="o", depth_2="o")
