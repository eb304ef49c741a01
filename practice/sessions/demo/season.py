"""One player's twelve weeks: plans assigned, visits made, shots stored."""

from datetime import UTC, date, datetime, timedelta
from random import Random
from zlib import crc32

from django.utils.text import slugify

from practice.accounts.models import Membership, Role, User
from practice.accounts.zones import zone
from practice.clubs.actions import review_bag
from practice.clubs.models import Club, ClubKind, ClubSetup, Grooves, SetupReason, StatedCarry
from practice.ids import uuid7
from practice.planner.actions import add_block, assign_plan, start_next_version
from practice.planner.generator import ClubOption, StockSwing
from practice.planner.models import Block, Logging
from practice.planner.recipes import BagClub, Recipe
from practice.players.models import Player
from practice.sessions.actions import store_in_sessions, store_shots
from practice.sessions.demo import people
from practice.sessions.demo.afternoon import Afternoon
from practice.sessions.demo.model import SWING_SHARES, WEEKS, Simulator, stock_carry_m
from practice.sessions.demo.people import Golfer
from practice.sessions.demo.stage import Stage
from practice.sessions.models import BlockTally, TurfSwing
from practice.sessions.values import SessionEntry, ShotEntry
from practice.sessions.words import Source
from practice.units import YARD_M

SECONDS_A_BALL = 45
READ_OFF_DEG = (0.0, -0.3, 0.8, 0.2)
"""By how much the readings of a review differ from the lofts held, club by club; the third is worth a word."""
COURSE_EVERY_WEEKS, COURSE_SHOTS = 3, 6
TEST_EVERY_WEEKS = 2
STRIKE_FROM_BALLS, EYE_CHECK_WEEK = 20, 4
BLOCK_BALLS, BLOCKS_A_WEEK = 20, 2


class Season:
    """Twelve weeks of one player."""

    def __init__(self, stage: Stage, golfer: Golfer):
        self.stage, self.golfer = stage, golfer
        self.random = Random(crc32(golfer.name.encode()))
        self.simulator = Simulator(golfer, self.random)
        self.player = self._player()
        self.clubs = self._bag()
        self._review()
        self.entries: list[ShotEntry] = []
        self.beside: dict[type, list[SessionEntry]] = {TurfSwing: [], BlockTally: []}

    def play(self) -> None:
        """Plan and play every week, then store all shots at once."""
        for week in range(WEEKS):
            self._week(week)
        received_at = max(entry.hit_at for entry in self.entries) + timedelta(minutes=5)
        store_shots(
            player=self.player,
            entries=self.entries,
            source=Source.PHONE,
            received_at=received_at,
            made_by=self.player.user,
        )
        for model, entries in self.beside.items():
            store_in_sessions(model=model, player=self.player, entries=entries, received_at=received_at)

    def _player(self) -> Player:
        golfer, academy = self.golfer, self.stage.academy
        user = None
        if golfer.email:
            user = User.objects.create_user(name=golfer.name, email=golfer.email, password=people.PASSWORD)
            Membership.objects.create(academy=academy, user=user, role=Role.PLAYER)
        return Player.objects.create(
            academy=academy,
            user=user,
            name=golfer.name,
            slug=slugify(golfer.name),
            handed=golfer.handed,
            is_junior=golfer.junior,
            consent_noted_on=date(2026, 2, 2) if golfer.junior else None,
            consent_note="signed form from a parent, in the office" if golfer.junior else "",
            daily_ball_limit=60 if golfer.junior else None,
        )

    def _bag(self) -> dict[str, Club]:
        for loft_deg in self.golfer.lofts_deg:
            club = Club.objects.create(player=self.player, label=f"{loft_deg:.0f}", **self._spots())
            ClubSetup.objects.create(club=club, loft_deg=loft_deg, bounce_deg=10.0)
            if loft_deg == 50.0:
                StatedCarry.objects.create(
                    club=club,
                    swing="full",
                    carry_m=round(stock_carry_m(self.golfer, loft_deg, "full") / YARD_M) * YARD_M,
                    stated_on=date(2026, 3, 2),
                    stated_by=self.stage.coach,
                )
        self._bend()
        putter = Club.objects.create(player=self.player, label="Putter", kind=ClubKind.PUTTER)
        ClubSetup.objects.create(club=putter)
        clubs = Club.objects.for_pitching().filter(player=self.player).with_setups().order_by("label")
        return {club.label: club for club in clubs}

    def _spots(self) -> dict:
        """Return where the sweet spot lies and which spot to hit, for those whose coach has looked: with an e-mail."""
        if not self.golfer.email:
            return {}
        sweet_spot = {"sweet_spot_low_high_mm": -1.0, "sweet_spot_heel_toe_mm": -4.0}
        return {**sweet_spot, "intended_low_high_mm": -7.0, "intended_heel_toe_mm": -2.0}

    def _bend(self) -> None:
        """Bend the third wedge two degrees stronger in the middle of the season."""
        if self.golfer.bent_in_week is None:
            return
        club = Club.objects.get(player=self.player, label=f"{self.golfer.lofts_deg[2]:.0f}")
        ClubSetup.objects.create(
            club=club,
            loft_deg=self.golfer.lofts_deg[2] - 2.0,
            bounce_deg=8.0,
            valid_from=self._monday(self.golfer.bent_in_week),
            reason=SetupReason.BENT,
        )

    def _review(self) -> None:
        """Let the coach read the lofts and look at the grooves, for those whose bags were looked through at all."""
        weeks_ago = self.golfer.bag_reviewed_weeks_ago
        if weeks_ago is None:
            return
        day = self.stage.monday - timedelta(weeks=weeks_ago)
        clubs = list(self.clubs.values())
        review_bag(
            player=self.player,
            today=day,
            by=self.stage.coach,
            lofts_deg={
                club: club.setup_on(day).loft_deg + off_deg for club, off_deg in zip(clubs, READ_OFF_DEG, strict=False)
            },
            grooves={clubs[0]: Grooves.FINE, clubs[-1]: Grooves.WORN},
            gaps_looked_at=True,
            notes="",
        )

    def _monday(self, week: int) -> date:
        return self.stage.monday - timedelta(weeks=WEEKS - 1 - week)

    def _week(self, week: int) -> None:
        blocks = self._plan(week)
        last = week == WEEKS - 1
        days = sorted(self.random.sample(range(7), self.golfer.visits_a_week))
        for visit, day in enumerate(days):
            # The current week is left for whoever tries the demonstration.
            if not last:
                self._visit(week, day, blocks[visit : visit + 1])
        if week % COURSE_EVERY_WEEKS == 1:
            self._round(week)

    def _plan(self, week: int) -> list[Block]:
        monday = self._monday(week)
        plan = start_next_version(player=self.player, monday=monday, made_by=self.stage.coach)
        blocks = [self._block(week, monday, number) for number in range(BLOCKS_A_WEEK)]
        assign_plan(plan=plan)
        return list(Block.objects.filter(pk__in=[block.pk for block in blocks]).order_by("position"))

    def _block(self, week: int, monday: date, number: int) -> Block:
        bag = [self._bagged(club, monday) for club in self.clubs.values()]
        reach = max(bagged.reach.longest_m for bagged in bag)
        targets = [target for target in self.stage.targets if target.distance_m <= reach]
        recipe = Recipe(
            drill=self.stage.drills["random_target"],
            clubs=bag,
            parameters={
                "balls": min(BLOCK_BALLS, self.golfer.balls_a_visit),
                "number_shown": (week + number) % 2 == 0,
                "full_swings": True,
                "clubs": [str(bagged.club.pk) for bagged in bag],
                "targets": [str(target.pk) for target in targets],
                "place": self.stage.place.code,
            },
            place=self.stage.place,
            targets=targets,
            logging=self._logging(week, number),
        )
        return add_block(
            player=self.player,
            monday=monday,
            made_by=self.stage.coach,
            block_id=uuid7(int(self.moment(monday, 0).timestamp() * 1000), self.random.getrandbits),
            recipe=recipe,
            drawn=recipe.draw(seed=self.random.getrandbits(31)),
        )

    def _logging(self, week: int, number: int) -> Logging:
        """Return how a block is logged: in the week that is left to try the last one every third ball."""
        if number < BLOCKS_A_WEEK - 1:
            return Logging.EVERY
        if week == WEEKS - 1:
            return Logging.THIRD
        return Logging.END if self._counts(week) else Logging.EVERY

    def _counts(self, week: int) -> bool:
        """Return whether this week has turf work and a block that is only counted: the last played of who signs in."""
        return self.golfer.email is not None and week == WEEKS - 2

    def _bagged(self, club: Club, day: date) -> BagClub:
        """Return a club with the reach that its tested stock carries give."""
        stock = [StockSwing(swing, self.stock_m(club, day, swing)) for swing in SWING_SHARES]
        carries = [swing.carry_m for swing in stock]
        return BagClub(club, ClubOption(club.label, 0.5 * min(carries), max(carries), tuple(stock)), "stock")

    def stock_m(self, club: Club, day: date, swing: str) -> float:
        return stock_carry_m(self.golfer, club.setup_on(day).loft_deg, swing)

    def moment(self, day: date, ball: int) -> datetime:
        noon = datetime(day.year, day.month, day.day, 16, tzinfo=zone(people.TIME_ZONE))
        return (noon + timedelta(seconds=SECONDS_A_BALL * ball)).astimezone(UTC)

    def _visit(self, week: int, weekday: int, blocks: list[Block]) -> None:
        day = self._monday(week) + timedelta(days=weekday)
        self.simulator.start_day()
        measured = self.random.random() < self.golfer.measured_share
        measured_by = self.random.choice(["monitor", "laser"]) if measured else "eye"
        at_range = Afternoon(self, week, day, measured_by)
        if self._counts(week):
            at_range.turf_work()
        at_range.warm_up()
        for block in blocks:
            hit = at_range.count if block.logging == Logging.END else at_range.answer
            hit(block)
        if measured and week % TEST_EVERY_WEEKS == 0:
            at_range.carry_test()
        elif measured and self.golfer.balls_a_visit > STRIKE_FROM_BALLS:
            at_range.strike_check()
        elif not measured and week == EYE_CHECK_WEEK:
            at_range.eye_check()
        at_range.mixed_until(self.golfer.balls_a_visit)
        self.entries += at_range.entries
        self.beside[TurfSwing] += at_range.turf
        self.beside[BlockTally] += at_range.tallies

    def _round(self, week: int) -> None:
        """Pitches during a round, logged afterwards, by the distance they finished from the hole."""
        day = self._monday(week) + timedelta(days=5)
        self.simulator.start_day()
        course = Afternoon(self, week, day, "laser", course=True)
        course.pitches(COURSE_SHOTS)
        self.entries += course.entries
