"""Labour lines: the operation's hours by the book, a flat price, or the time that was said, at the book's rate.

Time that only a recording's time codes tell is nobody's bill. Time said for the visit as a whole is one line of the
visit, unless there is only one job.
"""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction

from narrate.core.records import Job, Labour, Sheet
from narrate.core.units import convert, same_dimension
from narrate.render.invoice.amounts import unsettled
from narrate.render.invoice.match import find_labour
from narrate.render.invoice.money import exact, times, to_cents, to_quantity
from narrate.render.invoice.prices import Price, PriceBook
from narrate.render.invoice.records import Line
from narrate.render.papers.plain import plain_title
from narrate.render.sheet.measures import say_measure


def labour_lines(sheet: Sheet, book: PriceBook) -> tuple[dict[str, Line], Line | None]:
    """A line for each job, and one for the visit where time was said for all of it."""
    shared = [one for one in sheet.labour if one.job is None and one.basis == "said"]
    known = {job.id for job in sheet.jobs}
    shared += [one for one in sheet.labour if one.job not in known and one.job and one.basis == "said"]
    lines: dict[str, Line] = {}
    leaning: list[Price] = []
    for job in sheet.jobs:
        own = [one for one in sheet.labour if one.job == job.id and one.basis == "said"]
        if len(sheet.jobs) == 1:
            own += shared
        found = find_labour(book.of("labour"), job.id, job.title)
        if found.row is None:
            lines[job.id] = _open(job, found.why, own)
        elif found.row.said and not own and shared and len(sheet.jobs) > 1:
            leaning.append(found.row)
        else:
            lines[job.id] = _line(job, found.row, own, book)
    visit = _visit(shared, leaning, book) if shared and len(sheet.jobs) != 1 else None
    return lines, visit


def _open(job: Job, why: str, own: Sequence[Labour]) -> Line:
    return Line(kind="labour", description=f"Labor: {plain_title(job.title)}", say=_said(own), settle=why,
                evidence=_evidence(own))  # fmt: skip


def _line(job: Job, row: Price, own: Sequence[Labour], book: PriceBook) -> Line:
    described = f"Labor: {plain_title(job.title)}"
    if row.price is not None and row.hours is None and not row.said:
        return Line(kind="labour", description=described, quantity=Decimal(1), unit="job", price=row.price,
                    amount=to_cents(Fraction(row.price)), tax=row.tax, row=row.row, say=row.text,
                    evidence=_evidence(own))  # fmt: skip
    if row.said:
        return _by_time(described, row, own, book)
    rate = book.rate_named(row.rate)
    if rate is None or rate.price is None or row.hours is None:
        return Line(kind="labour", description=described, quantity=row.hours, unit="h", row=row.row,
                    settle="the book names no one rate for it", evidence=_evidence(own))  # fmt: skip
    say = "; ".join(part for part in ("time by the price book", row.text) if part)
    return Line(kind="labour", description=described, quantity=row.hours, unit="h", price=rate.price,
                amount=times(row.hours, rate.price), tax=row.tax or rate.tax, row=row.row, say=say,
                evidence=_evidence(own))  # fmt: skip


def _by_time(described: str, row: Price, own: Sequence[Labour], book: PriceBook) -> Line:
    base = Line(kind="labour", description=described, unit="h", row=row.row, evidence=_evidence(own))
    if not own:
        return base.model_copy(update={"settle": "the book bills the time said, and none was said"})
    hours = Fraction(0)
    for one in own:
        why = unsettled(one.measure)
        if why or not same_dimension(one.measure.unit, "h"):
            return base.model_copy(update={"settle": f"{say_measure(one.measure)}: {why or 'no time'}"})
        hours += convert(exact(one.measure.low), one.measure.unit, "h")
    rate = book.rate_named(row.rate)
    if rate is None or rate.price is None:
        return base.model_copy(update={"quantity": to_quantity(hours), "settle": "the book names no one rate for it"})
    quantity = to_quantity(hours)
    return base.model_copy(
        update={
            "quantity": quantity,
            "price": rate.price,
            "amount": times(quantity, rate.price),
            "tax": row.tax or rate.tax,
            "say": "; ".join(part for part in (_said(own), row.text) if part),
        }
    )


def _visit(shared: Sequence[Labour], leaning: Sequence[Price], book: PriceBook) -> Line:
    """The time said for all jobs: billed where the jobs that are billed by time all have one rate."""
    rows = {(row.rate, row.tax): row for row in leaning}
    if len(rows) == 1:
        return _by_time("Labor for the whole visit", next(iter(rows.values())), shared, book)
    return Line(kind="labour", description="Labor for the whole visit", say=_said(shared),
                settle="no job of the book is billed by this time" if not rows else "its jobs have different rates",
                evidence=_evidence(shared))  # fmt: skip


def _said(own: Sequence[Labour]) -> str:
    return f"said: {' + '.join(say_measure(one.measure) for one in own)}" if own else ""


def _evidence(own: Sequence[Labour]) -> tuple:  # type: ignore[type-arg]
    return tuple(one for labour in own for one in labour.evidence)
