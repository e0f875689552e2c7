"""Invoice draft → JSON (everything) and CSV (a line a line, sums and taxes after them)."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterator
from decimal import Decimal

from pydantic import ValidationError

from narrate.render.formats.as_csv import guard_text
from narrate.render.formats.seal import CSV_HEAD
from narrate.render.invoice.records import Invoice

_BYTE_ORDER_MARK = b"\xef\xbb\xbf"
COLUMNS = (
    CSV_HEAD, "notes", "status", "group", "kind", "description", "number", "condition", "quantity", "unit", "price",
    "amount", "tax", "note", "to_settle", "book_row", "words",
)  # fmt: skip
Cell = str | int | Decimal | None


def write_json(invoice: Invoice) -> bytes:
    """The whole draft; money as text, so that no reader makes a float of it."""
    held = json.dumps(invoice.model_dump(mode="json", by_alias=True), ensure_ascii=False, indent=2)
    return (held + "\n").encode("utf-8", "backslashreplace")


def is_our_json(data: bytes) -> bool:
    """Whether some bytes are a draft that we wrote, as we wrote it."""
    try:
        return write_json(Invoice.model_validate_json(data)) == data
    except ValidationError:
        return False


def write_csv(invoice: Invoice) -> bytes:
    """One table, with the byte order mark by which spreadsheets know UTF-8."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(COLUMNS)
    for line in _lines(invoice):
        first: dict[str, Cell] = {CSV_HEAD: 1, "notes": invoice.source, "status": "DRAFT"}
        writer.writerow([_cell({**first, **line}.get(column)) for column in COLUMNS])
    return _BYTE_ORDER_MARK + out.getvalue().encode()


def _cell(value: Cell) -> str:
    if value is None:
        return ""
    return guard_text(value) if isinstance(value, str) else f"{value:f}" if isinstance(value, Decimal) else str(value)


def _lines(invoice: Invoice) -> Iterator[dict[str, Cell]]:
    for group in invoice.groups():
        for line in group.lines:
            yield {
                "group": group.title, "kind": line.kind, "description": line.description, "number": line.number,
                "condition": line.condition, "quantity": line.quantity, "unit": line.unit, "price": line.price,
                "amount": line.amount, "tax": line.tax, "note": line.say, "to_settle": line.settle,
                "book_row": line.row, "words": " … ".join(one.quote for one in line.evidence),
            }  # fmt: skip
    for offer in invoice.offers:
        yield {"kind": f"not billed: {offer.kind}", "description": offer.text, "price": offer.price,
               "book_row": offer.row, "words": " … ".join(one.quote for one in offer.evidence)}  # fmt: skip
    for discount in invoice.discounts:
        yield {"kind": "discount", "description": discount.name, "amount": -discount.off, "note": discount.say,
               "book_row": discount.row}  # fmt: skip
    for tax in invoice.taxes:
        yield {"kind": "tax", "description": tax.name, "quantity": tax.base, "price": tax.rate, "amount": tax.amount,
               "tax": tax.tax, "book_row": tax.row}  # fmt: skip
    totals = invoice.totals
    lines = "line has no price and is" if totals.unpriced == 1 else "lines have no price and are"
    note = f"{totals.unpriced} {lines} in no sum" if totals.unpriced else ""
    yield {"kind": "total", "description": "Total of the priced lines", "amount": totals.total, "note": note}
