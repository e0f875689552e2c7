"""Figures and number words -> values with the unit said behind them, in order of place. Labels are set aside here."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from functools import lru_cache
from typing import Literal

from narrate.core.handoffs import Gap, Label, Token
from narrate.core.lexicon.units import Ambiguous
from narrate.hear.speech.number_tails import and_fraction
from narrate.hear.speech.number_words import figure, vocabulary
from narrate.hear.speech.numbers import NumberRead, read_number
from narrate.hear.speech.odometers import as_odometer
from narrate.read.mentions import labels as naming
from narrate.read.mentions.shop import Shop
from narrate.read.mentions.unit_words import UnitRead, read_unit

_MARKS = frozenset(".,;:!?()[]{}<>\"'“”‘’…—–-•*&@/\\|=_~≈≤≥+#%^`")
_SIGNS = frozenset("-−–+")


@dataclass(slots=True)
class Found:
    """One value while it is being settled. Tokens `first` to `last`; the number itself ends at `end`.

    `unit` is a code, or "" while none is known; `choice` the ambiguous word said; `said` whether a unit word was.
    `gone` marks one that was merged into another or turned out to be nothing.
    """

    low: Fraction
    high: Fraction
    first: int
    last: int
    end: int
    number: NumberRead
    unit: str = ""
    choice: Ambiguous | None = None
    said: bool = False
    container: bool = False
    elided: bool = False
    approximate: bool = False
    bound: Literal["under", "over"] | None = None
    retracted: bool = False
    replaced: tuple[tuple[int, int], ...] = ()
    ranged: bool = False
    gone: bool = False
    counted: bool = False  # "12x", "qty 2": a count by its mark
    size: bool = False
    notes: list[str] = field(default_factory=list)

    @property
    def value(self) -> Fraction:
        return self.low


# units that stand over a list of bare numbers; the words of others are verbs, tools and times as well
_OVER_LISTS = frozenset((
    "mm", "32nds", "thou", "ml", "l", "floz", "psi", "kPa", "MPa", "inHg", "micron", "degF", "degC", "Nm", "ftlb", "inlb", "V", "mV", "A", "mA", "ohm",
    "kohm", "rpm", "mph", "km/h", "%",
))


@dataclass(slots=True)
class Scan:
    """What one pass over the tokens gave: values, labels, and unit words that stood without a number."""

    found: list[Found]
    labels: list[Label]
    headings: list[UnitRead]


def scan(tokens: Sequence[Token], lows: Sequence[str], masked: bytearray, shop: Shop) -> Scan:
    """One pass from left to right; every token belongs to at most one value or label."""
    found: list[Found] = []
    named: list[Label] = []
    headings: list[UnitRead] = []
    starters, months, heads = vocabulary().starters, shop.lists["months"].words, _heading_words()
    i, size, floor = 0, len(tokens), 0
    while i < size:
        low = lows[i]
        if masked[i] or (low in _MARKS and low not in _SIGNS):
            i += 1
            continue
        wordy = low.isalpha()
        if wordy and low not in starters and low not in naming.WORDS and low not in months and low not in heads:
            i += 1
            continue
        label = _composite_first(tokens, lows, i, shop, wordy)
        if isinstance(label, Found):
            found.append(label)
            i = floor = label.last
            continue
        if label is not None:
            named.append(label)
            i = floor = label.last
            continue
        one = _value_at(tokens, lows, i, shop, masked, floor, named)
        if one is None:
            if low in heads and (unit := _heading(tokens, lows, i)) is not None:
                headings.append(unit)
                i = unit.last
                continue
            i += 1
            continue
        if isinstance(one, int):
            i = floor = one
            continue
        found.append(one)
        i = floor = one.last
    return Scan(found, named, headings)


@lru_cache(maxsize=1)
def _heading_words() -> frozenset[str]:
    """Unit words that may stand over a list of bare numbers ("psi found LF 31 RF 30"), and those counted by "a"."""
    from narrate.core.units import units_file

    out: set[str] = {"another"}
    for unit in units_file().units:
        out.update(s for s in unit.say if " " not in s and s.isalpha() and len(s) > 1)
    for word in units_file().ambiguous:
        out.update(s for s in word.say if s.isalpha() and len(s) > 1)
    return frozenset(out)


def _heading(tokens: Sequence[Token], lows: Sequence[str], i: int) -> UnitRead | None:
    unit = read_unit(tokens, i, spoken=True)
    if unit is None or unit.code not in _OVER_LISTS or lows[i] in ("vac", "ma", "amp"):
        return None
    return unit


_ISH = re.compile(r"(\d{1,5}(?:\.\d{1,3})?)ish")


def _ish(tokens: Sequence[Token], lows: Sequence[str], i: int, shop: Shop) -> Found | None:
    """"30ish psi": written as one word."""
    found = _ISH.fullmatch(lows[i])
    if found is None:
        return None
    value = Fraction(found[1])
    read = NumberRead(value, i, i + 1, False, (), "", 0, len(found[1].partition(".")[2]))
    one = Found(value, value, i, i + 1, i + 1, read, approximate=True)
    unit = unit_behind(tokens, lows, read, shop)
    if unit is not None:
        _take(one, unit)
    return one


def _near_meter(lows: Sequence[str], i: int, shop: Shop) -> bool:
    """Whether the words before or just behind a number can be those of an odometer or an hour meter."""
    if i and (shop.lists["odometer-before"].ends_at(lows, i) >= 0 or shop.lists["hours-before"].ends_at(lows, i) >= 0):
        return True
    behind = shop.meter_words
    return any(low in behind for low in lows[i + 1 : i + 12])


def _meter(tokens: Sequence[Token], lows: Sequence[str], i: int, shop: Shop) -> Found | None:
    """A distance or hours off a meter, read in its groups: "mileage one thirty seven two fifteen"."""
    for before, after, unit in (("odometer-before", "odometer-after", "mi"), ("hours-before", "hours-after", "h")):
        start = shop.lists[before].ends_at(lows, i)
        lead = start >= 0 and not (start > 0 and (lows[start - 1][0].isdigit() or lows[start - 1] in vocabulary().small))
        if not lead and lows[i] not in vocabulary().starters and not lows[i][0].isdigit():
            return None
        read = as_odometer(tokens, i) if lead or unit == "mi" else read_number(tokens, i)
        if read is None or read.decimals or read.value < (100 if lead else 1000):
            continue
        if lead or (shop.lists[after].starts_at(lows, read.last) >= 0 and (read.value >= 1000)):
            said = unit_behind(tokens, lows, read, shop)
            if said is not None and said.code not in ("mi", "km", "h"):
                return None
            one = Found(read.value, read.value, read.first, read.last, read.last, read, approximate=read.approximate)
            if said is not None:
                _take(one, said)
            else:
                one.unit, one.elided = unit, True
            return one
    return None


def _composite_first(tokens: Sequence[Token], lows: Sequence[str], i: int, shop: Shop, wordy: bool) -> Found | Label | None:
    if not wordy and lows[i][0] in "0123456789.":
        one = composite(tokens, i) or _ish(tokens, lows, i, shop)
        if one is not None:
            return one
    return naming.label_at(tokens, lows, i, shop)


def _value_at(
    tokens: Sequence[Token], lows: Sequence[str], i: int, shop: Shop, masked: bytearray, floor: int, named: list[Label]
) -> Found | int | None:
    """The value at token `i`; an int where a label was taken instead (its end); None where nothing begins here."""
    low = lows[i]
    if low in ("a", "an", "another") or low in _heading_words():
        one = _counted_by_article(tokens, lows, i, shop)
        if one is not None:
            return one
    read = read_number(tokens, i)
    if read is None or _covered(masked, read.first, read.last):
        return None
    if not read.has_fraction and _near_meter(lows, i, shop):
        meter = _meter(tokens, lows, i, shop)
        if meter is not None and not _covered(masked, meter.first, meter.last):
            return meter
    if lows[read.last : read.last + 2] == ["below", "zero"] and read.value > 0 and not read.has_fraction:
        cold = replace(read, value=-read.value, last=read.last + 2)
        return Found(cold.value, cold.value, read.first, cold.last, cold.last, cold, unit="degF", elided=True)
    unit = unit_behind(tokens, lows, read, shop)
    label = naming.label_number(tokens, lows, read, shop, unit is not None, floor)
    if label is not None:
        named.append(label)
        return max(label.last, read.last)
    label = naming.label_measured(tokens, lows, read, unit, shop, masked, named)
    if label is not None:
        named.append(label)
        return label.last
    one = Found(read.value, read.value, read.first, read.last, read.last, read, approximate=read.approximate)
    if unit is not None:
        _take(one, unit)
        one.approximate = one.approximate or any(w in ("so", "odd", "ish") for w in lows[read.last : unit.first])
        _tail(tokens, lows, one, shop)
        if one.unit == "each" and lows[unit.first] == "each" and read.value == 1:
            one.gone = True  # "two new caps, one each port"
    elif _times(tokens, lows, read):
        one.counted, one.last = True, read.last + 1
    return one


def _times(tokens: Sequence[Token], lows: Sequence[str], read: NumberRead) -> bool:
    """"12x O-rings": the x counts where no figure follows it."""
    k = read.last
    if k >= len(lows) or lows[k] not in ("x", "×") or read.spoken or read.value.denominator != 1:
        return False
    return k + 1 < len(lows) and not lows[k + 1][0].isdigit() and tokens[k + 1].gap < Gap.LINE


def _covered(masked: bytearray, first: int, last: int) -> bool:
    return any(masked[first:last])


def _take(one: Found, unit: UnitRead) -> None:
    one.unit, one.choice, one.said, one.last, one.container = unit.code, unit.choice, True, unit.last, unit.container


_POURING = frozenset(("put", "puts", "went", "goes", "go", "pour", "poured", "pumped", "add", "added", "adding", "putting", "dumped", "took"))


def unit_behind(tokens: Sequence[Token], lows: Sequence[str], read: NumberRead, shop: Shop) -> UnitRead | None:
    """The unit word behind a number, over "of an", "more", "full" and the like."""
    k, size = read.last, len(tokens)
    if k >= size or read.ordinal:
        return None
    if tokens[k].gap > Gap.PAUSE:
        return _on_next_line(tokens, lows, read)
    decimal = read.decimals > 0 or (read.denominator > 0 and not read.spoken)
    if read.has_fraction or read.approximate or read.value in (6, 12, 24):
        if lows[k] == "of" and k + 1 < size:
            k += 1
            if lows[k] in ("a", "an") and k + 1 < size:
                k += 1
        elif lows[k] in ("a", "an") and read.part and k + 1 < size:
            k += 1
    small = 0 < read.value < 5 and read.value.denominator == 1
    direct = read_unit(tokens, k, read.spoken, decimal, small, abs(read.value) > 500)
    if direct is not None and direct.code == "quart-can" and direct.last - direct.first == 2:
        counted = k > 0 and read.first > 0 and (lows[read.first - 1].isdigit() or lows[read.first - 1] in vocabulary().small)
        if counted or (read.value != 1 and not lows[direct.last - 1].endswith("s")):
            return UnitRead("qt", None, direct.first, direct.first + 1, True, False)  # "a five quart jug"
    if direct is not None and lows[direct.first] == "in" and tokens[direct.first].gap != Gap.GLUED and not read.decimals and (
        (not read.denominator or "and" in lows[read.first : read.last]) and _POURING & set(lows[max(0, read.first - 5) : read.first])
    ):
        return None  # "put 5 and a half in"
    if direct is not None:
        return None if _second_reading(tokens, lows, read, direct, shop) else direct
    between = shop.lists["between"]
    for _ in range(2):
        end = between.starts_at(lows, k)
        if end < 0 or end >= size or tokens[end].gap > Gap.PAUSE:
            return None
        unit = read_unit(tokens, end, read.spoken, decimal)
        if unit is not None:
            return unit
        k = end
    return None


def _on_next_line(tokens: Sequence[Token], lows: Sequence[str], read: NumberRead) -> UnitRead | None:
    """A unit word that opens the next line, the number having ended the last: the line was only wrapped."""
    k = read.last
    if tokens[k].gap != Gap.LINE or not lows[k].isalpha() or len(lows[k]) < 3:
        return None
    unit = read_unit(tokens, k, True)
    if unit is None or unit.container or (unit.last < len(lows) and lows[unit.last] in (":", "-", "=")):
        return None
    return unit


def _second_reading(tokens: Sequence[Token], lows: Sequence[str], read: NumberRead, unit: UnitRead, shop: Shop) -> bool:
    """Whether what looks like a unit is none: "those are 13s", "2 second gear sets"."""
    token = tokens[unit.first]
    if token.low == "min" and read.decimals and unit.last < len(lows):
        least = figure(lows[unit.last])  # "disc 4.9 min 4.5": the minimum
        if least is not None and least.decimals and Fraction(2, 3) <= least.value / read.value <= Fraction(3, 2):
            return True
    if token.low == "s" and token.gap == Gap.GLUED and not read.has_fraction and read.value.denominator == 1:
        return 4 <= read.value <= 50 and shop.lists["size-before"].ends_at(lows, read.first) >= 0
    return token.low == "second" and unit.last < len(lows) and lows[unit.last] in ("gear", "stage", "row", "set", "one")


def _counted_by_article(tokens: Sequence[Token], lows: Sequence[str], i: int, shop: Shop) -> Found | None:
    """"a pint", "an hour and a half", "another ounce", and with no article "hour and ten"."""
    low = lows[i]
    k = i + 1 if low in ("a", "an", "another") else i
    if k >= len(tokens) or (k > i and tokens[k].gap > Gap.PAUSE):
        return None
    if k > i and lows[k] in ("good", "full", "solid", "whole", "fresh", "new", "complete", "further", "additional") and k + 1 < len(tokens):
        k += 1
    unit = read_unit(tokens, k, spoken=True)
    if unit is None:
        return None
    joined = unit.last < len(lows) and lows[unit.last] == "and" and and_fraction(tokens, unit.last) is not None
    timed = unit.code == "h" and unit.last + 1 < len(lows) and lows[unit.last] == "and" and _starts_number(tokens, unit.last + 1)
    if k == i and not (joined or timed):
        return None
    if not (unit.article or unit.container or joined):
        return None
    follows = lows[unit.last] if unit.last < len(lows) else ""
    if low != "another" and not joined and not _article_fits(lows, i, unit, follows):
        return None
    one = Found(Fraction(1), Fraction(1), i, unit.last, k, NumberRead(Fraction(1), i, k, True, article=True))
    _take(one, unit)
    _tail(tokens, lows, one, shop)
    return one


def _starts_number(tokens: Sequence[Token], k: int) -> bool:
    read = read_number(tokens, k)
    return read is not None and read.value.denominator == 1 and 0 < read.value < 60


def _article_fits(lows: Sequence[str], i: int, unit: UnitRead, follows: str) -> bool:
    """Whether "a can", "a set", "a cup", "a turn" counts: the word names things and places too."""
    before = lows[i - 1] if i else ""
    if unit.code == "turns":
        return follows in ("past", "more", "of", "out", "in", "further") or before in ("about", "another", "half", "off", "out", "back", "in", "one")
    if unit.code == "min":
        return before in ("for", "about", "in", "under", "over", "after", "within", "than", "almost", "around", "every")
    if unit.container:
        return follows == "of" or (unit.code in ("pair", "can") and follows in ("", ".", ","))
    if unit.code == "cup":
        return follows in ("of", "low", "more", "out") or before in ("about", "got", "maybe", "around", "lost", "almost", "only")
    if unit.code == "h":
        return follows not in ("meter", "later", "ago", "rate", "away") and before not in ("per", "miles", "mile", "half", "times", "bucks", "kilometers")
    if unit.code == "in":
        return follows not in ("drive", "impact", "wrench", "socket", "pound", "pounds", "long", "or") or before in ("about",)
    return before not in ("half", "per", "a")


def _tail(tokens: Sequence[Token], lows: Sequence[str], one: Found, shop: Shop) -> None:
    """"a quart *and a half*", "two pounds *and three quarters*"; not where the fraction has a unit of its own."""
    if one.number.has_fraction or one.number.decimals or one.container:
        return
    k = one.last
    if k + 1 >= len(tokens) or lows[k] != "and":
        return
    more = and_fraction(tokens, k)
    if more is None:
        return
    value, last, over = more
    if last < len(tokens) and lows[last] in ("of", "a", "an"):
        j = last + 1
        if j < len(tokens) and lows[j] in ("a", "an"):
            j += 1
        if j < len(tokens) and read_unit(tokens, j, True) is not None:
            return
    elif read_unit(tokens, last, True) is not None and last < len(tokens) and tokens[last].gap <= Gap.SPACE:
        return
    one.low += value
    one.high += value
    one.last = last
    one.number = replace(one.number, has_fraction=True, denominator=over)


_LEAD = re.compile(r"(\d{1,3}(?:,\d{3})+(?:\.\d+)?|\d+/\d+|\d*\.\d+|\d+[½¼¾⅛⅜⅝⅞]?)")


def composite(tokens: Sequence[Token], i: int) -> Found | None:
    """A value that was written as one word: "35#", "500µm", "20-25psi", "6/32nds", "12mm-14mm", "30±2"."""
    low = tokens[i].low
    if low[-1].isdigit() and "±" not in low:
        return None
    parts = _composite(low)
    if parts is None:
        return None
    first, second, unit_text, tolerance = parts
    low_value = figure(first)
    if low_value is None:
        return None
    value = low_value.value
    number = NumberRead(value, i, i + 1, False, (), low_value.digits, low_value.denominator, low_value.decimals,
                        low_value.denominator > 0)
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
        _take(one, unit)
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
    from narrate.core.tokens import split_words

    text = text.replace("µ", "u") if text not in ("µ",) else text
    if text == "um":
        text = "micron"
    if text == "nds":
        text = "32nds"
    tokens = split_words(f"1 {text}")
    unit = read_unit(tokens, 1, False)
    return unit if unit is not None and unit.last == len(tokens) and len(text) > 0 else None
