"""What is wrong with a page is found, in the colours in which it is wrong."""

import pytest

from tests.browser.axe import axe_faults

PAGE = """<!doctype html><html lang="en"><head><title>A page</title><style>
:root {{ color-scheme: light dark; background: white; color: black }}
@media (prefers-color-scheme: dark) {{ :root {{ background: black; color: white }} }}
{style}</style></head><body><main><h1>A page</h1>{body}</main></body></html>"""
IN_DARK = "@media (prefers-color-scheme: dark)"


@pytest.mark.parametrize(
    ("body", "style", "found"),
    [
        ("<p>Fine</p>", "", set()),
        ("<input>", "", {("light", "label")}),
        ("<details><summary>More</summary><input></details>", "", {("light", "label")}),
        ("<button></button>", "", {("light", "button-name")}),
        # grey on white is 4.54:1 (#767676), enough for AA and not for the 7:1 of the enhanced contrast
        ("<p>Faint</p>", "p { color: #767676; background: white }", {("light", "color-contrast-enhanced")}),
        ("<p>Faint</p>", IN_DARK + " { p { color: #777 } }", {("dark", "color-contrast-enhanced")}),
        ("<p>Fainter</p>", IN_DARK + " { p { color: #444 } }", {("dark", "color-contrast")}),
        ("<a href='#a'>a</a><a href='#b'>b</a>", "a { display: inline-block; width: 9px }", {("light", "target-size")}),
    ],
)
def test_what_is_wrong_is_found(desk, body, style, found):
    page = desk.new_page()
    page.set_content(PAGE.format(body=body, style=style))
    told = [fault.split(" in ", 1)[1].split(" at ")[0].split(": ") for fault in axe_faults(page)]
    assert found <= {tuple(pair) for pair in told}
    assert bool(found) == bool(told)
