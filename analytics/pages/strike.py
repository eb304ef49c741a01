"""What the strike page of one player shows: one club's marks of its newest session, in ready text and as a drawing."""

import math
from collections import Counter, defaultdict
from dataclasses import dataclass
from datetime import date

import numpy as np
from django.db.models import Count, Max

from analytics.metrics.strike import Message, Point, StrikePattern, strike_pattern
from analytics.metrics.strike_loss import StrikeCost, strike_cost
from analytics.metrics.strike_sessions import StrikeChange, compare_sessions
from analytics.pages.face_picture import FacePicture, face_picture
from analytics.stock import TEST_BALLS, player_stock
from practice.clubs.models import Club
from practice.clubs.swings import FEEL, swing_name
from practice.players.models import Handed, Player
from practice.sessions.models import Shot, ShotQuerySet
from practice.sessions.words import MISHITS, Contact, Setting
from practice.units import DistanceUnit

NO_OFFSET_MM = 0.05
"""What rounds to 0.0 mm is neither low nor high."""


@dataclass(frozen=True)
class ClubChoice:
    key: str
    name: str
    marks: int
    chosen: bool


@dataclass(frozen=True)
class MarkRow:
    low_high: str
    heel_toe: str
    swing: str
    contact: str


@dataclass(frozen=True)
class StrikePage:
    """All that the template needs, so that it cannot query; without marks only what to say about that.

    `sentence` is the headline: the consistency, or why there is none.
    """

    player: Player
    clubs: tuple[ClubChoice, ...]
    club: Club | None = None
    day: date | None = None
    sentence: str = ""
    advice: str = ""
    centre: str = ""
    spread: str = ""
    without_mishits: str = ""
    change: str = ""
    cost: tuple[str, ...] = ()
    picture: FacePicture | None = None
    rows: tuple[MarkRow, ...] = ()


@dataclass(frozen=True)
class MarkedBall:
    """One ball with its mark, (low-high, heel-toe) in mm."""

    mark_mm: Point
    swing: str
    contact: str
    ball_type: str
    surface: str

    @property
    def mishit(self) -> bool:
        return self.contact in MISHITS


BALL_COLUMNS = ("strike_low_high_mm", "strike_heel_toe_mm", "swing", "contact", "ball_type", "surface")


def marked_balls(player: Player) -> ShotQuerySet:
    """Return the balls hit on a range of which both coordinates of the mark are known, mishits too."""
    marked = Shot.objects.live().filter(player=player, session__setting=Setting.RANGE).order_by()
    return marked.exclude(strike_low_high_mm=None).exclude(strike_heel_toe_mm=None)


def strike_page(player: Player, chosen: str = "") -> StrikePage:
    """Return the newest marks of the chosen club (its id), else of the one with most marks, beside those before."""
    sessions = list(
        marked_balls(player)
        .values_list("club", "session", "session__local_date")
        .annotate(marks=Count("pk"), last=Max("hit_at"))
        .order_by("session__local_date", "last")
    )
    marks = Counter()
    for club, *_, n, _ in sessions:
        marks[club] += n
    clubs = {str(club.pk): club for club in Club.objects.filter(pk__in=marks).order_by("label", "created_at")}
    if not clubs:
        return StrikePage(player, ())
    club = clubs.get(chosen) or max(clubs.values(), key=lambda each: marks[each.pk])
    choices = tuple(ClubChoice(key, _club_name(each), marks[each.pk], each is club) for key, each in clubs.items())
    of_club = [(session, day) for owner, session, day, *_ in sessions if owner == club.pk]
    return StrikePage(player, choices, club, of_club[-1][1], **_strike_text(player, club, of_club[-2:]))


def _club_name(club: Club) -> str:
    return club.label if club.carried else f"{club.label} (no longer in the bag)"


def _strike_text(player: Player, club: Club, sessions: list[tuple[int, date]]) -> dict:
    """Say what the last of these sessions (id, day) shows, and how it compares with the one before."""
    by_session = defaultdict(list)
    of_both = marked_balls(player).filter(club=club, session__in=[session for session, _ in sessions]).in_order()
    for session, low_high_mm, heel_toe_mm, *rest in of_both.values_list("session", *BALL_COLUMNS):
        by_session[session].append(MarkedBall((low_high_mm, heel_toe_mm), *rest))
    balls = by_session[sessions[-1][0]]
    sweet_spot_mm = (club.sweet_spot_low_high_mm, club.sweet_spot_heel_toe_mm)
    known_spot_mm = None if None in sweet_spot_mm else sweet_spot_mm
    found = strike_pattern(*_columns(balls))
    pattern = found if isinstance(found, StrikePattern) else None
    change = None
    if len(sessions) > 1:
        change = compare_sessions(_columns(by_session[sessions[0][0]]), _columns(balls))
    return {
        "sentence": consistency_sentence(found),
        "advice": pattern.advice.sentence if pattern and pattern.advice else "",
        "centre": centre_sentence(pattern, known_spot_mm) if pattern else "",
        "spread": spread_sentence(pattern) if pattern else "",
        "without_mishits": without_mishits_sentence(balls) if pattern else "",
        "change": change_sentence(change, sessions[0][1]),
        "cost": _cost_sentences(player, club, balls, sweet_spot_mm),
        "picture": face_picture(
            [ball.mark_mm for ball in balls if not ball.mishit],
            [ball.mark_mm for ball in balls if ball.mishit],
            pattern,
            known_spot_mm,
            left_handed=player.handed == Handed.LEFT,
        ),
        "rows": tuple(_row(ball) for ball in balls),
    }


def _columns(balls: list[MarkedBall]) -> tuple[np.ndarray, np.ndarray]:
    low_high_mm, heel_toe_mm = np.array([ball.mark_mm for ball in balls], dtype=float).reshape(-1, 2).T
    return low_high_mm, heel_toe_mm


def _row(ball: MarkedBall) -> MarkRow:
    low_high_mm, heel_toe_mm = ball.mark_mm
    contact = Contact(ball.contact).label if ball.contact else "not noted"
    swing = "feel" if ball.swing == FEEL else swing_name(ball.swing)
    return MarkRow(_low_high(low_high_mm), _heel_toe(heel_toe_mm), swing, contact.lower())


def _low_high(value_mm: float) -> str:
    return _side(value_mm, "low", "high", "neither low nor high")


def _heel_toe(value_mm: float) -> str:
    return _side(value_mm, "to the heel", "to the toe", "neither heel nor toe")


def _side(value_mm: float, minus: str, plus: str, neither: str) -> str:
    if abs(value_mm) < NO_OFFSET_MM:
        return neither
    return f"{abs(value_mm):.1f} mm {plus if value_mm > 0 else minus}"


def consistency_sentence(found: StrikePattern | Message) -> str:
    """Say how closely the marks lie together, or why that can't be said."""
    if isinstance(found, Message):
        return found.sentence
    low, high = found.consistency_ci95_mm
    return (
        f"On average a mark lies {found.consistency_mm:.1f} mm from the player’s own centre "
        f"(between {low:.1f} and {high:.1f} mm), over {found.n} marks."
    )


def centre_sentence(pattern: StrikePattern, sweet_spot_mm: Point | None) -> str:
    """Say where the player's own centre lies."""
    low_high_mm, heel_toe_mm = pattern.centre_mm
    said = f"Own centre: {_low_high(low_high_mm)}, {_heel_toe(heel_toe_mm)}."
    if sweet_spot_mm is None:
        return said
    up_mm, out_mm = low_high_mm - sweet_spot_mm[0], heel_toe_mm - sweet_spot_mm[1]
    return f"{said} Counted from the sweet spot: {_low_high(up_mm)}, {_heel_toe(out_mm)}."


def spread_sentence(pattern: StrikePattern) -> str:
    """Say how far the marks scatter in each direction."""
    low_high_mm, heel_toe_mm = pattern.spread_mm
    return f"Scatter: {low_high_mm:.1f} mm low to high, {heel_toe_mm:.1f} mm heel to toe."


def without_mishits_sentence(balls: list[MarkedBall]) -> str:
    """Say how closely the other marks lie together, since one stray mark widens all; nothing without mishits."""
    others = [ball for ball in balls if not ball.mishit]
    if len(others) == len(balls):
        return ""
    found = strike_pattern(*_columns(others))
    said = f"Marks of balls flagged as mishits are among them: {len(balls) - len(others)} of {len(balls)}."
    if isinstance(found, Message):
        return said
    low, high = found.consistency_ci95_mm
    return f"{said} Without them {found.consistency_mm:.1f} mm (between {low:.1f} and {high:.1f} mm)."


def change_sentence(change: StrikeChange | Message | None, day: date) -> str:
    """Compare with the session of that day; None where there is none before."""
    if change is None:
        return "There is no session with marks of this club before this one to compare with."
    since = f"{day.day} {day:%B %Y}"
    if isinstance(change, Message):
        return f"Not yet to be compared with {since}. {change.sentence}"
    before, after = change.consistency_mm
    low, high = (_side(end, "tighter", "wider", "no change") for end in change.change_ci95_mm)
    return (
        f"{change.verdict.capitalize()} compared with {since}: {before:.1f} mm over {change.n[0]} marks then, "
        f"{after:.1f} mm over {change.n[1]} now; the change lies between {low} and {high}."
    )


def _cost_sentences(
    player: Player, club: Club, balls: list[MarkedBall], sweet_spot_mm: tuple[float | None, float | None]
) -> tuple[str, ...]:
    """Say what the strikes cost in carry, what that is in the player's unit, and what was left out."""
    judged = [ball for ball in balls if not ball.mishit]
    cost = strike_cost(*_columns(judged), sweet_spot_mm)
    mishits = len(balls) - len(judged)
    said = []
    if isinstance(cost, Message):
        said.append(cost.sentence)
    else:
        said += [cost_sentence(cost), _cost_in_unit(player, club, judged, cost)]
    if mishits:
        said.append(f"Flagged as mishits and left out of the cost: {mishits} of {len(balls)} balls.")
    return tuple(said)


def cost_sentence(cost: StrikeCost) -> str:
    """Say the cost in whole percent of carry."""
    low, high = cost.lost_range_pct
    less, more = cost.scatter_range_pct
    outside = cost.outside and (
        f" Left out, because they lie more than 12 mm low or high of the sweet spot and cost more: {cost.outside}."
    )
    return (
        f"Against strikes on the sweet spot the marks cost {_percent(cost.lost_pct)} of carry "
        f"(between {low} and {high} %); {_percent(cost.lost_at_centre_pct)} if every ball were struck on the player’s "
        f"own centre. They scatter carry by {_percent(cost.scatter_pct)} (between {less} and {more} %)."
        f"{outside or ''}"
    )


def _percent(pct: int) -> str:
    return f"about {pct} %" if pct else "under 1 %"


def _cost_in_unit(player: Player, club: Club, balls: list[MarkedBall], cost: StrikeCost) -> str:
    """Say the cost as a distance, from the stock carry of the swing and the balls that most marks were made with."""
    kind, _ = Counter((ball.swing, ball.ball_type, ball.surface) for ball in balls).most_common(1)[0]
    carry_m = _stock_carry_m(player, club, *kind)
    unit = player.shown_unit
    if carry_m is None:
        return f"No stock carry is measured for this club, swing, ball and ground, so nothing is said in {unit.label}."
    return f"That is {distance_lost(cost.lost_range_pct, carry_m, unit)} with the {swing_name(kind[0])} swing."


def distance_lost(range_pct: tuple[int, int], carry_m: float, unit: DistanceUnit) -> str:
    """Return the range of what is lost, in whole units and never finer than the percents it comes from."""
    carry = unit.from_m(carry_m)
    low, high = math.floor(range_pct[0] * carry / 100), math.ceil(range_pct[1] * carry / 100)
    return f"between {low} and {high} {unit.value} of a stock carry of {unit.show(carry_m)}"


def _stock_carry_m(player: Player, club: Club, swing: str, ball_type: str, surface: str) -> float | None:
    """Return the mean of the club's stock balls of that swing; None under as many as a carry test takes."""
    if not club.carried:
        return None
    sets = (each for each in player_stock(player).sets if (each.ball_type, each.surface) == (ball_type, surface))
    cells = (cell for each in sets for cell in each.cells if (cell.club, cell.swing) == (club.label, swing))
    carries_m = next((cell.carries_m for cell in cells), [])
    return float(np.mean(carries_m)) if len(carries_m) >= TEST_BALLS else None
