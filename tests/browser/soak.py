"""A long practice on a phone while everything fails, and what must be there in the end.

`Practice` taps at random as a seed says, keeps a model of what the player was told is saved, and kills pages and
browsers on the way. `differences` compares the model with the rows: an empty list is a pass.
"""

import os
import signal
import threading
import time
from collections import Counter
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from pathlib import Path
from random import Random

import pytest
from playwright.sync_api import BrowserContext, Page, expect
from playwright.sync_api import Error as PlaywrightError

from practice.sessions.models import Shot, TurfSwing
from practice.sessions.work import milliseconds
from tests.browser.phone import YARD_M, Cast, button, expect_all_sent
from tests.browser.proxy import FAULTS

THUMB = Path(__file__).with_name("thumb.js")
SAVED = "Saved on this phone."
TAKEN = "Another tab of this phone has this ball already."
LONGEST_SAVE_S = 0.02
"""A kill comes so long after a tap at most: by then it is mostly on the disk."""

CLOCK_KNOWN_TO = timedelta(seconds=1)
"""So little that the phone's clock is off makes no difference to it: STEADY_MS of api.js."""

KILLED = {"pages killed", "browsers killed"}
"""Of these a practice that is not steady has done at least one."""

SAID = {"shot": SAVED, "swing": SAVED, "undo": "Taken back.", "correct": "Correction saved on this phone."}


class Network:
    """What becomes of each request, as a seed says: "calm" passes all, "failing" half of them, "dead" none."""

    def __init__(self, random: Random, faults: tuple[str, ...] = FAULTS):
        self.random, self.faults = random, faults
        self.lock = threading.Lock()
        self.deck: list[str] = []
        self.now = "calm"

    def __call__(self, method: str, path: str) -> str:
        if self.now == "failing":
            with self.lock:
                return self._deal()
        return "drop_before" if self.now == "dead" else "pass"

    def _deal(self) -> str:
        """Return the next card of a shuffled deck: every fault once, and as often that all goes well."""
        if not self.deck:
            self.deck = [*self.faults, *["pass"] * len(self.faults)]
            self.random.shuffle(self.deck)
        return self.deck.pop()


class Phone:
    """A browser on a profile of its own, which outlives it. Signed in while its cookies are there."""

    def __init__(
        self, launch: Callable[[Path], BrowserContext], profile: Path, sign_in: Callable[[BrowserContext], None]
    ):
        self.launch, self.profile, self.sign_in = launch, profile, sign_in
        self.context: BrowserContext | None = None
        self.cookies: list[dict] = []

    def start(self, *, signed_in: bool = True) -> BrowserContext:
        """Open the browser; the phone keeps one sign-in, also where a killed browser forgot it."""
        self.context = self.launch(self.profile)
        self.context.add_init_script(path=THUMB)
        if not signed_in:
            self.context.clear_cookies()
        elif self.cookies:
            self.context.add_cookies(self.cookies)
        else:
            self.sign_in(self.context)
            self.cookies = self.context.cookies()
        return self.context

    def kill(self) -> None:
        """End the browser and all of its processes at once."""
        os.killpg(self._leader(), signal.SIGKILL)
        # Playwright may have heard of the end by itself.
        with suppress(PlaywrightError):
            self.context.close()

    def _leader(self) -> int:
        """Return the process that the browser's other processes are grouped under: Playwright starts it as a leader."""
        own = f"--user-data-dir={self.profile}".encode()
        for path in Path("/proc").glob("[0-9]*/cmdline"):
            with suppress(OSError):
                if own in (words := path.read_bytes().split(b"\0")) and not any(
                    w.startswith(b"--type=") for w in words
                ):
                    pid = int(path.parent.name)
                    assert os.getpgid(pid) == pid != os.getpgid(0)
                    return pid
        raise LookupError(f"no browser runs on {self.profile}")


# --- what is tapped, and what it means

ZONE_M = 5 * YARD_M
"""The by-eye zone of targets at 40 and 60 m, for a player who reads yards: a tenth, in steps of 5 yards."""

DEPTHS = {"10+ long": 2, "5 long": 1, "on it": 0, "5 short": -1, "10+ short": -2}
SIDES = {"": 0, ", left": -1, ", right": 1}
ZONES = {depth + side: (k, j) for depth, k in DEPTHS.items() for side, j in SIDES.items()}
MISHITS = ("fat", "thin", "topped", "shank")
STRIKES = {"clean": "clean", "thin": "thin", "fat": "fat"}
GROUNDS = {"brushed": "brush", "divot": "divot", "not touched": "none"}


def hit(label: str, target_m: float) -> dict:
    """Return the values of a shot that one tap at this label stands for."""
    nowhere = {"carry_m": None, "lateral_m": None, "contact": "", "seen": True}
    if label in ZONES:
        k, j = ZONES[label]
        return nowhere | {"carry_m": target_m + k * ZONE_M, "lateral_m": j * ZONE_M}
    return nowhere | ({"seen": False} if label == "not seen" else {"contact": label})


@dataclass
class Logged:
    """One live thing as the player was told it is kept.

    `at_ms` gets the phone's times just before and after the tap; a correction has that of what it corrects.
    """

    what: object
    values: dict
    at_ms: list[int] = field(default_factory=list)

    def heard(self, told: dict) -> None:
        if not self.at_ms:
            self.at_ms += told["before"], told["after"]


@dataclass
class Deed:
    """Something the thumb does, and the logged thing that it is about."""

    name: str
    given: dict
    logged: Logged

    @property
    def sent(self) -> list:
        return [self.name, self.given, SAID[self.name]]


class Shots:
    """Balls of blocks: each is hit once, can be taken back while it is the tab's last, and corrected at any time."""

    model = Shot
    kept_of_rivals = 1

    def __init__(self, cast: Cast, count: int, random: Random):
        aims = [(cast.clubs[i % 2], cast.flags[i % 2]) for i in range(50)]
        titles = [f"Mixed targets {i}" for i in range(1, count // 50 + 1)]
        blocks = cast.assign_blocks(*((aims, {"title": title}) for title in titles))
        self.balls = [ball for block in blocks for ball in block.balls.select_related("block")]
        self.random = random
        self.live: list[Logged] = []
        self.undone = 0
        self.start = f"#/block/{blocks[0].pk}"

    def next(self) -> Deed:
        """Return the tap at the first ball that is open."""
        done = {logged.what for logged in self.live}
        ball = next(ball for ball in self.balls if ball not in done)
        label = self.random.choice([*ZONES, *MISHITS, "not seen"])
        given = {"block": str(ball.block_id), "n": ball.n, "label": label}
        return Deed("shot", given, Logged(ball, hit(label, ball.target_m)))

    def change(self) -> Deed | None:
        """Return a correction of some ball."""
        if not self.live:
            return None
        logged = self.random.choice(self.live)
        ball, label = logged.what, self.random.choice([*ZONES])
        values = hit(label, ball.target_m) | {"contact": logged.values["contact"]}
        given = {"block": str(ball.block_id), "n": ball.n, "label": label}
        return Deed("correct", given, Logged(ball, values, logged.at_ms))

    def undo(self, last: Logged) -> Deed:
        return Deed("undo", {"hash": f"#/block/{last.what.block_id}"}, last)

    def apply(self, deed: Deed) -> None:
        """Take over what the deed makes of what is there; the order is that of the last change."""
        held = [logged for logged in self.live if logged.what == deed.logged.what]
        self.live = [logged for logged in self.live if logged.what != deed.logged.what]
        if deed.name == "undo":
            self.undone += 1
            return
        assert bool(held) == (deed.name == "correct")
        self.live.append(deed.logged)

    def rivals(self) -> tuple[Deed, Deed]:
        """Return two taps at the same ball."""
        return self.next(), self.next()

    def hash(self, deed: Deed | None) -> str:
        """Return where a page is opened again, after a deed in its middle."""
        block = deed.logged.what.block_id if deed else self.random.choice(self.balls).block_id
        return f"#/block/{block}"

    def is_kept(self, deed: Deed, shown: str) -> bool:
        """Tell by a page that was opened anew whether a tap that nobody saw the end of was kept."""
        return shown != "First ball" and not shown.startswith(f"Ball {deed.given['n']} of ")

    def is_complete(self, shown: str) -> bool:
        """Tell by a page that was opened anew whether it asks for the first ball that is open."""
        return not self.is_kept(self.next(), shown)

    @staticmethod
    def told(row: Shot) -> tuple:
        """Return the ball, its values, and the phone's time of the hit."""
        first = row.revisions.earliest("running_number")
        # A correction by what the server told has the server's time, which may be as far off as the phone's clock.
        assert abs(row.hit_at - datetime.fromisoformat(first.values["hit_at"])) <= CLOCK_KNOWN_TO
        return (
            row.ball,
            {name: getattr(row, name) for name in ("carry_m", "lateral_m", "contact", "seen")},
            first.phone_at,
        )


class Swings:
    """Swings over the turf: nothing but their order tells one from the other."""

    model = TurfSwing
    kept_of_rivals = 2
    start = "#/turf"

    def __init__(self, cast: Cast, count: int, random: Random):
        self.random = random
        self.live: list[Logged] = []
        self.undone = 0

    def next(self) -> Deed:
        strike, ground = self.random.choice([*STRIKES]), self.random.choice([*GROUNDS])
        values = {"contact": STRIKES[strike], "ground": GROUNDS[ground]}
        return Deed("swing", {"strike": strike, "ground": ground}, Logged(None, values))

    def change(self) -> None:
        """A swing cannot be corrected."""

    def undo(self, last: Logged) -> Deed:
        return Deed("undo", {"hash": "#/turf"}, last)

    def apply(self, deed: Deed) -> None:
        if deed.name == "undo":
            self.undone += 1
            self.live = [logged for logged in self.live if logged is not deed.logged]
        else:
            self.live.append(deed.logged)

    def rivals(self) -> tuple[Deed, Deed]:
        """Return two swings that nothing tells apart."""
        one = self.next()
        return one, Deed(one.name, one.given, Logged(None, one.logged.values))

    def hash(self, deed: Deed | None) -> str:
        return self.start

    def is_kept(self, deed: Deed, shown: str) -> bool:
        return shown.startswith(f"{len(self.live) + 1} swing")

    def is_complete(self, shown: str) -> bool:
        return shown.startswith(f"{len(self.live)} swing")

    @staticmethod
    def told(row: TurfSwing) -> tuple:
        return None, {"contact": row.contact, "ground": row.ground}, row.phone_at


KINDS = {"shot": Shots, "turf": Swings}


# --- a practice


class Practice:
    """Somebody who logs `count` things of a kind in one or two tabs of a phone, as the random numbers say.

    `steady`: nothing is killed, taken back or corrected.
    """

    def __init__(
        self, phone: Phone, url: str, kind, random: Random, *, count: int, tabs: int = 1, steady: bool = False
    ):
        self.phone, self.url, self.kind, self.random, self.count = phone, url, kind, random, count
        self.steady = steady
        self.pages: list = [None] * tabs
        self.last: list[Logged | None] = [None] * tabs  # what "Undo" takes back in each tab
        self.done: Counter[str] = Counter()

    def begin(self) -> None:
        """Open the page once, so that its worker has it, and say where the player stands."""
        self.phone.start()
        page = self.open(0, "#/visit")
        page.get_by_text("by eye", exact=True).tap()
        button(page, "Start").tap()
        expect(page.get_by_text("You are at")).to_be_visible()
        expect_all_sent(page)
        page.evaluate("navigator.serviceWorker.ready.then(() => 0)")
        page.close()
        for tab in range(len(self.pages)):
            self.open(tab, self.kind.start)

    def run(self, network: Network) -> None:
        """Log until all is logged, with a kill at the end where none came before; then let everything go out."""
        rivals = 5 * (len(self.pages) - 1)
        while len(self.kind.live) < self.count:
            network.now = self.random.choices(["failing", "dead", "calm"], [8, 2, 1])[0]
            tab = self.random.randrange(len(self.pages))
            deed = self.random.choices([self.tap, self.race, self.kill], [10, rivals, not self.steady])[0]
            deed(tab)
        if not self.steady and not KILLED & self.done.keys():
            self.kill(self.random.randrange(len(self.pages)))
        network.now = "calm"
        for page in self.pages:
            self.send_all(page)

    def send_all(self, page) -> None:
        """Let everything go out that waits, as when the network comes back."""
        page.evaluate("dispatchEvent(new Event('online'))")
        expect_all_sent(page)

    def open(self, tab: int, hash: str) -> Page:
        """Open a tab anew and return its page."""
        self.last[tab] = None
        page = self.pages[tab] = self.phone.context.new_page()
        page.goto(f"{self.url}/play/{hash}")
        return page

    # --- taps

    def tap(self, tab: int) -> None:
        """Do a few things one after the other in one tab."""
        most = self.random.randint(1, 3 if self.steady else 12 // len(self.pages))
        deeds = []
        while len(deeds) < most and len(self.kind.live) < self.count:
            deeds.append(self._choose(tab))
            self.kind.apply(deeds[-1])
        told = self.pages[tab].evaluate("deeds => thumb(deeds)", [deed.sent for deed in deeds])
        for deed, answer in zip(deeds, told, strict=True):
            assert answer["said"] == SAID[deed.name], (deed, answer)
            deed.logged.heard(answer)
            self.done[deed.name] += 1

    def _choose(self, tab: int) -> Deed:
        chance = 1 if self.steady else self.random.random()
        if chance < 0.06 and self.last[tab]:
            last, self.last[tab] = self.last[tab], None
            return self.kind.undo(last)
        if chance < 0.12 and (change := self.kind.change()):
            return change
        deed = self.kind.next()
        self.last[tab] = deed.logged
        return deed

    def race(self, tab: int) -> None:
        """Tap in both tabs at the same moment."""
        first, second = self.kind.rivals()
        here, there = self.pages[tab], self.pages[1 - tab]
        there.evaluate("deed => raceBy(deed)", second.sent)
        told = [here.evaluate("deed => race(deed)", first.sent), there.evaluate("ended")]
        kept = [deed for deed, answer in zip((first, second), told, strict=True) if answer["said"] == SAVED]
        others = [answer["said"] for answer in told if answer["said"] != SAVED]
        assert len(kept) == self.kind.kept_of_rivals, told
        assert all(said in (TAKEN, "not tapped") for said in others), told
        span = {name: pick(answer[name] for answer in told) for name, pick in (("before", min), ("after", max))}
        for deed in kept:
            deed.logged.heard(span)
            self.kind.apply(deed)
            self.done["raced"] += 1
        self.done["taken"] += others.count(TAKEN)
        self.last = [None, None]

    # --- ends

    def kill(self, tab: int) -> None:
        """Kill the page or the browser, now and then in the middle of a save; open it again."""
        deed = self.tap_unseen(tab) if len(self.kind.live) < self.count and self.random.random() < 0.7 else None
        if self.random.random() < 0.1:
            self.phone.kill()
            self.phone.start()
            opened = range(len(self.pages))
            self.done["browsers killed"] += 1
        else:
            self.pages[tab].close()
            opened = [tab]
            self.done["pages killed"] += 1
        for each in opened:
            self.open(each, self.kind.hash(deed))
        if deed:
            self.settle(deed, tab)

    def tap_unseen(self, tab: int) -> Deed | None:
        """Tap once, without waiting for what the page says of it."""
        deed = self.kind.next()
        [told] = self.pages[tab].evaluate("deed => thumb([deed], false)", deed.sent)
        deed.logged.heard(told)
        time.sleep(self.random.random() * LONGEST_SAVE_S)
        return deed

    def settle(self, deed: Deed, tab: int) -> None:
        """Find out in a tab opened anew whether a tap was kept of which nobody saw the end."""
        if not self.kind.is_kept(deed, self.pages[tab].evaluate("opened()")):
            self.done["lost unsaved"] += 1
            return
        self.kind.apply(deed)
        self.done["kept unseen"] += 1
        for page in self.pages:
            # Another tab may not have heard of it any more, and learns of it by this tap.
            assert page.evaluate("deed => tryAgain(deed)", deed.sent) in (TAKEN, "not tapped")


def differences(kind, player) -> list[str]:
    """Return what of the rows is not as the player was told, in words."""
    rows = list(kind.model.objects.filter(player=player).order_by("device", "running_number"))
    live = [row for row in rows if not row.deleted]
    wrong = []
    if len(live) != len(kind.live):
        wrong.append(f"{len(live)} live rows instead of {len(kind.live)}")
    if len(rows) - len(live) != kind.undone:
        wrong.append(f"{len(rows) - len(live)} rows taken back instead of {kind.undone}")
    for i, (logged, row) in enumerate(zip(kind.live, live, strict=False), 1):
        what, values, phone_at = kind.told(row)
        if what != logged.what or values != pytest.approx(logged.values):
            wrong.append(f"row {i}: {what} {values} instead of {logged.what} {logged.values}")
        before, after = logged.at_ms
        if not before <= milliseconds(phone_at) <= after:
            wrong.append(f"row {i}: {phone_at} is not the phone's time of the tap")
    return wrong
