"""Part, core and fluid lines of one job, out of what was done alone: no plan, refusal or first thought is billed."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal

from narrate.core.records import Amount, Part, Sheet
from narrate.core.units import convert, dimension, same_dimension
from narrate.render.invoice.amounts import bill_amounts
from narrate.render.invoice.match import find_row, want
from narrate.render.invoice.money import exact, times, to_quantity
from narrate.render.invoice.prices import Price, PriceBook
from narrate.render.invoice.records import Line
from narrate.render.sheet.measures import say_count, say_measure

_EACH = "each"


def part_lines(parts: Sequence[Part], book: PriceBook) -> Iterator[Line]:
    """A line for each part that was fitted, and one for its core charge where the book has one."""
    rows = book.of("part")
    for part in parts:
        wanted = want((part.id.replace("-", " "), part.name), part.evidence, number=part.number,
                      position=part.position, condition=part.condition)  # fmt: skip
        found = find_row(rows, wanted)
        line = _part(part, found.row, found.why)
        yield line
        if found.row and found.row.core is not None:
            yield _core(line, found.row)


def _part(part: Part, row: Price | None, why: str) -> Line:
    condition: str = part.condition or ""
    said: list[str] = []
    if row and row.condition and row.condition != condition:
        if condition or (part.number and row.number):  # the number tells which part it was
            condition = row.condition
            said.append(f"{row.condition}, by the price book")
        else:
            said.append(f"priced as {row.condition}; the notes do not say")
    if row and row.text:
        said.append(row.text)
    quantity, unit, unclear = _count(part, row)
    named = ", ".join(word for word in (part.name, part.position) if word)
    line = Line(
        kind="part",
        description=named[:1].upper() + named[1:],
        number=part.number or (row.number if row and row.number else ""),
        condition=condition,
        quantity=quantity,
        unit=unit,
        price=row.price if row else None,
        tax=row.tax if row else "",
        row=row.row if row else None,
        say="; ".join(said),
        settle=why if row is None else unclear,
        evidence=part.evidence,
    )
    if line.settle or line.price is None or quantity is None:
        return line
    return line.model_copy(update={"amount": times(quantity, line.price)})


def _count(part: Part, row: Price | None) -> tuple[Decimal | None, str, str]:
    """Quantity and unit as billed, and why they cannot be."""
    unit = part.unit or _EACH
    if part.quantity is None:
        return None, row.unit or _EACH if row else "", "how many was not said"
    said = exact(part.quantity)
    priced = (row.unit if row else "") or (unit if row is None else _EACH)
    if unit == priced:
        return to_quantity(said), unit, ""
    # A pair is two; a set is as many as its maker says, so that no set is made of single ones or the other way round.
    counted = {unit, priced} <= {_EACH, "pair"}
    if counted or (same_dimension(unit, priced) and dimension(unit) != "count"):
        return to_quantity(convert(said, unit, priced)), priced, ""
    return to_quantity(said), unit, f"said as {say_count(part.quantity, unit) or unit}, and priced for one {priced}"


def _core(line: Line, row: Price) -> Line:
    amount = times(line.quantity, row.core) if line.amount is not None and line.quantity and row.core else None
    return Line(kind="core", description=f"Core charge: {line.description[:1].lower()}{line.description[1:]}",
                number=line.number, quantity=line.quantity, unit=line.unit, price=row.core, amount=amount,
                tax=row.core_tax or row.tax, row=row.row,
                settle="" if amount is not None else "as the line above it", evidence=line.evidence)  # fmt: skip


def fluid_lines(amounts: Sequence[Amount], book: PriceBook) -> Iterator[Line]:
    """A line for each substance that went in; several goes are one line. What only came out is not billed."""
    rows = book.of("fluid")
    for substance in dict.fromkeys(one.id for one in amounts if one.direction == "in"):
        gone_in = [one for one in amounts if one.id == substance and one.direction == "in"]
        came_out = [one for one in amounts if one.id == substance and one.direction == "out"]
        evidence = tuple(place for one in gone_in for place in one.evidence)
        wanted = want((substance.replace("-", " "), gone_in[0].substance), evidence)
        found = find_row(rows, wanted)
        name = gone_in[0].substance
        described = name[:1].upper() + name[1:]
        if found.row is None:
            said = " + ".join(say_measure(one.measure) for one in gone_in)
            yield Line(kind="fluid", description=described, say=f"said: {said}", settle=found.why, evidence=evidence)
            continue
        row = found.row
        billed = bill_amounts(row, gone_in, came_out)
        line = Line(kind="fluid", description=described, number=row.number, quantity=billed.quantity, unit=row.unit,
                    price=row.price, tax=row.tax, row=row.row,
                    say="; ".join(part for part in (billed.say, row.text) if part), settle=billed.settle,
                    evidence=evidence)  # fmt: skip
        if billed.quantity is not None and row.price is not None:
            line = line.model_copy(update={"amount": times(billed.quantity, row.price)})
        yield line


def done_parts(sheet: Sheet, job: str | None, known: frozenset[str]) -> list[Part]:
    """Parts fitted for one job; with None, for none that is known."""
    return [one for one in sheet.parts if one.state == "done" and _mine(one.job, job, known)]


def done_amounts(sheet: Sheet, job: str | None, known: frozenset[str]) -> list[Amount]:
    """Amounts moved for one job; with None, for none that is known."""
    return [one for one in sheet.amounts if one.state == "done" and _mine(one.job, job, known)]


def _mine(of: str | None, job: str | None, known: frozenset[str]) -> bool:
    return of == job if job is not None else of not in known
