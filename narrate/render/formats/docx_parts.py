"""The few WordprocessingML elements that our documents are made of; every text goes through `text`."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from docx.oxml import OxmlElement
from docx.oxml.ns import qn

from narrate.render.formats.page import clean_text, ranges, say_run

_TWIPS = 1440  # to the inch
_PRESERVE = "{http://www.w3.org/XML/1998/namespace}space"


def element(tag: str, *children: Any, **attributes: object) -> Any:
    """An element of the `w` namespace, as are its attributes."""
    made = OxmlElement(f"w:{tag}")
    for name, value in attributes.items():
        made.set(qn(f"w:{name}"), str(value))
    made.extend(children)
    return made


def style_id(name: str) -> str:
    """Word's identifier of a style: its name without the spaces."""
    return name.replace(" ", "")


def text(words: str, style: str | None = None) -> Any:
    """A run of cleaned words, in a character style where one is given."""
    held = element("t")
    held.text = clean_text(words)
    return _run(held, style)


def space() -> Any:
    """A run of one space; `text` would take it for an empty text."""
    held = element("t")
    held.text = " "
    held.set(_PRESERVE, "preserve")
    return _run(held, None)


def glue(words: str, style: str | None = None) -> Any:
    """A run of words that we wrote ourselves, kept with the spaces at its ends ("; ")."""
    held = element("t")
    held.text = words
    held.set(_PRESERVE, "preserve")
    return _run(held, style)


def _run(content: Any, style: str | None) -> Any:
    run = element("r")
    if style:
        run.append(element("rPr", element("rStyle", val=style_id(style))))
    run.append(content)
    return run


def field(code: str) -> Any:
    """A value that the word processor works out itself: PAGE, NUMPAGES."""
    return element("fldSimple", glue("1"), instr=f" {code} ")


def links(refs: tuple[int, ...], style: str) -> list[Any]:
    """The numbers of quotations, each leading to its bookmark."""
    made: list[Any] = []
    for run in ranges(refs):
        if made:
            made.append(glue(", ", style))
        made.append(element("hyperlink", glue(say_run(run), style), anchor=f"words_{run[0]}", history=1))
    return made


def bookmark(number: int, *content: Any) -> list[Any]:
    """Content that `links` can lead to."""
    start = element("bookmarkStart", id=number, name=f"words_{number}")
    return [start, *content, element("bookmarkEnd", id=number)]


def paragraph(style: str, *content: Any, right: bool = False, keep: bool = False, fresh: bool = False) -> Any:
    """A paragraph; with `keep` it stays on the page of what follows, with `fresh` it begins a new one."""
    properties = element("pPr", element("pStyle", val=style_id(style)))
    if keep:
        properties.append(element("keepNext"))
    if fresh:
        properties.append(element("pageBreakBefore"))
    if right:
        properties.append(element("jc", val="right"))
    return element("p", properties, *content)


def keep_with_next(line: Any) -> None:
    """Keep a row on the page of the row behind it."""
    for properties in line.iter(qn("w:pPr")):
        if properties.find(qn("w:keepNext")) is None:
            properties.insert(1, element("keepNext"))  # the schema's order: behind the style


def cell(paragraphs: Iterable[Any], width: int, **borders: str) -> Any:
    """A table cell, `width` in twentieths of a point; `borders` are "size" or "size style" by side."""
    properties = element("tcPr", element("tcW", w=width, type="dxa"))
    if borders:
        sides = element("tcBorders")
        for side in ("top", "left", "bottom", "right"):  # the schema's order
            if side in borders:
                size, _, kind = borders[side].partition(" ")
                sides.append(element(side, val=kind or "single", sz=size, space=0, color="1C2022"))
        properties.append(sides)
    return element("tc", properties, *paragraphs)


def row(cells: Iterable[Any], *, head: bool = False, height: int | None = None) -> Any:
    """A row that is never cut by the end of a page; a `head` stands again on every page that the table reaches."""
    properties = element("trPr", element("cantSplit"))
    if height:
        properties.append(element("trHeight", val=height, hRule="atLeast"))
    if head:
        properties.append(element("tblHeader"))
    return element("tr", properties, *cells)


def table(style: str, widths: Sequence[int], rows: Iterable[Any], *, about: str, headed: bool) -> Any:
    """A table of fixed column widths; `about` is its description for those who hear the document read."""
    look = element("tblLook", val="0420" if headed else "0400", firstRow=int(headed), lastRow=0, firstColumn=0,
                   lastColumn=0, noHBand=1, noVBand=1)  # fmt: skip
    properties = element(
        "tblPr",
        element("tblStyle", val=style_id(style)),
        element("tblW", w=sum(widths), type="dxa"),
        element("tblLayout", type="fixed"),
        look,
        element("tblCaption", val=clean_text(about)),
    )
    grid = element("tblGrid", *(element("gridCol", w=width) for width in widths))
    return element("tbl", properties, grid, *rows)


def shares(parts: Sequence[float], inches: float) -> list[int]:
    """Column widths in twentieths of a point, in proportion, filling `inches` to the last one."""
    whole = round(inches * _TWIPS)
    widths = [int(whole * part / sum(parts)) for part in parts]
    widths[-1] += whole - sum(widths)
    return widths
