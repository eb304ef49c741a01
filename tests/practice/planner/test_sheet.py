"""What stands on the printed sheet of a week, and on which of them."""

import re
import uuid

import pytest
from django.urls import reverse
from django.utils import timezone

from analytics.metrics.strike import mark_on_picture
from analytics.pages.face_picture import face_picture
from practice.planner.models import Block, WeekPlan
from practice.planner.pages.sheet import sheet_of
from practice.planner.sheet_codes import ALPHABET, block_code, zone_m
from practice.planner.weeks import WEEK
from practice.players.models import Handed
from practice.units import YARD_M, DistanceUnit
from tests.practice.planner.plans import assign, equip, put_block


def blocks(week: WeekPlan) -> dict:
    return {shown.block.title: shown for shown in sheet_of(week).blocks}


@pytest.mark.django_db
class TestSheet:
    def test_blocks_with_a_day_come_first_and_each_has_a_letter(self, week):
        shown = sheet_of(week).blocks
        assert [(each.letter, each.block.title) for each in shown][:4] == [
            ("A", "Mixed targets"),
            ("B", "Strike check"),
            ("C", "Crossing round"),
            ("D", "Mixed targets, by eye"),
        ]

    def test_what_is_to_be_noted_follows_the_blocks_own_log(self, week):
        logs = {title: shown.log for title, shown in blocks(week).items()}
        assert logs == {
            "Mixed targets": "shots",
            "Mixed targets, by eye": "shots",
            "Crossing round": "counts",
            "Carry test": "shots",
            "Pick a spot": "shots",
            "Strike check": "strike",
            "Turf brush": "turf",
            "Smooth swing": "swing",
            "Up and down": "outcome",
            "Bunker to the hole": "outcome",
            "Free practice": "outcome",
        }

    def test_every_third_ball_and_the_last_are_noted_where_the_block_is_logged_so(self, week):
        rows = blocks(week)["Mixed targets, by eye"].rows
        assert [row.ball.n for row in rows if row.noted] == [3, 6, 9, 12]
        Block.objects.filter(title="Mixed targets, by eye").get().balls.filter(n__gt=10).delete()
        assert [row.ball.n for row in blocks(week)["Mixed targets, by eye"].rows if row.noted] == [3, 6, 9, 10]

    def test_with_the_number_hidden_neither_the_distance_nor_what_would_give_it_away_is_on_it(self, week):
        shown = blocks(week)["Mixed targets, by eye"]
        assert {(row.ball.distance, row.zone, tuple(row.ball.neighbours)) for row in shown.rows} == {("", "", ())}
        assert not shown.carries_told

    def test_a_number_of_cells_fits_the_table_of_each_kind(self, week):
        cells = {title: shown.cells for title, shown in blocks(week).items() if shown.log == "shots"}
        assert cells == {"Mixed targets": 10, "Mixed targets, by eye": 9, "Carry test": 6, "Pick a spot": 9}

    def test_a_strike_bucket_says_when_to_look_and_which_balls_are_the_check(self, week):
        plan = WeekPlan.objects.create(player=week.player, monday=week.monday + WEEK)
        Block.objects.create(
            plan=plan, position=1, kind="strike_bucket", title="Bucket", seed=1, parameters={"balls": 24}
        )
        assert blocks(plan)["Bucket"].facts[-1] == "look every 5th ball and before the last 5, the check"

    def test_what_was_taken_back_is_not_on_it(self, week):
        Block.objects.get(title="Carry test").withdraw(at=timezone.now())
        assert "Carry test" not in blocks(week)
        assert sheet_of(week).balls == 110 - 9

    def test_the_statements_do_not_grow_with_blocks(self, cast, week, django_assert_num_queries):
        week = WeekPlan.objects.select_related("player__academy").get(pk=week.pk)
        with django_assert_num_queries(2):
            sheet_of(week)

    def test_a_draft_has_no_sheet_and_a_player_sees_the_assigned_one(self, cast):
        clubs = equip(cast.player)[1]
        draft = put_block(cast.player, clubs).plan
        assert cast.client("coach").get(reverse("planner:sheet", args=[draft.pk])).status_code == 404
        plan = assign(cast.player, clubs)
        page = cast.client("player").get(reverse("planner:sheet", args=[plan.pk])).content.decode()
        assert block_code(plan.blocks.first().pk) in page

    @pytest.mark.parametrize("handed", Handed)
    def test_the_face_to_draw_on_is_the_one_of_the_strike_page(self, cast, week, handed):
        type(cast.player).objects.filter(pk=cast.player.pk).update(handed=handed)
        page = cast.client("coach").get(reverse("planner:sheet", args=[week.pk])).content.decode()
        [face] = re.findall(r"<svg[^>]*class=\"face\".*?</svg>", page, re.DOTALL)
        # it is drawn with the toe on the right, and turned over where that is wrong
        side = -1 if 'transform="scale(-1 1)"' in face else 1
        assert face_picture([], [], None, None, None, left_handed=True).outline in face
        _, toe_mm = mark_on_picture(0, 40, left_handed=handed == Handed.LEFT)
        assert side * 40 == toe_mm
        for word, on_side in (("toe", side), ("heel", -side)):
            [x] = re.findall(rf'<text x="(-?\d+)"[^>]*>{word}<', face)
            assert int(x) * on_side > 30
        # what a line is called is what is typed in of a mark on it
        for told, toe_mm in (("+30", 30), ("−10", -10)):
            high_mm, right_mm = mark_on_picture(20, toe_mm, left_handed=handed == Handed.LEFT)
            assert f'<text x="{right_mm:g}" y="25">{told}</text>' in face
            assert f'y="{-high_mm:g}" dy="1">+20</text>' in face

    def test_every_block_has_its_code_to_type_it_in(self, cast, week):
        page = cast.client("coach").get(reverse("planner:sheet", args=[week.pk])).content.decode()
        for block in week.blocks.all():
            assert f"</span> {block_code(block.pk)}</p>" in page, block.title


class TestCodes:
    def test_a_code_is_the_blocks_own_and_made_of_what_a_pencil_makes_unlike(self):
        ids = [uuid.UUID(int=n) for n in range(2000)]
        codes = [block_code(each) for each in ids]
        assert codes == [block_code(each) for each in ids]
        assert {len(code) for code in codes} == {4}
        assert {*"".join(codes)} == {*ALPHABET}
        assert not {*"01OISLUZ"} & {*ALPHABET}
        # 28 ** 4 codes: of 2000 ids about 3 pairs share one (birthday problem, n^2 / 2N = 3.25)
        assert len({*codes}) > 1985

    @pytest.mark.parametrize(
        ("distance", "zone"),
        # a tenth of the distance in steps of 5; two figures beside each step, by hand
        [(None, 5), (14.9, 2), (15, 5), (50, 5), (74.9, 5), (75, 10), (124.9, 10), (125, 15), (150, 15)],
    )
    def test_a_zone_is_a_tenth_of_the_distance_in_steps_of_five(self, distance, zone):
        for unit in DistanceUnit:
            target_m = None if distance is None else unit.to_m(distance)
            assert unit.from_m(zone_m(unit, target_m)) == pytest.approx(zone, abs=1e-9)

    def test_a_zone_is_told_in_the_players_unit(self):
        assert zone_m(DistanceUnit.YARDS, 50 * YARD_M) == 5 * YARD_M
        assert zone_m(DistanceUnit.METRES, 50.0) == 5.0
