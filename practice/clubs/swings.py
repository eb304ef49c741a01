"""Swing lengths: how far the lead arm goes back, named as on a clock face seen face-on."""

FEEL = "feel"
"""A shot with no preset length."""

CLOCK_SWINGS = {
    "7:30": "short (7:30)",
    "9:00": "half (9:00)",
    "10:30": "three-quarter (10:30)",
    "full": "full",
}
"""Code and screen name of the swing lengths that every academy has, shortest first."""


def swing_name(code: str) -> str:
    """Return the words for a swing length; an academy's own is called by its code."""
    return CLOCK_SWINGS.get(code, code)


def swing_position(code: str, own: dict[str, int] | None = None) -> tuple[int, int, str]:
    """Return a sort key: the clock first, then the academy's own in its order, then feel."""
    if code in CLOCK_SWINGS:
        return 0, list(CLOCK_SWINGS).index(code), code
    if code == FEEL:
        return 2, 0, code
    return 1, (own or {}).get(code, 0), code
