"""Record → documents. In: a Sheet. Out: the bytes of one document, the same bytes for the same sheet.

    write_sheet(sheet, "docx")

The libraries behind a format are loaded when that format is first asked for.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, get_args

from narrate.core.findings import NarrateError
from narrate.render.formats.seal import Format

if TYPE_CHECKING:
    from narrate.core.records import Sheet

__all__ = ["FORMATS", "Format", "write_sheet"]

FORMATS: tuple[Format, ...] = get_args(Format)


def write_sheet(sheet: Sheet, fmt: Format) -> bytes:
    """One job sheet as a text, HTML, Word, JSON or (all tables in one) CSV file, UTF-8 where it is text.

    Raises NarrateError for a format that we do not write.
    """
    if fmt == "json":
        from narrate.render.formats.as_json import write_json

        return write_json(sheet)
    if fmt == "csv":
        from narrate.render.formats.as_csv import write_combined

        return b"".join(write_combined([sheet]))
    from narrate.render.formats import seal
    from narrate.render.sheet.arrange import arrange

    if fmt == "docx":
        from narrate.render.formats.as_docx import write_docx

        return seal.seal_docx(write_docx(arrange(sheet), seal.PLACEHOLDER))
    if fmt == "html":
        from narrate.render.formats.as_html import write_html

        return seal.seal_html(write_html(arrange(sheet), seal.PLACEHOLDER))
    if fmt == "text":
        from narrate.render.formats.as_terminal import write_terminal

        return seal.seal_text(write_terminal(arrange(sheet)))
    raise NarrateError(f"No format is called {fmt!r}.", remedy=f"Choose one of {', '.join(FORMATS)}.")
