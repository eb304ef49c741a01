"""Asks axe what is wrong with a page, in light and in dark, once the page shows everything that it has.

axe is put into the page by the debugger, which no content policy concerns, and it asks the network for nothing.
"""

from axe_playwright_python.base import AXE_SCRIPT
from playwright.sync_api import expect

WCAG = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
COLOURS = ["color-contrast", "color-contrast-enhanced", "link-in-text-block"]
"""The rules that look at colours; the enhanced contrast is 7:1 (WCAG 2.2, success criterion 1.4.6)."""

IN_LIGHT = {"runOnly": {"type": "tag", "values": WCAG}, "rules": {"color-contrast-enhanced": {"enabled": True}}}
# Dark changes colours only: the other rules would say the same again.
IN_DARK = {"runOnly": {"type": "rule", "values": COLOURS}}

JUDGE = """async (options) => {
  const found = await axe.run(document, { resultTypes: ["violations"], ...options });
  return found.violations.flatMap(({ id, nodes }) =>
    nodes.map(({ target, failureSummary }) => `${id} at ${target}: ${failureSummary}`));
}"""
UNFOLD = "document.querySelectorAll('details').forEach((folded) => { folded.open = true; })"


def show_all(page) -> None:
    """Unfold what is folded and let every figure be drawn: what is hidden is not judged."""
    page.evaluate(UNFOLD)
    for figure in page.locator("[data-figure]").all():
        figure.scroll_into_view_if_needed()
        expect(figure).to_have_attribute("data-drawn", "yes", timeout=60_000)


def axe_faults(page) -> list[str]:
    """Return what axe finds wrong, one text for each element; the page is left in light colours."""
    show_all(page)
    page.evaluate(AXE_SCRIPT)
    told = []
    for scheme, options in (("dark", IN_DARK), ("light", IN_LIGHT)):
        page.emulate_media(color_scheme=scheme)
        told += [f"{page.url} ({page.title()}) in {scheme}: {fault}" for fault in page.evaluate(JUDGE, options)]
    return told
