"""A Word document -> its words as a reader of the page sees them.

Read from the XML itself: python-docx drops tracked insertions with the deletions, repeats merged cells and misses
tables in cells. Insertions count and deletions do not; a merged cell comes once; nested tables, text boxes and content
controls come in their place, footnotes at the end. Page headers and footers (letterheads, mostly), comments and
hidden text are set aside. Element names: ECMA-376 part 1, WordprocessingML (17) and shared math (22), transitional
and strict alike.
"""

from __future__ import annotations

import io
import zipfile
from collections.abc import Iterator
from xml.etree import ElementTree
from xml.etree.ElementTree import Element

from narrate.core.findings import NarrateError
from narrate.core.records import Notice
from narrate.hear.intake.word_xml import Body, paragraphs_of

MOST_PART_BYTES = 64_000_000  # of one part unpacked: a long document is a tenth of it, a zip bomb many times
_REMEDY = "Open it in a word processor, and save it again as .docx or as plain text."
_OTHERS = {
    "xl/workbook.xml": "a spreadsheet",
    "ppt/presentation.xml": "a slide show",
    "content.xml": "an OpenDocument file",
}


def hear_document(data: bytes, where: str) -> tuple[str, tuple[Notice, ...]]:
    """The document's words, a paragraph a line, and what was set aside; NarrateError where it is no Word document."""
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            return _read(archive, where)
    except (zipfile.BadZipFile, EOFError, NotImplementedError, OSError, ValueError, KeyError, RuntimeError) as error:
        if isinstance(error, RecursionError):
            raise NarrateError("is a Word document nested too deep to read.", where=where, remedy=_REMEDY) from None
        raise NarrateError("is a damaged Word document or zip archive.", where=where, remedy=_REMEDY) from None
    except ElementTree.ParseError:
        raise NarrateError("is a damaged Word document: its XML is broken.", where=where, remedy=_REMEDY) from None


def _read(archive: zipfile.ZipFile, where: str) -> tuple[str, tuple[Notice, ...]]:
    names = set(archive.namelist())
    main = _main_part(archive, names, where)
    if main is None:
        what = next((kind for part, kind in _OTHERS.items() if part in names), "a zip archive")
        raise NarrateError(
            f"is {what}, not a Word document.", where=where, remedy="Save the notes as .docx or plain text."
        )
    body = Body()
    lines = list(paragraphs_of(_part(archive, main, where), body))
    folder = main.rpartition("/")[0]
    for notes in ("footnotes", "endnotes"):
        part = f"{folder}/{notes}.xml" if folder else f"{notes}.xml"
        if part in names:
            lines.extend(_notes(_part(archive, part, where), body))
    text = "\n".join(_squeeze(lines))
    if not text.strip():
        raise NarrateError("is a Word document without words.", where=where, remedy="Check that it is the right file.")
    return text, _tell(archive, names, folder, body, where)


def _main_part(archive: zipfile.ZipFile, names: set[str], where: str) -> str | None:
    """The name of the part that the package calls its office document."""
    if "_rels/.rels" in names:
        for relation in _part(archive, "_rels/.rels", where):
            if relation.get("Type", "").endswith("/officeDocument"):
                target = relation.get("Target", "").lstrip("/")
                if target in names and not target.startswith(("xl/", "ppt/")):
                    return target
        return None
    return "word/document.xml" if "word/document.xml" in names else None


def _part(archive: zipfile.ZipFile, name: str, where: str) -> Element:
    """One part, parsed. Bounded while it unpacks; a document type declaration, which no Word file has, is refused."""
    with archive.open(name) as packed:
        data = packed.read(MOST_PART_BYTES + 1)
    if len(data) > MOST_PART_BYTES:
        raise NarrateError(f"unpacks to more than {MOST_PART_BYTES // 1_000_000} MB.", where=where, remedy=_REMEDY)
    if b"<!DOCTYPE" in data or b"<!ENTITY" in data or data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        raise NarrateError(
            "is a Word document with entities or an encoding that no word processor writes.",
            where=where,
            remedy=_REMEDY,
        )
    return ElementTree.fromstring(data)


def _notes(root: Element, body: Body) -> Iterator[str]:
    for note in root:
        if not any(k.endswith("}type") for k in note.attrib):  # a type marks separators, which are no notes
            yield from paragraphs_of(note, body)


def _squeeze(lines: list[str]) -> Iterator[str]:
    """No more than one empty line in a row, and none at either end."""
    empty, begun = False, False
    for line in lines:
        line = line.rstrip()
        if not line:
            empty = begun
            continue
        if empty:
            yield ""
        empty, begun = False, True
        yield line


def _tell(archive: zipfile.ZipFile, names: set[str], folder: str, body: Body, where: str) -> tuple[Notice, ...]:
    """Notices for what a reader may miss: deletions, hidden words, comments, page headers and footers."""
    told: list[str] = []
    if body.deleted:
        told.append("text deleted under track changes")
    if body.hidden:
        told.append("hidden text")
    if f"{folder}/comments.xml" in names:
        told.append("comments")
    edges = sorted(n for n in names if n.startswith((f"{folder}/header", f"{folder}/footer")) and n.endswith(".xml"))
    if any(any(p.strip() for p in paragraphs_of(_part(archive, n, where), Body())) for n in edges):
        told.append("page headers and footers")
    return tuple(Notice(message=f"Set aside {what} of the document.") for what in told)
