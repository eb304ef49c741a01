"""Joined scripts do in a browser what the modules do that they are made of."""

import pytest
from rjsmin import jsmin

from practice.join import joined

MODULES = {
    "app.js": """// the page
import { clubs, Day } from "./day.js";
import { said } from "./words.js";

told.push(`app ${said}`);
const late = await new Promise((done) => setTimeout(() => done(clubs.length)));
told.push(late, new Day().ball(), typeof day);
import(document.body.dataset.more).then(({ pages }) => told.push(pages.eye()));
""",
    "day.js": """import { said } from "./words.js";

told.push("day");
export const clubs = ["52",   "56"]; // in the bag
export class Day {
  #ball = 3;
  ball() { return `${this.#ball}  ${said /* a word */}`; }
}
""",
    "words.js": """told.push("words");
export let said = "hit";
export const change = () => { said = "missed"; };
""",
    "eye.js": """import { change, said } from "./words.js";

told.push("eye");
export const eye = () => { change(); return /\\s+"/.test('  "') && said; };
""",
    "more.js": """import { eye } from "./eye.js";

export const pages = { eye };
""",
}
PAGE = '<!doctype html><title>x</title><body data-more="/more.js"><script type="module" src="/{}"></script>'
TOLD = ["words", "day", "app hit", 2, "3  hit", "undefined", "eye", "missed"]


@pytest.fixture
def told_by(new_context):
    """Return a function that opens a page of these scripts and returns what they told, in order."""

    def told_by(scripts: dict[str, str], first: str) -> list:
        def answer(route):
            name = route.request.url.rpartition("/")[2]
            kind = "text/javascript" if name else "text/html"
            route.fulfill(content_type=kind, body=scripts[name] if name else PAGE.format(first))

        page = new_context().new_page()
        page.add_init_script("globalThis.told = []")
        page.route("http://localhost/**", answer)
        page.goto("http://localhost/", wait_until="networkidle")
        return page.evaluate("told")

    return told_by


def test_the_modules_themselves_tell_what_is_expected(told_by):
    assert told_by(MODULES, "app.js") == TOLD


@pytest.mark.parametrize("small", [str, jsmin], ids=["joined", "joined and minified"])
def test_the_joined_scripts_tell_the_same_in_the_same_order(told_by, small):
    first, then = joined(MODULES, "app.js", "more.js")
    assert told_by({"play.js": small(first), "more.js": small(then)}, "play.js") == TOLD
