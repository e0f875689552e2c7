"""Measures in print: as said, in their own unit, with the sign that says how sure they are.

"about four quarts" is ≈ 4 qt, "less than 3 mm" < 3 mm, "at least 6" ≥ 6. Symbols follow common practice in the trade.
"""

from __future__ import annotations

import re
from fractions import Fraction

from narrate.core.records import Measure
from narrate.core.units import with_unit

# Units that are words behind a figure: singular, plural.
_GLUED = {"deg": "°"}
_COUNTED = {
    "micron": ("micron", "microns"),
    "cup": ("cup", "cups"),
    "set": ("set", "sets"),
    "pair": ("pair", "pairs"),
    "can": ("can", "cans"),
    "bottle": ("bottle", "bottles"),
    "quart-can": ("quart can", "quart cans"),
    "turn": ("turn", "turns"),
    "turns": ("turn", "turns"),
    "d": ("day", "days"),
}
_BOUNDS = {"under": "< ", "over": "≥ "}
# A value said with a decimal point is printed with one; of the others those that a ruler or a cup is marked with
# are printed as fractions.
_DECIMAL_SAID = re.compile(r"\d*[.,]\d|\b(?:point|thousandths?|hundredths?|tenths?|thou)\b", re.IGNORECASE)
_RULED = {"in": (2, 4, 8, 16, 32, 64), "ft": (2, 4, 8)}
_THIRDS = (3, 6)


def say_number(value: float) -> str:
    """A plain decimal number: no exponent, no trailing zeros, at most six figures after the point; 168,410; −3."""
    if value != value or value in (float("inf"), float("-inf")):
        return "?"
    text = f"{abs(value):,.6f}" if abs(value) >= 10_000 else f"{abs(value):.6f}"
    text = text.rstrip("0").rstrip(".")
    return f"−{text}" if value < 0 and text != "0" else text


def _say_fraction(value: Fraction) -> str:
    whole, rest = divmod(abs(value), 1)
    sign = "−" if value < 0 else ""
    part = f"{rest.numerator}/{rest.denominator}"
    return f"{sign}{whole} {part}" if whole else f"{sign}{part}"


def _say_value(value: float, unit: str, said: str) -> str:
    if value != value or value in (float("inf"), float("-inf")):
        return "?"
    exact = Fraction(value)
    if exact.denominator == 1 or (said and _DECIMAL_SAID.search(said)):
        return say_number(value)
    if exact.denominator in _RULED.get(unit, ()):
        return _say_fraction(exact)
    near = exact.limit_denominator(max(_THIRDS))
    if near.denominator in _THIRDS and abs(near - exact) < Fraction(1, 10**9):
        return _say_fraction(near)
    return say_number(value)


def say_quantity(low: float, high: float, unit: str, said: str = "") -> str:
    """One value or a range with its unit: "3.5 qt", "13–14 mm", "7/32 in", "−5 to −3 °F", "5/8 in"."""
    number = _join(low, high, unit, said)
    if unit in _GLUED:
        return number + _GLUED[unit]
    if unit in _COUNTED:
        one, many = _COUNTED[unit]
        return f"{number} {one if 0 < abs(high) <= 1 else many}"
    return with_unit(number, unit)


def _join(low: float, high: float, unit: str, said: str) -> str:
    first = _say_value(low, unit, said)
    last = _say_value(high, unit, said)
    if low == high or first == last:
        return first
    return f"{first} to {last}" if low < 0 or " " in first + last else f"{first}–{last}"


def say_measure(measure: Measure) -> str:
    """A measure in print, with the sign of its doubt or its bound before it."""
    mark = _BOUNDS.get(measure.bound or "", "") or ("≈ " if measure.approximate else "")
    if measure.bound and measure.approximate:
        mark = f"≈ {mark.strip()} "
    return mark + say_quantity(measure.low, measure.high, measure.unit, measure.text)


def say_count(quantity: float | None, unit: str | None) -> str:
    """How many of a part: "1", "2 sets"; empty where no count was said."""
    if quantity is None:
        return ""
    return say_quantity(quantity, quantity, unit or "each")


def say_time(seconds: float) -> str:
    """A place in a recording: 02:31, or 1:02:31 after an hour."""
    whole = int(seconds)
    hours, rest = divmod(whole, 3600)
    minutes, left = divmod(rest, 60)
    return f"{hours}:{minutes:02d}:{left:02d}" if hours else f"{minutes:02d}:{left:02d}"


def say_duration(seconds: float) -> str:
    """The length of a recording: 2 min 31 s."""
    minutes, left = divmod(round(seconds), 60)
    return f"{minutes} min {left} s" if minutes else f"{left} s"
