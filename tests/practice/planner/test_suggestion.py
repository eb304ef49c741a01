"""The suggested week: what a coach sets holds whatever the figures say, and each stage gets its work."""

from collections import Counter
from dataclasses import replace

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from practice.planner.allocation import Need, allocate, strokes
from practice.planner.bounds import Ask, Kept, SuggestionError
from practice.planner.stage_blocks import Shots
from practice.planner.stages import CoachValues, Figure, Figures, Stage, StockShot, Strike, Verdict, Wider, judged
from practice.planner.suggestion import suggest

VALUES = CoachValues()
CLUBS = ("48", "52", "56", "60")
SWINGS = ("7:30", "9:00", "10:30")


def a_figure(value: float) -> Figure:
    return Figure(value, value - 1, value + 1)


FINE = Figures(
    clubs=CLUBS,
    strike=Strike(balls=100, mishits=5, mishit_pct=a_figure(5)),
    stock=tuple(StockShot(club, swing, tested_days=20) for club in CLUBS for swing in SWINGS),
    fresh=Wider((5, 5), a_figure(10)),
    course=Wider((5, 5), a_figure(20)),
)
MISHITS = replace(FINE, strike=Strike(balls=100, mishits=15, mishit_pct=a_figure(15)))
UNTESTED = replace(FINE, stock=tuple(replace(shot, tested_days=None) for shot in FINE.stock))
SHOTS = Shots(
    clubs=tuple(Need(club, "", 0.25, 0.05, 4.0 + n, 30) for n, club in enumerate(CLUBS)),
    targets=tuple(
        Need(f"Flag {n}", band, 1 / 6, 0.05, 2.0 + n, 20)
        for n, band in enumerate(("short", "short", "middle", "middle", "long", "long"))
    ),
    pairs=20,
)


def week(figures: Figures = FINE, shots: Shots = SHOTS, chosen: Stage | None = None, **ask):
    asked = Ask(**{"balls": 100, "visits": 2} | ask)
    return suggest(judged(figures, VALUES), figures, shots, asked, chosen)


# Any player

needs = st.builds(
    Need,
    name=st.just(""),
    theme=st.sampled_from(["short", "middle", "long"]),
    faced=st.floats(0.01, 1),
    strokes_per_m=st.floats(0.01, 0.2),
    scatter_m=st.floats(0.5, 15),
    hit=st.integers(0, 300),
)


@st.composite
def shots(draw):
    clubs = draw(st.lists(st.sampled_from(CLUBS), min_size=1, max_size=4, unique=True))
    targets = draw(st.lists(needs, max_size=9))
    return Shots(
        clubs=tuple(replace(draw(needs), name=club) for club in clubs),
        targets=tuple(replace(need, name=f"Flag {n}") for n, need in enumerate(targets)),
        pairs=draw(st.integers(0, 40)),
    )


figures_of_anybody = st.builds(
    Figures,
    clubs=st.just(CLUBS),
    unchecked=st.sampled_from([(), ("52",)]),
    strike=st.sampled_from([Strike(), FINE.strike, MISHITS.strike]),
    stock=st.lists(
        st.builds(
            StockShot,
            club=st.sampled_from(CLUBS),
            swing=st.sampled_from(SWINGS),
            tested_days=st.sampled_from([None, 10, 300]),
            bias_m=st.sampled_from([None, a_figure(-6)]),
            target_m=st.just(50.0),
            visits=st.integers(0, 5),
        ),
        min_size=1,
        max_size=12,
        unique_by=lambda shot: (shot.club, shot.swing),
    ).map(tuple),
    fresh=st.sampled_from([Wider(), FINE.fresh, Wider((4, 4), a_figure(90))]),
    course=st.sampled_from([Wider(), FINE.course, Wider((4, 4), a_figure(90))]),
)
asks = st.builds(
    Ask,
    balls=st.integers(25, 300),
    visits=st.integers(1, 7),
    daily_limit=st.sampled_from([None, 40, 60]),
    competition_days=st.lists(st.integers(0, 12), max_size=3, unique=True).map(tuple),
    check_balls=st.sampled_from([0, 12, 20, 30, 60]),
    first_day=st.integers(0, 6),
).filter(lambda ask: ask.days)


@settings(max_examples=200, deadline=None)
@given(figures=figures_of_anybody, shots=shots(), ask=asks, chosen=st.sampled_from([None, *Stage]))
def test_a_suggested_week_is_what_a_coach_sets(figures, shots, ask, chosen):
    assume(shots.targets or len(shots.clubs) > 1)
    found = suggest(judged(figures, VALUES), figures, shots, ask, chosen)
    most = min(80, ask.daily_limit or 80) * len(ask.days)
    assert found.balls == min(ask.balls // 2 if ask.is_eased else ask.balls, most)
    assert sum(block.balls for block in found.blocks) + found.free == found.balls
    assert len(found.themes) <= 2
    assert all(10 <= block.balls <= 30 for block in found.blocks)
    assert not found.blocks or 0.2 <= found.free / found.balls <= 0.3
    at = [block.visit for block in found.blocks]
    assert {at.count(visit) for visit in range(1, found.visits + 1)} <= {2, 3}
    assert max(at, default=0) == found.visits
    balls_on = Counter()
    for block in found.blocks:
        balls_on[block.day] += block.balls
    assert max(balls_on.values(), default=0) <= ask.most_a_day
    days = {block.day for block in found.blocks}
    assert days <= set(range(ask.first_day, 7)) - set(ask.competition_days)
    if ask.is_eased:
        assert not {"carry_test", "check_day"} & {block.kind for block in found.blocks}


def test_a_test_of_one_shot_alone_takes_its_whole_block():
    """Else more than 30 % of a small week would be left free."""
    figures = Figures(clubs=CLUBS, stock=(StockShot("48", "7:30", tested_days=None),))
    found = week(figures, Shots(clubs=SHOTS.clubs[:2], targets=(), pairs=0), balls=43, visits=1)
    assert [(block.kind, block.balls) for block in found.blocks] == [("strike_check", 10), ("carry_test", 24)]
    assert found.free == 9


def test_a_check_day_gives_way_where_a_single_visit_needs_its_place():
    found = week(replace(FINE, strike=Strike()), balls=75, visits=1, check_balls=12)
    assert [block.balls for block in found.blocks] == [10, 25, 25]
    assert found.free == 15


@settings(max_examples=100, deadline=None)
@given(figures=figures_of_anybody, shots=shots(), ask=asks)
def test_what_a_block_says_of_its_balls_adds_up(figures, shots, ask):
    assume(shots.targets or len(shots.clubs) > 1)
    for block in suggest(judged(figures, VALUES), figures, shots, ask).blocks:
        if block.targets:
            assert sum(n for _, n in block.targets) == block.balls
            assert {target for target, _ in block.targets} <= {need.name for need in shots.targets}
        if block.kind == "carry_test":
            assert block.balls == block.each * len(block.clubs) * len(block.swings) == block.each * len(block.shots)
            assert block.each >= 3
        if block.kind == "one_ball":
            assert block.balls <= shots.pairs


@settings(max_examples=100, deadline=None)
@given(figures=figures_of_anybody, shots=shots(), ask=asks)
def test_a_passed_stage_gets_no_block_unless_the_coach_asks_for_it(figures, shots, ask):
    assume(shots.targets or len(shots.clubs) > 1)
    stages = judged(figures, VALUES)
    passed = {one.stage for one in stages if one.verdict == Verdict.PASSED}
    assert not passed & {block.stage for block in suggest(stages, figures, shots, ask).blocks}


@settings(max_examples=100, deadline=None)
@given(shots=shots(), balls=st.integers(25, 200))
def test_what_the_rounding_costs_is_reckoned_against_the_same_balls_one_by_one(shots, balls):
    assume(shots.targets)
    found = week(FINE, shots, balls=balls, visits=7)
    given_to = dict.fromkeys((need.name for need in shots.targets), 0)
    for block in found.blocks:
        for target, n in block.targets:
            given_to[target] += n
    counts = list(given_to.values())
    before = strokes(shots.targets, [0] * len(counts))
    best = before - strokes(shots.targets, allocate(shots.targets, sum(counts), floors=False))
    assert found.saving.value == pytest.approx(before - strokes(shots.targets, counts), rel=1e-9)
    assert found.saving.lost == pytest.approx(1 - found.saving.value / best, abs=1e-9)
    assert -1e-9 <= found.saving.lost < 1
    assert found.saving.low <= found.saving.value <= found.saving.high


def test_a_large_check_day_breaks_no_limit_of_a_day():
    found = week(replace(FINE, strike=Strike()), balls=80, visits=2, daily_limit=40, check_balls=30)
    assert {block.day for block in found.blocks} == {1, 5}
    for day in (1, 5):
        assert sum(block.balls for block in found.blocks if block.day == day) <= 40


# What is kept of the draft

kept_blocks = st.builds(
    Kept,
    balls=st.integers(1, 90),
    theme=st.sampled_from(["", "short", "long", "strike", "stock carries", "pressure"]),
    day=st.none() | st.integers(0, 6),
)


def holds(days: dict[int, list[int]], most: int) -> bool:
    return all(len(sizes) <= 3 and sum(sizes) <= most for sizes in days.values())


def finds_place(loose: list[int], days: dict[int, list[int]], most: int) -> bool:
    """Whether blocks for any day can be hit on these days, some of which are filled already."""
    if not loose:
        return True
    return any(
        finds_place(loose[1:], days | {day: [*sizes, loose[0]]}, most)
        for day, sizes in days.items()
        if len(sizes) < 3 and sum(sizes) + loose[0] <= most
    )


@settings(max_examples=300, deadline=None)
@given(
    figures=figures_of_anybody,
    shots=shots(),
    ask=asks,
    kept=st.lists(kept_blocks, max_size=5),
    chosen=st.sampled_from([None, *Stage]),
)
def test_whatever_is_kept_the_suggestion_breaks_no_bound(figures, shots, ask, kept, chosen):
    assume(shots.targets or len(shots.clubs) > 1)
    ask = replace(ask, kept=tuple(kept))
    found = suggest(judged(figures, VALUES), figures, shots, ask, chosen)
    assert ask.kept_balls + sum(block.balls for block in found.blocks) + found.free == found.balls
    assert not found.blocks or found.free >= 0.2 * found.balls
    kept_themes = {block.theme for block in kept} - {""}
    assert not found.blocks or len(kept_themes | found.themes) <= max(2, len(kept_themes))
    most, loose = ask.most_a_day, sorted((block.balls for block in kept if block.day is None), reverse=True)
    stays = {day: [block.balls for block in kept if block.day == day] for day in ask.days}
    added = {day: [block.balls for block in found.blocks if block.day == day] for day in ask.days}
    assert holds({day: stays[day] + sizes for day, sizes in added.items() if sizes}, most)
    assert {block.day for block in found.blocks} <= set(ask.days)
    if finds_place(loose, stays, most):
        assert finds_place(loose, {day: stays[day] + added[day] for day in ask.days}, most)


def test_a_day_that_a_kept_block_fills_gets_no_more():
    found = week(balls=200, visits=3, daily_limit=60, kept=(Kept(60, day=1),))
    at = Counter()
    for block in found.blocks:
        at[block.day] += block.balls
    assert 1 not in at
    assert sum(at.values()) == 160 - 60
    assert max(at.values()) <= 60
    assert {block.visit for block in found.blocks} == {2, 3, 4}  # the first is Tuesday's


def test_a_day_with_a_kept_block_is_a_visit_and_takes_what_it_has_room_for():
    found = week(balls=100, visits=2, kept=(Kept(20, day=3),))
    assert [(block.day, block.balls) for block in found.blocks] == [(3, 20), (5, 20), (5, 20)]
    limited = week(balls=100, visits=2, daily_limit=50, kept=(Kept(35, day=3),))
    assert sum(block.balls for block in limited.blocks if block.day == 3) <= 15
    full = week(balls=150, visits=2, kept=tuple(Kept(10, day=3) for _ in range(3)))
    assert 3 not in {block.day for block in full.blocks}


def test_a_block_kept_for_any_day_takes_its_place_at_a_visit():
    found = week(balls=100, visits=2, daily_limit=50, kept=(Kept(45),))
    assert [block.visit for block in found.blocks] == [2, 2]
    assert sum(block.balls for block in found.blocks) == 80 - 45
    assert week(balls=100, visits=1, kept=tuple(Kept(10) for _ in range(6))).blocks == ()


def test_what_is_kept_on_a_day_that_is_past_takes_its_balls_alone():
    found = week(balls=100, visits=1, first_day=4, kept=(Kept(30, day=0),))
    assert {block.day for block in found.blocks} <= {4, 5, 6}
    assert sum(block.balls for block in found.blocks) == 80 - 30


@pytest.mark.parametrize(
    ("kept", "trained"),
    [
        ({"short"}, {"short", "long"}),
        ({"short", "middle"}, {"short", "middle"}),
        ({"strike", "short"}, {"short"}),
        ({"strike", "pressure"}, set()),
        ({"strike", "short", "long"}, {"short", "long"}),
    ],
)
def test_a_kept_theme_is_one_of_the_two_of_the_week(kept, trained):
    found = week(balls=160, visits=3, kept=tuple(Kept(10, theme) for theme in sorted(kept)))
    assert found.themes == trained


def test_work_that_would_be_a_third_theme_gives_its_balls_to_targets():
    kept = (Kept(10, "short"), Kept(10, "long"))
    assert {block.kind for block in week(MISHITS, kept=kept).blocks} == {"random_target"}
    assert {block.kind for block in week(MISHITS, kept=kept[:1]).blocks} == {"random_target", "strike_bucket"}
    assert week(MISHITS, kept=kept[:1]).themes == {"short", "strike"}


def test_a_limit_below_a_block_is_refused_and_one_below_two_gets_one_a_day():
    with pytest.raises(SuggestionError, match="A limit of 9 balls a day leaves no room for a block of 10"):
        week(daily_limit=9)
    found = week(daily_limit=15)
    assert len({block.day for block in found.blocks}) == len(found.blocks) == 7
    assert max(block.balls for block in found.blocks) <= 15


def test_the_same_figures_give_the_same_week():
    assert week() == week()


# Each stage


def test_mishits_get_strike_work_with_the_clubs_whose_misses_cost_most_and_one_block_at_targets():
    blocks = week(MISHITS).blocks
    assert [block.kind for block in blocks].count("random_target") == 1
    strike = [block for block in blocks if block.kind == "strike_bucket"]
    assert len(strike) == len(blocks) - 1
    assert {block.clubs for block in strike} <= {("60",), ("56",)}


def test_fat_mishits_get_the_turf():
    fat = replace(MISHITS, strike=replace(MISHITS.strike, fat=12))
    assert {block.kind for block in week(fat).blocks} == {"turf_brush", "random_target"}


def test_too_few_balls_get_a_strike_check_and_the_rest_goes_to_the_next_stage():
    blocks = week(replace(UNTESTED, strike=Strike())).blocks
    checks = [block for block in blocks if block.kind == "strike_check"]
    assert [(block.balls, block.is_test, block.clubs) for block in checks] == [(10, True, ("60",))]
    assert "carry_test" in {block.kind for block in blocks}


def test_a_whole_bag_is_tested_swing_by_swing_five_balls_each():
    blocks = [block for block in week(UNTESTED).blocks if block.kind == "carry_test"]
    assert {(block.clubs, block.swings, block.each) for block in blocks} == {(CLUBS, (swing,), 5) for swing in SWINGS}
    assert all(block.is_test for block in blocks)


def test_a_swing_that_is_off_is_tested_first_and_what_is_left_goes_to_targets():
    off = StockShot("52", "9:00", 20, bias_m=a_figure(-6), target_m=50.0, visits=3)
    figures = replace(FINE, stock=(off, *(shot for shot in FINE.stock if (shot.club, shot.swing) != ("52", "9:00"))))
    blocks = week(figures).blocks
    tests = [block for block in blocks if block.kind == "carry_test"]
    assert [(block.shots, block.balls, block.is_test) for block in tests] == [((off,), 20, False)]
    assert {block.kind for block in blocks if block not in tests} == {"random_target"}


def test_a_stage_chosen_by_the_coach_is_worked_at_though_it_is_passed():
    blocks = week(chosen=Stage.STOCK).blocks
    assert "carry_test" in {block.kind for block in blocks}
    assert week(chosen=Stage.STRIKE).blocks[0].kind == "strike_bucket"
    assert week(MISHITS, chosen=Stage.PASSED).stage.stage == Stage.PASSED
    assert week(MISHITS, chosen=Stage.LOFTS) == week(MISHITS)


def test_fresh_balls_that_are_wide_get_targets_without_numbers():
    blocks = week(replace(FINE, fresh=Wider((4, 4), a_figure(90)))).blocks
    assert {(block.kind, block.number_shown, block.is_test) for block in blocks} == {("random_target", False, False)}


def test_to_compare_fresh_balls_with_repeats_takes_repeats():
    blocks = week(replace(FINE, fresh=Wider())).blocks
    assert [block.repeats for block in blocks].count(True) == 1
    assert all(block.is_test for block in blocks)


def test_a_wide_course_gets_pressure_and_a_one_ball_test_at_the_end_of_each_visit():
    blocks = week(replace(FINE, course=Wider((4, 4), a_figure(90))), balls=100, visits=2).blocks
    assert [block.kind for block in blocks] == ["random_target", "one_ball"] * 2
    assert [block.has_pass_mark for block in blocks] == [True, False] * 2
    assert blocks[0].pass_made == 14  # 7 of 10
    few = week(replace(FINE, course=Wider((4, 4), a_figure(90))), replace(SHOTS, pairs=19))
    assert {block.kind for block in few.blocks} == {"random_target"}


def test_who_passes_everything_hits_at_targets_of_two_bands_with_numbers():
    found = week()
    assert found.stage.stage == Stage.PASSED
    assert len(found.themes) <= 2
    assert {(block.kind, block.number_shown) for block in found.blocks} == {("random_target", True)}


def test_without_targets_the_player_picks_spots():
    blocks = week(shots=replace(SHOTS, targets=())).blocks
    assert {block.kind for block in blocks} == {"pick_spot"}
    assert all(block.balls % 2 == 0 for block in blocks)
    assert week(shots=replace(SHOTS, targets=())).saving is None


def test_one_club_without_targets_gets_what_it_can_and_the_rest_is_free():
    alone = replace(SHOTS, clubs=SHOTS.clubs[:1], targets=())
    with pytest.raises(SuggestionError, match="enter a range, or more clubs"):
        week(shots=alone)
    untested = replace(UNTESTED, clubs=("48",), stock=UNTESTED.stock[:3])
    found = week(untested, alone)
    assert [(block.kind, block.swings) for block in found.blocks] == [("carry_test", SWINGS)]
    assert found.free == 100 - found.blocks[0].balls


def test_one_target_is_enough():
    found = week(shots=replace(SHOTS, targets=SHOTS.targets[:1]))
    assert {target for block in found.blocks for target, _ in block.targets} == {"Flag 0"}
    assert found.saving.lost == pytest.approx(0, abs=1e-9)


# What bounds the week


def test_before_a_competition_half_the_balls_no_carry_test_and_the_days_before_it():
    found = week(UNTESTED, competition_days=(5,))
    assert (found.balls, found.stage.stage) == (50, Stage.STOCK)
    assert {block.kind for block in found.blocks} == {"random_target"}
    assert max(block.day for block in found.blocks) < 5


@pytest.mark.parametrize(("day", "eased"), [(None, False), (0, False), (1, True), (6, True), (9, True), (10, False)])
def test_which_weeks_a_competition_eases(day, eased):
    assert Ask(60, 2, competition_days=() if day is None else (day,)).is_eased is eased


def test_after_a_competition_that_opens_the_week_practice_starts_the_next_day():
    found = week(competition_days=(0,))
    assert found.balls == 100
    assert min(block.day for block in found.blocks) >= 1


@pytest.mark.parametrize(
    ("first_day", "competition_days", "days", "eased"),
    [
        (4, (), [4, 5, 6], False),
        (4, (3,), [4, 5, 6], False),  # it is over, and so is the easing
        (2, (5,), [2, 3, 4], True),
        (5, (5,), [6], False),
        (0, (0, 3), [1, 2], True),
        (0, (1, 8), [0], True),
        (0, (0, 9), [1, 2, 3, 4, 5, 6], True),  # the second alone eases
    ],
)
def test_the_days_that_are_left_up_to_the_next_competition(first_day, competition_days, days, eased):
    ask = Ask(60, 2, first_day=first_day, competition_days=competition_days)
    assert (ask.days, ask.is_eased) == (days, eased)


def test_what_is_left_of_a_week_holds_fewer_visits_and_no_more_balls_a_day():
    found = week(balls=300, visits=4, first_day=5)
    assert {block.day for block in found.blocks} == {5, 6}
    assert (found.balls, found.visits, found.visits_because) == (160, 2, "days left")
    limited = week(balls=300, visits=1, first_day=6, daily_limit=50)
    assert sum(block.balls for block in limited.blocks) <= limited.balls == 50


def test_half_of_few_balls_is_left_free():
    found = week(balls=40, competition_days=(5,))
    assert (found.blocks, found.balls, found.free, found.visits) == ((), 20, 20, 0)


def test_another_day_comes_before_more_balls():
    assert (week(balls=200, visits=1).visits, week(balls=200, visits=1).visits_because) == (3, "many balls")
    limited = week(balls=100, visits=1, daily_limit=30)
    assert (limited.visits, limited.visits_because) == (4, "daily limit")


def test_too_few_balls_for_the_visits_make_fewer_visits():
    found = week(balls=30, visits=5)
    assert (found.visits, found.visits_because) == (1, "few balls")


def test_a_check_day_has_its_own_balls_and_no_theme():
    found = week(MISHITS, check_balls=15)
    assert [block.balls for block in found.blocks if block.kind == "check_day"] == [15]
    assert len(found.themes) <= 2


@pytest.mark.parametrize(
    ("ask", "shots", "message"),
    [
        ({"balls": 0}, SHOTS, "25 to 560 balls, not 0"),
        ({"balls": 24}, SHOTS, "two blocks of 10"),
        ({"balls": 10_000}, SHOTS, "25 to 560 balls, not 10000"),
        ({"visits": 0}, SHOTS, "1 to 7 days"),
        ({"visits": 8}, SHOTS, "1 to 7 days"),
        ({}, Shots(), "put the player’s clubs into the bag"),
        ({"first_day": 7}, SHOTS, "This week is over"),
        ({"first_day": 6, "competition_days": (6,)}, SHOTS, "Only the day of a competition is left"),
    ],
)
def test_bad_input_is_refused_with_what_to_do(ask, shots, message):
    with pytest.raises(SuggestionError, match=message):
        week(shots=shots, **ask)
