"""Plausible ranges: outside of one a figure was probably misheard, or has the wrong unit.

A range only asks "did you mean"; it is never a pass or a fail. It is written `5..31 inHg`, or
`5 inlb..150 ftlb` where its ends have units of their own.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from narrate.core.handoffs import Quantity
from narrate.core.units import convert, known, same_dimension, with_unit

_RANGE = re.compile(r"(-?\d[\d.]*?)(?: (\S+?))?\.\.(-?\d[\d.]*) (\S+)")
ABSOLUTE = frozenset(("micron", "torr"))  # a vacuum in these counts from nothing, one in inches from the atmosphere


@dataclass(frozen=True, slots=True)
class Range:
    """`low` to `high` in `unit`, both ends included."""

    low: Fraction
    high: Fraction
    unit: str

    def __str__(self) -> str:
        return with_unit(f"{float(self.low):g} to {float(self.high):g}", self.unit)

    def holds(self, quantity: Quantity) -> bool:
        """Whether the quantity may be meant; one of another dimension, or another kind of vacuum, always may."""
        unit = quantity.unit
        if unit != self.unit and (not same_dimension(unit, self.unit) or not ABSOLUTE.isdisjoint((unit, self.unit))):
            return True
        ends = (
            (quantity.low, quantity.high)
            if unit == self.unit
            else tuple(convert(end, unit, self.unit) for end in (quantity.low, quantity.high))
        )
        return all(self.low <= end <= self.high for end in ends)


def read_range(text: str) -> Range:
    """A range as written; ValueError where it is not one."""
    found = _RANGE.fullmatch(text.strip())
    if found is None or not known(found[4]) or not same_dimension(found[2] or found[4], found[4]):
        raise ValueError(f"“{text}” is not a range such as 5..31 inHg")
    low, high = convert(Fraction(found[1]), found[2] or found[4], found[4]), Fraction(found[3])
    if low > high:
        raise ValueError(f"“{text}” ends before it begins")
    return Range(low, high, found[4])
