"""One visit of one player: its balls, drawn in the order they are hit."""

from collections import Counter
from datetime import date

from practice.clubs.models import Club
from practice.clubs.swings import FEEL
from practice.ids import uuid7
from practice.planner.models import Ball, Block
from practice.sessions.demo.model import SWING_SHARES
from practice.sessions.models import EyeGuess, Visit
from practice.sessions.values import SessionEntry, ShotEntry
from practice.sessions.words import Stand
from practice.units import YARD_M

WARM_UP_BALLS = 4
TEST_BALLS_EACH = 2
STRIKE_BALLS = 8
GRASS_SHARE = 0.3
EYE_GUESSES = 10
TURF_SWINGS = 12


class Afternoon:
    """One visit of one player: draws its balls in the order they are hit."""

    def __init__(self, season, week: int, day: date, measured_by: str, *, course: bool = False):
        self.season, self.week, self.day, self.measured_by, self.course = season, week, day, measured_by, course
        self.random, self.simulator = season.random, season.simulator
        self.wind, self.wind_from = self.random.choice(
            [("calm", ""), ("calm", ""), ("breeze", "ahead"), ("breeze", "left"), ("windy", "behind")]
        )
        self.on_grass = course or self.random.random() < GRASS_SHARE
        self.entries: list[ShotEntry] = []
        self.turf: list[SessionEntry] = []
        self.tallies: list[SessionEntry] = []
        self.last: tuple | None = None
        self.visit = self._visit_row()

    def _visit_row(self) -> Visit:
        stage, started_at = self.season.stage, self.season.moment(self.day, 0)
        return Visit.objects.create(
            player=self.season.player,
            uid=uuid7(int(started_at.timestamp() * 1000), self.random.getrandbits),
            venue=stage.course if self.course else stage.place.venue,
            tee_line=None if self.course else stage.place.tee_line,
            started_at=started_at,
            setting="course" if self.course else "range",
            stand=Stand.LASERED if self.course else Stand.LINE,
            measured_by=self.measured_by,
            received_at=started_at,
            **self._conditions(),
        )

    def _conditions(self) -> dict:
        return {
            "ball_type": "own" if self.on_grass else "range",
            "surface": "grass" if self.on_grass else "mat",
            "wind": self.wind,
            "wind_from": self.wind_from,
        }

    def _hit(self, club: Club, swing: str, aim_m: float, *, target=None, target_m=None, ball=None, **values) -> None:
        hit = self.simulator.hit(club=club.label, swing=swing, aim_m=aim_m, week=self.week, course=self.course)
        hit_at = self.season.moment(self.day, len(self.entries))
        fresh = (club.pk, target_m) != self.last
        self.last = (club.pk, target_m)
        recorded = self.simulator.record(
            hit,
            measured_by=self.measured_by,
            target_m=target_m,
            swing=swing,
            target_name=target.name if target else "",
            elevation_m=target.elevation_m if target else None,
            fresh=fresh,
            **self._conditions(),
            **values,
        )
        self.entries.append(
            ShotEntry(
                uid=uuid7(int(hit_at.timestamp() * 1000), self.random.getrandbits),
                hit_at=hit_at,
                club=club,
                venue=self.visit.venue,
                setting=self.visit.setting,
                values=recorded,
                ball=ball,
                target=target,
                visit=self.visit,
                phone_at=hit_at,
                clock_offset_ms=0,
            )
        )

    def warm_up(self) -> None:
        """A few easy balls that are load and scored nowhere."""
        club = self.random.choice(list(self.season.clubs.values()))
        for _ in range(min(WARM_UP_BALLS, self.season.golfer.balls_a_visit // 3)):
            self._hit(club, "9:00", self.season.stock_m(club, self.day, "9:00"), warm_up=True)

    def answer(self, block: Block) -> None:
        """Hit a block of the plan, ball by ball."""
        clubs = {club.pk: club for club in self.season.clubs.values()}
        for ball in block.balls.select_related("target"):
            self._hit(
                clubs[ball.club_id],
                ball.swing,
                ball.target_m,
                target=ball.target,
                target_m=ball.target_m,
                ball=ball,
                number_shown=block.number_shown,
            )

    def count(self, block: Block) -> None:
        """Hit a block of which only counts are kept, from memory."""
        counts = Counter(self._remembered(ball) for ball in block.balls.all())
        told = {name: counts[name] for name in ("on", "long", "short", "mishits")}
        self.tallies.append(self._beside(len(self.entries), block=block, balls=counts.total(), **told))

    def _remembered(self, ball: Ball) -> str:
        hit = self.simulator.hit(club=ball.club.label, swing=ball.swing, aim_m=ball.target_m, week=self.week)
        return self.simulator.remembered(hit, ball.target_m)

    def turf_work(self) -> None:
        """A few swings over the turf before the first ball."""
        club = self.random.choice(list(self.season.clubs.values()))
        for n in range(TURF_SWINGS):
            contact, ground = self.simulator.turf_swing()
            met = {"contact": contact, "ground": ground, "surface": "grass"}
            self.turf.append(self._beside(n - TURF_SWINGS, block=None, club=club, **met))

    def _beside(self, ball: int, **values) -> SessionEntry:
        """Return what was done on this visit beside the shots, at the time of a ball."""
        done_at = self.season.moment(self.day, ball)
        return SessionEntry(
            uid=uuid7(int(done_at.timestamp() * 1000), self.random.getrandbits),
            venue=self.visit.venue,
            setting=self.visit.setting,
            label=self.visit.label,
            values=values | {"visit": self.visit, "done_at": done_at},
            phone_at=done_at,
        )

    def carry_test(self) -> None:
        """Stock balls: every club with every swing, to no target."""
        for club in self.season.clubs.values():
            for swing in SWING_SHARES:
                for _ in range(TEST_BALLS_EACH):
                    self._hit(club, swing, self.season.stock_m(club, self.day, swing))

    def strike_check(self) -> None:
        """A few balls of one swing with spray on the face, each mark noted."""
        club = self.random.choice(list(self.season.clubs.values()))
        for _ in range(STRIKE_BALLS):
            low_high_mm, heel_toe_mm = self.simulator.mark(self.week)
            marks = {"strike_low_high_mm": round(low_high_mm), "strike_heel_toe_mm": round(heel_toe_mm)}
            self._hit(club, "9:00", self.season.stock_m(club, self.day, "9:00"), **marks)

    def eye_check(self) -> None:
        """Ten distances guessed, then lasered."""
        for n, target in enumerate(self.random.choices(self.season.stage.targets, k=EYE_GUESSES)):
            guessed_at = self.season.moment(self.day, -EYE_GUESSES + n)
            EyeGuess.objects.create(
                player=self.season.player,
                uid=uuid7(int(guessed_at.timestamp() * 1000), self.random.getrandbits),
                guessed_at=guessed_at,
                received_at=guessed_at,
                guess_m=round(self.simulator.guess_m(target.distance_m) / YARD_M) * YARD_M,
                measured_m=target.distance_m,
            )

    def mixed_until(self, balls: int) -> None:
        """Fill the visit with balls at targets of the player's own choice."""
        while len(self.entries) < balls:
            target = self.random.choice(self.season.stage.targets)
            club, swing = self._nearest_shot(target.distance_m)
            if club is None:
                continue
            self._hit(club, swing, target.distance_m, target=target, target_m=target.distance_m, number_shown=True)

    def _nearest_shot(self, distance_m: float) -> tuple[Club | None, str]:
        """Return the stock shot nearest to a distance, within a twentieth of it, or a feel shot."""
        options = [
            (abs(self.season.stock_m(club, self.day, swing) - distance_m), club.label, swing)
            for club in self.season.clubs.values()
            for swing in SWING_SHARES
        ]
        off, label, swing = min(options)
        if off > 0.25 * distance_m:
            return None, FEEL
        return self.season.clubs[label], swing if off <= 0.05 * distance_m else FEEL

    def pitches(self, shots: int) -> None:
        """Pitches on the course to distances that nobody planned."""
        for _ in range(shots):
            distance_m = round(self.random.uniform(30, 85)) * YARD_M
            club, swing = self._nearest_shot(distance_m)
            if club is not None:
                self._hit(club, swing, distance_m, target_m=distance_m, lie="fairway", distance_is="finish")
