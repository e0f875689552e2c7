"""Numbers that are part of a name, told by the words beside them: years, prices, clocks, ordinals, engines."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from narrate.core.handoffs import Gap, Label, Token
from narrate.hear.speech.number_words import vocabulary
from narrate.hear.speech.numbers import NumberRead, read_number
from narrate.read.mentions.label_shapes import shape_of
from narrate.read.mentions.label_spoken import (
    GRADE_WORDS,
    is_gas_number,
    spoken_gas,
    spoken_grade,
    spoken_thread,
)
from narrate.read.mentions.labels import YEARS, plain
from narrate.read.mentions.shop import Rule, Shop
from narrate.read.mentions.unit_words import UnitRead, read_unit


def label_number(
    tokens: Sequence[Token], lows: Sequence[str], read: NumberRead, shop: Shop, has_unit: bool, floor: int
) -> Label | None:
    """The name that a number is part of, told by the words beside it; `floor` is where the value before it ended."""
    first, last = read.first, read.last
    after = lows[last] if last < len(lows) and tokens[last].gap < Gap.LINE else ""
    if read.ordinal:
        return Label("ordinal", lows[first], first, last)
    if after == "s" and tokens[last].gap == Gap.GLUED and lows[first].isdigit() and 1900 <= read.value <= YEARS[1]:
        return Label("year", f"{lows[first]}s", first, last + 1)  # "the 1960s" are no seconds
    if after == "s" and read.value == 8 and first > 0 and lows[first - 1] in ("figure", "figures"):
        return Label("ordinal", "8", first, last + 1)  # "figure 8s in the lot"
    spoken = _spoken_name(tokens, lows, read)
    if spoken is not None:
        return spoken
    if after and shop.lists["money-after"].starts_at(lows, last) > 0:
        return Label("price", f"{plain(read.value)} {after}", first, shop.lists["money-after"].starts_at(lows, last))
    clock = _clock_number(lows, read, shop, after)
    if clock is not None:
        return clock
    if read.improper:
        kind = "date" if _date_fraction(lows, read, shop) else "mix"
        return Label(kind, lows[first], first, last)
    if read.denominator and not read.spoken and _date_fraction(lows, read, shop) and not has_unit:
        return Label("date", lows[first], first, last)
    year = _year(tokens, lows, read, shop, has_unit)
    if year is not None:
        return year
    if not has_unit and last - first == 1 and after in shop.models and lows[first].isdigit() and len(lows[first]) == 2:
        return Label("year", lows[first], first, last)
    if not has_unit and first > 0 and tokens[first].gap < Gap.LINE and _names_model(lows[first - 1], read, shop):
        return Label("model", " ".join(lows[first - 1 : last]), first, last)
    return _by_rule(tokens, lows, read, shop, has_unit, floor)


# figures that makers name vehicles by; anything else behind a maker's name is a figure of its own
_MODEL_FIGURES = frozenset((2, 3, 5, 6, 150, 250, 350, 450, 500, 550, 650, 1000, 1500, 2500, 3500, 4500, 5500, 6500))


def _names_model(before: str, read: NumberRead, shop: Shop) -> bool:
    """ "model 3", "silverado fifteen hundred", "f two fifty"."""
    return before in shop.lists["model-before"].words and read.value in _MODEL_FIGURES and not read.denominator


def _spoken_name(tokens: Sequence[Token], lows: Sequence[str], read: NumberRead) -> Label | None:
    """A grade, a refrigerant or a thread that begins with the number; each is looked for only where it can be."""
    first = read.first
    if read.has_fraction:
        return spoken_thread(tokens, lows, first)
    if not GRADE_WORDS.isdisjoint(lows[first + 1 : first + 4]):
        grade = spoken_grade(tokens, lows, first)
        if grade is not None:
            return grade
    return spoken_gas(tokens, lows, first) if is_gas_number(read) else None


def _by_rule(
    tokens: Sequence[Token], lows: Sequence[str], read: NumberRead, shop: Shop, has_unit: bool, floor: int
) -> Label | None:
    first, last = read.first, read.last
    if read.has_fraction:
        return None
    if first and tokens[first].gap < Gap.LINE:
        for edge in (first, first - 1) if lows[first - 1] in (":", ".", "#") and first > 1 else (first,):
            for rule in shop.rules_before.get(lows[edge - 1], ()):
                if _ruled_out(rule, read, has_unit):
                    continue
                start = rule.before.ends_at(lows, edge)
                if start >= floor and not _correcting(lows, start, first, read, floor):
                    return Label(rule.rule.kind, f"{' '.join(lows[start:edge])} {plain(read.value)}", first, last)
    if last < len(lows) and tokens[last].gap < Gap.LINE:
        for rule in shop.rules_after.get(lows[last], ()):
            if _ruled_out(rule, read, has_unit):
                continue
            end = rule.after.starts_at(lows, last)
            if end > 0 and not (end < len(lows) and lows[end] in shop.lists["headed"].words):
                return Label(rule.rule.kind, " ".join(lows[first:end]), first, end)
    return None


def _ruled_out(rule: Rule, read: NumberRead, has_unit: bool) -> bool:
    if (has_unit and rule.rule.unless_unit) or (read.decimals and (rule.rule.kind != "grade" or read.value < 1)):
        return True
    return not rule.least <= float(read.value) <= rule.most


def _correcting(lows: Sequence[str], start: int, first: int, read: NumberRead, floor: int) -> bool:
    """ "two no three": the "no" takes back, it does not number."""
    return lows[start] == "no" and first - start == 1 and (read.spoken or 0 < floor == start)


def _clock_number(lows: Sequence[str], read: NumberRead, shop: Shop, after: str) -> Label | None:
    if read.has_fraction or read.decimals or not (after.isalpha() or after in ("o'clock", "a.m.", "p.m.")):
        return None
    end = shop.lists["clock-after"].starts_at(lows, read.last)
    if end < 0 and after not in ("past", "after", "till", "til"):
        return None
    if not 0 < read.value <= 1259:
        return None
    if end > 0 and (
        read.value <= 24 or (read.value >= 100 and read.value % 100 < 60)
    ):  # "vent 55 this morning" is none
        return Label("clock", " ".join(lows[read.first : end]), read.first, end)
    if after in ("past", "after", "till", "til") and read.spoken and read.value < 60 and read.last + 1 < len(lows):
        hour = vocabulary().small.get(lows[read.last + 1], 0)
        if 1 <= hour <= 12 and read.value % 5 == 0:
            return Label("clock", " ".join(lows[read.first : read.last + 2]), read.first, read.last + 2)
    return None


def _date_fraction(lows: Sequence[str], read: NumberRead, shop: Shop) -> bool:
    """ "3/8" behind "on" or a weekday; "9/26" anywhere, no fraction being written so."""
    top, _, bottom = lows[read.first].partition("/")
    if not (top.isdigit() and bottom.isdigit()):
        return False
    month, day = int(top), int(bottom)
    if not (1 <= month <= 12 and 1 <= day <= 31):
        return read.improper and 1 <= month <= 12 and 0 < day < 100 and month != day
    if read.improper and month != day:
        return True
    return shop.lists["date-before"].ends_at(lows, read.first) >= 0


def _year(tokens: Sequence[Token], lows: Sequence[str], read: NumberRead, shop: Shop, has_unit: bool) -> Label | None:
    first, last = read.first, read.last
    text = lows[first]
    written = last - first == 1 and text.isdigit() and len(text) == 4
    said = read.spoken and text in ("nineteen", "twenty", "two")
    if (
        has_unit
        or not (written or said)
        or read.has_fraction
        or read.decimals
        or not YEARS[0] <= read.value <= YEARS[1]
    ):
        return None
    after = lows[last] if last < len(lows) else ""
    before = lows[first - 1] if first else ""
    if after in shop.models or (last + 1 < len(lows) and shape_of(after) in ("part-number", "code")):
        return Label("year", str(read.value), first, last)
    if (
        before
        in (
            "in",
            "since",
            "until",
            "back",
            "from",
            "of",
            "model",
            "year",
            "to",
            "through",
            "-",
            "a",
            "the",
            "this",
            "my",
        )
        or first == 0
    ):
        return Label("year", str(read.value), first, last)
    return None


def label_measured(
    tokens: Sequence[Token],
    lows: Sequence[str],
    read: NumberRead,
    unit: UnitRead | None,
    shop: Shop,
    masked: bytearray,
    named: Sequence[Label],
) -> Label | None:
    """Names that have the look of measures: "the 5.3 liter V8", "160 cc single", "20 by 25", the "99H" of a tyre."""
    first, last = read.first, read.last
    before = named[-1] if named else None
    if before is not None and before.kind == "tire-size" and before.last == first and read.value <= 160:
        return Label("tire-size", lows[first], first, unit.last if unit is not None and unit.last == last + 1 else last)
    if unit is None:
        if (
            last + 1 < len(lows)
            and lows[last] in ("by", "x", "×")
            and not read.has_fraction
            and ((tokens[last].gap == Gap.GLUED) == (tokens[last + 1].gap == Gap.GLUED))
        ):
            other = read_number(tokens, last + 1)
            if other is not None and not other.part and read_unit(tokens, other.last, other.spoken) is None:
                end = other.last
                if (
                    end + 1 < len(lows)
                    and lows[end] in ("by", "x", "×")
                    and (third := read_number(tokens, end + 1)) is not None
                ):
                    end = third.last
                return Label("dimensions", " ".join(lows[first:end]), first, end)
        return None
    if (
        unit.code == "W"
        and lows[unit.first] == "w"
        and read.value in (0, 5, 10, 15, 20, 25)
        and not read.spoken
        and ({"oil", "fork", "atf", "lube"} & set(lows[max(0, first - 3) : unit.last + 3]))
    ):
        return Label("grade", f"{plain(read.value)}W", first, unit.last)
    if unit.code in ("l", "ml") and not read.has_fraction:
        end = shop.lists["engine-after"].starts_at(lows, unit.last)
        size = read.value if unit.code == "l" else read.value / 1000
        if not Fraction(1, 50) <= size <= 16:
            return None
        if end > 0 and (unit.code == "l" or lows[unit.first] in ("cc", "ccs", "c")):
            return Label("engine", f"{plain(read.value)} {'L' if unit.code == 'l' else 'cc'}", first, unit.last)
        close = before is not None and before.kind in ("year", "model", "make") and first - before.last <= 3
        if (
            unit.code == "l"
            and size <= 9
            and (close or any(masked[max(0, first - 3) : first]) or _names_vehicle(lows, first, shop))
        ):
            return Label("engine", f"{plain(read.value)} L", first, unit.last)
    return None


def _names_vehicle(lows: Sequence[str], first: int, shop: Shop) -> bool:
    """Whether a make, a model or the word "engine" stands within the three words before."""
    return any(
        (w in shop.models and not w.isdigit()) or w in shop.lists["power-unit"].words
        for w in lows[max(0, first - 3) : first]
    )
