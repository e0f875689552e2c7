"""One record → two papers: a copy for the customer and one for the shop.

    write_paper(sheet, "customer", "docx")

The customer's copy holds nothing that is not on the shop's copy.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal, get_args

from narrate.core.findings import NarrateError

if TYPE_CHECKING:
    from narrate.core.records import Sheet
    from narrate.render.formats.page import Page

__all__ = ["FORMATS", "READERS", "PaperFormat", "Reader", "write_paper"]

Reader = Literal["customer", "shop"]
PaperFormat = Literal["docx", "html", "text"]
READERS: tuple[Reader, ...] = get_args(Reader)
FORMATS: tuple[PaperFormat, ...] = get_args(PaperFormat)


def arrange_paper(sheet: Sheet, reader: Reader) -> Page:
    """The paper's page, before it is written in any format."""
    if reader == "customer":
        from narrate.render.papers.customer import arrange_customer

        return arrange_customer(sheet)
    from narrate.render.papers.shop import arrange_shop

    return arrange_shop(sheet)


def write_paper(sheet: Sheet, reader: Reader, fmt: PaperFormat) -> bytes:
    """One paper as a Word, HTML or text file. Raises NarrateError for a reader or a format that is none of these."""
    from narrate.render.formats import seal

    if reader not in READERS:
        raise NarrateError(f"No paper is for “{reader}”.", remedy=f"Choose one of {', '.join(READERS)}.")
    if fmt == "docx":
        from narrate.render.formats.as_docx import write_docx

        return seal.seal_docx(write_docx(arrange_paper(sheet, reader), seal.PLACEHOLDER))
    if fmt == "html":
        from narrate.render.formats.as_html import write_html

        return seal.seal_html(write_html(arrange_paper(sheet, reader), seal.PLACEHOLDER))
    if fmt == "text":
        from narrate.render.formats.as_terminal import write_terminal

        return seal.seal_text(write_terminal(arrange_paper(sheet, reader)))
    raise NarrateError(f"No format is called {fmt!r}.", remedy=f"Choose one of {', '.join(FORMATS)}.")
