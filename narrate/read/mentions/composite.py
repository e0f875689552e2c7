"""Values written as one word: "35#", "500µm", "20-25psi", "6/32nds", "12mm-14mm", "30±2", "30ish"."""

from __future__ import annotations

import re
from collections.abc import Sequence
from fractions import Fraction
from functools import lru_cache

from narrate.core.handoffs import Gap, Token
from narrate.core.tokens import split_words
from narrate.hear.speech.number_words import figure
from narrate.hear.speech.numbers import NumberRead
from narrate.read.mentions.found import Found
from narrate.read.mentions.shop import Shop
from narrate.read.mentions.unit_behind import unit_behind
from narrate.read.mentions.unit_words import UnitRead, read_unit

_LEAD = re.compile(r"(\d{1,3}(?:,\d{3})+(?:\.\d+)?|\d+/\d+|\d*\.\d+|\d+[½¼¾⅛⅜⅝⅞]?)")
_ARC = re.compile(r"(\d{1,2})°([0-5]?\d)(?:'|′)")
_MINUTES = ("'", "′")
_SIGNS = ("-", "−", "–", "+")
_ISH = re.compile(r"(\d{1,5}(?:\.\d{1,3})?)ish")


_DECIMAL = frozenset(("mm", "V", "A", "psi", "kPa", "bar", "degF", "degC", "%", "Nm"))  # told in decimals, never as 3/4
_DIVISIONS = frozenset((2, 3, 4, 8, 16, 32, 64))  # of inches, quarts and turns
_SERIES = re.compile(r"\d{1,4}(?:\.\d{1,3})?(?:/\d{1,4}(?:\.\d{1,3})?){1,5}")


def read_series(tokens: Sequence[Token], lows: Sequence[str], i: int, shop: Shop) -> list[Found]:
    """Values told with strokes between: "38/185 psi", "caster 6.2/6.4", "36/36/34/34", "3/2 mm". They share their word.

    Two whole numbers are such values only with a unit behind them that nobody tells in fractions, behind a place
    ("RR 3/3") or a word of the gauges ("running 28/120"), or where they are no date, mix or fraction.
    """
    if "/" not in lows[i] or not _SERIES.fullmatch(lows[i]):
        return []
    parts = [Fraction(p) for p in lows[i].split("/")]
    plain = "." not in lows[i]
    probe = NumberRead(parts[-1], i, i + 1, False, decimals=0 if plain else 1)
    unit = unit_behind(tokens, lows, probe, shop)
    decimal = unit is not None and unit.code in _DECIMAL
    if plain and len(parts) == 2 and not decimal:
        read = figure(lows[i])
        if read is None or (parts[0] < parts[1] and parts[1] in _DIVISIONS):
            return []
        small = parts[0] < 5 or parts[0] <= parts[1] or parts[1] < 32 or sum(parts) == 100
        gauged = parts[1] >= 32 and shop.lists["pair-before"].ends_at(lows, i) >= 0
        if small and not gauged and (unit is not None or shop.lists["places"].ends_at(lows, i) < 0):
            return []
    out = []
    for part in parts:
        number = NumberRead(part, i, i + 1, False, decimals=0 if part.denominator == 1 else 1)
        one = Found(part, part, i, i + 1, i + 1, number)
        if unit is not None:
            one.take(unit)
        out.append(one)
    return out


def read_ish(tokens: Sequence[Token], lows: Sequence[str], i: int, shop: Shop) -> Found | None:
    """ "30ish psi": written as one word."""
    found = _ISH.fullmatch(lows[i])
    if found is None:
        return None
    value = Fraction(found[1])
    read = NumberRead(value, i, i + 1, False, (), "", 0, len(found[1].partition(".")[2]))
    one = Found(value, value, i, i + 1, i + 1, read, approximate=True)
    unit = unit_behind(tokens, lows, read, shop)
    if unit is not None:
        one.take(unit)
    return one


def read_arc(tokens: Sequence[Token], i: int) -> Found | None:
    """Degrees and minutes of arc: "+0°18'", "-0° 06'", "1°05′"; the minutes are sixtieths."""
    k = i + (tokens[i].low in _SIGNS)
    glued = k == i or (k < len(tokens) and tokens[k].gap == Gap.GLUED)
    if not glued or "°" not in "".join(t.low for t in tokens[k : k + 2]):
        return None
    end = k
    written = ""
    while end < min(k + 4, len(tokens)) and not written.endswith(_MINUTES):
        if end > k and tokens[end].gap > Gap.SPACE:
            break
        written += tokens[end].low
        end += 1
    found = _ARC.fullmatch(written)
    if found is None:
        return None
    value = int(found[1]) + Fraction(int(found[2]), 60)
    value = -value if tokens[i].low in "-−–" else value
    number = NumberRead(value, i, end, False, decimals=2)
    one = Found(value, value, i, end, end, number)
    one.unit, one.said = "deg", True
    return one


def composite(tokens: Sequence[Token], i: int) -> Found | None:
    """A value that was written as one word: "35#", "500µm", "20-25psi", "6/32nds", "12mm-14mm", "30±2"."""
    low = tokens[i].low
    if (low[-1].isdigit() and "±" not in low) or low in ("32nds", "32nd"):
        return None  # "treads in 32nds" is the unit by itself
    parts = _composite(low)
    if parts is None:
        return None
    first, second, unit_text, tolerance = parts
    low_value = figure(first)
    if low_value is None:
        return None
    value = low_value.value
    number = NumberRead(
        value,
        i,
        i + 1,
        False,
        (),
        low_value.digits,
        low_value.denominator,
        low_value.decimals,
        low_value.denominator > 0,
    )
    one = Found(value, value, i, i + 1, i + 1, number)
    if second:
        other = figure(second)
        if other is None or other.value <= value:
            return None
        one.high, one.ranged = other.value, True
    if tolerance:
        give = figure(tolerance)
        if give is None:
            return None
        one.low, one.high, one.ranged = value - give.value, value + give.value, True
    if unit_text:
        unit = _unit_of(unit_text)
        if unit is None:
            return None
        one.take(unit)
        one.last = i + 1
        if low_value.denominator == 32 and unit.code == "32nds":
            one.low, one.high = one.low * 32, one.high * 32
    elif not tolerance:
        return None
    return one


@lru_cache(maxsize=4096)
def _composite(low: str) -> tuple[str, str, str, str] | None:
    """First figure, second figure of a range, unit, tolerance; None where the word is made otherwise."""
    if len(low) > 24:
        return None
    lead = _LEAD.match(low)
    if lead is None:
        return None
    rest = low[lead.end() :]
    if not rest:
        return None
    if rest[0] == "±":
        more = _LEAD.match(rest[1:])
        return (lead[1], "", rest[1 + more.end() :], more[1]) if more else None
    cut = rest.find("-")
    if cut >= 0:
        more = _LEAD.match(rest[cut + 1 :])
        if more is None:
            return None
        unit_one, unit_two = rest[:cut], rest[cut + 1 + more.end() :]
        if unit_one and unit_one != unit_two:
            return None
        return lead[1], more[1], unit_two, ""
    return lead[1], "", rest.lstrip("-"), ""


@lru_cache(maxsize=1024)
def _unit_of(text: str) -> UnitRead | None:
    """The unit that a bare string spells in full."""
    text = text.replace("µ", "u") if text not in ("µ",) else text
    if text in ("um", "#"):
        text = "micron" if text == "um" else "lb"
    if text == "nds":
        text = "32nds"
    tokens = split_words(f"1 {text}")
    unit = read_unit(tokens, 1, False)
    return unit if unit is not None and unit.last == len(tokens) and len(text) > 0 else None
