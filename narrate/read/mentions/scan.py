"""Figures and number words -> values with the unit said behind them, in order of place. Labels are set aside here."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from narrate.core.handoffs import Gap, Label, Token
from narrate.core.units import units_file
from narrate.hear.speech.number_words import vocabulary
from narrate.hear.speech.numbers import NumberRead, read_number
from narrate.hear.speech.odometers import as_odometer
from narrate.read.mentions import labels as naming
from narrate.read.mentions.articles import add_tail, counted_by_article
from narrate.read.mentions.composite import composite, read_arc, read_ish, read_series
from narrate.read.mentions.found import Found
from narrate.read.mentions.label_spoken import spoken_tire
from narrate.read.mentions.named_numbers import label_measured, label_number
from narrate.read.mentions.rows import row_name, row_unit
from narrate.read.mentions.shop import Shop
from narrate.read.mentions.unit_behind import unit_behind
from narrate.read.mentions.unit_words import UnitRead, read_unit

_MARKS = frozenset(".,;:!?()[]{}<>\"'“”‘’…—–-•*&@/\\|=_~≈≤≥+#%^`")
_SIGNS = frozenset("-−–+")
# units that stand over a list of bare numbers; the words of others are verbs, tools and times as well
_OVER_LISTS = frozenset(
    (
        "mm",
        "32nds",
        "thou",
        "ml",
        "l",
        "floz",
        "psi",
        "kPa",
        "MPa",
        "inHg",
        "micron",
        "degF",
        "degC",
        "Nm",
        "ftlb",
        "inlb",
        "V",
        "mV",
        "A",
        "mA",
        "ohm",
        "kohm",
        "rpm",
        "mph",
        "km/h",
        "%",
    )
)


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
        if low == "32nds" and (over := read_unit(tokens, i, spoken=False)) is not None:
            headings.append(over)
            i = over.last
            continue
        if len(low) == 1 and (over := row_unit(tokens, i)) is not None:
            headings.append(over)
            i = over.last
            continue
        if wordy and low not in starters and low not in naming.WORDS and low not in months and low not in heads:
            i += 1
            continue
        if not wordy and "/" in low:
            series = read_series(tokens, lows, i, shop)
            if series:
                found += series
                i = floor = series[-1].last
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


def _near_meter(lows: Sequence[str], i: int, shop: Shop) -> bool:
    """Whether the words before or just behind a number can be those of an odometer or an hour meter."""
    if i and (shop.lists["odometer-before"].ends_at(lows, i) >= 0 or shop.lists["hours-before"].ends_at(lows, i) >= 0):
        return True
    behind = shop.meter_words
    return not behind.isdisjoint(lows[i + 1 : i + 12])


def _meter(tokens: Sequence[Token], lows: Sequence[str], i: int, shop: Shop) -> Found | None:
    """A distance or hours off a meter, read in its groups: "mileage one thirty seven two fifteen"."""
    for before, after, unit in (("odometer-before", "odometer-after", "mi"), ("hours-before", "hours-after", "h")):
        start = shop.lists[before].ends_at(lows, i)
        lead = start >= 0 and not (
            start > 0 and (lows[start - 1][0].isdigit() or lows[start - 1] in vocabulary().small)
        )
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
                one.take(said)
            else:
                one.unit, one.elided = unit, True
            return one
    return None


def _composite_first(
    tokens: Sequence[Token], lows: Sequence[str], i: int, shop: Shop, wordy: bool
) -> Found | Label | None:
    if not wordy and ("°" in lows[i] or "°" in "".join(lows[i + 1 : i + 3])):
        arc = read_arc(tokens, i)
        if arc is not None:
            return arc
    if not wordy and lows[i][0] in "0123456789.":
        one = composite(tokens, i) or read_ish(tokens, lows, i, shop)
        if one is not None:
            return one
    return naming.label_at(tokens, lows, i, shop)


def _value_at(
    tokens: Sequence[Token], lows: Sequence[str], i: int, shop: Shop, masked: bytearray, floor: int, named: list[Label]
) -> Found | int | None:
    """The value at token `i`; an int where a label was taken instead (its end); None where nothing begins here."""
    low = lows[i]
    if low in ("a", "an", "another") or low in _heading_words():
        one = counted_by_article(tokens, lows, i)
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
    behind = tokens[read.last] if read.last < len(tokens) else None
    if behind is not None and behind.gap == Gap.GLUED and behind.text.isupper() and not read.spoken:
        if shop.lists["modes"].starts_at(lows, read.first) == read.last + 1:
            named.append(Label("mode", f"{read.value}{behind.text}", read.first, read.last + 1))  # "4H tried in gravel"
            return read.last + 1
    name = row_name(tokens, lows, read) or spoken_tire(tokens, lows, read)
    if name is not None:
        named.append(name)
        return name.last
    unit = unit_behind(tokens, lows, read, shop)
    label = label_number(tokens, lows, read, shop, unit is not None, floor)
    if label is not None:
        named.append(label)
        return max(label.last, read.last)
    label = label_measured(tokens, lows, read, unit, shop, masked, named)
    if label is not None:
        named.append(label)
        return label.last
    if unit is None and lows[read.last : read.last + 1] == ["s"] and tokens[read.last].gap == Gap.GLUED:
        read = replace(read, plural=True, last=read.last + 1)  # "those are 13s"
    one = Found(read.value, read.value, read.first, read.last, read.last, read, approximate=read.approximate)
    if unit is not None:
        one.take(unit)
        one.approximate = one.approximate or any(
            w in ("so", "odd", "ish", "something") for w in lows[read.last : unit.first]
        )
        add_tail(tokens, lows, one)
        if one.unit == "each" and lows[unit.first] == "each" and read.value == 1:
            one.gone = True  # "two new caps, one each port"
    elif _times(tokens, lows, read):
        one.counted, one.last = True, read.last + 1
    return one


def _times(tokens: Sequence[Token], lows: Sequence[str], read: NumberRead) -> bool:
    """ "12x O-rings": the x counts where no figure follows it."""
    k = read.last
    if k >= len(lows) or lows[k] not in ("x", "×") or read.spoken or read.value.denominator != 1:
        return False
    return k + 1 < len(lows) and not lows[k + 1][0].isdigit() and tokens[k + 1].gap < Gap.LINE


def _covered(masked: bytearray, first: int, last: int) -> bool:
    return any(masked[first:last])
