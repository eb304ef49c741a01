"""Printed blocks that are no shots: swings judged one by one, and what a block came to as a whole."""

import re
from collections.abc import Mapping
from datetime import datetime
from typing import Any

from practice.drills.kinds import KINDS, MAX_BALLS
from practice.ids import uuid7
from practice.planner.models import Block, Logging
from practice.planner.weeks import ball_row
from practice.sessions.actions import store_in_sessions
from practice.sessions.adherence import log_of
from practice.sessions.models import BlockOutcome, BlockTally, SessionItem, SmoothSwing, TurfSwing
from practice.sessions.sheet_paper import Conditions, Fault, Paper, PaperRow
from practice.sessions.sheet_shots import ShotsPaper, metres
from practice.sessions.values import SessionEntry
from practice.sessions.words import Contact, Ground, Setting

FARTHEST_M = 100.0
"""The farthest that a ball may stop from the hole, as on the phone."""

BETWEEN = re.compile(r"[\s;]+")
"""What stands between the distances of one cell; a comma may be a decimal one."""


def paper_of(block: Block) -> Paper | None:
    """Return a block as it is typed in; None of one whose marks are tapped on the face."""
    log = log_of(block)
    if log == "shots":
        return TallyPaper(block) if block.logging == Logging.END else ShotsPaper(block)
    papers = {"turf": TurfPaper, "swing": SmoothPaper, "outcome": OutcomePaper}
    return papers[log](block) if log in papers else None


class ItemsPaper(Paper):
    """A block of which something else than shots is stored: `model`, one a row."""

    model: type[SessionItem]

    def logged(self):
        # Such rows point to no ball: of swings the first so many of the sheet are those that are logged.
        held = self.model.objects.live().filter(player=self.player, block__in=self.versions())
        return dict.fromkeys(range(1, held.count() + 1), "logged")

    def fields(self, n: int, values: Any, conditions: Conditions) -> dict:
        """Return the fields of the row's own."""
        return values

    def store(self, values: Mapping[int, Any], conditions: Conditions, received_at: datetime, made_by):
        times = conditions.times(len(self.rows()), received_at)
        entries = [
            SessionEntry(
                uid=uuid7(),
                phone_at=times[n - 1],
                venue=conditions.venue,
                setting=Setting.RANGE.value,
                label="",
                values={"block": self.block, "visit": None, "done_at": times[n - 1]} | self.fields(n, row, conditions),
            )
            for n, row in values.items()
        ]
        store_in_sessions(model=self.model, player=self.player, entries=entries, received_at=received_at)


class SwingsPaper(ItemsPaper):
    """A block of swings, each judged by letters: for each cell its field, and the words by their letters."""

    letters: dict[str, dict[str, Any]]

    def __init__(self, block: Block):
        super().__init__(block)
        self.balls = {ball.n: ball for ball in block.balls.all()}
        self.keys = [f"{self.heads[cell]}: {_in_letters(words)}." for cell, words in self.letters.items()]

    def rows(self):
        shown = [ball_row(ball, self.unit) for ball in self.balls.values()]
        return [PaperRow(ball.n, ball.club, ball.swing, "") for ball in shown]

    def read_row(self, n, told, measured_by):
        faults = [
            Fault(n, cell, f"{'is none of these' if told[cell] else 'is empty'}: {_in_letters(words)}")
            for cell, words in self.letters.items()
            if told[cell] not in words
        ]
        return {cell: words.get(told[cell]) for cell, words in self.letters.items()}, faults

    def fields(self, n, values, conditions):
        return {"club": self.balls[n].club} | values


def _in_letters(words: dict[str, Any]) -> str:
    said = {True: "smooth", False: "it broke"}
    return ", ".join(f"{letter.upper()} {said.get(word, word)}" for letter, word in words.items())


class TurfPaper(SwingsPaper):
    model = TurfSwing
    heads = {"contact": "It was", "ground": "It left"}
    letters = {
        "contact": {"c": Contact.CLEAN.value, "t": Contact.THIN.value, "f": Contact.FAT.value},
        "ground": {"b": Ground.BRUSH.value, "d": Ground.DIVOT.value, "n": Ground.NONE.value},
    }

    def fields(self, n, values, conditions):
        return super().fields(n, values, conditions) | {"surface": conditions.surface}


class SmoothPaper(SwingsPaper):
    model = SmoothSwing
    heads = {"smooth": "It was"}
    letters = {"smooth": {"s": True, "b": False}}

    def fields(self, n, values, conditions):
        return super().fields(n, values, conditions) | {"how": ""}


class CountsPaper(ItemsPaper):
    """A block that is told as a whole, in one row."""

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
