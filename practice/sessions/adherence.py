"""What was asked, what was done of it, and what was done instead: block by block and week by week."""

from collections import Counter, defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass, field
from datetime import date
from uuid import UUID

from django.db.models import Count, Sum

from practice.drills.kinds import KINDS
from practice.planner.models import Block, Logging
from practice.planner.versions import versions_of
from practice.planner.weeks import WEEK, monday_of
from practice.players.models import Player
from practice.sessions.models import BlockOutcome, BlockTally, PracticeSession, Shot, SmoothSwing, StrikeMark, TurfSwing
from practice.sessions.words import Setting

WEEKS = 8

SWINGS = (TurfSwing, StrikeMark, SmoothSwing)
"""Logged swing by swing, and no shots."""


@dataclass(frozen=True)
class Done:
    """How many balls a block asked, and how many of them were hit as far as the log tells."""

    asked: int
    hit: int


def log_of(block: Block) -> str:
    """Return how a block is logged; DrillKind says which ways there are."""
    return KINDS[block.kind].parts(block.parameters)[1]


def done_of(blocks: Collection[Block]) -> dict[UUID, Done]:
    """Return for each block how much of it was done, whenever that was. The blocks' plans must be fetched.

    Of a block logged ball by ball those with a live shot were hit, of one logged every third all up to the last with a
    shot, of one that is only counted as many as its tally says; of another one as many as were logged, or as its
    outcome says if those are more. What was done before the week was edited counts.
    """
    versions = versions_of(blocks)
    listed = dict(Block.objects.filter(pk__in=[b.pk for b in blocks]).values_list("pk").annotate(Count("balls")))
    current = {old.pk: new.pk for old, new in versions.items()}
    shots = Shot.objects.live().filter(ball__block__in=versions).values_list("ball__block", "ball__n")
    shot_at = _gathered(shots, current)
    counted = _gathered(BlockTally.objects.live().filter(block__in=versions).values_list("block", "balls"), current)
    others = [old for old in versions if log_of(old) != "shots"]
    swings = _swings_of(others, current)
    if others:
        outcomes = BlockOutcome.objects.live().filter(block__in=others).values_list("block", "balls")
        for block, balls in _gathered(outcomes, current).items():
            counted[block] |= balls
    done = {}
    for block in blocks:
        asked = listed.get(block.pk, 0) or block.parameters.get("balls", 0)
        hit = _hit(block, shot_at[block.pk], counted[block.pk], swings[block.pk])
        done[block.pk] = Done(asked, min(hit, asked))
    return done


def _gathered(numbers: Iterable[tuple[UUID, int]], current: dict[UUID, UUID]) -> dict[UUID, set[int]]:
    """Return the numbers that stand with the versions of each block, by the block's id."""
    found: dict[UUID, set[int]] = defaultdict(set)
    for block, number in numbers:
        found[current[block]].add(number)
    return found


def _swings_of(blocks: list[Block], current: dict[UUID, UUID]) -> Counter[UUID]:
    """Return how many swings or marks were logged of these blocks and of their versions."""
    found: Counter[UUID] = Counter()
    for model in SWINGS if blocks else ():
        rows = model.objects.live().filter(block__in=blocks).order_by()
        for block, count in rows.values_list("block").annotate(Count("pk")):
            found[current[block]] += count
    return found


def _hit(block: Block, shot_at: set[int], counted: set[int], swings: int) -> int:
    """Return how many balls of a block were hit: `shot_at` are the balls with a shot, `counted` what was counted."""
    if log_of(block) != "shots":
        return max(swings, *counted, 0)
    if block.logging == Logging.EVERY:
        return len(shot_at)
    return max(shot_at if block.logging == Logging.THIRD else counted, default=0)


# --- week by week


@dataclass(frozen=True)
class BlockDone:
    """A block that was asked, and how much of it was done."""

    title: str
    asked: int
    hit: int


@dataclass
class WeekDone:
    """A week: its blocks, and in words what was done instead of them or beside them."""

    monday: date
    blocks: list[BlockDone] = field(default_factory=list)
    instead: list[str] = field(default_factory=list)

    @property
    def asked(self) -> int:
        return sum(block.asked for block in self.blocks)

    @property
    def hit(self) -> int:
        return sum(block.hit for block in self.blocks)

    @property
    def says(self) -> str:
        """The week in a sentence."""
        told = f"{self.hit} of {_some(self.asked, 'ball')} asked" if self.asked else "Nothing was asked"
        return f"{told}{'; besides ' + ', '.join(self.instead) if self.instead else ''}."


def weeks_done(player: Player, *, today: date, weeks: int = WEEKS) -> list[WeekDone]:
    """Return the last weeks, this one first, without those in which nothing was asked and nothing done."""
    last = monday_of(today)
    return done_between(player, last - (weeks - 1) * WEEK, last)


def done_between(player: Player, first: date, last: date) -> list[WeekDone]:
    """Return the weeks of these Mondays, like `weeks_done`; its statements do not grow with what there is."""
    # Also the weeks around: what was done late, or early, answers its own block and stands instead of none.
    around = {"plan__monday__gte": first - WEEKS * WEEK, "plan__monday__lte": last + WEEK}
    asked = Block.objects.to_do().filter(**around, plan__player=player).select_related("plan")
    versions = versions_of(asked)
    blocks = [block for block in asked if first <= block.plan.monday <= last]
    done = done_of(blocks)
    weeks: dict[date, WeekDone] = {}
    for block in blocks:
        week = weeks.setdefault(block.plan.monday, WeekDone(block.plan.monday))
        week.blocks.append(BlockDone(block.title, done[block.pk].asked, done[block.pk].hit))
    for monday, told in _instead(player, first, last, versions).items():
        weeks.setdefault(monday, WeekDone(monday)).instead += told
    return [weeks[monday] for monday in sorted(weeks, reverse=True)]


def _instead(player: Player, first: date, last: date, asked: Collection[Block]) -> dict[date, list[str]]:
    """Return in words, week by week, what was done that answers no block that was asked."""
    # Counted by sessions, of which there are few: a join would read all shots of the player.
    held = PracticeSession.objects.filter(player=player, local_date__gte=first, local_date__lt=last + WEEK)
    sessions = {pk: (monday_of(day), setting) for pk, day, setting in held.values_list("pk", "local_date", "setting")}
    found: dict[date, list[str]] = defaultdict(list)
    shots = Shot.objects.live().filter(player=player, session__in=sessions).exclude(ball__block__in=asked).order_by()
    clubs: dict[tuple[date, str], Counter[str]] = defaultdict(Counter)
    for session, club, count in shots.values_list("session", "club__label").annotate(Count("pk")):
        clubs[sessions[session]][club] += count
    for (monday, setting), by_club in sorted(clubs.items(), key=lambda each: each[0][1] == Setting.COURSE):
        where = " on the course" if setting == Setting.COURSE else ""
        found[monday].append(f"{_some(by_club.total(), 'other ball')}{where} ({_by_club(by_club)})")
    for model, (counted, words) in BESIDE.items():
        rows = model.objects.live().filter(player=player, session__in=sessions).exclude(block__in=asked).order_by()
        weeks: Counter[date] = Counter()
        for session, count in rows.values_list("session").annotate(counted):
            weeks[sessions[session][0]] += count
        for monday, count in weeks.items():
            found[monday].append(words(count))
    return found


BESIDE = {
    TurfSwing: (Count("pk"), lambda count: _some(count, "turf swing")),
    StrikeMark: (Count("pk"), lambda count: _some(count, "strike mark")),
    SmoothSwing: (Count("pk"), lambda count: _some(count, "smooth swing")),
    BlockOutcome: (Sum("balls"), lambda count: f"{_some(count, 'ball')} only counted"),
}
"""What else may be done beside the plan: how it is counted, and in words."""


def _by_club(clubs: Counter[str]) -> str:
    """Return the clubs hit most, with their balls."""
    most = sorted(clubs.items(), key=lambda club: (-club[1], club[0]))
    told = [f"{count} with the {club}" for club, count in most[:3]]
    rest = clubs.total() - sum(count for _, count in most[:3])
    return ", ".join([*told, f"{rest} with others"] if rest else told)


def _some(count: int, word: str) -> str:
    return f"{count} {word}{'' if count == 1 else 's'}"


def summary(weeks: list[WeekDone]) -> str:
    """Say in a sentence how the weeks with a plan went."""
    planned = [week for week in weeks if week.asked]
    if not planned:
        return "Nothing was asked in these weeks."
    asked, hit = sum(week.asked for week in planned), sum(week.hit for week in planned)
    whole = sum(week.hit >= week.asked for week in planned)
    told = f"{hit} of {_some(asked, 'ball')} asked were hit in {_some(len(planned), 'week')} with a plan"
    return f"{told}; {whole} of these {'was' if whole == 1 else 'were'} done whole."
