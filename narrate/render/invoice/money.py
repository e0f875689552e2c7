"""Money and quantities, exact: Decimal amounts, Fraction on the way, and one way to round.

Every line is rounded to the cent by itself, a half cent upwards (away from zero), so that what is printed adds up to
what is printed. `ROUNDING` says so on every draft.
"""

from __future__ import annotations

from collections.abc import Sequence
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

CENT = Decimal("0.01")
_QUANTITY_STEP = Decimal("0.001")
ROUNDING = (
    "Quantities are billed to three decimals and each line is rounded to the cent, both half up; each tax is taken "
    "once on the sum of its lines after discounts, and rounded the same way."
)


def exact(value: float) -> Fraction:
    """The number that a float of the sheet stands for: 1.1 is 11/10, and 0.333… one third.

    Measures are kept as exact fractions until they are written as floats; the nearest fraction with a denominator up to
    a million is the one that was said.
    """
    return Fraction(repr(value)).limit_denominator(1_000_000)


def to_cents(value: Fraction) -> Decimal:
    """Money rounded to the cent, half up."""
    return _rounded(value, CENT)


def to_quantity(value: Fraction) -> Decimal:
    """A quantity as it is billed and printed: three decimals, half up, no zeros at its end."""
    kept = _rounded(value, _QUANTITY_STEP).normalize()
    return kept.quantize(Decimal(1)) if kept == kept.to_integral_value() else kept


def _rounded(value: Fraction, step: Decimal) -> Decimal:
    """`value` to a multiple of `step`, half away from zero; exact, whatever the size of the fraction."""
    steps = abs(value) / Fraction(step)
    whole = (2 * steps.numerator + steps.denominator) // (2 * steps.denominator)
    return (Decimal(whole) * step).quantize(step, ROUND_HALF_UP) * (-1 if value < 0 else 1)


def times(quantity: Decimal, price: Decimal) -> Decimal:
    """The amount of a line."""
    return to_cents(Fraction(quantity) * Fraction(price))


def share_out(whole: Decimal, parts: Sequence[Decimal]) -> list[Decimal]:
    """`whole` in cents shared in proportion to `parts`, to the last cent: the largest remainders get what is over."""
    total = sum(parts, Decimal(0))
    if total == 0:
        return [Decimal("0.00") for _ in parts]
    cents = int(whole / CENT)
    ideal = [Fraction(cents) * Fraction(part) / Fraction(total) for part in parts]
    floors = [int(one) if one >= 0 else -int(-one) for one in ideal]
    order = sorted(range(len(parts)), key=lambda at: (-(abs(ideal[at]) - abs(floors[at])), at))
    sign = 1 if cents >= 0 else -1
    for at in order[: abs(cents - sum(floors))]:
        floors[at] += sign
    return [Decimal(one) * CENT for one in floors]


def say_money(value: Decimal, sign: str = "") -> str:
    """Money in print: "1,234.50", "−12.00", with the currency's sign before it where one is given."""
    return f"{'−' if value < 0 else ''}{sign}{abs(value):,.2f}"


def say_rate(value: Decimal) -> str:
    """A price that may have more than two decimals: 12.5 is 12.50, 0.0125 stays."""
    return f"{value:,.2f}" if value == value.quantize(CENT) else f"{value.normalize():,f}"
