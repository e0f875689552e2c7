"""Fees, discounts, taxes and sums, in that order, over the priced lines alone.

A share is taken of the sums before discounts; a discount is shared out over the tax classes of the lines that it
touches; each tax is taken once, on what is left of its class.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from decimal import Decimal
from fractions import Fraction

from narrate.core.findings import NarrateError
from narrate.core.records import Sheet
from narrate.render.invoice.money import CENT, share_out, times, to_cents, to_quantity
from narrate.render.invoice.prices import EXEMPT, Price, PriceBook, key_words
from narrate.render.invoice.records import Discount, Line, LineKind, Tax, Totals

ZERO = Decimal("0.00")
_KINDS: dict[str, tuple[LineKind, ...]] = {
    "labour": ("labour",), "parts": ("part",), "fluids": ("fluid",), "fees": ("fee",),
    "all": ("part", "fluid", "labour", "fee"),
}  # fmt: skip


def sum_of(lines: Iterable[Line], of: str = "") -> Decimal:
    """The sum of the priced lines of some kinds; all kinds, core charges too, with no name."""
    kinds = _KINDS.get(of)
    return sum((line.amount for line in lines if line.amount is not None and (not kinds or line.kind in kinds)), ZERO)


def happened(sheet: Sheet) -> dict[str, Decimal | None]:
    """Keys of all that a fee may be tied to, and how many of it there were: parts fitted, fluids moved, jobs done."""
    seen: dict[str, Decimal | None] = {}
    for part in sheet.parts:
        if part.state == "done":
            for key in (key_words(part.id.replace("-", " ")), key_words(part.name)):
                before = seen.get(key)
                count = None if part.quantity is None else to_quantity(Fraction(repr(part.quantity)))
                seen[key] = (before or Decimal(0)) + count if count is not None else before
    for amount in sheet.amounts:
        if amount.state == "done":
            seen.setdefault(key_words(amount.id.replace("-", " ")), None)
            seen.setdefault(key_words(amount.substance), None)
    for job in sheet.jobs:
        seen.setdefault(key_words(job.id.replace("-", " ")), None)
        seen.setdefault(key_words(job.title), None)
    return seen


def fee_lines(sheet: Sheet, book: PriceBook, lines: Sequence[Line]) -> list[Line]:
    """The supplies and fees that the book brings to this visit, as it states them."""
    seen = happened(sheet)
    made = []
    for row in book.of("fee"):
        brought = row.always or any(key in seen for key in row.when)
        if not brought:
            continue
        if row.share is not None:
            fee = _share_fee(row, lines)
            made += [fee] if fee.amount else []  # a share of nothing is no line
            continue
        quantity, settle = Decimal(1), ""
        if row.unit == "each" and not row.always:
            counts = [seen[key] for key in row.when if key in seen]
            known = [count for count in counts if count is not None]
            quantity = max(known, default=Decimal(0))  # a part's id and its name count the same parts
            settle = "" if known else "how many was not said"
        amount = times(quantity, row.price) if row.price is not None and not settle else None
        if amount is not None and row.most is not None:
            amount = min(amount, row.most)
        made.append(
            Line(kind="fee", description=row.item, quantity=None if settle else quantity, unit=row.unit,
                 price=row.price, amount=amount, tax=row.tax, row=row.row, say=row.text, settle=settle)
        )  # fmt: skip
    return made


def _share_fee(row: Price, lines: Sequence[Line]) -> Line:
    base = sum_of(lines, row.of)
    share = row.share or Decimal(0)
    amount = to_cents(Fraction(base) * Fraction(share))
    say = f"{_percent(share)} of {_named(row.of)} ({base:,.2f})"
    if row.most is not None and amount > row.most:
        amount, say = row.most, f"{say}, at most {row.most:,.2f}"
    say = "; ".join(part for part in (say, row.text) if part)
    return Line(kind="fee", description=row.item, amount=amount, tax=row.tax, row=row.row, say=say)


def take_discounts(
    sheet: Sheet, book: PriceBook, lines: Sequence[Line], named: Collection[str]
) -> tuple[list[Discount], dict[str, Decimal]]:
    """The discounts that apply (always, by what was done, or by name), and what each takes off each tax class."""
    rows = book.of("discount")
    wanted = {key_words(name) for name in named}
    unknown = wanted - {name for row in rows for name in row.names}
    if unknown:
        raise NarrateError(f"no discount is called “{sorted(unknown)[0]}”.", where=book.name,
                           remedy=f"The book has: {', '.join(row.item for row in rows) or 'none'}.")  # fmt: skip
    seen = happened(sheet)
    left = {id(line): line.amount for line in lines if line.amount is not None and line.kind != "core"}
    taken: list[Discount] = []
    off_class: dict[str, Decimal] = {}
    for row in rows:
        if not (row.always or row.names & wanted or any(key in seen for key in row.when)):
            continue
        touched = [line for line in lines if line.kind in _KINDS[row.of] and left.get(id(line), ZERO) > 0]
        base = sum((left[id(line)] for line in touched), ZERO)
        if row.share is not None:
            off = to_cents(Fraction(base) * Fraction(row.share))
            say = f"{_percent(row.share)} of {_named(row.of)} ({base:,.2f})"
        else:
            off = min((row.price or ZERO).quantize(CENT), base)
            say = f"off {_named(row.of)}"
        if off == 0:
            continue
        for line, part in zip(touched, share_out(off, [left[id(line)] for line in touched]), strict=True):
            left[id(line)] -= part
            off_class[line.tax] = off_class.get(line.tax, ZERO) + part
        taken.append(Discount(name=row.item, off=off, say="; ".join(p for p in (say, row.text) if p), row=row.row))
    return taken, off_class


def take_taxes(book: PriceBook, lines: Sequence[Line], off_class: dict[str, Decimal]) -> list[Tax]:
    """Every tax whose class some priced line has."""
    made = []
    for row in book.of("tax"):
        own = [line for line in lines if line.tax == row.tax and line.amount is not None]
        if not own or row.tax in ("", EXEMPT):
            continue
        base = sum_of(own) - off_class.get(row.tax, ZERO)
        rate = row.share or Decimal(0)
        amount = to_cents(Fraction(base) * Fraction(rate))
        made.append(Tax(name=row.item, tax=row.tax, rate=rate, base=base, amount=amount, row=row.row))
    return made


def total_up(lines: Sequence[Line], discounts: Sequence[Discount], taxes: Sequence[Tax]) -> Totals:
    """All sums of the priced lines."""
    off = sum((one.off for one in discounts), ZERO)
    tax = sum((one.amount for one in taxes), ZERO)
    core = sum((line.amount for line in lines if line.kind == "core" and line.amount is not None), ZERO)
    return Totals(
        parts=sum_of(lines, "parts"), fluids=sum_of(lines, "fluids"), labour=sum_of(lines, "labour"), core=core,
        fees=sum_of(lines, "fees"), discounts=off, taxes=tax, total=sum_of(lines) - off + tax,
        unpriced=sum(line.amount is None for line in lines),
    )  # fmt: skip


def _percent(share: Decimal) -> str:
    return f"{(share * 100).normalize():f}%"


def _named(of: str) -> str:
    """What a share is taken of, as it stands on paper."""
    return {"labour": "labor", "all": "all lines"}.get(of, of)
