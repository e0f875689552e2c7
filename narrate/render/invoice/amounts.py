"""How much of a fluid is billed, in the book's own unit: 28 oz are three 12-ounce cans, or 1.75 lb.

Amounts are converted exactly and summed before anything is rounded, so that two goes out of one can are one can.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from narrate.core.records import Amount, Measure
from narrate.core.units import convert, same_dimension
from narrate.render.invoice.money import exact, to_quantity
from narrate.render.invoice.prices import Price
from narrate.render.sheet.measures import say_measure, say_quantity


@dataclass(frozen=True, slots=True)
class Billed:
    """A quantity in the unit of the row and how it was reached; None with `settle` where it cannot be told."""

    quantity: Decimal | None
    say: str = ""
    settle: str = ""


def bill_amounts(row: Price, gone_in: Sequence[Amount], came_out: Sequence[Amount]) -> Billed:
    """What one substance comes to on one job. Bounds and ranges are nobody's quantity: they are to be settled."""
    said = " + ".join(say_measure(one.measure) for one in gone_in)
    whole = Fraction(0)
    for amount in gone_in:
        if why := unsettled(amount.measure):
            return Billed(None, settle=f"{say_measure(amount.measure)}: {why}")
        part = _in_row_unit(row, amount.measure)
        if part is None:
            unit = f"{row.unit} of {_say_holds(row)}" if row.holds else row.unit
            said = say_measure(amount.measure)
            return Billed(None, settle=f"{said} cannot be made into {unit}, as the book prices it")
        whole += part
    if row.net:
        for amount in came_out:
            part = None if unsettled(amount.measure) else _in_row_unit(row, amount.measure)
            if part is None:
                return Billed(None, settle=f"what came out ({say_measure(amount.measure)}) cannot be taken off")
            whole -= part
            said += f" − {say_measure(amount.measure)}"
        whole = max(whole, Fraction(0))
    return Billed(*_rounded(row, whole, said, any(one.measure.approximate for one in gone_in)))


def unsettled(measure: Measure) -> str:
    """Why a measure cannot be billed as it was said; empty where it can."""
    if measure.bound:
        return "only a bound was said, and not the amount"
    if measure.low != measure.high:
        return "a range was said, and not the amount"
    return ""


def _in_row_unit(row: Price, measure: Measure) -> Fraction | None:
    value = exact(measure.low)
    if measure.unit == row.unit:  # two cans, and priced by the can
        return value
    if row.holds:
        size, unit = row.holds
        return convert(value, measure.unit, unit) / size if same_dimension(measure.unit, unit) else None
    return convert(value, measure.unit, row.unit) if same_dimension(measure.unit, row.unit) else None


def _rounded(row: Price, whole: Fraction, said: str, about: bool) -> tuple[Decimal, str]:
    notes = []
    billed = whole
    if row.step:
        billed = -(-whole // row.step) * row.step
    if row.holds:
        notes.append(f"{said}, in {row.unit}s of {_say_holds(row)}")
    elif said != say_quantity(float(whole), float(whole), row.unit):
        notes.append(f"said: {said}")
    if billed != whole:
        how = "whole ones" if row.step == 1 else f"steps of {to_quantity(row.step or whole)}"
        notes.append(f"{to_quantity(whole)} billed up to {how}")
    if about:
        notes.append("the amount was said as about")
    return to_quantity(billed), "; ".join(notes)


def _say_holds(row: Price) -> str:
    if row.holds is None:
        return ""
    size, unit = row.holds
    return say_quantity(float(size), float(size), unit)
