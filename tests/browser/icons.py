"""Draws the icons of the installed app out of static/ledger/icon.svg: python -m tests.browser.icons CHROMIUM

A maskable icon is cut to any shape that lies around the circle of 40 % of its width (W3C, Web Application Manifest,
"Icon masks and safe zone"), so that one fills the ground and draws smaller.
"""

import sys
from pathlib import Path

from playwright.sync_api import Browser, sync_playwright

STATIC = Path(__file__).resolve().parents[2] / "static"
GROUND = "#e9e6d6"
ICONS = {"icon-192.png": (192, 1, ""), "icon-512.png": (512, 1, ""), "icon-maskable-512.png": (512, 0.66, GROUND)}
"""File name: width in px, width of the drawing as a part of it, colour of the ground."""


def drawn(browser: Browser, size_px: int, part: float, ground: str) -> bytes:
    """Return the PNG of one icon."""
    page = browser.new_page(viewport={"width": size_px, "height": size_px})
    page.set_content(f"<body>{(STATIC / 'ledger/icon.svg').read_text()}")
    where = f"position: fixed; inset: {100 * (1 - part) / 2}%; width: {100 * part}%"
    page.add_style_tag(content=f"body {{ background: {ground or 'transparent'} }} svg {{ {where} }}")
    png = page.screenshot(omit_background=True)
    page.close()
    return png


def main() -> None:
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=sys.argv[1])
        for name, how in ICONS.items():
            (STATIC / "play" / name).write_bytes(drawn(browser, *how))
        browser.close()


if __name__ == "__main__":
    main()
