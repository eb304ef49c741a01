"""What is on a PDF that the browser printed, as an independent reader of such files sees it."""

from pathlib import Path

import numpy as np
import pypdfium2

A4_PT = (595, 842)
"""210 mm by 297 mm (ISO 216), in points of 1/72 inch (ISO 32000), rounded."""


def read_a4(path: Path) -> list[str]:
    """Return the text of each page, line by line; every page has to be of A4, upright."""
    with pypdfium2.PdfDocument(path) as document:
        assert {tuple(map(round, page.get_size())) for page in document} == {A4_PT}
        return [page.get_textpage().get_text_range().replace("\r\n", "\n") for page in document]


def picture_of_first_page(path: Path) -> np.ndarray:
    """Return the first page as rows of dots of three colours, 30 dots to the inch."""
    with pypdfium2.PdfDocument(path) as document:
        return document[0].render(scale=30 / 72).to_numpy().copy()
