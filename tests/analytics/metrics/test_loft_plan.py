import math
from collections import Counter
from dataclasses import replace
from itertools import pairwise, product

import numpy as np
import pytest

from analytics.metrics.carry_surface import SurfaceCell, fit_carry_surface
from analytics.metrics.loft_plan import LATTICE_DEG, PlanClub, plan_lofts, straight_carry

YD = 0.9144


def curve_m(loft_deg):
    """Full carries of a simulated player, made for their differences: 14.5 yd from 45 to 50, 15.3 from 55 to 60."""
    x = loft_deg - 52.5
    return 185.7 * YD * math.exp(-0.016196 * x - 0.00017441 * x * x)


def club(loft_deg, *, short_m=0.0, **rest):
    return PlanClub(f"{loft_deg:g}", loft_deg, lambda loft: curve_m(loft) - short_m, **rest)


def bag(*lofts_deg, **rest):
    return [club(loft_deg, **rest) for loft_deg in lofts_deg]


def lofts_of(plan):
    return tuple(planned.loft_deg for planned in plan.clubs)


def largest_yd(gaps_m):
    return max(gaps_m) / YD


def key_of(clubs, lofts_deg):
    """What is made least, in plain loops."""
    carries = sorted(each.carry_m(loft) for each, loft in zip(clubs, lofts_deg, strict=True))
    gaps = [longer - shorter for shorter, longer in pairwise(carries)]
    mean = sum(gaps) / len(gaps)
    sd = math.sqrt(sum((gap - mean) ** 2 for gap in gaps) / len(gaps))
    bends = [abs(loft - each.loft_deg) for each, loft in zip(clubs, lofts_deg, strict=True)]
    return tuple(round(figure, 6) for figure in (max(gaps), sd, sum(bends), max(bends), *lofts_deg))


def brute_force(clubs, step_deg, released=()):
    """The best lofts by trying every one that is allowed; clubs come by loft."""
    ranges = []
    for place, each in enumerate(clubs):
        middle = each.loft_deg if each.made_deg is None else each.made_deg
        lofts = {each.loft_deg}
        if 0 < place < len(clubs) - 1 or each.label in released:
            tried = [each.loft_deg + step_deg * k for k in range(-20, 21)]
            lofts |= {loft for loft in tried if middle - each.limit_deg <= loft <= middle + each.limit_deg}
        ranges.append(sorted(lofts))
    allowed = [lofts for lofts in product(*ranges) if list(lofts) == sorted(lofts)]
    return min(allowed, key=lambda lofts: key_of(clubs, lofts)), len(allowed)


def random_bag(rng):
    """2 to 5 clubs, some set off from the others, some that take no bend, some bent before, some errors unknown.

    In one bag of four every degree costs the same, so that many lofts are equally good.
    """
    lofts_deg = 44 + np.cumsum(rng.integers(0, 15, rng.integers(2, 6))) / 2
    clubs, straight = [], rng.random() < 0.25
    for number, loft_deg in enumerate(lofts_deg.tolist()):
        off_m = rng.normal(0, 2)
        clubs.append(
            PlanClub(
                f"{number}",
                loft_deg,
                straight_carry(0, 200.1, 2.3) if straight else lambda loft, off_m=off_m: curve_m(loft) + off_m,
                se_m=rng.choice([None, 0.0, 0.5, 2.0]),
                limit_deg=float(rng.choice([0.0, 0.5, 1.0, 2.0])),
                made_deg=rng.choice([None, loft_deg - 0.5, loft_deg + 1.0]),
            )
        )
    released = [clubs[end].label for end in (0, -1) if rng.random() < 0.15]
    return clubs, float(rng.choice(LATTICE_DEG)), released


@pytest.fixture(scope="module")
def random_plans():
    rng = np.random.default_rng(20261127)
    bags = [random_bag(rng) for _ in range(2000)]
    return [(*each, plan_lofts(each[0], step_deg=each[1], released=each[2])) for each in bags]


def test_the_plan_equals_trying_every_loft_on_thousands_of_bags(random_plans):
    for clubs, step_deg, released, plan in random_plans:
        best, combinations = brute_force(clubs, step_deg, released)
        now = tuple(each.loft_deg for each in clubs)
        gain_m = key_of(clubs, now)[0] - key_of(clubs, best)[0]
        assert plan.combinations == combinations
        assert plan.gain_m == pytest.approx(gain_m, abs=2e-6)
        assert lofts_of(plan) == (best if plan.verdict == "bend" else now)
        if plan.verdict == "best as it is":
            assert best == now
        elif plan.verdict == "under a yard":
            assert gain_m < YD
        else:
            assert gain_m >= YD
            assert (plan.verdict == "within error") == (gain_m < 1.2815516 * (plan.gain_se_m or 0))
    verdicts = Counter(plan.verdict for *_, plan in random_plans)
    assert set(verdicts) == {"bend", "best as it is", "under a yard", "within error"}
    assert min(verdicts.values()) > 50


def test_no_club_leaves_its_limit_and_no_fixed_end_moves(random_plans):
    for clubs, step_deg, released, plan in random_plans:
        for each, planned in zip(clubs, plan.clubs, strict=True):
            made_deg = each.loft_deg if each.made_deg is None else each.made_deg
            assert planned.bend_deg == 0 or abs(planned.loft_deg - made_deg) <= each.limit_deg
            assert planned.bend_deg % step_deg == 0
        for end in (0, -1):
            assert clubs[end].label in released or plan.clubs[end].bend_deg == 0
        assert list(lofts_of(plan)) == sorted(lofts_of(plan))


def test_a_plan_is_never_worse_than_the_bag(random_plans):
    for clubs, _, _, plan in random_plans:
        assert key_of(clubs, lofts_of(plan))[:2] <= key_of(clubs, [each.loft_deg for each in clubs])[:2]
        assert max(plan.gaps_m) <= max(plan.gaps_now_m)
        assert plan.gain_m >= 0


def test_the_plan_of_a_planned_bag_is_no_change(random_plans):
    for clubs, step_deg, released, plan in random_plans:
        made = [each.loft_deg if each.made_deg is None else each.made_deg for each in clubs]
        bent = [
            replace(each, loft_deg=loft, made_deg=from_deg)
            for each, loft, from_deg in zip(clubs, lofts_of(plan), made, strict=True)
        ]
        again = plan_lofts(bent, step_deg=step_deg, released=released)
        assert lofts_of(again) == lofts_of(plan)
        assert again.verdict != "bend"


@pytest.mark.parametrize(
    ("lofts_deg", "short_50_yd", "gaps_now_yd", "planned_deg", "largest"),
    [
        ((45, 50, 55, 60), 0, (14.5, 15.0, 15.3), (45, 50, 55, 60), 15.3),
        ((45, 51, 57), 0, (17.4, 18.2), (45, 51, 57), 18.2),
        ((45, 50, 56, 60), 0, (14.5, 18.1, 12.2), (45, 50, 55, 60), 15.3),
        ((44, 50, 54, 60), 0, (17.3, 12.0, 18.3), (44, 49.5, 55, 60), 16.5),
        ((45, 50, 55, 60), 4, (18.5, 11.0, 15.3), (45, 48.5, 55, 60), 15.4),
    ],
)
def test_worked_bags(lofts_deg, short_50_yd, gaps_now_yd, planned_deg, largest):
    """Worked by the same search, with the carries of a simulated player: engineering estimate."""
    clubs = [club(loft, short_m=short_50_yd * YD if loft == 50 else 0) for loft in lofts_deg]
    plan = plan_lofts(clubs)
    assert np.array(plan.gaps_now_m) / YD == pytest.approx(gaps_now_yd, abs=0.06)
    assert lofts_of(plan) == planned_deg
    assert plan.verdict == ("best as it is" if planned_deg == lofts_deg else "bend")
    assert largest_yd(plan.gaps_m) == pytest.approx(largest, abs=0.06)


def test_five_clubs_at_half_a_degree_are_729_combinations_and_each_loft_is_flown_once():
    asked = Counter()

    def counted(number):
        def carry_m(loft_deg):
            asked[number, loft_deg] += 1
            return curve_m(loft_deg)

        return carry_m

    clubs = [PlanClub(f"{number}", 44.0 + 5 * number, counted(number)) for number in range(5)]
    assert plan_lofts(clubs).combinations == 9**3
    assert len(asked) == 3 * 9 + 2
    assert max(asked.values()) <= 3  # in the search, and for what is and what is planned


def test_whole_degrees_are_fewer_combinations():
    assert plan_lofts(bag(44, 49, 54, 59, 64), step_deg=1.0).combinations == 5**3


def test_the_order_of_the_clubs_changes_nothing():
    clubs = bag(44, 50, 54, 60)
    assert plan_lofts(clubs[::-1]) == plan_lofts(clubs)


def test_clubs_never_overtake_each_other_in_loft():
    plan = plan_lofts([club(45), club(50, short_m=12.0), club(51, short_m=-12.0), club(60)])
    assert list(lofts_of(plan)) == sorted(lofts_of(plan))
    assert [planned.label for planned in plan.clubs] == ["45", "50", "51", "60"]


def test_of_equals_the_fewest_bends_are_taken():
    """By hand: gaps 12 and 8 at 2 m a degree; the middle 1 degree stronger makes both 10. The end need not move."""
    clubs = [PlanClub(f"{loft:g}", loft, straight_carry(loft, 200 - 2 * loft, 2)) for loft in (44.0, 50.0, 54.0)]
    assert lofts_of(plan_lofts(clubs)) == (44, 49, 54)
    flat = [PlanClub(name, 50.0 + k, lambda _, k=k: 100.0 - 10 * k) for k, name in enumerate("abcd")]
    free = plan_lofts(flat, released=["a", "d"])
    assert (free.verdict, lofts_of(free)) == ("best as it is", (50, 51, 52, 53))


def test_of_as_many_degrees_bent_two_small_bends_are_better_than_one_large():
    """By hand, gaps of 5, 5 and 6 in any order: 44/49/54/60 bends 2 + 0, 44/50/55/60 bends 1 + 1, 44/49/55/60 2 + 1."""
    clubs = [PlanClub(f"{loft:g}", loft, straight_carry(44, 100, 1)) for loft in (44.0, 51.0, 54.0, 60.0)]
    assert lofts_of(plan_lofts(clubs, step_deg=1.0)) == (44, 50, 55, 60)


def test_a_released_end_gives_up_range_and_the_plan_says_how_much():
    clubs = [PlanClub(f"{loft:g}", loft, straight_carry(loft, 200 - 2 * loft, 2)) for loft in (44.0, 50.0, 54.0)]
    assert plan_lofts(clubs).range_lost_m == 0
    freed = plan_lofts(clubs, released=["44", "54"])
    assert (freed.verdict, lofts_of(freed)) == ("bend", (46, 49, 52))
    assert freed.range_lost_m == pytest.approx(8)
    one = plan_lofts(clubs, released=["44"])
    assert lofts_of(one) == (46, 50, 54)
    assert one.range_lost_m == pytest.approx(4)


def test_only_an_end_can_be_released():
    with pytest.raises(ValueError, match="50: only the least and the most lofted"):
        plan_lofts(bag(44, 50, 54), released=["50"])


def test_for_less_than_a_yard_nothing_is_bent():
    """By hand: half a degree of the middle club takes half of 2 x 0.5 degrees' carry off the largest gap."""

    def uneven(lost_m_per_deg):
        lofts = (44.0, 50.0, 55.0)
        return [PlanClub(f"{x}", x, straight_carry(x, 200 - lost_m_per_deg * x, lost_m_per_deg)) for x in lofts]

    small, enough, just = (plan_lofts(uneven(lost_m_per_deg)) for lost_m_per_deg in (1.8, 1.84, 1.8288))
    assert small.verdict == "under a yard"
    assert small.gain_m == pytest.approx(0.9)
    assert small.gaps_m == small.gaps_now_m
    assert (enough.verdict, lofts_of(enough)) == ("bend", (44, 49.5, 55))
    assert (just.verdict, just.gain_m) == ("bend", YD)


def test_a_gain_within_its_error_is_no_change():
    """By hand: gap 45-50 now, 50-55 then, so the 50 errs twice: sqrt(1 + 4 + 1) x 1.1 x 1.2816 = 3.5 yd over 3.1 yd."""

    def short_50(se_yd):
        return [club(x, short_m=4 * YD if x == 50 else 0, se_m=se_yd * YD) for x in (45, 50, 55, 60)]

    doubted, sure = plan_lofts(short_50(1.1)), plan_lofts(short_50(0.9))
    assert doubted.gain_se_m == pytest.approx(math.sqrt(6) * 1.1 * YD)
    assert (doubted.verdict, lofts_of(doubted)) == ("within error", (45, 50, 55, 60))
    assert (sure.verdict, lofts_of(sure)) == ("bend", (45, 48.5, 55, 60))
    assert doubted.gain_m == sure.gain_m == pytest.approx(3.1 * YD, abs=0.1)


def test_a_club_in_both_gaps_errs_in_both_alike_so_only_the_bend_is_in_doubt():
    """By hand: 12 m now and 11 m then between the same two clubs, one of them bent half a degree."""
    clubs = [
        PlanClub("a", 44.0, straight_carry(44, 100, 2), se_m=9.0),
        PlanClub("b", 50.0, straight_carry(50, 88, 2), se_m=9.0, limit_deg=0.5, slope_se_m_per_deg=0.4),
        PlanClub("c", 54.0, straight_carry(54, 80, 2), se_m=9.0),
    ]
    plan = plan_lofts(clubs)
    assert plan.gain_se_m == pytest.approx(0.5 * 0.4)
    assert (plan.verdict, plan.gain_m) == ("bend", pytest.approx(1))
    shaky = [replace(each, slope_se_m_per_deg=1.7) for each in clubs]
    assert plan_lofts(shaky).verdict == "within error"


@pytest.mark.parametrize("lost_m_per_deg", [2, 2.3, 2.55])  # at 2.55 the last bits make the other gap larger
def test_of_equal_gaps_the_longer_carries_count(lost_m_per_deg):
    """By hand: 44-50 is the largest now; at 44/49/54 both are equal, so 44-49 is compared with it."""
    clubs = [
        PlanClub(f"{loft}", loft, straight_carry(44.3, 111.7, lost_m_per_deg), se_m=0.2) for loft in (44.0, 50.0, 54.0)
    ]
    plan = plan_lofts(clubs)
    assert (lofts_of(plan), plan.gain_se_m) == ((44, 49, 54), 0)


def test_the_error_of_the_gain_equals_that_of_bags_drawn_with_errors():
    clubs = [club(x, se_m=0.3 + 0.1 * k, slope_se_m_per_deg=0.2) for k, x in enumerate((45, 50, 56, 60))]
    plan, rng = plan_lofts(clubs), np.random.default_rng(3)
    assert lofts_of(plan) == (45, 50, 55, 60)
    off = rng.normal(size=(200_000, 4)) * [each.se_m for each in clubs]
    of_bend = rng.normal(size=200_000) * 0.2 * -1
    now_m, then_m = np.array([p.now_m for p in plan.clubs]) + off, np.array([p.carry_m for p in plan.clubs]) + off
    then_m[:, 2] += of_bend
    widest = int(np.argmax(plan.gaps_m))
    gains = (now_m[:, 1] - now_m[:, 2]) - (then_m[:, widest] - then_m[:, widest + 1])
    assert plan.gain_se_m == pytest.approx(gains.std(), rel=0.01)


def test_an_error_that_is_not_known_is_not_given():
    plan = plan_lofts(bag(45, 50, 56, 60))
    assert (plan.verdict, plan.gain_se_m) == ("bend", None)


def test_bounce_goes_with_loft_one_to_one():
    clubs = [
        replace(each, bounce_deg=bounce) for each, bounce in zip(bag(44, 50, 54, 60), (6, 8, 10, None), strict=True)
    ]
    assert [planned.bounce_deg for planned in plan_lofts(clubs).clubs] == [6, 7.5, 11, None]


def test_a_club_with_limit_nought_stays_and_one_bent_before_has_less_left():
    assert lofts_of(plan_lofts([club(45), club(50), club(56, limit_deg=0), club(60)]))[2] == 56
    clubs = [club(45), club(50), club(58, made_deg=59), club(60)]
    assert lofts_of(plan_lofts(clubs))[2] == 57


def test_a_club_bent_beyond_its_limit_may_stay_or_come_back():
    beyond = club(56, made_deg=53, limit_deg=1)
    assert lofts_of(plan_lofts([club(45), club(50), beyond, club(60)]))[2] == 56
    assert lofts_of(plan_lofts([club(45), club(47, limit_deg=0), beyond, club(60)]))[2] == 53.5


def test_a_bend_keeps_what_the_balls_say_of_a_club():
    """A club that flies short of the others is bent stronger, by the carries of a fitted surface."""
    cells = [
        SurfaceCell(f"{loft}", loft, "full", 40, curve_m(loft) - (4 * YD if loft == 50 else 0), 0.05)
        for loft in (45.0, 50.0, 55.0, 60.0)
    ]
    surface = fit_carry_surface(cells, ["full"])
    clubs = [
        PlanClub(label, loft, lambda deg, label=label: surface.bent(label, deg)["full"].carry_m)
        for label, loft in surface.lofts_deg.items()
    ]
    plan = plan_lofts(clubs)
    assert plan.verdict == "bend"
    assert [planned.label for planned in plan.clubs if planned.bend_deg < 0] == ["50.0"]


def test_two_clubs_of_one_loft_are_planned_like_others():
    plan = plan_lofts([club(46), replace(club(56), label="low"), replace(club(56), label="high"), club(60)])
    assert [planned.label for planned in plan.clubs] == ["46", "high", "low", "60"]
    assert plan.verdict == "bend"
    assert plan.clubs[1].loft_deg == 54


def test_fourteen_clubs_are_planned_if_few_may_be_bent_and_fifteen_are_refused():
    irons = [club(20.0 + 3 * k, limit_deg=0) for k in range(9)]
    wedges = bag(47, 50, 56, 58, 62)
    assert plan_lofts(irons + wedges).combinations <= 9**4
    with pytest.raises(ValueError, match=r"15 clubs: leave 1 at home; Rule 4\.1b allows 14"):
        plan_lofts([*irons, *wedges, club(64)])


def test_a_search_that_would_take_too_long_says_how_to_make_it_smaller():
    with pytest.raises(ValueError, match="whole degrees, or set the limit of more clubs to 0"):
        plan_lofts(bag(*range(25, 67, 3)))


@pytest.mark.parametrize(
    ("clubs", "words"),
    [
        ([], "measure those of another club"),
        (bag(50), "measure those of another club"),
        ([club(50), replace(club(56), label="50")], "give each its own"),
        ([club(50), replace(club(56), loft_deg=math.nan)], "56: give its loft in degrees"),
        ([club(50), club(56, made_deg=0.0)], "56: give its loft in degrees"),
        ([club(50), club(56, limit_deg=-1.0)], "56: give the limit of a bend as 0"),
        ([club(50), club(56, bounce_deg=-1.0)], "56: give its bounce as 0"),
        ([club(50), club(56, se_m=-1.0)], "56: give standard errors as 0"),
        ([club(50), club(56, slope_se_m_per_deg=math.inf)], "56: give standard errors as 0"),
        ([club(50), PlanClub("56", 56.0, lambda _: math.nan)], "56: a carry of nan m at 56 degrees"),
        ([club(50), PlanClub("52", 52.0, straight_carry(52, 3, 2)), club(56)], "correct its carry"),
    ],
)
def test_bad_bags_are_told_what_to_do(clubs, words):
    with pytest.raises(ValueError, match=words):
        plan_lofts(clubs)


def test_the_lattice_is_half_or_whole_degrees():
    with pytest.raises(ValueError, match=r"0\.5 or 1 degree"):
        plan_lofts(bag(45, 50, 55), step_deg=0.25)
