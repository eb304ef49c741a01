"""A coach, a player and a range, and what the page that suggests a week says and does for them."""

import html
import re
from datetime import timedelta

from django.test import Client
from django.urls import reverse
from django.utils import timezone

from practice.clubs.models import LoftReading
from practice.planner.models import Block
from practice.planner.weeks import WEEK, monday_of
from tests import make
from tests.analytics.stock_balls import hit

SWINGS = {"7:30": 0.6, "9:00": 0.75, "10:30": 0.9}


class Scene:
    """A coach, and a player with three wedges whose lofts are read and who hits a range with six flags."""

    def __init__(self):
        self.academy = make.make_academy()
        self.client = Client()
        self.client.force_login(make.make_staff(self.academy))
        self.player = make.make_player(self.academy)
        self.range = make.make_range(self.academy, (25.0, 35.0, 45.0, 55.0, 65.0, 75.0))
        self.clubs = [
            make.make_club(self.player, label, loft_deg=float(label), stated_full_m=full_m)
            for label, full_m in (("50", 95.0), ("54", 85.0), ("58", 75.0))
        ]
        for club in self.clubs:
            today = self.academy.today()
            LoftReading.objects.create(setup=club.setups.get(), loft_deg=float(club.label), measured_on=today)
        self.monday = monday_of(self.academy.today()) + WEEK  # next week, of which all days are left

    @property
    def address(self) -> str:
        return reverse("planner:suggest", args=[self.player.pk, self.monday.isoformat()])

    def strikes(self, *, fat: int = 0, clean: int = 40, days_ago: int = 10) -> None:
        """Balls at targets: so many fat, so many clean ones right on the number."""
        for contact, n in (("fat", fat), ("clean", clean)):
            for _ in range(n):
                self.ball(contact=contact, days_ago=days_ago)

    def ball(self, club=None, *, days_ago: int = 10, **values) -> None:
        hit_at = timezone.now() - timedelta(days=days_ago)
        known = {"target_m": 45.0, "carry_m": 45.0, "measured_by": "laser"}
        make.make_shot(club or self.clubs[0], self.range, hit_at=hit_at, **{**known, **values})

    def hit_stock_balls(self) -> None:
        for club, full_m in zip(self.clubs, (95.0, 85.0, 75.0), strict=True):
            for swing, share in SWINGS.items():
                hit(club, self.range, [full_m * share] * 3, swing=swing)

    def get(self, **asked):
        return self.client.get(self.address, {"balls": 100, "visits": 2} | asked if asked else {})

    def take(self, response=None, **asked):
        """Press the button of a page, the fields as it sends them."""
        page = (response or self.get(**asked)).content.decode()
        form = page[page.rindex("<form") :]
        fields = re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)"', form)
        return self.client.post(self.address, dict(fields))

    def blocks(self) -> list[Block]:
        return list(Block.objects.filter(plan__player=self.player, plan__state="draft").order_by("position"))


def words(response) -> str:
    text = re.sub(r"<[^>]+>", " ", response.content.decode())
    return " ".join(html.unescape(text).split())


def fresh_and_repeats(scene, fresh_m: float, **values) -> None:
    for days_ago in (9, 8, 7):
        for sign in (-1, 1, -1, 1, 1):
            scene.ball(days_ago=days_ago, fresh=False, carry_m=45.0 + 2 * sign)
            scene.ball(days_ago=days_ago, fresh=True, carry_m=45.0 + fresh_m * sign, **values)


def all_stages(scene) -> None:
    """Good strikes, tests, and fresh balls and a course hardly wider than repeats and the range."""
    scene.strikes()
    scene.hit_stock_balls()
    fresh_and_repeats(scene, fresh_m=2)
    for days_ago in (6, 5, 4):
        for sign in (-1, 1, -1, 1, 1):
            scene.ball(days_ago=days_ago, setting="course", carry_m=45.0 + 2 * sign)
