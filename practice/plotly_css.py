"""The stylesheet of plotly.js as a file.

plotly.js writes style rules into the page by script, which a strict Content-Security-Policy refuses. It leaves that
out where an element of the right id stands already: its own rules are looked for under `plotly.js-style-global` (class
`no-inline-styles`), those of a map library inside it under an id that changes with the version. So the rules and that
id are read from the installed script: nothing of it is copied.
"""

import re

SCOPES = {"X": ".js-plotly-plot .plotly", "Y": ".plotly-notifier"}
"""What the two short names in the script's selectors stand for."""

RULE = re.compile(r"""(?:"(?P<quoted>[XY][^"]*)"|(?P<bare>[XY])):(?:"(?P<a>[^"]*)"|'(?P<b>[^']*)')[,}]""")


def plotly_stylesheet(script: str) -> str:
    """Return the CSS that the script would insert: one object of selector to declarations, in its order.

    Raises
    ------
    ValueError
        Where a newer plotly.js keeps its rules elsewhere.
    """
    start = script.find('{"X,X div":')
    end = script.find("};for(", start)
    if start < 0 or end < 0:
        raise ValueError("This plotly.js keeps its style rules elsewhere; look for 'X,X div' in plotly.min.js.")
    rules = []
    for found in RULE.finditer(script[start : end + 1]):
        selector = found["quoted"] or found["bare"]
        for short, scope in SCOPES.items():
            selector = selector.replace(short, scope)
        rules.append(f"{selector} {{ {found['a'] or found['b']} }}\n")
    return "".join(rules)


MAP_STYLES = re.compile(r'getElementById\("(?P<id>[0-9a-f]{64})"\)\)\{var \w+=document\.createElement\("style"\)')


def map_style_ids(script: str) -> list[str]:
    """Return the ids under which the script looks before it adds the styles of maps, which we never draw."""
    return [found["id"] for found in MAP_STYLES.finditer(script)]
