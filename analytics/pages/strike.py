"""What the strike page of one player shows: one club's marks of its newest session, in ready text and as a drawing."""

from collections import Counter
from dataclasses import dataclass
from datetime import date

from analytics.metrics.strike import Message, Point, StrikePattern, off_spot, strike_pattern
from analytics.metrics.strike_sessions import StrikeChange, compare_sessions
from analytics.pages.face_picture import FacePicture, face_picture
from analytics.pages.strike_cost import cost_of_strikes
from analytics.strikes import MarkedBall, mark_columns, mark_sessions, marks_of
from practice.clubs.models import Club
from practice.clubs.swings import FEEL, swing_name
from practice.players.models import Handed, Player
from practice.sessions.words import Contact

NO_OFFSET_MM = 0.05
"""What rounds to 0.0 mm is neither low nor high."""

INTENDED = {
    "outside": "off it, since the spot is outside the broken line",
    "inside": "it may well lie on it, since the spot is inside the broken line",
    "can't tell": "can’t tell yet if that is more than chance, since under 5 marks the broken line is very wide",
}


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
    intended: str = ""
    spread: str = ""
    without_mishits: str = ""
    change: str = ""
    cost: tuple[str, ...] = ()
    head: str = ""
    picture: FacePicture | None = None
    rows: tuple[MarkRow, ...] = ()


def strike_page(player: Player, chosen: str = "") -> StrikePage:
    """Return the newest marks of the chosen club (its id), else of the one with most marks, beside those before."""
    sessions = mark_sessions(player)
    marks = Counter()
    for each in sessions:
        marks[each.club] += each.marks
    clubs = {str(club.pk): club for club in Club.objects.filter(pk__in=marks).order_by("label", "created_at")}
    if not clubs:
        return StrikePage(player, ())
    club = clubs.get(chosen) or max(clubs.values(), key=lambda each: marks[each.pk])
    choices = tuple(ClubChoice(key, _club_name(each), marks[each.pk], each is club) for key, each in clubs.items())
    of_club = [(each.session, each.day) for each in sessions if each.club == club.pk]
    return StrikePage(player, choices, club, of_club[-1][1], **_strike_text(player, club, of_club[-2:]))


def _club_name(club: Club) -> str:
    return club.label if club.carried else f"{club.label} (no longer in the bag)"


def _strike_text(player: Player, club: Club, sessions: list[tuple[int, date]]) -> dict:
    """Say what the last of these sessions (id, day) shows, and how it compares with the one before."""
    by_session = marks_of(player, club, [session for session, _ in sessions])
    balls = by_session[sessions[-1][0]]
    found = strike_pattern(*mark_columns(balls))
    pattern = found if isinstance(found, StrikePattern) else None
    cost, head = cost_of_strikes(player, club, balls)
    change = None
    if len(sessions) > 1:
        change = compare_sessions(mark_columns(by_session[sessions[0][0]]), mark_columns(balls))
    return {
        "sentence": consistency_sentence(found),
        "advice": pattern.advice.sentence if pattern and pattern.advice else "",
        "centre": centre_sentence(pattern, club.sweet_spot_mm) if pattern else "",
        "intended": intended_sentence(pattern, club.intended_spot_mm) if club.intended_spot_mm else "",
        "spread": spread_sentence(pattern) if pattern else "",
        "without_mishits": without_mishits_sentence(balls) if pattern else "",
        "change": change_sentence(change, sessions[0][1]),
        "cost": cost,
        "head": head,
        "picture": face_picture(
            [ball.mark_mm for ball in balls if not ball.mishit],
            [ball.mark_mm for ball in balls if ball.mishit],
            pattern,
            club.sweet_spot_mm,
            club.intended_spot_mm,
            left_handed=player.handed == Handed.LEFT,
        ),
        "rows": tuple(_row(ball) for ball in balls),
    }


def _row(ball: MarkedBall) -> MarkRow:
    low_high_mm, heel_toe_mm = ball.mark_mm
    contact = Contact(ball.contact).label if ball.contact else "not noted"
    swing = "feel" if ball.swing == FEEL else swing_name(ball.swing) if ball.swing else "not noted"
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


def intended_sentence(pattern: StrikePattern | None, spot_mm: Point) -> str:
    """Say where the own centre lies from the spot that the coach wants hit, and how sure that is."""
    low_high_mm, heel_toe_mm = spot_mm
    spot = f"Intended spot: {_low_high(low_high_mm)}, {_heel_toe(heel_toe_mm)}."
    if pattern is None:
        return f"{spot} Can’t tell yet how the own centre lies to it."
    off = off_spot(pattern, spot_mm)
    up_mm, out_mm = off.offset_mm
    where = f"{_low_high(up_mm)}, {_heel_toe(out_mm)}"
    return f"{spot} Counted from it the own centre lies {where}: {INTENDED[off.verdict]}."


def spread_sentence(pattern: StrikePattern) -> str:
    """Say how far the marks scatter in each direction."""
    low_high_mm, heel_toe_mm = pattern.spread_mm
    return f"Scatter: {low_high_mm:.1f} mm low to high, {heel_toe_mm:.1f} mm heel to toe."


def without_mishits_sentence(balls: list[MarkedBall]) -> str:
    """Say how closely the other marks lie together, since one stray mark widens all; nothing without mishits."""
    others = [ball for ball in balls if not ball.mishit]
    if len(others) == len(balls):
        return ""
    found = strike_pattern(*mark_columns(others))
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
