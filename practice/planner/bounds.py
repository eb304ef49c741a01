"""What a coach asks of a suggested week, and what bounds it. Pure.

Common practice, no source: 2 or 3 blocks a visit, 10 to 30 balls a block, another day before more balls, a check day
every 2 or 3 weeks, 20 to 30 % of the balls left free; in the days before a competition half the balls.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import ceil

from practice.planner.allocation import AllocationError
from practice.planner.easing import EASE_DAYS
from practice.planner.rounding import FEWEST_BALLS, FEWEST_BLOCKS, MOST_BALLS, MOST_BLOCKS, equal_sizes

FREE_SHARE = 0.2
"""What is left free at least: up to 30 % where the balls of a test come out even only so."""
MOST_A_VISIT = 80
CHECK_AFTER_DAYS = 14
"""A check day is due where the last was longer ago."""


class SuggestionError(AllocationError):
    """No week can be suggested from this; the message says what to change."""


@dataclass(frozen=True)
class Kept:
    """A block of the draft that stays: its balls, what it trains ("" is nothing named) and its day, None for any."""

    balls: int
    theme: str = ""
    day: int | None = None


@dataclass(frozen=True)
class Visit:
    """A day of practice, the balls that it takes at most, and the sizes of the blocks put into it so far."""

    day: int
    most_balls: int
    sizes: tuple[int, ...] = ()

    @property
    def room(self) -> int:
        """Balls that one more block may have; none where it already has as many blocks as a visit takes."""
        return max(0, self.most_balls - sum(self.sizes)) if len(self.sizes) < MOST_BLOCKS else 0

    @property
    def places(self) -> int:
        """How many more blocks it takes."""
        return min(MOST_BLOCKS - len(self.sizes), self.room // FEWEST_BALLS) if self.room else 0

    @property
    def needed(self) -> int:
        """How many more blocks make it worth going, as far as it takes them."""
        return min(max(0, FEWEST_BLOCKS - len(self.sizes)), self.places)

    def holding(self, *sizes: int) -> "Visit":
        return replace(self, sizes=(*self.sizes, *sizes))


@dataclass(frozen=True)
class Ask:
    """What the coach gives: balls and visits of the week, what is kept of its draft, and what bounds it.

    Days count from the week's Monday, 0: `first_day` is the first that is not past, over 6 where the week is;
    `competition_days` may lie beyond Sunday. `check_balls` are those of the block that is due for its check day, 0
    where none is.
    """

    balls: int
    visits: int
    kept: tuple[Kept, ...] = ()
    daily_limit: int | None = None
    competition_days: tuple[int, ...] = ()
    check_balls: int = 0
    first_day: int = 0

    @property
    def kept_balls(self) -> int:
        return sum(block.balls for block in self.kept)

    @property
    def kept_themes(self) -> set[str]:
        return {block.theme for block in self.kept if block.theme}

    @property
    def kept_days(self) -> set[int]:
        """The days on which to practise anyway, of those that are left and free."""
        return {block.day for block in self.kept} & set(self.days)

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
    if ask.most_a_day < FEWEST_BALLS:
        raise SuggestionError(
            f"A limit of {ask.most_a_day} balls a day leaves no room for a block of {FEWEST_BALLS}: plan it yourself."
        )
    if not ask.days:
        raise SuggestionError("Only the day of a competition is left of this week: have the next one suggested.")


def visits_of(ask: Ask, balls: int, planned: int) -> tuple[list[Visit], str]:
    """The visits with what is kept in them, and why not as many as asked for: another day comes before more balls.

    `planned` are the balls of new blocks. A block that is kept for any day counts in the visits as a new one would.
    """
    visits, because = ask.visits, ""
    least = ceil(balls / ask.most_a_day)
    if least > visits:
        visits, because = min(7, least), "daily limit" if ask.daily_limit else "many balls"
    if len(ask.days) < visits:
        visits, because = len(ask.days), "competition" if 7 - ask.first_day >= visits else "days left"
    loose = [block.balls for block in ask.kept if block.day is None]
    of_a_visit = FEWEST_BALLS * min(FEWEST_BLOCKS, ask.most_a_day // FEWEST_BALLS)
    most = len(ask.kept_days) + max(0, planned + sum(loose)) // of_a_visit
    if most < visits:
        visits, because = max(1, most), "few balls"
    found = [
        Visit(day, ask.most_a_day).holding(*(block.balls for block in ask.kept if block.day == day))
        for day in _days_of(ask, visits)
    ]
    for size in loose:
        place = _place(found, size)
        if place is None:  # it breaks a bound wherever it goes: where most is left
            place = max(range(len(found)), key=lambda n: found[n].most_balls - sum(found[n].sizes))
        found[place] = found[place].holding(size)
    return found, because


def _days_of(ask: Ask, visits: int) -> list[int]:
    """The days of the visits, spread over those left; a day with a kept block comes in place of the nearest."""
    spread = [ask.days[int((n + 0.5) * len(ask.days) / visits)] for n in range(visits)]
    for day in sorted(ask.kept_days):
        if spread:
            spread.remove(min(spread, key=lambda other: abs(other - day)))
    return sorted([*ask.kept_days, *spread])


def dealt(visits: Sequence[Visit], sizes: Sequence[int]) -> list[int | None]:
    """Which visit each block of these sizes goes to, dealt in turn; None where it has no room in any."""
    visits, places = list(visits), []
    for size in sizes:
        places.append(place := _place(visits, size))
        if place is not None:
            visits[place] = visits[place].holding(size)
    return places


def _place(visits: Sequence[Visit], size: int) -> int | None:
    """The visit of the fewest blocks that has room for one more of this size, the first of equals."""
    fitting = [n for n, visit in enumerate(visits) if size <= visit.room]
    return min(fitting, key=lambda n: len(visits[n].sizes), default=None)


def sizes_of(planned: int, visits: Sequence[Visit], first: list[int], last: list[int]) -> list[int]:
    """The sizes of new blocks, in the order in which they are dealt, of as many balls as find room in the visits; the
    first and last of fixed size. None where they do not fit."""
    fixed = len(first) + len(last)
    most = sum(visit.places for visit in visits) - fixed
    needed = max(0, sum(visit.needed for visit in visits) - fixed)
    for balls in range(min(planned - sum(first) - sum(last), MOST_BALLS * most), FEWEST_BALLS - 1, -1):
        # Beside what is kept one block more is worth it.
        fewest = min(needed, balls // FEWEST_BALLS) if any(visit.sizes for visit in visits) else needed
        if balls < FEWEST_BALLS * fewest:
            return []
        sizes = [*first, *equal_sizes(balls, max(1, fewest), most), *last]
        if None not in dealt(visits, sizes):
            return sizes
    return []
