from math import exp, sqrt

import pytest

from analytics.metrics.reach import ClubCarries, ClubReach, StockCarry, club_reaches


def reach(club: ClubCarries, *others: ClubCarries, full_swings: bool = True) -> ClubReach:
    return club_reaches([club, *others], full_swings=full_swings)[0]


TESTED = ClubCarries(
    "54",
    54,
    stock=[StockCarry("7:30", 4, 34.0), StockCarry("9:00", 5, 56.0), StockCarry("full", 5, 90.0)],
    at_targets_m=[20.0, 110.0, 111.0],
    stated=[("full", 99.0)],
)


def test_reach_goes_from_half_the_shortest_stock_carry_to_the_longest():
    stock = (("7:30", 34.0), ("9:00", 56.0), ("full", 90.0))
    assert reach(TESTED) == ClubReach("54", 17.0, 90.0, "stock", False, stock, give_m=0.0)


def test_without_full_swings_the_longest_stock_carry_is_that_of_a_shorter_swing():
    stock = (("7:30", 34.0), ("9:00", 56.0))
    assert reach(TESTED, full_swings=False) == ClubReach("54", 17.0, 56.0, "stock", False, stock, give_m=0.0)


def test_a_club_known_by_its_full_swing_only_keeps_it_as_its_limit_but_offers_no_full_swing():
    club = ClubCarries("54", 54, stock=[StockCarry("full", 3, 90.0)])
    assert reach(club, full_swings=False) == ClubReach("54", 45.0, 90.0, "stock", False, (), give_m=0.0)


def test_three_stock_balls_are_enough_over_all_swings():
    club = ClubCarries("54", 54, stock=[StockCarry("7:30", 1, 34.0), StockCarry("9:00", 2, 56.0)])
    assert reach(club).basis == "stock"


def test_under_three_stock_balls_the_reach_comes_from_balls_at_targets():
    carries_m = [float(carry_m) for carry_m in range(30, 51)]  # 21 balls: 5 % and 95 % are the 2nd and the 20th
    club = ClubCarries("54", 54, [StockCarry("full", 2, 90.0)], carries_m, [("full", 95.0)])
    assert reach(club) == ClubReach("54", 31.0, 49.0, "targets", False, ())


def test_one_odd_ball_at_a_target_hardly_stretches_the_reach():
    club = ClubCarries("54", 54, at_targets_m=[40.0] * 40 + [120.0])
    assert reach(club).longest_m == 40


def test_under_three_balls_at_targets_the_reach_comes_from_what_the_coach_states():
    club = ClubCarries("54", 54, at_targets_m=[40.0, 50.0], stated=[("9:00", 60.0), ("full", 95.0)])
    assert reach(club) == ClubReach("54", 30.0, 95.0, "stated", True, ())
    assert reach(club, full_swings=False) == ClubReach("54", 30.0, 60.0, "stated", True, ())


def test_a_stated_full_carry_alone_reaches_from_its_half():
    club = ClubCarries("52", 52, stated=[("full", 95.0)])
    assert reach(club) == ClubReach("52", 47.5, 95.0, "stated", True, ())


def test_a_carry_stated_for_another_club_is_scaled_by_three_percent_a_degree():
    club, stated = ClubCarries("56", 56), ClubCarries("52", 52, stated=[("full", 95.0)])
    found = reach(club, stated)
    assert (found.basis, found.estimated, found.stock) == ("estimated", True, ())
    assert found.longest_m == pytest.approx(95 * exp(-0.12))
    assert found.shortest_m == pytest.approx(95 * exp(-0.12) / 2)
    lower_loft = reach(ClubCarries("48", 48), stated)
    assert lower_loft.longest_m == pytest.approx(95 * exp(0.12))


def test_scaled_carries_stay_near_those_of_a_flight_simulation():
    # Full carries (yd) of one player from a flight model of our own; 3 % a degree from 54 stays within 5 % of them.
    for loft_deg, carry_yd in [(48, 113.9), (50, 108.8), (52, 103.5), (54, 98.2), (56, 92.7), (58, 87.2)]:
        found = reach(ClubCarries("any", loft_deg), ClubCarries("54", 54, stated=[("full", 98.2)]))
        assert found.longest_m == pytest.approx(carry_yd, rel=0.05)


def test_each_swing_is_scaled_from_the_club_nearest_in_loft():
    far = ClubCarries("46", 46, stated=[("9:00", 80.0), ("full", 120.0)])
    near = ClubCarries("54", 54, stated=[("full", 95.0)])
    found = reach(ClubCarries("56", 56), far, near)
    assert found.longest_m == pytest.approx(95 * exp(-0.06))
    assert found.shortest_m == pytest.approx(80 * exp(-0.30) / 2)


def test_between_two_clubs_equally_near_the_first_of_the_bag_lends_its_carry():
    below, above = ClubCarries("54", 54, stated=[("full", 95.0)]), ClubCarries("58", 58, stated=[("full", 70.0)])
    assert reach(ClubCarries("56", 56), below, above).longest_m == pytest.approx(95 * exp(-0.06))
    assert reach(ClubCarries("56", 56), above, below).longest_m == pytest.approx(70 * exp(0.06))


def test_tested_carries_of_another_club_are_not_scaled():
    assert reach(ClubCarries("56", 56), ClubCarries("54", 54, stock=TESTED.stock)).basis is None


@pytest.mark.parametrize(
    ("loft_deg", "lender_loft_deg"), [(None, 52), (56, None)], ids=["its loft unknown", "the other's unknown"]
)
def test_without_a_loft_nothing_is_scaled(loft_deg, lender_loft_deg):
    lender = ClubCarries("52", lender_loft_deg, stated=[("full", 95.0)])
    assert reach(ClubCarries("56", loft_deg), lender) == ClubReach("56", None, None, None, False, ())


def test_with_nothing_at_all_there_is_no_reach():
    assert reach(ClubCarries("56", 56)) == ClubReach("56", None, None, None, False, ())


def test_clubs_come_back_in_the_order_given():
    found = club_reaches([ClubCarries("60", 60), TESTED, ClubCarries("46", 46)], full_swings=True)
    assert [club.label for club in found] == ["60", "54", "46"]
    assert [club.basis for club in found] == ["estimated", "stock", "estimated"]


def test_no_clubs_have_no_reach():
    assert club_reaches([], full_swings=True) == []


def test_how_well_the_longest_is_known_is_a_published_interval_where_one_swing_was_hit():
    """NIST/SEMATECH e-Handbook 1.3.5.2: n = 195, mean 9.261460, s = 0.022789; the interval is 9.258242 to 9.264679."""
    club = ClubCarries("54", 54, stock=[StockCarry("full", 195, 9.261460, 0.022789)])
    assert reach(club).give_m == pytest.approx((9.264679 - 9.258242) / 2, abs=1e-6)


def test_the_scatter_of_all_swings_says_how_well_the_longest_is_known():
    """By hand: 10 % of 4 balls and 5 % of 2 are sqrt((3 * .01 + .0025) / 4) = 9.01 %; t(.975, 4) = 2.776, any table."""
    club = ClubCarries("54", 54, stock=[StockCarry("9:00", 4, 50.0, 5.0), StockCarry("full", 2, 80.0, 4.0)])
    assert reach(club).give_m == pytest.approx(2.776 * 0.0901388 * 80 / sqrt(2), rel=1e-3)
    assert reach(club, full_swings=False).give_m == pytest.approx(2.776 * 0.0901388 * 50 / sqrt(4), rel=1e-3)


def test_where_no_swing_was_hit_twice_or_no_ball_was_a_stock_ball_nothing_is_known_of_it():
    once = [StockCarry(swing, 1, carry_m) for swing, carry_m in (("7:30", 30.0), ("9:00", 50.0), ("full", 80.0))]
    assert reach(ClubCarries("54", 54, stock=once)).give_m is None
    assert reach(ClubCarries("54", 54, stated=[("full", 80.0)])).give_m is None
