"""CSV files read strictly and in bounded memory: every line is a row, or a fault that says what to do.

RFC 4180, UTF-8 with or without a byte order mark. A fault never hides the lines after it: after a text whose closing
quote is missing, reading goes on at the next line.
"""

import csv
from collections import Counter, deque
from collections.abc import Iterator, Sequence
from typing import BinaryIO, NamedTuple

LONGEST_LINE = 64 * 1024
"""Bytes; a quoted text that runs over several lines counts as one line."""

BYTE_ORDER_MARK = b"\xef\xbb\xbf"
UTF_16_MARKS = (b"\xff\xfe", b"\xfe\xff")
SAVE_AS = "save the file as CSV with commas and encoding UTF-8"
TOO_LONG = f"the line is longer than {LONGEST_LINE // 1024} kB; is a line end or a closing quote missing?"


class Fault(NamedTuple):
    """What is wrong with one line; the header is line 1."""

    line: int
    reason: str

    def __str__(self):
        return f"line {self.line}: {self.reason}"


class Row(NamedTuple):
    """One row: the text of every known column, as it stands in the file."""

    line: int
    cells: dict[str, str]


class BadLine(ValueError):
    """A line that cannot be split into cells."""


class CsvTable:
    """A table with a header. Going through it yields a Row or a Fault for each line, the header's faults first.

    Parameters
    ----------
    stream
        An open binary file.
    required, optional
        The columns; each is a name, or names with a space between them of which one file has one ("carry_m carry_yd").
    """

    def __init__(self, stream: BinaryIO, *, required: Sequence[str], optional: Sequence[str]):
        self.required = [names.split() for names in required]
        self.optional = [names.split() for names in optional]
        self._lines = _lines(stream)
        self._given_back = deque()
        self._width = None
        self.names = self._read_header()

    @property
    def known(self) -> set[str]:
        """Every column that means something here."""
        return {name for names in (*self.required, *self.optional) for name in names}

    @property
    def warnings(self) -> list[str]:
        """What is left out, in words."""
        unknown = [name or "(no name)" for name in self.names if name not in self.known]
        return [f"unknown columns are left out: {', '.join(unknown)}"] if unknown else []

    def __iter__(self) -> Iterator[Row | Fault]:
        yield from self.header_faults
        if self.header_faults:
            return
        columns = [(i, name) for i, name in enumerate(self.names) if name in self.known]
        for item in self._records():
            if isinstance(item, Fault):
                yield item
            elif any(item[1]):
                line, cells = item
                yield Row(line, {name: cells[i] for i, name in columns})

    def _read_header(self) -> list[str]:
        first = next(self._records(), Fault(1, f"the file is empty; {SAVE_AS}"))
        if isinstance(first, Fault):
            self.header_faults = [Fault(1, first.reason)]
            return []
        line, cells = first
        names = [name.strip() for name in cells]
        self._width = len(names)
        self.header_faults = [Fault(line, reason) for reason in self._header_reasons(names)]
        return names if len(names) > 1 else []

    def _header_reasons(self, names: list[str]) -> list[str]:
        """Return everything that is wrong with the header, or the one thing that makes it no header at all."""
        for mark, word in ((";", "semicolons"), ("\t", "tabs")):
            if len(names) == 1 and mark in names[0]:
                return [f"the columns are separated by {word}; {SAVE_AS}"]
        counts = Counter(name for name in names if name in self.known)
        reasons = [f"the column {name} is there {n} times; keep one" for name, n in counts.items() if n > 1]
        for one_of in (*self.required, *self.optional):
            there = [name for name in one_of if name in counts]
            if len(there) > 1:
                reasons.append(f"give either {' or '.join(there)}, not both")
            elif not there and one_of in self.required:
                reasons.append(f"the column {' or '.join(one_of)} is missing")
        return reasons

    def _records(self) -> Iterator[tuple[int, list[str]] | Fault]:
        """Yield (line number, cells) of every record that is not blank, or its fault."""
        while (first := self._next_line()) is not None:
            number, text = first
            if text is None:
                yield Fault(number, TOO_LONG)
                continue
            more = self._rest_of_record(text)
            try:
                cells = self._split(b"".join([text, *(line for _, line in more if line)]))
            except BadLine as bad:
                self._given_back.extendleft(reversed(more))
                yield Fault(number, str(bad))
                continue
            if cells:
                yield number, cells

    def _next_line(self) -> tuple[int, bytes | None] | None:
        return self._given_back.popleft() if self._given_back else next(self._lines, None)

    def _rest_of_record(self, text: bytes) -> list[tuple[int, bytes | None]]:
        """Return the lines that follow until the quotes are even, or as many as a line may be long."""
        more, size, quotes = [], len(text), text.count(b'"')
        while quotes % 2 and size <= LONGEST_LINE and (line := self._next_line()) is not None:
            more.append(line)
            size += LONGEST_LINE if line[1] is None else len(line[1])
            quotes += (line[1] or b"").count(b'"')
        return more

    def _split(self, record: bytes) -> list[str]:
        """Return the cells of one record; none for a blank line."""
        if len(record) > LONGEST_LINE + 2:
            raise BadLine(TOO_LONG)
        if record.count(b'"') % 2:
            raise BadLine("a double quote is opened and never closed; inside a quoted text write it twice")
        if record.startswith(UTF_16_MARKS):
            raise BadLine(f"the file is in UTF-16; {SAVE_AS}")
        try:
            text = record.decode("utf-8")
        except UnicodeDecodeError:
            raise BadLine(f"the line is not UTF-8; {SAVE_AS}") from None
        if "\0" in text:
            raise BadLine(f"the line holds a NUL character; {SAVE_AS}")
        if not text.strip():
            return []
        cells = _cells(text)
        if self._width is not None and len(cells) != self._width:
            hint = "; decimals have a point, not a comma" if len(cells) > self._width else ""
            raise BadLine(f"the line has {len(cells)} cells, the header has {self._width}{hint}")
        return cells


def _lines(stream: BinaryIO) -> Iterator[tuple[int, bytes | None]]:
    """Yield (number, line) with its end; a line that is too long comes as None and is read past in pieces."""
    number = 0
    while line := stream.readline(LONGEST_LINE + 1):
        number += 1
        if number == 1:
            line = line.removeprefix(BYTE_ORDER_MARK)
        if line.endswith(b"\n") or len(line) <= LONGEST_LINE:
            yield number, line
            continue
        while not line.endswith(b"\n") and (line := stream.readline(LONGEST_LINE)):
            pass
        yield number, None


def _cells(text: str) -> list[str]:
    try:
        (cells,) = csv.reader([text], strict=True)
    except csv.Error as error:
        quotes = "a text with a comma, quote or line end stands in double quotes, with its own quotes doubled"
        raise BadLine(f"the line cannot be read as CSV ({error}); {quotes}") from None
    return cells
