"""Page → Word document: real styles, repeating table heads, page numbers that Word counts, links to the quotations.

Tables are made of elements directly: the library's own way looks every cell up anew and slows with their length.
No clock stands in them: `seal.py` packs the parts again with fixed times.
"""

from __future__ import annotations

import io
from datetime import datetime
from typing import Any

from docx import Document as new_document
from docx.document import Document
from docx.opc.constants import RELATIONSHIP_TYPE
from docx.oxml.ns import qn
from docx.shared import Inches

from narrate.render.formats import docx_styles as styles
from narrate.render.formats.docx_parts import (
    bookmark,
    cell,
    element,
    field,
    glue,
    keep_with_next,
    links,
    paragraph,
    row,
    shares,
    space,
    table,
    text,
)
from narrate.render.formats.page import Body, Facts, Note, Page, Piece, Row, Signatures, Table, Tone, clean_text

_INCHES = 7.1  # between the margins of a letter page
_LABEL_SHARE, _CITED_SHARE = 17, 9
_SIGN_HEIGHT = 420  # twentieths of a point: room for a hand
_RUN_STYLES: dict[Tone, str | None] = {
    "plain": None, "strong": styles.STRONG, "faint": styles.FAINT, "urgent": styles.STRONG,
}  # fmt: skip


def write_docx(page: Page, seal: str) -> bytes:
    """The page as a .docx; `seal` goes into the document's properties."""
    document = new_document()
    styles.set_styles(document, page.language)
    _set_paper(document, page)
    _set_properties(document, page, seal)
    body: Any = document.element.body
    ending = body[-1]  # the section's settings stay at the end
    ending.addprevious(paragraph(styles.TITLE, text(page.title), keep=True))
    ending.addprevious(paragraph("Title", text(page.headline)))
    for block in page.blocks:
        ending.addprevious(paragraph(f"Heading {block.level}", text(block.heading), fresh=block.fresh))
        for part in block.body:
            for one in _body(part):
                ending.addprevious(one)
    saved = io.BytesIO()
    document.save(saved)
    return saved.getvalue()


def _body(body: Body) -> list[Any]:
    if isinstance(body, Facts):
        return [_grid(body) if body.across > 1 else _list(body), _gap()]
    if isinstance(body, Table):
        return [_table(body), _gap()]
    if isinstance(body, Note):
        content: list[Any] = []
        for piece in body.pieces:
            content += [*([glue("    ")] if content else []), *_runs(piece)]
        return [paragraph(styles.CELL, *content)]
    return _signatures(body)


def _gap() -> Any:
    """Two tables that touch would become one."""
    return paragraph(styles.GAP)


def _runs(piece: Piece) -> list[Any]:
    """Mark, words and, in brackets, the numbers of the quotations."""
    made: list[Any] = []
    if piece.mark:
        made += [text(piece.mark.shape, styles.MARK), glue("\u2002")]
    made.append(text(piece.text, _RUN_STYLES[piece.tone]))
    if piece.refs:
        made += [space(), glue("[", styles.CITED), *links(piece.refs, styles.CITED), glue("]", styles.CITED)]
    return made


def _said(piece: Piece, *, right: bool = False) -> list[Any]:
    """A piece as the paragraphs of a cell, its note below it."""
    made = [paragraph(styles.CELL, *_runs(piece), right=right)]
    if piece.note:
        made.append(paragraph(styles.NOTE, text(piece.note), right=right))
    return made


def _grid(facts: Facts) -> Any:
    widths = shares([1.4, *[1] * (facts.across - 1)], _INCHES)
    rows = []
    for at in range(0, len(facts.facts), facts.across):
        some = facts.facts[at : at + facts.across]
        cells = [
            cell(
                [paragraph(styles.LABEL, text(fact.label)), *(one for piece in fact.pieces for one in _said(piece))],
                width,
            )
            for fact, width in zip(some, widths, strict=False)
        ]
        cells += [cell([paragraph(styles.CELL)], width) for width in widths[len(some) :]]
        rows.append(row(cells))
    return table(styles.GRID, widths, rows, about="Facts", headed=False)


def _list(facts: Facts) -> Any:
    widths = shares([_LABEL_SHARE, 100 - _LABEL_SHARE], _INCHES)
    rows = []
    for fact in facts.facts:
        if fact.flow:
            runs: list[Any] = []
            for piece in fact.pieces:
                runs += [*([glue("; ")] if runs else []), *_runs(piece)]
            value = [paragraph(styles.CELL, *runs)]
        else:
            value = [one for piece in fact.pieces for one in _said(piece)]
        rows.append(row([cell([paragraph(styles.LABEL, text(fact.label))], widths[0]), cell(value, widths[1])]))
    return table(styles.GRID, widths, rows, about="Facts", headed=False)


_FEW = 2  # rows, with the head


def _table(body: Table) -> Any:
    parts = [column.width for column in body.columns]
    headings = [(column.heading, column.align == "right") for column in body.columns]
    if body.cited:
        parts.append(_CITED_SHARE)
        headings.append(("Words", True))
    widths = shares(parts, _INCHES)
    head = [
        cell([paragraph(styles.LABEL, text(words), right=right, keep=True)], width)
        for (words, right), width in zip(headings, widths, strict=True)
    ]
    rows = [row(head, head=True), *(_row(body, one, widths) for one in body.rows)]
    if len(rows) > _FEW:
        keep_with_next(rows[-2])  # the last row, often a sum, begins no page
    return table(styles.TABLE, widths, rows, about=body.about, headed=True)


def _row(body: Table, line: Row, widths: list[int]) -> Any:
    cells = []
    for at, (column, piece) in enumerate(zip(body.columns, line.cells, strict=True)):
        paragraphs = _said(piece, right=column.align == "right")
        if line.anchor is not None and at == 0:
            runs = bookmark(line.anchor, *_runs(piece))
            paragraphs = [paragraph(styles.CELL, *runs, right=column.align == "right")]
        borders = {"left": "36"} if at == 0 and line.tone == "urgent" else {}
        if column.blank:
            borders = {"left": "4 dotted"}
        cells.append(cell(paragraphs, widths[at], **borders))
    if body.cited:
        cited = links(line.refs, styles.CITED) or [text("–", styles.CITED)]
        cells.append(cell([paragraph(styles.CELL, *cited, right=True)], widths[-1]))
    return row(cells)


def _signatures(body: Signatures) -> list[Any]:
    gap = 0.25
    count = len(body.roles)
    widths = shares([1 if at % 2 == 0 else gap / 2 for at in range(2 * count - 1)], _INCHES)
    own = widths[::2]

    def spread(cells: list[Any], spacing: list[int]) -> list[Any]:
        made: list[Any] = []
        for at, one in enumerate(cells):
            made += [*([cell([paragraph(styles.LABEL)], spacing[at - 1])] if at else []), one]
        return made

    rows = [
        row(
            spread(
                [cell([paragraph(styles.LABEL, text(role, styles.STRONG))], width)
                 for role, width in zip(body.roles, own, strict=True)],
                widths[1::2],
            )
        )
    ]  # fmt: skip
    for line in body.lines:
        empty = [cell([paragraph(styles.LABEL)], width) for width in own]
        named = [cell([paragraph(styles.LABEL, text(line))], width, top="6") for width in own]
        rows += [row(spread(empty, widths[1::2]), height=_SIGN_HEIGHT), row(spread(named, widths[1::2]))]
    about = "Lines for signatures"
    note = paragraph(styles.CELL, text(body.statement), keep=True)
    return [note, table(styles.SIGN, widths, rows, about=about, headed=False), _gap()]


def _set_paper(document: Document, page: Page) -> None:
    section: Any = document.sections[0]
    section.page_width, section.page_height = Inches(8.5), Inches(11)
    section.left_margin = section.right_margin = Inches((8.5 - _INCHES) / 2)
    section.top_margin, section.bottom_margin = Inches(0.65), Inches(0.7)
    section.header_distance, section.footer_distance = Inches(0.35), Inches(0.35)
    section.different_first_page_header_footer = True
    section.header.is_linked_to_previous = section.first_page_header.is_linked_to_previous = False
    _replace(section.header, paragraph(styles.LINE, text(page.running)))
    for foot in (section.footer, section.first_page_footer):
        foot.is_linked_to_previous = False
        line = paragraph(
            styles.LINE, text(page.origin), element("r", element("tab")),
            glue("Page "), field("PAGE"), glue(" of "), field("NUMPAGES"),
        )  # fmt: skip
        stop = element("tab", val="right", pos=round(_INCHES * 1440))
        line.find(qn("w:pPr")).append(element("tabs", stop))
        _replace(foot, line)


def _replace(story: Any, line: Any) -> None:
    for old in list(story._element):
        story._element.remove(old)
    story._element.append(line)


def _set_properties(document: Document, page: Page, seal: str) -> None:
    """Word's own fields for title and subject; the dates are those of the notes, or none."""
    core = document.core_properties
    core.title, core.subject = clean_text(page.running)[:255], clean_text(page.headline)[:255]
    core.keywords = ", ".join(clean_text(word) for word in page.keywords)[:255]
    core.author = core.last_modified_by = "narrate"
    core.comments, core.language, core.identifier, core.revision = "", page.language, seal, 1
    if page.dated:
        core.created = core.modified = datetime(page.dated.year, page.dated.month, page.dated.day)
    else:
        root: Any = core._element
        for old in [one for one in root if one.tag in (qn("dcterms:created"), qn("dcterms:modified"))]:
            root.remove(old)
    package: Any = document.part.package
    stock = (RELATIONSHIP_TYPE.THUMBNAIL, RELATIONSHIP_TYPE.EXTENDED_PROPERTIES)
    for key in [key for key, rel in package.rels.items() if rel.reltype in stock]:
        del package.rels[key]  # what the library's stock document says of itself
