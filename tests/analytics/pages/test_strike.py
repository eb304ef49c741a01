"""The strike page: its figures against an independent computation, its drawing for both hands, and its words."""

import math
from datetime import timedelta

import numpy as np
import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from scipy import stats

from analytics.pages.strike import strike_page
from practice.clubs.models import Club
from practice.sessions.models import Shot, StrikeMark
from tests import make
from tests.analytics.stock_balls import hit

pytestmark = pytest.mark.django_db
MARKS = [(-4.0, 2.0), (0.0, 6.0), (3.0, -1.0), (-2.0, -3.0), (1.0, 4.0), (-5.0, 0.0)]
"""(low-high, heel-toe) in mm."""


def noon(days_ago):
    """Return a time that is the same local day all over the test, at whatever hour it runs."""
    return timezone.now().replace(hour=12, minute=0, second=0, microsecond=0) - timedelta(days=days_ago)


def mark(club, venue, marks, *, days_ago=2, **values):
    """Log one ball a second with these marks."""
    start = noon(days_ago)
    for n, (low_high_mm, heel_toe_mm) in enumerate(marks):
        place = {"strike_low_high_mm": low_high_mm, "strike_heel_toe_mm": heel_toe_mm}
        make.make_shot(club, venue, hit_at=start + timedelta(seconds=n), **place, **values)


def coach_of(player):
    client = Client()
    client.force_login(make.make_staff(player.academy))
    return client


def html_of(player, query=""):
    response = coach_of(player).get(reverse("analytics:strike", args=[player.pk]) + query)
    assert response.status_code == 200
    return response.content.decode()


def distances(marks):
    """Distances from the own centre, freed of the pull on it, worked out one by one."""
    n = len(marks)
    up = sum(mark[0] for mark in marks) / n
    out = sum(mark[1] for mark in marks) / n
    return [math.dist(mark, (up, out)) * math.sqrt(n / (n - 1)) for mark in marks]


def test_the_headline_is_the_mean_distance_from_the_own_centre_with_scipys_t_interval_of_its_logarithm(player, venue):
    mark(make.make_club(player), venue, MARKS)
    mean = np.mean(distances(MARKS))
    low, high = np.exp(stats.t.interval(0.95, 5, loc=math.log(mean), scale=stats.sem(distances(MARKS)) / mean))
    assert strike_page(player).sentence == (
        f"On average a mark lies {mean:.1f} mm from the player’s own centre "
        f"(between {low:.1f} and {high:.1f} mm), over 6 marks."
    )


def test_centre_and_scatter_are_said_low_to_high_before_heel_to_toe(player, venue):
    """By hand: means -7 / 6 and 8 / 6, sums of squared deviations 55 - 49 / 6 and 66 - 64 / 6 over 5."""
    mark(make.make_club(player, sweet_spot_low_high_mm=2.0, sweet_spot_heel_toe_mm=-1.0), venue, MARKS)
    page = strike_page(player)
    assert page.centre == (
        "Own centre: 1.2 mm low, 1.3 mm to the toe. Counted from the sweet spot: 3.2 mm low, 2.3 mm to the toe."
    )
    assert page.spread == "Scatter: 3.1 mm low to high, 3.3 mm heel to toe."
    assert (page.rows[0].low_high, page.rows[0].heel_toe) == ("4.0 mm low", "2.0 mm to the toe")
    assert (page.rows[1].low_high, page.rows[5].heel_toe) == ("neither low nor high", "neither heel nor toe")


@pytest.mark.parametrize(("handed", "toe_is"), [("right", -1), ("left", 1)])
def test_the_drawn_ellipses_are_those_of_the_covariance_for_either_hand(academy, venue, handed, toe_is):
    """Hotelling's region and the ellipse of the next mark (Johnson & Wichern, ch. 5, from memory); F by scipy.stats."""
    player = make.make_player(academy, handed=handed)
    mark(make.make_club(player), venue, MARKS)
    picture = strike_page(player).picture
    seen = np.array([(toe_is * heel_toe, -low_high) for low_high, heel_toe in MARKS])
    covariance = np.cov(seen.T)
    region = 2 * 5 / (6 * 4) * stats.f.ppf(0.95, 2, 4)
    for oval, scale in ((picture.centre_region, region), (picture.next_mark, 7 * region)):
        turn = math.radians(float(oval.turn))
        for angle in np.linspace(0, 2 * math.pi, 7):
            along, across = float(oval.rx) * math.cos(angle), float(oval.ry) * math.sin(angle)
            spot = np.array(
                [
                    float(oval.at.x) + along * math.cos(turn) - across * math.sin(turn),
                    float(oval.at.y) + along * math.sin(turn) + across * math.cos(turn),
                ]
            )
            offset = spot - seen.mean(axis=0)
            assert offset @ np.linalg.inv(covariance) @ offset == pytest.approx(scale, rel=0.01)


def test_a_left_handers_picture_is_the_mirror_image(academy, venue):
    pictures = []
    for handed in ("right", "left"):
        player = make.make_player(academy, handed=handed)
        mark(make.make_club(player, sweet_spot_low_high_mm=2.0, sweet_spot_heel_toe_mm=-1.0), venue, MARKS)
        pictures.append(strike_page(player).picture)
    right, left = pictures
    spots = [[*each.marks, each.toe, each.heel, each.centre, each.sweet_spot] for each in pictures]
    for one, other in zip(*spots, strict=True):
        assert (float(one.x), one.y) == (-float(other.x), other.y)
    assert (right.marks[0].x, right.marks[0].y) == ("-2.00", "4.00")
    assert float(right.toe.x) < 0 < float(left.toe.x)
    assert right.outline != left.outline


def test_every_mark_is_inside_the_picture_however_far_off_the_face(player, venue):
    mark(make.make_club(player), venue, [*MARKS, (-60.0, 75.0)])
    left, top, width, height = (float(number) for number in strike_page(player).picture.view_box.split())
    assert left < -75 < 75 < left + width
    assert top < -60 < 60 < top + height


@pytest.mark.parametrize(("marks", "cut_off"), [(MARKS, False), (MARKS[:3], True)])
def test_the_page_says_when_a_line_runs_off_the_picture(player, venue, marks, cut_off):
    mark(make.make_club(player), venue, marks)
    assert strike_page(player).picture.cut_off is cut_off


def test_a_mishit_is_drawn_apart_counted_and_left_out_of_the_cost(player, venue):
    club = make.make_club(player, sweet_spot_low_high_mm=0.0, sweet_spot_heel_toe_mm=0.0)
    mark(club, venue, MARKS)
    without = strike_page(player).cost
    assert strike_page(player).without_mishits == ""
    mark(club, venue, [(-9.0, -35.0)], contact="shank")
    page = strike_page(player)
    assert (len(page.picture.marks), len(page.picture.mishits)) == (6, 1)
    assert page.cost == (*without, "Flagged as mishits and left out of the cost: 1 of 7 balls.")
    assert "over 7 marks" in page.sentence
    said = f"among them: 1 of 7. Without them {np.mean(distances(MARKS)):.1f} mm (between "
    assert said in page.without_mishits
    html = html_of(player)
    assert 'class="mishit"' in html
    assert said in html


def lost_pct(offset_mm, inertia_kg_m2, power, *, head_kg=0.300):
    """A free rigid head struck off its centre of mass, written out in one line; standard mechanics (from memory)."""
    reduced_kg = 1 / (1 / 0.04593 + 1 / head_kg)
    return 100 - 100 / (1 + reduced_kg * (offset_mm / 1000) ** 2 / inertia_kg_m2) ** power


def test_the_cost_is_said_in_whole_percent_and_in_the_players_unit_where_a_stock_carry_is_measured(player, venue):
    club = make.make_club(player, sweet_spot_low_high_mm=0.0, sweet_spot_heel_toe_mm=0.0)
    hit(club, venue, [49.0, 50.0, 51.0])
    mark(club, venue, [(0.0, 10.0), (0.0, -10.0)] * 2, swing="9:00", ball_type="range", surface="grass")
    best, low, high = lost_pct(10, 2.6e-4, 1.7), lost_pct(10, 3.2e-4, 1.4), lost_pct(10, 2.0e-4, 2.0)
    assert (round(best), math.floor(low), math.ceil(high)) == (3, 1, 4)
    assert strike_page(player).cost == (
        "Against strikes on the sweet spot the marks cost about 3 % of carry (between 1 and 4 %); under 1 % if every "
        "ball were struck on the player’s own centre. They scatter carry by under 1 % (between 0 and 0 %).",
        # 1 and 4 % of 50 m are 0.5 and 2 m, in whole metres outwards
        "That is between 0 and 2 m of a stock carry of 50 m with the half (9:00) swing.",
    )


@pytest.mark.parametrize("other", [{"swing": "full"}, {"surface": "mat"}, {"ball_type": "own"}])
def test_a_stock_carry_of_another_swing_ball_or_ground_gives_no_distance(player, venue, other):
    club = make.make_club(player, sweet_spot_low_high_mm=0.0, sweet_spot_heel_toe_mm=0.0)
    hit(club, venue, [49.0, 50.0, 51.0])
    mark(club, venue, MARKS, **{"swing": "9:00", "ball_type": "range", "surface": "grass", **other})
    assert strike_page(player).cost[1].startswith("No stock carry is measured")


def test_without_a_sweet_spot_nothing_is_said_of_the_cost_and_the_coach_is_asked_for_it(player, venue):
    club = make.make_club(player)
    mark(club, venue, MARKS)
    page = strike_page(player)
    assert page.cost[0].startswith("Where the sweet spot lies on this head is not known")
    assert page.picture.sweet_spot is None
    assert reverse("clubs:edit", args=[club.pk]) in html_of(player)


def test_the_centre_is_told_against_the_spot_that_the_coach_wants_hit(player, venue):
    """Centre of MARKS by hand: -7 / 6 and 8 / 6 mm."""
    club = make.make_club(player, intended_low_high_mm=10.0, intended_heel_toe_mm=1.0)
    mark(club, venue, MARKS)
    page = strike_page(player)
    assert page.intended == (
        "Intended spot: 10.0 mm high, 1.0 mm to the toe. Counted from it the own centre lies 11.2 mm low, 0.3 mm to "
        "the toe: off it, since the spot is outside the broken line."
    )
    assert (page.picture.intended.x, page.picture.intended.y) == ("-1.00", "-10.00")
    html = html_of(player)
    assert page.intended in html
    assert html.count('class="intended"') == 2
    club.intended_low_high_mm = 0.0
    club.save()
    assert strike_page(player).intended.endswith(": it may well lie on it, since the spot is inside the broken line.")


def test_where_the_coach_wants_no_spot_hit_none_is_shown(player, venue):
    mark(make.make_club(player), venue, MARKS)
    page = strike_page(player)
    assert (page.intended, page.picture.intended) == ("", None)
    assert 'class="intended"' not in html_of(player)


@pytest.mark.parametrize(
    ("marks", "said"),
    [
        (MARKS[:2], "Can’t tell yet how the own centre lies to it."),
        (MARKS[:4], "can’t tell yet if that is more than chance, since under 5 marks the broken line is very wide."),
    ],
)
def test_few_marks_cannot_tell_how_the_centre_lies_to_the_intended_spot(player, venue, marks, said):
    mark(make.make_club(player, intended_low_high_mm=0.0, intended_heel_toe_mm=0.0), venue, marks)
    assert strike_page(player).intended.endswith(said)


def test_the_cost_is_worked_out_with_the_head_as_entered_and_the_page_names_the_values(player, venue):
    spot = {"sweet_spot_low_high_mm": 0.0, "sweet_spot_heel_toe_mm": 0.0}
    club = make.make_club(player, **spot)
    mark(club, venue, [(0.0, 15.0), (0.0, -15.0)] * 2)
    assert strike_page(player).head == (
        "Worked out for a head of 300 g (usual value, no source), with moments of inertia of 600 to 1200 g cm² "
        "(engineering estimate) against low and high strikes, and of 2000 to 3200 g cm² (engineering estimate) against "
        "heel and toe strikes. Carry goes with ball speed to the power of 1.4 to 2 (engineering estimate)."
    )
    assert (math.floor(lost_pct(15, 3.2e-4, 1.4)), math.ceil(lost_pct(15, 2.0e-4, 2.0))) == (3, 9)
    assert "(between 3 and 9 %)" in strike_page(player).cost[0]
    Club.objects.update(head_g=310.0, turn_inertia_g_cm2=2500.0)
    page = strike_page(player)
    low, high = (lost_pct(15, 2.5e-4, power, head_kg=0.310) for power in (1.4, 2.0))
    assert (math.floor(low), math.ceil(high)) == (4, 7)
    assert "(between 4 and 7 %)" in page.cost[0]
    assert "head of 310 g (entered)" in page.head
    assert "2500 g cm² (entered) against heel and toe strikes" in page.head
    assert page.head in html_of(player)


def test_without_a_cost_no_head_is_named(player, venue):
    mark(make.make_club(player), venue, MARKS)
    assert strike_page(player).head == ""


def test_two_sessions_alike_are_not_yet_distinguishable(player, venue):
    club = make.make_club(player)
    mark(club, venue, MARKS, days_ago=9)
    mark(club, venue, [(up + 3, out * 1.2) for up, out in MARKS])
    before = noon(9)
    said = strike_page(player).change
    assert said.startswith(f"Not yet distinguishable compared with {before.day} {before:%B %Y}: ")
    assert f"{np.mean(distances(MARKS)):.1f} mm over 6 marks then" in said


def test_a_pattern_a_tenth_as_wide_is_tighter_by_scipys_welch_interval(player, venue):
    club = make.make_club(player)
    narrow = [(up / 10, out / 10) for up, out in MARKS]
    mark(club, venue, [(50.0, 50.0), (51.0, 30.0), (10.0, 9.0)], days_ago=20)
    mark(club, venue, MARKS, days_ago=9)
    mark(club, venue, narrow)
    said = strike_page(player).change
    welch = stats.ttest_ind(distances(narrow), distances(MARKS), equal_var=False).confidence_interval()
    assert said.startswith("Tighter compared with ")
    assert said.endswith(f"the change lies between {-welch.low:.1f} mm tighter and {-welch.high:.1f} mm tighter.")


def test_without_a_session_before_there_is_nothing_to_compare_and_a_thin_one_says_so(player, venue):
    club = make.make_club(player)
    mark(club, venue, MARKS)
    assert strike_page(player).change.startswith("There is no session with marks of this club before")
    mark(club, venue, MARKS[:2], days_ago=9)
    said = strike_page(player).change
    assert said.startswith("Not yet to be compared with ")
    assert "Fewer than 3 marks make no pattern" in said


@pytest.mark.parametrize(
    ("marks", "said"),
    [
        (MARKS[:2], "Fewer than 3 marks make no pattern. Make 5 or more, better 10."),
        ([(1.0, 1.0)] * 4, "All marks lie on one spot or in one line. Make some more marks."),
        (MARKS[:4], "Under 5 marks the pattern is a rough guess. Make more before you judge it."),
    ],
)
def test_too_few_marks_are_shown_with_what_to_do(player, venue, marks, said):
    mark(make.make_club(player), venue, marks)
    page = strike_page(player)
    assert said in (page.sentence, page.advice)
    assert len(page.picture.marks) == len(page.rows) == len(marks)
    assert said in html_of(player)


def test_only_balls_with_both_coordinates_that_count_and_were_hit_on_a_range_make_marks(player, venue):
    club = make.make_club(player)
    mark(club, venue, MARKS)
    mark(club, venue, [(9.0, None), (None, 9.0)])
    mark(club, venue, [(9.0, 9.0)], setting="course", days_ago=1)
    mark(club, venue, [(9.0, 9.0)])
    Shot.objects.filter(strike_low_high_mm=9.0, strike_heel_toe_mm=9.0, session__setting="range").update(deleted=True)
    page = strike_page(player)
    assert len(page.rows) == 6
    assert [choice.marks for choice in page.clubs] == [6]


def tap(club, venue, marks, *, days_ago=2, **values):
    """Tap marks on one face, a second apart, in the session of a ball that carries no mark."""
    start = noon(days_ago) + timedelta(minutes=30)
    shot = make.make_shot(club, venue, hit_at=start)
    for n, (low_high_mm, heel_toe_mm) in enumerate(marks):
        StrikeMark.objects.create(
            player=club.player,
            session=shot.session,
            club=club,
            low_high_mm=low_high_mm,
            heel_toe_mm=heel_toe_mm,
            done_at=start + timedelta(seconds=n),
            **values,
        )
    return shot.session


def test_marks_tapped_on_one_face_make_the_same_pattern_as_marks_logged_with_their_balls(player, venue):
    club = make.make_club(player, sweet_spot_low_high_mm=0.0, sweet_spot_heel_toe_mm=0.0)
    tap(club, venue, MARKS)
    tapped = strike_page(player, str(club.pk))
    assert [(row.swing, row.contact) for row in tapped.rows] == [("not noted", "not noted")] * 6
    StrikeMark.objects.all().delete()
    mark(club, venue, MARKS)
    logged = strike_page(player, str(club.pk))
    assert logged.sentence
    for name in ("day", "clubs", "sentence", "centre", "spread", "picture"):
        assert getattr(tapped, name) == getattr(logged, name)


def test_marks_of_both_kinds_in_one_session_are_shown_together_and_those_undone_or_of_a_course_are_not(player, venue):
    club = make.make_club(player)
    mark(club, venue, MARKS[:4])
    session = tap(club, venue, MARKS[4:])
    tap(club, venue, [(9.0, 9.0)], deleted=True)
    page = strike_page(player)
    assert [row.low_high for row in page.rows] == [
        *("4.0 mm low", "neither low nor high", "3.0 mm high", "2.0 mm low", "1.0 mm high", "5.0 mm low")
    ]
    assert [choice.marks for choice in page.clubs] == [6]
    type(session).objects.filter(pk=session.pk).update(setting="course")
    assert not strike_page(player).rows


def test_tapped_marks_of_an_earlier_session_are_compared_with(player, venue):
    club = make.make_club(player)
    tap(club, venue, MARKS, days_ago=9)
    mark(club, venue, MARKS)
    before = timezone.localdate() - timedelta(days=9)
    assert f"{before.day} {before:%B %Y}" in strike_page(player).change


def test_the_club_with_most_marks_is_shown_first_and_another_can_be_chosen(player, venue):
    few, many = make.make_club(player, "52"), make.make_club(player, "60")
    mark(few, venue, MARKS[:3])
    mark(many, venue, MARKS)
    of_another = make.make_club(make.make_player(player.academy), "48")
    mark(of_another, venue, MARKS)
    assert strike_page(player).club == many
    assert strike_page(player, str(few.pk)).club == few
    assert strike_page(player, str(of_another.pk)).club == many
    html = html_of(player, f"?club={few.pk}")
    assert f'<option value="{few.pk}" selected>52, 3 marks</option>' in html
    assert "48" not in [choice.name for choice in strike_page(player).clubs]


def test_without_marks_the_page_says_how_to_make_some(player):
    html = html_of(player)
    assert "No strike marks yet." in html
    assert "<svg" not in html
    assert "Spray outdoors only, away from faces and flames." in html


def test_a_junior_is_told_to_use_marker_or_tape(player, venue):
    player.is_junior = True
    player.save()
    mark(make.make_club(player), venue, MARKS)
    assert "Pat Moor is a junior: marker or tape, no spray." in html_of(player)


def test_the_page_asks_the_database_as_often_for_many_marks_as_for_few(player, venue, django_assert_max_num_queries):
    club = make.make_club(player, sweet_spot_low_high_mm=0.0, sweet_spot_heel_toe_mm=0.0)
    hit(club, venue, [49.0, 50.0, 51.0])
    mark(club, venue, MARKS, days_ago=9)
    mark(club, venue, MARKS)
    client, address = coach_of(player), reverse("analytics:strike", args=[player.pk])
    with django_assert_max_num_queries(20) as few:
        client.get(address)
    for label in ("48", "52"):
        for days_ago in (1, 2, 3, 9):
            mark(make.make_club(player, f"{label} {days_ago}"), venue, MARKS, days_ago=days_ago)
            mark(club, venue, MARKS, days_ago=days_ago)
    with django_assert_max_num_queries(len(few)):
        client.get(address)
