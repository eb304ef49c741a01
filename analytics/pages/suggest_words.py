"""What is said of a suggested week: why a stage is passed or not, why a block is there, what the week should save."""

from collections.abc import Sequence
from dataclasses import dataclass

from practice.clubs.swings import swing_name
from practice.drills.kinds import KINDS
from practice.planner.allocation import Need
from practice.planner.bounds import Ask
from practice.planner.builder import Bench
from practice.planner.easing import EASE_DAYS
from practice.planner.models import Block
from practice.planner.stage_blocks import PASS_WITHIN_PCT, Shots, SuggestedBlock
from practice.planner.stages import (
    ENOUGH_BALLS,
    ENOUGH_VISITS,
    CoachValues,
    Figure,
    Figures,
    Judged,
    Stage,
    StockShot,
    Strike,
    Verdict,
    Wider,
    earliest,
)
from practice.planner.suggest_forms import STAGE_NAMES
from practice.planner.suggestion import Saving, Suggestion
from practice.planner.week_forms import DAYS
from practice.players.models import Player
from practice.units import DistanceUnit

KNOWN_BALLS = 20
"""Balls near a target from which the saving is told: from hardly any it would look huge."""
FEW_BALLS = 10
"""Balls near a block's targets under which it says that it also finds out."""
WIDER_WORDS = {
    Stage.FRESH: ("Fresh balls scatter", "repeats", "5 repeats", "5 fresh balls"),
    Stage.COURSE: (
        "Balls on the course scatter",
        "fresh ones on the range",
        "5 fresh balls on a range",
        "5 on a course",
    ),
}
VISITS_BECAUSE = {
    "few balls": "So few balls make no more visits with two blocks of 10 each.",
    "daily limit": "More visits than you asked for: another day comes before more balls than the limit of a day.",
    "many balls": "More visits than you asked for: another day comes before more than 80 balls on one.",
    "competition": "Fewer visits than you asked for: only so many days are left beside the competition.",
    "days left": "Fewer visits than you asked for: only so many days of this week are left.",
}
BOUNDS = "At most 2 themes a week, 2 or 3 blocks a visit, 10 to 30 balls a block: common practice, and no more."


@dataclass(frozen=True)
class BlockRow:
    """One suggested block as the coach sees it."""

    visit: int
    day: str
    title: str
    what: str
    balls: int
    reason: str
    is_test: bool
    pass_mark: str


@dataclass(frozen=True)
class Words:
    """Says what was found, distances in the player's unit, rounded here."""

    player: Player
    figures: Figures
    values: CoachValues
    shots: Shots
    bench: Bench
    again: Block | None
    chosen: Stage | None

    @property
    def unit(self) -> DistanceUnit:
        return self.player.shown_unit

    # The stages

    def headline(self, stages: Sequence[Judged], suggestion: Suggestion | None) -> str:
        here = earliest(stages)
        said = f"{self.player.name} stands at: {STAGE_NAMES[here.stage]}."
        if here.stage == Stage.LOFTS:
            said += " Reading lofts takes a gauge and no balls, so the balls go to what comes next."
        if suggestion and self.chosen:
            return f"{said} The week works at {STAGE_NAMES[suggestion.stage.stage]}, as you chose."
        return said

    def of_stage(self, one: Judged) -> str:
        said = {
            Stage.LOFTS: self._lofts,
            Stage.STRIKE: self._strike,
            Stage.STOCK: self._stock,
        }.get(one.stage)
        return said(one) if said else self._wider(one)

    def _lofts(self, one: Judged) -> str:
        if not self.figures.clubs:
            return "There is no club in the bag yet."
        lately = _lately(self.figures.loft_days)
        if self.figures.unchecked:
            return f"No loft was read {lately} of: {_listed(self.figures.unchecked)}."
        return f"Read {lately}: {_listed(self.figures.clubs)}."

    def _strike(self, one: Judged) -> str:
        strike = self.figures.strike
        said = []
        if strike.scatter_mm:
            said.append(f"{self._marks(strike)}; you let {self.values.strike_mm:.0f} mm pass.")
        if strike.mishit_pct:
            said.append(self._mishits(strike))
        if one.verdict == Verdict.UNKNOWN:
            said.append(f"Too few to judge: it takes {ENOUGH_BALLS} balls, or 5 marks on the face.")
        elif not one.sure:
            said.append("It may be chance: more balls will tell.")
        return " ".join(said)

    def _marks(self, strike: Strike) -> str:
        apart = _between(strike.scatter_mm, "mm", 1)
        return f"{strike.marks} marks lie {apart} from their centre on average"

    def _mishits(self, strike: Strike) -> str:
        said = (
            f"{strike.mishits} of {strike.balls} balls were mishits, {_between(strike.mishit_pct, '%')}; you let "
            f"{self.values.mishit_pct:.0f} % pass."
        )
        if strike.short:
            fell = "ball fell" if strike.short == 1 else "balls fell"
            said += f" {strike.short} {fell} far short with nothing noted."
        return said

    def _stock(self, one: Judged) -> str:
        if not self.figures.clubs:
            return "There is no club to test."
        lately = _lately(self.figures.stock_days)
        said = [f"{self._off(shot)}." for shot in self.figures.off()[:2]]
        if untested := self.figures.untested():
            said.append(f"Not tested {lately}: {_listed(untested)}.")
        return " ".join(said) or f"Tested {lately}, and none steadily long or short."

    def _off(self, shot: StockShot) -> str:
        """Return what a shot is off by; the figure is in it only where it is sure."""
        size = self.unit.show(abs(shot.bias_m.value))
        way = "long" if shot.bias_m.value > 0 else "short"
        return f"{shot.swing} with the {shot.club}: {size} {way} on average over {shot.visits} visits, and sure of it"

    def _wider(self, one: Judged) -> str:
        wider, limit = self._compared(one.stage)
        what, than, first, second = WIDER_WORDS[one.stage]
        if one.verdict == Verdict.UNKNOWN:
            return (
                f"It takes {ENOUGH_VISITS} visits with {first} and {ENOUGH_VISITS} with {second}; there are "
                f"{wider.visits[0]} and {wider.visits[1]}."
            )
        sure = "" if one.sure else " It may be chance: more visits will tell."
        return (
            f"{what} {_change(wider.pct)} than {than}, over {wider.visits[1]} and {wider.visits[0]} visits; you let "
            f"{limit:.0f} % pass.{sure}"
        )

    def _compared(self, stage: Stage) -> tuple[Wider, float]:
        if stage == Stage.FRESH:
            return self.figures.fresh, self.values.fresh_pct
        return self.figures.course, self.values.course_pct

    # The blocks

    def row(self, block: SuggestedBlock, reason: str) -> BlockRow:
        title = next((drill.title for drill in self.bench.drills if drill.kind == block.kind), KINDS[block.kind].title)
        mark = f"{block.pass_made} of {block.balls} within {PASS_WITHIN_PCT} %" if block.has_pass_mark else ""
        return BlockRow(
            block.visit, DAYS[block.day], title, self._what(block), block.balls, reason, block.is_test, mark
        )

    def _what(self, block: SuggestedBlock) -> str:
        if block.kind == "carry_test":
            swings = _listed([swing_name(swing) for swing in block.swings])
            return f"{_listed(block.clubs)}, {swings}: {block.each} balls each"
        if block.targets:
            said = ", ".join(f"{name} ({n})" for name, n in block.targets)
            order = ", the same shot several times on end" if block.repeats else ""
            return f"{said}{order}" + ("" if block.number_shown else ", distances not shown")
        if block.kind == "check_day":
            return f"“{self.again.title}”"
        return f"with the {_listed(block.clubs)}" if block.clubs else ""

    def reason(self, block: SuggestedBlock) -> str:
        """Return one sentence that says why the block is there, from figures that carry it.

        The player reads it too, so it speaks to both, and gives no distance away where the block hides it.
        """
        said = {
            "strike_check": self._why_check,
            "strike_bucket": self._why_strike,
            "turf_brush": self._why_strike,
            "carry_test": self._why_test,
            "check_day": self._why_again,
        }.get(block.kind, self._why_targets)(block)
        return said[:300]

    def _why_check(self, block: SuggestedBlock) -> str:
        return f"A test: too few balls and marks lately to judge the strike. With the {block.clubs[0]}."

    def _why_strike(self, block: SuggestedBlock) -> str:
        strike, values, club = self.figures.strike, self.values, block.clubs[0]
        if strike.mishit_pct and strike.balls >= ENOUGH_BALLS:
            sure = strike.mishit_pct.is_sure_of(values.mishit_pct)
            fat = f", {strike.fat} of them fat" if strike.fat else ""
            said = f"{strike.mishits} of {strike.balls} balls mishit{fat}, {_between(strike.mishit_pct, '%')}"
        else:  # judged by its marks: of what cannot be judged the block is a strike check
            sure, said = strike.scatter_mm.is_sure_of(values.strike_mm), self._marks(strike)
        chance = "and sure of it" if sure else "which may be chance"
        return f"{said}, {chance}; with the {club}, where mishits cost most or next to most."

    def _why_test(self, block: SuggestedBlock) -> str:
        off = [shot for shot in block.shots if shot.is_off]
        if off:
            return f"{self._off(off[0])}."
        days = [shot.tested_days for shot in block.shots]
        if None in days:
            return "A test: no carry of these is known from a test yet, and everything at targets rests on it."
        return f"A test: the last one was {max(days)} days ago."

    def _why_again(self, block: SuggestedBlock) -> str:
        week = f"{self.again.plan.monday:%-d %B}"
        return f"Balls of the week of {week} again, nothing shown: they tell what stayed."

    def _why_targets(self, block: SuggestedBlock) -> str:
        if block.kind == "pick_spot":
            return "No target in reach is known here; a spot that is picked on the day needs no distance."
        if block.stage in (Stage.FRESH, Stage.COURSE):
            return self._why_wider(block)
        where = self._where(block)
        if block.stage in (Stage.STRIKE, Stage.STOCK):
            first = "the strike comes" if block.stage == Stage.STRIKE else "stock carries come"
            return f"{where}: keeps an eye on the targets while {first} first."
        needs = [need for need in self.shots.targets if need.name in dict(block.targets)]
        return f"{where}: one more ball should save most here{self._known(needs)}."

    def _known(self, needs: Sequence[Need]) -> str:
        if max((need.hit for need in needs), default=0) < FEW_BALLS:
            return "; with hardly a ball hit there yet that is a guess, so it is a test too"
        return ", by how often it is faced, how wide it scatters and how much was hit there"

    def _why_wider(self, block: SuggestedBlock) -> str:
        wider, limit = self._compared(block.stage)
        if block.is_test or wider.pct is None:
            if block.stage == Stage.COURSE:
                return "A test: too few balls on a course to compare with, so each ball counts here as it does there."
            kind = "repeats" if block.repeats else "fresh balls"
            return f"A test: how fresh balls compare with repeats is not known yet; this block gives {kind}."
        sure = "and sure of it" if wider.pct.is_sure_of(limit) else "which may be chance"
        if wider.pct.value <= limit:
            what, than, *_ = WIDER_WORDS[block.stage]
            return f"{what} {_change(wider.pct)} than {than}, which is good enough: this keeps it so."
        if block.stage == Stage.FRESH:
            return f"Fresh balls scatter {_change(wider.pct)} than repeats, {sure}; so the number is hidden."
        return f"On the course balls scatter {_change(wider.pct)} than on the range, {sure}; so each has to count."

    def _where(self, block: SuggestedBlock) -> str:
        """Return the distances of a block's targets, such as "30 to 55 yd"."""
        names = dict(block.targets)
        distances_m = [t.distance_m for t in self.bench.targets if t.name in names and t.distance_m is not None]
        if not distances_m:
            return "All targets"
        near, far = self.unit.show(min(distances_m)), self.unit.show(max(distances_m))
        return near if near == far else f"{near.split()[0]} to {far}"

    # The week

    def lines(self, suggestion: Suggestion, ask: Ask) -> list[str]:
        said = []
        if ask.is_eased:
            said.append(
                f"A competition comes within {EASE_DAYS} days of this week’s practice: half the balls, no carry test, "
                "and give no new cue."
            )
        if not suggestion.blocks:
            full = (
                f"The {ask.kept_balls} balls that you keep leave no room for another block of 10 in "
                f"{suggestion.balls}, a fifth of them free, with {ask.most_a_day} balls and 3 blocks a day and 2 "
                "themes a week: ask for more balls or visits, or take something out of the draft."
            )
            few = f"{suggestion.balls} balls are too few for two blocks: leave them all free."
            return [*said, full if ask.kept else few]
        free_pct = 100 * suggestion.free / suggestion.balls
        said.append(f"{suggestion.free} of {suggestion.balls} balls ({free_pct:.0f} %) are left free. {BOUNDS}")
        if suggestion.balls < ask.wanted:
            said.append(
                f"More than {suggestion.balls} balls do not fit the days that are left, at {ask.most_a_day} a day."
            )
        if because := VISITS_BECAUSE.get(suggestion.visits_because):
            said.append(f"{suggestion.visits} visit{'' if suggestion.visits == 1 else 's'}. {because}")
        if suggestion.saving:
            said += [self._saved(suggestion), _lost(suggestion.saving)]
        return said

    def _saved(self, suggestion: Suggestion) -> str:
        """Return what the balls at targets should save; nothing where too little was hit there to start from."""
        given = {name for block in suggestion.blocks for name, _ in block.targets}
        if any(need.hit < KNOWN_BALLS for need in self.shots.targets if need.name in given):
            return "What this saves cannot be said: some of these targets have hardly been hit at yet."
        low, high = 100 * suggestion.saving.low, 100 * suggestion.saving.high
        return (
            f"If scatter falls as it usually does with practice, the balls at targets save {low:.1f} to {high:.1f} "
            "strokes in 100 such shots. That compares plans and is no promise: nobody can tell from so few balls how "
            "fast a player learns."
        )


def _lost(saving: Saving) -> str:
    lost_pct = 100 * max(0.0, saving.lost)
    return f"Rounding the balls at targets to blocks costs {lost_pct:.0f} % of what they could save one by one."


def _lately(days: int) -> str:
    return "in the last day" if days == 1 else f"in the last {days} days"


def _between(figure: Figure, unit: str, digits: int = 0) -> str:
    return f"{figure.value:.{digits}f} {unit} (between {figure.low:.{digits}f} and {figure.high:.{digits}f})"


def _change(pct: Figure) -> str:
    """Return a change with its interval, such as "60 % wider (between 20 and 110 %)"."""
    way = "wider" if pct.value >= 0 else "tighter"
    return f"{abs(pct.value):.0f} % {way} (between {_side(pct.low)} and {_side(pct.high)})"


def _side(pct: float) -> str:
    return f"{abs(pct):.0f} % {'wider' if pct >= 0 else 'tighter'}"


def _listed(words: Sequence[str]) -> str:
    return " and ".join(filter(None, [", ".join(words[:-1]), *words[-1:]]))
