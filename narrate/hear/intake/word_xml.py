"""WordprocessingML -> lines of text, in the order of the page.

A paragraph is a line. A table row is one line, its cells set apart by tabs, where each cell is short; where a cell
holds whole sentences or more than one paragraph, each cell stands on lines of its own.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from xml.etree.ElementTree import Element

# What stands for nothing on the page.
_DELETED = frozenset(("del", "moveFrom", "delText"))
_CODES = frozenset(("instrText", "delInstrText", "fldData"))
_PROPERTIES = frozenset(("pPr", "rPr", "tblPr", "tblGrid", "trPr", "tcPr", "sdtPr", "sdtEndPr", "sectPr"))
_GONE = _DELETED | _CODES | _PROPERTIES
_AS_TEXT = {"tab": "\t", "ptab": "\t", "br": "\n", "cr": "\n", "noBreakHyphen": "-", "softHyphen": ""}
# The Symbol font's own places for signs that shop notes use (Unicode's mapping table of the font, from memory).
_SYMBOLS = dict(zip(b"\xb0\xb1\xa3\xb3\xb4\xb7\x57\x6d\xb2\xa2\xbb", "°±≤≥×•Ωµ″′≈", strict=True))
_SENTENCE = re.compile(r"[.!?;:]$|[.!?;] ")
MOST_CELL_WORDS = 8  # of a cell that may share its line


@dataclass
class Body:
    """What was met on the way and set aside."""

    deleted: bool = False
    hidden: bool = False


def name_of(element: Element) -> str:
    """The element's name without its namespace."""
    tag = element.tag
    return tag.rpartition("}")[2] if isinstance(tag, str) else ""


def paragraphs_of(element: Element, body: Body) -> Iterator[str]:
    """The lines of a document, cell, note or text box."""
    held = ""  # words of a paragraph whose end was deleted: they go on in the next
    for child in element:
        name = name_of(child)
        if name == "p":
            boxes: list[str] = []
            text = held + _inline(child, body, boxes)
            held = ""
            if _end_deleted(child):
                held = text
                continue
            yield from text.split("\n")
            yield from boxes
        elif name == "tbl":
            yield from _table(child, body)
        elif name in _GONE:
            body.deleted = body.deleted or name in _DELETED
        elif name not in ("t", "r"):
            yield from paragraphs_of(_content(child), body)
    if held:
        yield from held.split("\n")


def _content(element: Element) -> Element:
    """An alternate content's first choice; anything else as it is. Both choices say the same."""
    if name_of(element) != "AlternateContent":
        return element
    return next(iter(element), element)


def _child(element: Element, *path: str) -> Element | None:
    """The element at a path of names, whatever the namespace."""
    found: Element | None = element
    for step in path:
        found = next((c for c in found if name_of(c) == step), None) if found is not None else None
    return found


def _value(element: Element | None, default: str = "") -> str:
    """The `val` of a property."""
    if element is None:
        return default
    return next((v for k, v in element.attrib.items() if k.rpartition("}")[2] == "val"), default)


def _end_deleted(paragraph: Element) -> bool:
    return _child(paragraph, "pPr", "rPr", "del") is not None


def _hidden(run: Element) -> bool:
    vanish = _child(run, "rPr", "vanish")
    return vanish is not None and _value(vanish, "1") not in ("0", "false", "off")


def _inline(element: Element, body: Body, boxes: list[str]) -> str:
    """The words inside a paragraph, in order; text boxes anchored in it are put by, for after it."""
    out: list[str] = []
    for child in element:
        name = name_of(child)
        if name in _GONE:
            body.deleted = body.deleted or name in _DELETED
        elif name == "t":
            out.append(child.text or "")
        elif name in _AS_TEXT:
            out.append(_AS_TEXT[name])
        elif name == "sym":
            out.append(_symbol(child))
        elif name == "f":
            out.append(_fraction(child, body, boxes))
        elif name == "txbxContent":
            boxes.extend(paragraphs_of(child, body))
        elif name == "r" and _hidden(child):
            body.hidden = True
        elif name == "sdt" and _child(child, "sdtPr", "showingPlcHdr") is not None:
            continue  # "Click here to enter text"
        else:
            out.append(_inline(_content(child), body, boxes))
    return "".join(out)


def _symbol(element: Element) -> str:
    """A character set in a symbol font, where it is one that notes use."""
    code = next((v for k, v in element.attrib.items() if k.rpartition("}")[2] == "char"), "")
    try:
        number = int(code, 16)
    except ValueError:
        return ""
    return _SYMBOLS.get(number & 0xFF, "") if number >= 0xF000 else chr(number) if number < 0xD800 else ""


def _fraction(element: Element, body: Body, boxes: list[str]) -> str:
    """A built-up fraction as it is typed: 3/8, with a space before it so that "2 3/8" is no 23/8."""
    top, bottom = _child(element, "num"), _child(element, "den")
    if top is None or bottom is None:
        return _inline(element, body, boxes)
    return f" {_inline(top, body, boxes)}/{_inline(bottom, body, boxes)}"


def _table(table: Element, body: Body) -> Iterator[str]:
    for row in _rows(table):
        if _child(row, "trPr", "del") is not None:
            body.deleted = True
            continue
        cells = [_cell(cell, body) for cell in _cells(row) if not _covered(cell)]
        cells = [lines for lines in cells if lines]
        if all(len(lines) == 1 and _short(lines[0]) for lines in cells):
            if cells:
                yield "\t".join(lines[0] for lines in cells)
        else:
            for lines in cells:
                yield from lines


def _rows(table: Element) -> Iterator[Element]:
    """The table's rows, those in content controls and tracked insertions too."""
    for child in table:
        name = name_of(child)
        if name == "tr":
            yield child
        elif name in ("sdt", "sdtContent", "ins", "customXml", "moveTo"):
            yield from _rows(child)


def _cells(row: Element) -> Iterator[Element]:
    for child in row:
        name = name_of(child)
        if name == "tc":
            yield child
        elif name in ("sdt", "sdtContent", "ins", "customXml", "moveTo"):
            yield from _cells(child)


def _covered(cell: Element) -> bool:
    """Whether the cell lies under one that is merged over it, or was deleted: the page does not show it."""
    if _child(cell, "tcPr", "cellDel") is not None:
        return True
    return any(
        merge is not None and _value(merge, "continue") == "continue"
        for merge in (_child(cell, "tcPr", "vMerge"), _child(cell, "tcPr", "hMerge"))
    )


def _cell(cell: Element, body: Body) -> list[str]:
    return [line.strip() for line in paragraphs_of(cell, body) if line.strip()]


def _short(text: str) -> bool:
    return len(text.split()) <= MOST_CELL_WORDS and not _SENTENCE.search(text) and "\t" not in text
