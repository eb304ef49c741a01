"""The suggested week in words: where the player stands and why, each block with its reason, and what it should save."""

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from datetime import date, timedelta

from django.http import QueryDict

from analytics.frames import player_shots
from analytics.pages.suggest_words import BlockRow, Words
from analytics.reach import reach_of_bag
from analytics.suggesting import club_needs, faced_on_course, player_figures, target_needs, values_of
from practice.planner.allocation import AllocationError
from practice.planner.bounds import Ask
from practice.planner.builder import Bench, as_sent, bench_of
from practice.planner.easing import EASE_DAYS
from practice.planner.forms import MixedForm
from practice.planner.generator import GeneratorError, TargetOption, digest, in_play
from practice.planner.models import Block, Competition
from practice.planner.recipes import BagClub
from practice.planner.stage_blocks import Shots, SuggestedBlock
from practice.planner.stages import (
    Verdict,
    earliest,
    judged,
)
from practice.planner.suggest_actions import aimed_at, as_kept, due_for_check, kept_blocks
from practice.planner.suggest_forms import STAGE_NAMES, SuggestForm, UsualWeek
from practice.planner.suggestion import suggest
from practice.players.models import Player

VERDICTS = {Verdict.PASSED: "passed", Verdict.FAILED: "not passed", Verdict.UNKNOWN: "can’t tell yet"}


@dataclass(frozen=True)
class StageRow:
    """One stage: its name, whether it is passed, and why."""

    name: str
    verdict: str
    sentence: str
    here: bool


@dataclass(frozen=True)
class SuggestPage:
    """All that the template needs; `suggested` are the blocks with their reasons, which the page's button draws.

    Without a suggestion `fault` says why there is none. `balls` are those of the week, kept ones included. `seen` names
    the week that is shown.
    """

    player: Player
    monday: date
    headline: str
    stages: tuple[StageRow, ...]
    rows: tuple[BlockRow, ...]
    lines: tuple[str, ...]
    kept: tuple[Block, ...]
    fault: str
    balls: int
    seen: str
    bench: Bench
    bag: tuple[BagClub, ...]
    again: Block | None
    suggested: tuple[tuple[SuggestedBlock, str], ...]


def suggest_form(player: Player, data: QueryDict, usual: UsualWeek) -> tuple[SuggestForm, Bench]:
    """Return the form as it was sent, else with the usual week, and the player's bench at the place that it names."""
    bench = bench_of(player, data)
    return SuggestForm(data, places=bench.places, usual=usual), bench


def suggest_page(player: Player, monday: date, form: SuggestForm, bench: Bench) -> SuggestPage:
    """Suggest a week to a player whose academy is fetched with them."""
    found = player_shots(player)
    figures, values = player_figures(player, found), values_of(player)
    stages = judged(figures, values)
    # The short game's clubs, as the stock carries are asked of them: no week of pitches with the driver.
    bag = [bagged for bagged in reach_of_bag(player, full_swings=True) if bagged.club.label in figures.clubs]
    kept = kept_blocks(player, monday)
    again = due_for_check(bench, bag, monday, kept)
    shots = _shots(player, found, bench, bag)
    asked = form.asked()
    ask = Ask(
        balls=asked["balls"],
        visits=asked["visits"],
        kept=tuple(as_kept(block, shots.targets, bench) for block in kept),
        daily_limit=player.ball_limit,
        competition_days=_competition_days(player, monday),
        check_balls=again.balls_asked if again else 0,
        first_day=max(0, (player.academy.today() - monday).days),
    )
    suggestion, fault = None, ""
    if not form.is_bound or form.is_valid():
        try:
            suggestion = suggest(stages, figures, shots, ask, asked["stage"])
        except AllocationError as error:
            fault = str(error)
    words = Words(player, figures, values, shots, bench, again, asked["stage"])
    suggested = tuple((block, words.reason(block)) for block in suggestion.blocks) if suggestion else ()
    here = earliest(stages)
    return SuggestPage(
        player=player,
        monday=monday,
        headline=words.headline(stages, suggestion),
        stages=tuple(
            StageRow(STAGE_NAMES[one.stage], VERDICTS[one.verdict], words.of_stage(one), one == here) for one in stages
        ),
        rows=tuple(words.row(block, reason) for block, reason in suggested),
        lines=tuple(words.lines(suggestion, ask)) if suggestion else (),
        kept=tuple(kept),
        fault=fault,
        balls=ask.kept_balls + sum(block.balls for block, _ in suggested),
        seen=digest([[monday.isoformat(), asdict(block)] for block, _ in suggested]),
        bench=bench,
        bag=tuple(bag),
        again=again,
        suggested=suggested,
    )


def _competition_days(player: Player, monday: date) -> tuple[int, ...]:
    """Return the days of the competitions in the week and soon after it, counted from its Monday."""
    near = Competition.objects.filter(player=player).between(monday, monday + timedelta(days=6 + EASE_DAYS))
    return tuple((each.day - monday).days for each in near)


def _shots(player: Player, found, bench: Bench, bag: Sequence[BagClub]) -> Shots:
    options = [bagged.reach for bagged in bag if bagged.reach]
    targets = [TargetOption(target.name, target.distance_m) for target in aimed_at(bench)]
    try:
        pairs = sum(map(len, in_play(options, targets)[2]))
    except GeneratorError:
        pairs = 0
    faced_m = _profile(bench, bag) or faced_on_course(player)
    return Shots(
        clubs=club_needs(player, found, [bagged.club.label for bagged in bag]),
        targets=target_needs(player, found, options, targets, faced_m),
        pairs=pairs,
    )


def _profile(bench: Bench, bag: Sequence[BagClub]) -> list[tuple[float, float]]:
    """Return the distances that the player faces as the coach last listed them in the builder."""
    form = MixedForm(as_sent({"profile": bench.profile}, drill="", logging="every"), bench=bench, bag=list(bag))
    form.is_valid()  # only for the profile
    return form.faced_m
