"""Sheet + the shop's own price book → an invoice draft, and its documents.

    book = read_prices("prices.csv")
    write_invoice(draft_invoice(sheet, book, packs=("us-ca-invoice",)), "docx")

Nothing is priced that the book does not price for certain, and nothing is billed that was not told as done.
"""

from __future__ import annotations

from collections.abc import Collection

from narrate.core.findings import NarrateError
from narrate.core.records import Sheet
from narrate.render.formats.seal import Format
from narrate.render.invoice.prices import COLUMNS, PriceBook
from narrate.render.invoice.read_prices import read_prices
from narrate.render.invoice.records import Invoice

__all__ = ["COLUMNS", "Invoice", "PriceBook", "draft_invoice", "read_prices", "write_invoice"]

DEFAULT_PACK = "common-invoice"


def draft_invoice(
    sheet: Sheet, book: PriceBook, *, discounts: Collection[str] = (), packs: Collection[str] = ()
) -> Invoice:
    """A draft, its content checked by rule packs: those named, else the book's own, else that of common practice."""
    from narrate.render.invoice.billing import bill_sheet
    from narrate.render.invoice.rules import check_rules

    named = list(packs) or book.shop("rules").replace(";", " ").split() or [DEFAULT_PACK]
    return check_rules(bill_sheet(sheet, book, discounts), sheet, named)


def write_invoice(invoice: Invoice, fmt: Format, *, words: bool = False) -> bytes:
    """The draft as text, HTML, Word, JSON or CSV; `words` adds the quotations behind each line to the first three."""
    from narrate.render.formats import seal

    if fmt == "json":
        from narrate.render.invoice.tables import write_json

        return write_json(invoice)
    if fmt == "csv":
        from narrate.render.invoice.tables import write_csv

        return write_csv(invoice)
    from narrate.render.invoice.arrange import arrange

    page = arrange(invoice, words=words)
    if fmt == "docx":
        from narrate.render.formats.as_docx import write_docx

        return seal.seal_docx(write_docx(page, seal.PLACEHOLDER))
    if fmt == "html":
        from narrate.render.formats.as_html import write_html

        return seal.seal_html(write_html(page, seal.PLACEHOLDER))
    if fmt == "text":
        from narrate.render.formats.as_terminal import write_terminal

        return seal.seal_text(write_terminal(page))
    raise NarrateError(f"No format is called {fmt!r}.", remedy="Choose one of text, html, docx, json, csv.")
