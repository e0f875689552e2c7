"""A page as every writer understands it: blocks of facts, tables, notes and signatures, with numbered quotations.

What stands where is decided once, by whoever makes the Page; a writer decides only how it looks in its format.
Texts are kept as they came; every writer passes each of them through `clean_text` at the one place where it emits.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date
from typing import Literal

Tone = Literal["plain", "strong", "faint", "urgent"]

# Neither XML 1.0 nor a terminal may be given these: controls (but tab and line ends), lone surrogates, the two
# non-characters, and the marks that turn the direction of what follows them.
_UNPRINTABLE = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\ud800-\udfff\ufffe\uffff\u202a-\u202e\u2066-\u2069]")
_TERMINAL_CODE = re.compile(r"\x1b\[[0-?]*[ -/]*[@-~]")
_SPACE = re.compile(r"[ \t\r\n\u2028\u2029]+")


def clean_text(text: str) -> str:
    """One line of printable text: unprintable characters are taken out, white space is drawn together."""
    return _SPACE.sub(" ", _UNPRINTABLE.sub("", _TERMINAL_CODE.sub("", text))).strip(" ")


@dataclass(frozen=True, slots=True)
class Mark:
    """A shape that goes with a state's words; `letter` stands for it where shapes cannot be shown."""

    shape: str
    letter: str


@dataclass(frozen=True, slots=True)
class Piece:
    """A few words, with the numbers of the quotations that they rest on and, in `note`, a smaller line below."""

    text: str
    refs: tuple[int, ...] = ()
    mark: Mark | None = None
    tone: Tone = "plain"
    note: str = ""


@dataclass(frozen=True, slots=True)
class Fact:
    """A label and what is known under it, never nothing. With `flow` the pieces run on, else each has a line."""

    label: str
    pieces: tuple[Piece, ...]
    flow: bool = False


@dataclass(frozen=True, slots=True)
class Facts:
    """Facts in a grid of `across` columns; with 1 they are a list, label beside value."""

    facts: tuple[Fact, ...]
    across: int = 1


@dataclass(frozen=True, slots=True)
class Column:
    """`width` is a share of the page. A `blank` column is for writing on paper and left out on screens."""

    heading: str
    width: int
    align: Literal["left", "right"] = "left"
    blank: bool = False


@dataclass(frozen=True, slots=True)
class Row:
    """One line of a table. `anchor` is the number of the quotation that the row itself is."""

    cells: tuple[Piece, ...]
    refs: tuple[int, ...] = ()
    tone: Tone = "plain"
    anchor: int | None = None


@dataclass(frozen=True, slots=True)
class Table:
    """`about` says what the table holds, for those who cannot see it; `cited` adds a column with the rows' refs."""

    about: str
    columns: tuple[Column, ...]
    rows: tuple[Row, ...]
    cited: bool = True


@dataclass(frozen=True, slots=True)
class Note:
    """A paragraph by itself, its pieces one after the other."""

    pieces: tuple[Piece, ...]


@dataclass(frozen=True, slots=True)
class Signatures:
    """Lines to sign on, one for each role, and what is signed for."""

    statement: str
    roles: tuple[str, ...]
    lines: tuple[str, ...] = ("Name", "Signature", "Date")


Body = Facts | Table | Note | Signatures


@dataclass(frozen=True, slots=True)
class Block:
    """A heading of `level` 1 or 2 and what stands under it; with `fresh` it begins a page of its own on paper."""

    id: str
    heading: str
    body: tuple[Body, ...]
    level: Literal[1, 2] = 1
    fresh: bool = False


@dataclass(frozen=True, slots=True)
class Quote:
    """A quotation: `where` is its time in the recording, or its line in the notes."""

    number: int
    where: str
    text: str


@dataclass(frozen=True, slots=True)
class Page:
    """A whole document. `running` is repeated at the head of every page, `origin` at its foot."""

    title: str
    headline: str
    running: str
    origin: str
    blocks: tuple[Block, ...]
    quotes: tuple[Quote, ...] = ()
    keywords: tuple[str, ...] = ()
    dated: date | None = None
    language: str = "en-US"


def ranges(refs: tuple[int, ...]) -> list[tuple[int, int]]:
    """Numbers as runs, first and last: (3, 4, 5, 9) is 3 to 5, and 9."""
    runs: list[tuple[int, int]] = []
    for number in sorted(set(refs)):
        if runs and number == runs[-1][1] + 1:
            runs[-1] = (runs[-1][0], number)
        else:
            runs.append((number, number))
    return runs


def say_run(run: tuple[int, int]) -> str:
    """A run in print: "3", "3, 4" or "3–5"."""
    first, last = run
    if first == last:
        return str(first)
    return f"{first}, {last}" if last == first + 1 else f"{first}–{last}"
