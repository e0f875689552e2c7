"""Figures as a question says them: "about 28 oz", "80 ft·lb", "2 to 3 fl oz"."""

from __future__ import annotations

from fractions import Fraction

from narrate.core.handoffs import Quantity
from narrate.core.units import with_unit


def shown(quantity: Quantity) -> str:
    """A quantity in its own unit, with how sure it was said."""
    low, high = f"{float(quantity.low):g}", f"{float(quantity.high):g}"
    about = (
        "about " if quantity.approximate else {"under": "less than ", "over": "at least "}.get(quantity.bound or "", "")
    )
    return about + with_unit(low if low == high else f"{low} to {high}", quantity.unit)


def rounded(value: Fraction | float, unit: str, digits: int = 4) -> str:
    """A reckoned value in a unit: four figures where it is unfolded, three where it is asked about."""
    return with_unit(f"{float(value):.{digits}g}", unit)
