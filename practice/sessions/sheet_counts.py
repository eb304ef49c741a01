"""Printed blocks that are no shots: swings judged one by one, marks on the face, what a block came to as a whole."""

import re
from collections.abc import Mapping
from datetime import datetime
from typing import Any
from uuid import UUID, uuid5

from practice.clubs.models import FACE_MM
from practice.drills.kinds import KINDS, MAX_BALLS
from practice.planner.models import Block, Logging
from practice.planner.weeks import ball_row
from practice.sessions.actions import store_in_sessions
from practice.sessions.adherence import log_of
from practice.sessions.models import BlockOutcome, BlockTally, SessionItem, SmoothSwing, StrikeMark, TurfSwing
from practice.sessions.sheet_paper import Conditions, Fault, Paper, PaperRow
from practice.sessions.sheet_shots import NUMBER, ShotsPaper, metres
from practice.sessions.values import SessionEntry
from practice.sessions.words import Contact, Ground, Setting

FARTHEST_M = 100.0
"""The farthest that a ball may stop from the hole, as on the phone."""

BETWEEN = re.compile(r"[\s;]+")
"""What stands between the distances of one cell; a comma may be a decimal one."""


PENCIL_MM = 5.0
"""How well a mark is known that was drawn by hand on the printed face: the distance of its lines."""


def paper_of(block: Block) -> Paper:
    """Return a block as it is typed in."""
    log = log_of(block)
    if log == "shots":
        return TallyPaper(block) if block.logging == Logging.END else ShotsPaper(block)
    papers = {"turf": TurfPaper, "swing": SmoothPaper, "strike": StrikePaper, "outcome": OutcomePaper}
    return papers[log](block)


class ItemsPaper(Paper):
    """A block of which something else than shots is stored: `model`, one a row."""

    model: type[SessionItem]

    def logged(self):
        # What was typed in is known by its id. What the phone sent points to no ball: it takes the first rows left.
        versions, numbers = self.versions(), [row.n for row in self.rows()]
        rows = {_uid(block, n): n for block in versions for n in numbers}
        held = self.model.objects.live().filter(player=self.player, block__in=versions).values_list("uid", flat=True)
        typed = {rows[uid] for uid in held if uid in rows}
        left = [n for n in numbers if n not in typed]
        return dict.fromkeys(sorted([*typed, *left[: sum(uid not in rows for uid in held)]]), "logged")

    def fields(self, n: int, values: Any, conditions: Conditions) -> dict:
        """Return the fields of the row's own."""
        return values

    def store(self, values: Mapping[int, Any], conditions: Conditions, received_at: datetime, made_by):
        times = conditions.times(len(self.rows()), received_at)
        uids = {n: _uid(self.block, n) for n in values}
        # A row that was undone may be typed in again: the later revision wins.
        undone = self.model.objects.filter(player=self.player, uid__in=uids.values())
        revisions = dict(undone.values_list("uid", "revision"))
        entries = [
            SessionEntry(
                uid=uids[n],
                revision=revisions.get(uids[n], 0) + 1,
                phone_at=times[n - 1],
                venue=conditions.venue,
                setting=Setting.RANGE.value,
                label="",
                values={"block": self.block, "visit": None, "done_at": times[n - 1]} | self.fields(n, row, conditions),
            )
            for n, row in values.items()
        ]
        by = {"received_at": received_at, "made_by": made_by}
        store_in_sessions(model=self.model, player=self.player, entries=entries, **by)


def _uid(block: Block, n: int) -> UUID:
    """Return the id of what is stored of a printed row, the same however often it is typed in."""
    return uuid5(block.pk, f"row {n}")


class SwingsPaper(ItemsPaper):
    """A block of swings with a club."""

    row_name = "Swing"

    def __init__(self, block: Block):
        super().__init__(block)
        self.balls = {ball.n: ball for ball in block.balls.all()}

    def rows(self):
        shown = [ball_row(ball, self.unit) for ball in self.balls.values()]
        return [PaperRow(ball.n, ball.club, ball.swing, "") for ball in shown]

    def fields(self, n, values, conditions):
        return {"club": self.balls[n].club} | values


class LettersPaper(SwingsPaper):
    """A block of swings, each judged by letters: for each cell its field, and the words by their letters."""

    letters: dict[str, dict[str, Any]]

    def __init__(self, block: Block):
        super().__init__(block)
        self.keys = [f"{self.heads[cell]}: {_in_letters(words)}." for cell, words in self.letters.items()]

    def read_row(self, n, told, measured_by):
        faults = [
            Fault(n, cell, f"{'is none of these' if told[cell] else 'is empty'}: {_in_letters(words)}")
            for cell, words in self.letters.items()
            if told[cell] not in words
        ]
        return {cell: words.get(told[cell]) for cell, words in self.letters.items()}, faults


def _in_letters(words: dict[str, Any]) -> str:
    said = {True: "smooth", False: "it broke"}
    return ", ".join(f"{letter.upper()} {said.get(word, word)}" for letter, word in words.items())


class TurfPaper(LettersPaper):
    model = TurfSwing
    heads = {"contact": "It was", "ground": "It left"}
    letters = {
        "contact": {"c": Contact.CLEAN.value, "t": Contact.THIN.value, "f": Contact.FAT.value},
        "ground": {"b": Ground.BRUSH.value, "d": Ground.DIVOT.value, "n": Ground.NONE.value},
    }

    def fields(self, n, values, conditions):
        return super().fields(n, values, conditions) | {"surface": conditions.surface}


class SmoothPaper(LettersPaper):
    model = SmoothSwing
    heads = {"smooth": "It was"}
    letters = {"smooth": {"s": True, "b": False}}

    def fields(self, n, values, conditions):
        return super().fields(n, values, conditions) | {"how": ""}


class StrikePaper(SwingsPaper):
    """A block of marks on the face, read off its printed drawing."""

    model = StrikeMark
    row_name = "Mark"
    heads = {"low_high_mm": "Low (−) to high (+), mm", "heel_toe_mm": "Heel (−) to toe (+), mm"}
    keys = [
        "Millimetres from the middle of the face, as its lines count them: 0 where a mark is neither low nor high, or "
        "neither at the heel nor at the toe.",
        "A row is a mark. Which ball left it does not matter, only with which club.",
    ]

    def read_row(self, n, told, measured_by):
        values = {cell: _mm(typed) for cell, typed in told.items()}
        faults = [Fault(n, cell, self._fault(told[cell])) for cell, value in values.items() if value is None]
        return values, faults

    def fields(self, n, values, conditions):
        return super().fields(n, values, conditions) | {"resolution_mm": PENCIL_MM}

    def _fault(self, typed: str) -> str:
        if not typed:
            return "is empty: a mark has both numbers, 0 in the middle"
        return f"is no number of millimetres from −{FACE_MM:.0f} to {FACE_MM:.0f}: type one such as −4 or 12.5"


def _mm(typed: str) -> float | None:
    """Return typed millimetres, their minus as on the keyboard or as it is printed; None of what is on no face."""
    number = typed.replace("−", "-")
    value_mm = float(number.replace(",", ".")) if NUMBER.fullmatch(number) else None
    return value_mm if value_mm is not None and abs(value_mm) <= FACE_MM else None


class CountsPaper(ItemsPaper):
    """A block that is told as a whole, in one row."""

    row_name = "Row"

    def rows(self):
        clubs = ", ".join(dict.fromkeys(ball.club.label for ball in self.block.balls.all()))
        return [PaperRow(1, clubs, "", "the whole block")]

    def _count(self, told: dict[str, str], cell: str, faults: list[Fault]) -> int:
        typed = told[cell]
        if typed.isascii() and typed.isdecimal() and int(typed) <= MAX_BALLS:
            return int(typed)
        faults.append(Fault(1, cell, f"{'cannot be read' if typed else 'is empty'}: type a number up to {MAX_BALLS}"))
        return 0


class TallyPaper(CountsPaper):
    model = BlockTally
    heads = {"balls": "Balls hit", "on": "On target", "long": "Long", "short": "Short", "mishits": "Mishits"}
    keys = ["How many balls were hit, and how many of them were what; 0 where there was none."]

    def read_row(self, n, told, measured_by):
        faults: list[Fault] = []
        values = {cell: self._count(told, cell, faults) for cell in self.heads}
        parts = sum(values.values()) - values["balls"]
        if not faults and not values["balls"]:
            faults.append(Fault(1, "balls", "must be at least 1"))
        elif not faults and parts > values["balls"]:
            faults.append(Fault(1, "balls", f"are fewer than the {parts} that you told of: correct one of them"))
        return values, faults


class OutcomePaper(CountsPaper):
    """What a block came to: the balls hit, and the one answer that its score asks for."""

    model = BlockOutcome
    answers = {"k_of_n": ("made", "Made"), "best_run": ("best_run", "Longest run"), "yes_no": ("yes", "Done as asked")}

    def __init__(self, block: Block):
        super().__init__(block)
        _, _, score = KINDS[block.kind].parts(block.parameters)
        self.heads, self.keys = {"balls": "Balls hit"}, ["Balls hit: a number."]
        if score in self.answers:
            name, head = self.answers[score]
            self.heads[name] = head
            self.keys.append(f"{head}: {'Y yes, N no' if name == 'yes' else 'a number'}.")
        elif score == "leave":
            self.heads["leaves"] = "From the hole"
            self.keys.append(
                f"From the hole: the distances in {self.unit.label}, with spaces between, such as 3 4.5 12."
            )

    def read_row(self, n, told, measured_by):
        faults: list[Fault] = []
        values = dict.fromkeys(("made", "best_run", "yes", "leaves_m")) | {"balls": self._count(told, "balls", faults)}
        for cell in ("made", "best_run"):
            if cell in self.heads:
                values[cell] = self._count(told, cell, faults)
                if not faults and values[cell] > values["balls"]:
                    faults.append(Fault(1, cell, f"is more than the {values['balls']} balls hit: correct one of them"))
        if "yes" in self.heads:
            values["yes"] = {"y": True, "n": False}.get(told["yes"])
            faults += [] if told["yes"] in ("y", "n") else [Fault(1, "yes", "must be Y or N")]
        if "leaves" in self.heads:
            values["leaves_m"] = self._leaves(told["leaves"], values["balls"], faults)
        return values, faults

    def _leaves(self, typed: str, balls: int, faults: list[Fault]) -> list[float]:
        leaves = [metres(each, self.unit) for each in BETWEEN.split(typed) if each]
        if not leaves or any(each is None or not 0 <= each <= FARTHEST_M for each in leaves):
            most = self.unit.from_m(FARTHEST_M)
            told = f"must be distances from 0 to {most:.0f} {self.unit.label}, with spaces between"
            faults.append(Fault(1, "leaves", told))
        elif not faults and len(leaves) > balls:
            faults.append(Fault(1, "leaves", f"are {len(leaves)} distances of {balls} balls hit: correct one of them"))
        return leaves
