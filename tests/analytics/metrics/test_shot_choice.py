from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from analytics.metrics import shot_choice
from analytics.metrics.next_ball import StockShot, predictive
from analytics.metrics.putting import TOUR_PUTTS, putting_table
from analytics.metrics.shot_choice import choose_shots

YD = 0.9144
TARGETS_M = np.arange(20, 101) * YD
SHOTS = [
    StockShot(f"{loft}", swing, 10, mean_yd * YD, 0.07 * mean_yd * YD, 10, 0.045 * mean_yd * YD, 0.08)
    for loft, row in {45: (43, 72, 98), 50: (38, 64, 87), 55: (33, 56, 76), 60: (27, 46, 64)}.items()
    for swing, mean_yd in zip(("7:30", "9:00", "10:30"), row, strict=True)
]


def choice_at(target_yd, shots=SHOTS, **options):
    return choose_shots(shots, [target_yd * YD], 3 * YD, **options).choices[0]


def names(choice):
    return [(shot.club, shot.swing) for shot in choice.shots]


def drawn_strokes(shot, target_m, mishit_strokes=2.5):
    """Strokes to expect by drawing 400,000 balls."""
    rng = np.random.default_rng(7)
    scatter = predictive(SHOTS).take(np.array([SHOTS.index(shot)]))
    carry = scatter.mean + scatter.scale * rng.standard_t(scatter.df[0], 400_000)
    leave_ft = np.hypot(carry - target_m, scatter.lateral * rng.normal(size=400_000)) / 0.3048
    putts = np.interp(leave_ft, TOUR_PUTTS.feet, TOUR_PUTTS.putts).mean()
    return 1 + (1 - shot.mishit) * putts + shot.mishit * mishit_strokes


def test_the_weights_of_the_lateral_rule_add_up_to_one():
    assert shot_choice.SIDE_WEIGHT.sum() == pytest.approx(1, rel=1e-12)


@pytest.mark.parametrize("target_yd", [30, 56, 88])
def test_expected_strokes_equal_those_of_drawn_balls(target_yd):
    by_name = {(shot.club, shot.swing): shot for shot in SHOTS}
    for candidate in choice_at(target_yd).shots:
        drawn = drawn_strokes(by_name[candidate.club, candidate.swing], target_yd * YD)
        assert candidate.strokes == pytest.approx(drawn, abs=0.003)


def test_the_shot_that_flies_the_distance_is_chosen_and_named_alone_where_it_leads():
    choice = choice_at(33)
    assert names(choice)[0] == ("55", "7:30")
    alone = choice_at(27)
    assert (alone.verdict, names(alone)[0]) == ("one", ("60", "7:30"))


def test_two_shots_of_one_carry_cannot_be_told_apart():
    choice = choice_at(64)
    assert choice.verdict == "either"
    assert set(names(choice)) == {("50", "9:00"), ("60", "10:30")}
    first, second = choice.shots
    assert 0 <= second.strokes - first.strokes < 1.29 * choice.lead_se


def test_many_balls_tell_two_shots_apart_that_few_cannot():
    def pair(n):
        return [StockShot("52", "9:00", n, 55.0, 3.0), StockShot("58", "10:30", n, 57.0, 4.2)]

    assert choice_at(55 / YD, pair(8)).verdict == "either"
    assert choice_at(55 / YD, pair(400)).verdict == "one"


def test_the_error_of_the_lead_equals_that_of_players_drawn_in_accord_with_the_balls():
    pair = [
        StockShot("52", "9:00", 6, 50.0, 3.5, 6, 2.5, 0.3),
        StockShot("58", "10:30", 12, 56.0, 3.5, 12, 2.5, 0.1),
    ]
    rng, z = np.random.default_rng(11), stats.norm.ppf((np.arange(60) + 0.5) / 60)
    scatter, variances = predictive(pair), []
    for k in range(2):
        df, s = scatter.df[k], scatter.scale[k] / np.sqrt(1 + 1 / pair[k].n)
        true_s = s * np.sqrt(df / rng.chisquare(df, (1500, 1, 1)))
        true_mean = pair[k].mean_m + true_s / np.sqrt(pair[k].n) * rng.normal(size=(1500, 1, 1))
        leave_m = np.hypot(true_mean + true_s * z[:, None] - 52, scatter.lateral[k] * z)
        variances.append((1 - pair[k].mishit) ** 2 * TOUR_PUTTS.putts_after(leave_m).mean(axis=(1, 2)).var())
    assert choice_at(52 / YD, pair).lead_se == pytest.approx(np.sqrt(sum(variances)), rel=0.1)


def test_the_only_shot_that_reaches_is_named_alone_without_a_second():
    choice = choice_at(30, [SHOTS[2], SHOTS[9]])
    assert (choice.verdict, names(choice), choice.lead_se) == ("one", [("60", "7:30")], None)


def test_no_stock_shot_reaches_and_the_nearest_is_given():
    choice = choice_at(130)
    assert (choice.verdict, names(choice), choice.lead_se) == ("no stock shot", [("45", "10:30")], None)
    assert choice.shots[0].strokes is None
    assert choice.shots[0].chance < 0.01
    assert names(choice_at(12)) == [("60", "7:30")]


def test_a_shot_reaches_as_far_as_the_interval_of_its_next_ball():
    shot = [SHOTS[0]]
    scatter = predictive(shot)
    edge_yd = (scatter.mean[0] + 2.109816 * scatter.scale[0]) / YD  # t(.975, 17), any table
    assert choice_at(edge_yd - 0.01, shot).verdict == "one"
    assert choice_at(edge_yd + 0.01, shot).verdict == "no stock shot"


def test_a_shot_often_mishit_gives_way():
    steady = StockShot("56", "9:00", 40, 50.0, 3.0, 40, 2.0, 0.02)
    risky = StockShot("60", "10:30", 40, 50.0, 3.0, 40, 2.0, 0.25)
    choice = choice_at(50 / YD, [risky, steady])
    assert (choice.verdict, names(choice)[0]) == ("one", ("56", "9:00"))
    assert choice.shots[0].chance > choice.shots[1].chance
    free = choice_at(50 / YD, [risky, steady], mishit_strokes=1.0)
    assert names(free)[0] == ("60", "10:30")


def test_the_coachs_own_putting_table_is_used_and_named():
    own = putting_table("our academy", [(0, 1.2), (90, 6.0)])
    table = choose_shots(SHOTS, [50 * YD], 3 * YD, table=own)
    assert table.source == "our academy"
    assert table.choices[0].shots[0].strokes > choice_at(50).shots[0].strokes
    assert "Broadie" in choose_shots(SHOTS, [50 * YD], 3 * YD).source


def test_without_lateral_errors_the_chance_is_of_the_distance_only_and_says_so():
    blind = [replace(shot, n_lateral=0, lateral_s_m=None) for shot in SHOTS]
    assert choose_shots(blind, TARGETS_M, 3 * YD).distance_only
    assert not choose_shots(SHOTS, TARGETS_M, 3 * YD).distance_only
    assert choice_at(50, blind).shots[0].chance > choice_at(50).shots[0].chance


def test_the_table_holds_every_target_and_shot():
    table = choose_shots(SHOTS, TARGETS_M, 3 * YD)
    assert table.chance.shape == (81, 12) == (len(table.choices), len(table.labels))
    assert [choice.target_m for choice in table.choices] == TARGETS_M.tolist()
    assert ((table.chance >= 0) & (table.chance <= 0.92)).all()
    for row, choice in enumerate(table.choices):
        for shot in choice.shots:
            assert shot.chance == table.chance[row, table.labels.index((shot.club, shot.swing))]


@given(st.permutations(SHOTS))
@settings(max_examples=20, deadline=None)
def test_the_order_of_the_shots_changes_nothing_at_all(shots):
    one, other = choose_shots(SHOTS, TARGETS_M[::10], 3 * YD), choose_shots(shots, TARGETS_M[::10], 3 * YD)
    assert one.labels == other.labels
    assert one.choices == other.choices
    assert (one.chance == other.chance).all()


def test_equal_shots_come_in_the_order_of_their_names():
    twins = [StockShot(club, "9:00", 10, 50.0, 3.0) for club in ("58", "52")]
    assert (
        names(choice_at(50 / YD, twins)) == names(choice_at(50 / YD, twins[::-1])) == [("52", "9:00"), ("58", "9:00")]
    )
    assert choice_at(50 / YD, twins).verdict == "either"


@given(st.floats(20, 100), st.floats(0.5, 10), st.floats(0.1, 5))
@settings(max_examples=20, deadline=None)
def test_a_wider_radius_raises_every_chance_and_leaves_the_choice(target_yd, radius_m, more_m):
    narrow, wide = (choose_shots(SHOTS, [target_yd * YD], r) for r in (radius_m, radius_m + more_m))
    assert (wide.chance >= narrow.chance - 1e-4).all()
    assert names(wide.choices[0]) == names(narrow.choices[0])


def test_without_shots_no_stock_shot_reaches_and_none_is_near():
    choice = choice_at(50, [])
    assert (choice.verdict, choice.shots, choice.lead_se) == ("no stock shot", (), None)


def test_without_targets_there_are_no_choices():
    assert choose_shots(SHOTS, [], 3.0).choices == ()


@pytest.mark.parametrize(
    ("target_m", "radius_m"), [(0.0, 3.0), (-5.0, 3.0), (np.nan, 3.0), (50.0, 0.0), (50.0, np.nan)]
)
def test_targets_and_radius_must_be_above_zero(target_m, radius_m):
    with pytest.raises(ValueError, match="above 0"):
        choose_shots(SHOTS, [target_m], radius_m)
