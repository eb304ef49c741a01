"""What a coach asks of a suggested week, and what bounds it. Pure.

Common practice, no source: 2 or 3 blocks a visit, 10 to 30 balls a block, another day before more balls, a check day
every 2 or 3 weeks, 20 to 30 % of the balls left free; in the days before a competition half the balls.
"""

from dataclasses import dataclass
from math import ceil

from practice.planner.allocation import AllocationError
from practice.planner.easing import EASE_DAYS
from practice.planner.rounding import FEWEST_BALLS, FEWEST_BLOCKS, MOST_BALLS, MOST_BLOCKS, equal_sizes

FREE_SHARE, MOST_FREE = 0.2, 0.3
"""What is left free at least, and at most: more than the least where the balls of a test come out even only so."""
MOST_A_VISIT = 80
CHECK_AFTER_DAYS = 14
"""A check day is due where the last was longer ago."""


class SuggestionError(AllocationError):
    """No week can be suggested from this; the message says what to change."""


@dataclass(frozen=True)
class Ask:
    """What the coach gives: balls and visits of the week, what is kept of its draft, and what bounds it.

    Days count from the week's Monday, 0: `first_day` is the first that is not past, over 6 where the week is;
    `competition_days` may lie beyond Sunday. `check_balls` are those of the block that is due for its check day, 0
    where none is.
    """

    balls: int
    visits: int
    kept_balls: int = 0
    kept_blocks: int = 0
    daily_limit: int | None = None
    competition_days: tuple[int, ...] = ()
    check_balls: int = 0
    first_day: int = 0

    @property
    def is_eased(self) -> bool:
        """Whether a day that is left of the week comes before a competition, and near it."""
        return any(max(self.first_day, day - EASE_DAYS) < min(day, 7) for day in self.competition_days)

    @property
    def days(self) -> list[int]:
        """The days on which to practise: the first that are left and free, up to the next competition."""
        free = [day for day in range(self.first_day, 7) if day not in self.competition_days]
        ends = [day for day in self.competition_days if free and day > free[0]]
        return [day for day in free if day < min(ends, default=7)]

    @property
    def most_a_day(self) -> int:
        return min(MOST_A_VISIT, self.daily_limit or MOST_A_VISIT)

    @property
    def wanted(self) -> int:
        """The balls of the week: half of those asked for before a competition."""
        return self.balls // 2 if self.is_eased else self.balls


def check_ask(ask: Ask) -> None:
    """Raise SuggestionError, with what to change, where no week can be made of this."""
    if not 1 <= ask.visits <= 7:
        raise SuggestionError(f"A week has 1 to 7 days for practice, not {ask.visits}.")
    fewest, most = ceil(FEWEST_BLOCKS * FEWEST_BALLS / (1 - FREE_SHARE)), MOST_A_VISIT * 7
    if not fewest <= ask.balls <= most:
        raise SuggestionError(
            f"A suggested week has {fewest} to {most} balls, not {ask.balls}: two blocks of 10 at least and a fifth of "
            "the balls left free."
        )
    if ask.first_day > 6:
        raise SuggestionError("This week is over: have the week that runs suggested, or a later one.")
    if not ask.days:
        raise SuggestionError("Only the day of a competition is left of this week: have the next one suggested.")


def visits_of(ask: Ask, balls: int, planned: int) -> tuple[int, str]:
    """How many visits, and why not those asked for: another day comes before more balls."""
    visits, because = ask.visits, ""
    least = ceil(balls / ask.most_a_day)
    if least > visits:
        visits, because = min(7, least), "daily limit" if ask.daily_limit else "many balls"
    if len(ask.days) < visits:
        visits, because = len(ask.days), "competition" if 7 - ask.first_day >= visits else "days left"
    most = planned // (FEWEST_BLOCKS * FEWEST_BALLS)
    if most < visits:
        visits, because = max(1, most), "few balls"
    return visits, because


def sizes_of(planned: int, visits: int, fixed: list[int], kept_blocks: int) -> list[int]:
    """The sizes of the week's blocks, those of fixed size first; none where they do not fit."""
    rest, held = planned - sum(fixed), kept_blocks + len(fixed)
    fewest, most = max(0, FEWEST_BLOCKS * visits - held), MOST_BLOCKS * visits - held
    if rest < FEWEST_BALLS * max(1, fewest) or most < 1:
        return []
    return [*fixed, *equal_sizes(min(rest, MOST_BALLS * most), max(1, fewest), most)]
