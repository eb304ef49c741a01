"""Kinds of drill. A new kind is one entry here, with the parameters that it takes and their bounds."""

from collections.abc import Callable
from dataclasses import dataclass

from django.core.exceptions import ValidationError

MAX_BALLS = 200


@dataclass(frozen=True)
class WholeNumber:
    """A check for a whole number within bounds."""

    low: int
    high: int

    def __call__(self, value) -> int:
        if isinstance(value, bool) or not isinstance(value, int) or not self.low <= value <= self.high:
            raise ValueError(f"must be a whole number from {self.low} to {self.high}")
        return value


def whole_number(low: int, high: int) -> WholeNumber:
    """Return a check for a whole number within bounds."""
    return WholeNumber(low, high)


def yes_or_no(value) -> bool:
    """Check a truth value."""
    if not isinstance(value, bool):
        raise ValueError("must be true or false")
    return value


@dataclass(frozen=True)
class OneOf:
    """A check for one of these codes, each with its words for the screen."""

    words: dict[str, str]

    def __call__(self, value) -> str:
        if value not in self.words:
            raise ValueError(f"must be one of {', '.join(self.words)}")
        return value


@dataclass(frozen=True)
class DrillKind:
    """What a kind of drill is called, what it asks, and which parameters it takes: name -> (check, default).

    Attributes
    ----------
    aims
        What a block of it is drawn from: "targets", clubs and targets; "swings", clubs and swing lengths, no target;
        "spot", clubs, and the player picks the spot; "none", a number of balls of which none is listed.
    log
        The phone's quick log: "shots", "strike" (marks on the face), "turf", "swing", or "outcome" (once, at the end).
    score
        What is made of the log; SCORES says which there are.
    loggings
        Which of the balls may get a result: "every", "third", "end".
    """

    title: str
    instructions: str
    cautions: str
    parameters: dict[str, tuple[Callable, object]]
    aims: str
    log: str
    score: str
    loggings: tuple[str, ...] = ("every",)

    def parts(self, parameters: dict) -> tuple[str, str, str]:
        """Return (aims, log, score) of a drill with these parameters: a coach's own drill chooses log and score."""
        log = parameters.get("log", self.log)
        return (AIMS_OF_LOG[log] if "log" in parameters else self.aims), log, parameters.get("score", self.score)


SCORES = {
    "landing_miss": "how far from the target each ball landed",
    "leave": "how far from the hole the balls stopped, on average",
    "k_of_n": "how many of the balls were made",
    "best_run": "the longest run of balls made",
    "yes_no": "done as asked, yes or no",
    "done": "done, without a score",
    "strokes": "expected strokes from where the balls landed",
    "marks": "where the balls met the face",
    "clean_share": "the share of clean strikes",
    "smooth_share": "the share of smooth swings",
}
"""What a drill may be scored by, in words."""

LOGS = {
    "outcome": "once at the end: what it came to",
    "shots": "ball by ball: where it landed",
    "strike": "marks on the face",
    "turf": "how each swing met the turf",
    "swing": "whether each swing was smooth",
}
"""How the player logs it, in words."""

ORDERS = {
    "random": "random: no club and no target twice in a row where that can be",
    "blocked": "blocked: all balls of a shot in a row",
    "serial": "serial: the shots in turn, always in the same turn",
    "easing": "easing: blocked in the first week, random in the last",
}
"""Orders of practice, in words."""

SHOT_TYPES = {"pitch": "pitch", "chip": "chip", "bunker": "bunker shot", "lob": "lob"}
"""Only pitches are logged shot by shot, so that nothing else enters the carry chart."""

SCORES_OF_LOG = {
    "shots": ("landing_miss",),
    "outcome": ("k_of_n", "best_run", "leave", "yes_no", "done"),
    "strike": ("marks",),
    "turf": ("clean_share",),
    "swing": ("smooth_share",),
}
"""Which scores a coach's own drill can make of each log."""

AIMS_OF_LOG = {"shots": "targets", "outcome": "none", "strike": "swings", "turf": "swings", "swing": "swings"}
"""What the balls of a coach's own drill are drawn from."""

SCORES_OF_SHORT_SHOTS = ("leave", "k_of_n")
"""Chips, bunker shots and lobs are judged by where they stop, or by how many were made."""

LOGS_OF_SHOTS = ("every", "third", "end")
"""Balls that are logged one by one may be logged less: every third, or as counts at the end."""

LOOK_EVERY = 5
"""After so many balls of a strike bucket the player looks at the mark; so many at its end are the check, and what is
left before it, though fewer, has a look too."""

RANGE_CAUTION = (
    "Hit only where the range allows it and nobody is in front. One striker a bay, everyone else 3 to 4 m clear. "
    "Nobody walks forward to measure. At thunder or lightning stop and follow the range's rules. Build ball counts "
    "up slowly and stop at pain: a physician or a qualified professional decides, not this page."
)
"""Common practice, no single source; local rules and licensed practice come first."""

MARK_CAUTION = (
    "Mark the face with a marker pen, tape or powder; juniors with pen or tape only. Use spray outdoors, in short "
    "bursts, away from faces, flames and heat, and follow what the can says. Wipe the face clean before play."
)
"""Common practice, no single source; the product's own label comes first."""

TURF_CAUTION = (
    "Swing over turf only where the range allows it. Hard mats and dry ground jar wrists and elbows: few swings at a "
    "time, and stop at pain."
)
"""Common practice, no single source."""

BREATH_CAUTION = "Breathe as you like between the swings, and stop and sit down if you feel dizzy."
"""Common practice, no single source."""

SHOWN = {"number_shown": (yes_or_no, True), "full_swings": (yes_or_no, True)}

KINDS = {
    "random_target": DrillKind(
        title="Mixed targets",
        instructions="Every ball changes club and target. Look at the target, feel the shot, hit it once.",
        cautions=RANGE_CAUTION,
        parameters={
            "balls": (whole_number(1, MAX_BALLS), 20),
            **SHOWN,
            "order": (OneOf(ORDERS), "random"),
        },
        aims="targets",
        log="shots",
        score="landing_miss",
        loggings=LOGS_OF_SHOTS,
    ),
    "carry_test": DrillKind(
        title="Carry test",
        instructions=(
            "No target. Make the same named swing each time and note where the ball lands. Where the swing through did "
            "not match the swing back, say so: that ball is no stock ball."
        ),
        cautions=RANGE_CAUTION,
        parameters={"balls_each": (whole_number(1, 30), 5), "shuffled": (yes_or_no, False)},
        aims="swings",
        log="shots",
        score="done",
        loggings=("every", "third"),  # counts alone say nothing about how far a club carries
    ),
    "crossing": DrillKind(
        title="Crossing round",
        instructions="Every club once to every target that it reaches. No ball repeats the club or the target before.",
        cautions=RANGE_CAUTION,
        parameters=SHOWN,
        aims="targets",
        log="shots",
        score="landing_miss",
        loggings=LOGS_OF_SHOTS,
    ),
    "pick_spot": DrillKind(
        title="Pick a spot",
        instructions=(
            "Choose something out there: a patch, a shadow, a ball. Hit it with the club shown, then the same spot "
            "with the next club. No distances: let eye and swing find them."
        ),
        cautions=RANGE_CAUTION,
        parameters={"spots": (whole_number(1, MAX_BALLS // 2), 8)},
        aims="spot",
        log="shots",
        score="k_of_n",
        loggings=LOGS_OF_SHOTS,
    ),
    "ladder": DrillKind(
        title="Ladder",
        instructions="One club, from its nearest target up to its farthest and back down, a ball a step.",
        cautions=RANGE_CAUTION,
        parameters={"trips": (whole_number(1, 10), 1), **SHOWN},
        aims="targets",
        log="shots",
        score="landing_miss",
        loggings=LOGS_OF_SHOTS,
    ),
    "one_ball": DrillKind(
        title="One-ball test",
        instructions=(
            "Each shot once, as on the course: no second try. Do before each all that you do before a shot that counts."
        ),
        cautions=RANGE_CAUTION,
        parameters={"balls": (whole_number(1, MAX_BALLS), 9), **SHOWN},
        aims="targets",
        log="shots",
        score="strokes",
    ),
    "strike_check": DrillKind(
        title="Strike check",
        instructions=(
            "Mark the face, hit the balls with one club and one swing, wipe nothing in between. Then tap all the marks "
            "on the face."
        ),
        cautions=f"{MARK_CAUTION} {RANGE_CAUTION}",
        parameters={"balls": (whole_number(5, 10), 6)},
        aims="swings",
        log="strike",
        score="marks",
    ),
    "strike_bucket": DrillKind(
        title="Strike bucket",
        instructions=(
            f"Mark the face. Look at the mark every {LOOK_EVERY}th ball and before the check, tap it and adjust as you "
            f"like: nobody tells you how. The last {LOOK_EVERY} balls are the check."
        ),
        cautions=f"{MARK_CAUTION} {RANGE_CAUTION}",
        parameters={"balls": (whole_number(10, 100), 30)},
        aims="swings",
        log="strike",
        score="marks",
    ),
    "turf_brush": DrillKind(
        title="Turf brush",
        instructions=(
            "Swing over the turf, with or without a ball. After each swing say how it met the ground: clean, thin or "
            "fat; and what it left: a brush mark or a divot."
        ),
        cautions=f"{TURF_CAUTION} {RANGE_CAUTION}",
        parameters={"balls_each": (whole_number(1, 30), 10)},
        aims="swings",
        log="turf",
        score="clean_share",
    ),
    "smooth_swing": DrillKind(
        title="Smooth swing",
        instructions="Hum, or breathe out slowly, all the way through the swing. Did the sound or the breath break?",
        cautions=f"{BREATH_CAUTION} {RANGE_CAUTION}",
        parameters={"balls_each": (whole_number(1, 30), 10)},
        aims="swings",
        log="swing",
        score="smooth_share",
    ),
    "check_day": DrillKind(
        title="Check day",
        instructions="The same balls as some days ago, without numbers and without help. It shows what stayed.",
        cautions=RANGE_CAUTION,
        parameters={},
        aims="targets",
        log="shots",
        score="landing_miss",
        loggings=("every", "third"),
    ),
    "free": DrillKind(
        title="Free practice",
        instructions="What you like. Say at the end how many balls it was.",
        cautions=RANGE_CAUTION,
        parameters={"balls": (whole_number(1, MAX_BALLS), 15)},
        aims="none",
        log="outcome",
        score="done",
    ),
    "own": DrillKind(
        title="A drill of our own",
        instructions="",
        cautions=RANGE_CAUTION,
        parameters={
            "log": (OneOf(LOGS), "outcome"),
            "score": (OneOf(SCORES), "k_of_n"),
            "shot_type": (OneOf(SHOT_TYPES), "pitch"),
            "balls": (whole_number(1, MAX_BALLS), 10),
            **SHOWN,
        },
        aims="none",
        log="outcome",
        score="k_of_n",
        loggings=LOGS_OF_SHOTS,
    ),
}


def check_parameters(kind: str, given: dict) -> dict:
    """Return the parameters of a drill, checked and with defaults filled in.

    Raises
    ------
    django.core.exceptions.ValidationError
        Names every parameter that is unknown or out of bounds, and what does not go together.
    """
    if kind not in KINDS:
        raise ValidationError(f"There is no drill kind {kind!r}; choose one of {', '.join(KINDS)}.")
    known = KINDS[kind].parameters
    faults = [f"{name} is not a parameter of this drill" for name in given if name not in known]
    checked = {}
    for name, (check, default) in known.items():
        try:
            checked[name] = check(given.get(name, default))
        except ValueError as fault:
            faults.append(f"{name} {fault}")
    if not faults and "shot_type" in checked:
        faults = faults_of_parts(**checked)
    if faults:
        raise ValidationError(faults)
    return checked


def faults_of_parts(*, log: str, score: str, shot_type: str, **_) -> list[str]:
    """Return what does not go together in a coach's own drill."""
    if score not in SCORES_OF_LOG[log]:
        return [f"Logged as “{LOGS[log]}” a drill is scored by {_listed(SCORES_OF_LOG[log])}."]
    if shot_type != "pitch" and score not in SCORES_OF_SHORT_SHOTS:
        return [f"A {SHOT_TYPES[shot_type]} is scored by {_listed(SCORES_OF_SHORT_SHOTS)}."]
    return []


def _listed(scores: tuple[str, ...]) -> str:
    return " or ".join(f"“{SCORES[score]}”" for score in scores)
