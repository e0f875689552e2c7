"""What looks like a number and is none: grades, codes, part numbers, threads, years, dates, clocks, prices, ordinals.

`label_at` tells it from the words at a token, before any number is read there; `label_number` from the words beside a
number that was read. Both give a Label with its normal form, or None.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from narrate.core.handoffs import Gap, Label, Token
from narrate.hear.speech.number_words import figure, vocabulary
from narrate.hear.speech.numbers import NumberRead, read_number
from narrate.read.mentions.label_shapes import shape_of
from narrate.read.mentions.label_spoken import (
    GRADE_WORDS,
    is_refrigerant,
    spelled,
    spoken_grade,
    spoken_refrigerant,
    spoken_star,
    spoken_thread,
)
from narrate.read.mentions.shop import Rule, Shop
from narrate.read.mentions.unit_words import UnitRead, read_unit

_DTC_LETTERS = frozenset("pbcu")
_CONTAINS = frozenset(("thread", "tire-size", "clock", "phone", "grade", "refrigerant", "star", "vin", "code", "year", "dtc"))
_YEARS = (Fraction(1950), Fraction(2035))
WORDS = frozenset(("r", "p", "b", "c", "u", "m", "t", "torx", "e", "part", "p/n", "pn", "oh", "o", "$", "item", "stock", "oem", "oe", "plate", "serial", "s/n",
                   "mfg", "casting", "catalog", "sku", "tag", "license", "licence", "reg", "registration", "quarter", "half", "number", "numbers", "cat", "ser"))


def label_at(tokens: Sequence[Token], lows: Sequence[str], i: int, shop: Shop) -> Label | None:
    """The name that begins at token `i`, if one does."""
    low = lows[i]
    if low in WORDS:
        found = _by_word(tokens, lows, i, shop)
        if found is not None:
            return found
    if low == "$" and i + 1 < len(tokens):
        read = read_number(tokens, i + 1)
        return Label("price", f"${_plain(read.value)}", i, read.last) if read is not None else None
    months = shop.lists["months"]
    if low in months.words:
        found = _date_words(tokens, lows, i, shop)
        if found is not None:
            return found
    if low.isalpha() or len(low) < 2:
        return None
    kind = shape_of(low)
    if not kind:
        return None
    return _by_shape(tokens, lows, i, kind, shop)


def _by_shape(tokens: Sequence[Token], lows: Sequence[str], i: int, kind: str, shop: Shop) -> Label | None:
    text = tokens[i].text
    if kind == "date":
        return Label("date" if is_date(lows[i]) else "part-number", text, i, i + 1)
    if kind == "part-number":
        before = shop.lists["plate-before"].ends_at(lows, i)
        if before >= 0:
            return Label("plate", text.upper(), i, i + 1)
        if _is_model(tokens, lows, i, shop):
            return Label("model", text, i, i + 1)
        return Label("part-number", text, i, i + 1)
    if kind == "thread":
        return Label("thread", text.replace("×", "x"), i, i + 1)
    if kind in ("dtc", "star"):
        return Label(kind, text.upper().replace("O", "0") if kind == "dtc" else text.upper().replace("-", ""), i, i + 1)
    if kind == "code" and lows[i][0] == "m" and lows[i][1:].isdigit():
        found = _metric_thread(tokens, lows, i)
        if found is not None:
            return found
    if kind in _CONTAINS:
        return Label(kind, text, i, i + 1)
    return None


def _metric_thread(tokens: Sequence[Token], lows: Sequence[str], i: int) -> Label | None:
    """"M10-1.5", "M10 x 1.5": the pitch stands apart."""
    if i + 2 < len(tokens) and lows[i + 1] in ("-", "x", "×", "by"):
        pitch = figure(lows[i + 2])
        if pitch is not None and 0 < pitch.value < 7:
            return Label("thread", f"{tokens[i].text.upper()}x{_plain(pitch.value)}", i, i + 3)
    return Label("thread", tokens[i].text.upper(), i, i + 1)


def is_date(low: str) -> bool:
    """Whether "3-2-26" or "03/14/2026" can be a day: month and day in range, the year near ours."""
    parts = [int(p) for p in low.replace("/", "-").replace(".", "-").split("-") if p.isdigit()]
    if len(parts) != 3:
        return False
    if parts[0] > 999:
        parts = [*parts[1:], parts[0]]
    first, second, year = parts
    in_range = (first <= 12 and second <= 31) or (first <= 31 and second <= 12)
    return in_range and min(first, second) > 0 and (year < 100 or 1950 <= year <= 2049)


def _is_model(tokens: Sequence[Token], lows: Sequence[str], i: int, shop: Shop) -> bool:
    low = lows[i]
    if low in shop.models or low.replace("-", "") in shop.models:
        return True
    bare = low.replace("-", "")
    if len(bare) == 4 and bare[0].isalpha() and bare[1:].isdigit() and bare.endswith(("50", "00")):
        return True  # F-150, C1500
    if len(bare) in (4, 5) and bare[:3].isdigit() and bare[3:].isalpha():
        return True  # 328i
    return i > 0 and (lows[i - 1] in shop.models or lows[i - 1] in shop.lists["model-before"].words)


# ------------------------------------------------------------------------------------------------------ spoken names
def _by_word(tokens: Sequence[Token], lows: Sequence[str], i: int, shop: Shop) -> Label | None:
    low = lows[i]
    end = shop.lists["part-number"].starts_at(lows, i)
    if end > 0:
        found = _part_number(tokens, lows, i, end)
        if found is not None:
            return found
    end = shop.lists["plate-before"].starts_at(lows, i)
    if end > 0:
        text, last = spelled(tokens, _skip(lows, end, ("is", ":", "number", "#")))
        if len(text) >= 4 and any(c.isdigit() for c in text):
            return Label("plate", text, i, last)
    if low == "r":
        return spoken_refrigerant(tokens, lows, i)
    if low in _DTC_LETTERS:
        found = _spoken_dtc(tokens, lows, i)
        if found is not None:
            return found
    if low == "m":
        return spoken_thread(tokens, lows, i)
    if low in ("t", "torx", "e"):
        return spoken_star(tokens, lows, i)
    if low in ("oh", "o"):
        grade = spoken_grade(tokens, lows, i)
        return grade or _short_year(tokens, lows, i, shop)
    if low in ("quarter", "half"):
        return _clock_words(tokens, lows, i, shop)
    return None


def _skip(lows: Sequence[str], k: int, words: tuple[str, ...]) -> int:
    while k < len(lows) and lows[k] in words:
        k += 1
    return k


def _part_number(tokens: Sequence[Token], lows: Sequence[str], i: int, k: int) -> Label | None:
    """The number behind "part number", "p/n" and their like, spelt or written."""
    if lows[i] in ("number", "numbers") and k - i == 1:
        return None
    k = _skip(lows, k, ("is", ":", "#", ".", "was", "=", "it's", "of", "number", "number's", "no"))
    if k >= len(tokens) or tokens[k].gap >= Gap.LINE:
        return None
    low = lows[k]
    if any(c.isdigit() for c in low):
        last = k + 1
        text = tokens[k].text
        while last + 1 < len(tokens) and lows[last] == "-" and tokens[last].gap == Gap.GLUED and tokens[last + 1].gap == Gap.GLUED:
            text, last = f"{text}-{tokens[last + 1].text}", last + 2
        if low.isdigit() and last < len(tokens) and tokens[last].gap == Gap.GLUED and lows[last].isalpha():
            text, last = text + tokens[last].text, last + 1
        elif len(low) <= 2 and low.isdigit():
            spelt, end = spelled(tokens, k)
            if end > last:
                text, last = spelt, end
        return Label("part-number", text, i, last)
    text, last = spelled(tokens, k)
    if len(text) >= 3 and any(c.isdigit() for c in text):
        return Label("part-number", text, i, last)
    if low.isalpha() and len(low) <= 5 and k + 1 < len(tokens) and tokens[k + 1].gap <= Gap.SPACE:
        nxt = lows[k + 1]
        if nxt.isdigit() and len(nxt) >= 3:  # "sp 7714"
            return Label("part-number", tokens[k].text.upper() + tokens[k + 1].text, i, k + 2)
    return None


def _spoken_dtc(tokens: Sequence[Token], lows: Sequence[str], i: int) -> Label | None:
    """"p oh three oh one", "p zero four twenty", "P 0302": a letter and four digits, the first of them 0 to 3."""
    if i and len(lows[i - 1]) == 1 and lows[i - 1].isalpha() and lows[i - 1] != "a":
        return None
    text, last = spelled(tokens, i, letters_first=1)
    if len(text) == 5 and text[1] in "0123" and text[1:].isdigit():
        return Label("dtc", text, i, last)
    if len(text) == 6 and text[1:].isdigit() and text[1] in "0123" and lows[last - 1].isalpha():
        return Label("dtc", text[:5], i, last - 1)
    return None


def _short_year(tokens: Sequence[Token], lows: Sequence[str], i: int, shop: Shop) -> Label | None:
    """"oh five chevy"."""
    digit = vocabulary().small.get(lows[i + 1], -1) if i + 1 < len(tokens) else -1
    if 0 <= digit <= 9 and i + 2 < len(tokens) and (lows[i + 2] in shop.models):
        return Label("year", str(2000 + digit), i, i + 2)
    return None


def _clock_words(tokens: Sequence[Token], lows: Sequence[str], i: int, shop: Shop) -> Label | None:
    """"quarter past nine", "half past two"."""
    if i + 2 < len(tokens) and lows[i + 1] in ("past", "after", "to", "till", "til"):
        read = read_number(tokens, i + 2)
        if read is not None and read.value.denominator == 1 and 1 <= read.value <= 12:
            if lows[i + 1] == "to" and lows[i] == "half":
                return None
            return Label("clock", " ".join(lows[i : read.last]), i, read.last)
    return None


def _date_words(tokens: Sequence[Token], lows: Sequence[str], i: int, shop: Shop) -> Label | None:
    """"march fourteenth twenty twenty six", "Mar 14", "july 4th": a month with its day, never the bare word "may"."""
    k = i + 1
    if k < len(tokens) and lows[k] in (".", "the", "of"):
        k += 1
    if k >= len(tokens) or tokens[k].gap > Gap.SPACE:
        return None
    last = _day(tokens, lows, k, shop)
    if last < 0:
        read = read_number(tokens, k)
        if read is None or not _YEARS[0] <= read.value <= _YEARS[1] or lows[i] in ("may", "march", "mar"):
            return None
        return Label("date", " ".join(t.text for t in tokens[i : read.last]), i, read.last)
    j = last + 1 if last < len(tokens) and lows[last] == "," else last
    if j < len(tokens):
        year = read_number(tokens, j)
        if year is not None and not year.has_fraction and _YEARS[0] <= year.value <= _YEARS[1]:
            last = year.last
    return Label("date", " ".join(t.text for t in tokens[i:last]), i, last)


def _day(tokens: Sequence[Token], lows: Sequence[str], k: int, shop: Shop) -> int:
    """The end of a day of the month at token k; -1 for none."""
    ordinals = shop.lists["ordinals"].words
    if lows[k] in ordinals:
        return k + 1
    if lows[k] in ("twenty", "thirty") and k + 1 < len(tokens) and lows[k + 1] in ordinals:
        return k + 2
    read = read_number(tokens, k)
    if read is not None and (read.ordinal or not read.has_fraction) and read.value.denominator == 1 and 1 <= read.value <= 31:
        if not read.spoken and read.last == k + 1:
            return read.last
    return -1


# ------------------------------------------------------------------------------------------- told by what stands beside
def label_number(
    tokens: Sequence[Token], lows: Sequence[str], read: NumberRead, shop: Shop, has_unit: bool, floor: int
) -> Label | None:
    """The name that a number is part of, told by the words beside it; `floor` is where the value before it ended."""
    first, last = read.first, read.last
    after = lows[last] if last < len(lows) and tokens[last].gap < Gap.LINE else ""
    if read.ordinal:
        return Label("ordinal", lows[first], first, last)
    spoken = _spoken_name(tokens, lows, read)
    if spoken is not None:
        return spoken
    if after and shop.lists["money-after"].starts_at(lows, last) > 0:
        return Label("price", f"{_plain(read.value)} {after}", first, shop.lists["money-after"].starts_at(lows, last))
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
    if not has_unit and first > 0 and tokens[first].gap < Gap.LINE and lows[first - 1] in shop.lists["model-before"].words:
        if read.value in (150, 250, 350, 450, 550, 650, 1500, 2500, 3500, 4500, 5500, 6500, 500, 1000, 2, 3, 5, 6) and not read.denominator:
            if not (lows[first - 1] in ("is", "a", "series", "class", "q", "x", "w", "t") and read.value < 100):
                return Label("model", " ".join(lows[first - 1 : last]), first, last)
    return _by_rule(tokens, lows, read, shop, has_unit, floor)


def _spoken_name(tokens: Sequence[Token], lows: Sequence[str], read: NumberRead) -> Label | None:
    """A grade, a refrigerant or a thread that begins with the number; each is looked for only where it can be."""
    first = read.first
    if read.has_fraction:
        return spoken_thread(tokens, lows, first)
    if not GRADE_WORDS.isdisjoint(lows[first + 1 : first + 4]):
        grade = spoken_grade(tokens, lows, first)
        if grade is not None:
            return grade
    return spoken_refrigerant(tokens, lows, first) if is_refrigerant(read) else None


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
                    return Label(rule.rule.kind, f"{lows[start]} {_plain(read.value)}", first, last)
    if last < len(lows) and tokens[last].gap < Gap.LINE:
        for rule in shop.rules_after.get(lows[last], ()):
            if _ruled_out(rule, read, has_unit):
                continue
            end = rule.after.starts_at(lows, last)
            if end > 0 and not (end < len(lows) and lows[end] in ("head", "bolt", "bolts", "nut", "nuts")):
                return Label(rule.rule.kind, " ".join(lows[first:end]), first, end)
    return None


def _ruled_out(rule: Rule, read: NumberRead, has_unit: bool) -> bool:
    if (has_unit and rule.rule.unless_unit) or (read.decimals and rule.rule.kind != "grade"):
        return True
    return not rule.least <= float(read.value) <= rule.most


def _correcting(lows: Sequence[str], start: int, first: int, read: NumberRead, floor: int) -> bool:
    """"two no three": the "no" takes back, it does not number."""
    return lows[start] == "no" and first - start == 1 and (read.spoken or 0 < floor == start)


def _clock_number(lows: Sequence[str], read: NumberRead, shop: Shop, after: str) -> Label | None:
    if read.has_fraction or read.decimals or not (after.isalpha() or after in ("o'clock", "a.m.", "p.m.")):
        return None
    end = shop.lists["clock-after"].starts_at(lows, read.last)
    if end < 0 and after not in ("past", "after", "till", "til"):
        return None
    if not 0 < read.value <= 1259:
        return None
    if end > 0 and (read.value <= 12 or read.value % 100 < 60):
        return Label("clock", " ".join(lows[read.first : end]), read.first, end)
    if after in ("past", "after", "till", "til") and read.spoken and read.value < 60 and read.last + 1 < len(lows):
        hour = vocabulary().small.get(lows[read.last + 1], 0)
        if 1 <= hour <= 12 and read.value % 5 == 0:
            return Label("clock", " ".join(lows[read.first : read.last + 2]), read.first, read.last + 2)
    return None


def _date_fraction(lows: Sequence[str], read: NumberRead, shop: Shop) -> bool:
    """"3/8" behind "on" or a weekday; "9/26" anywhere, no fraction being written so."""
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
    if has_unit or not (written or said) or read.has_fraction or read.decimals or not _YEARS[0] <= read.value <= _YEARS[1]:
        return None
    after = lows[last] if last < len(lows) else ""
    before = lows[first - 1] if first else ""
    if after in shop.models or (last + 1 < len(lows) and shape_of(after) in ("part-number", "code")):
        return Label("year", str(read.value), first, last)
    if before in ("in", "since", "until", "back", "from", "of", "model", "year", "to", "through", "-", "a", "the", "this", "my") or first == 0:
        return Label("year", str(read.value), first, last)
    return None


def label_measured(
    tokens: Sequence[Token], lows: Sequence[str], read: NumberRead, unit: UnitRead | None, shop: Shop, masked: bytearray, named: Sequence[Label]
) -> Label | None:
    """Names that have the look of measures: "the 5.3 liter V8", "160 cc single", "20 by 25", the "99H" of a tyre."""
    first, last = read.first, read.last
    before = named[-1] if named else None
    if before is not None and before.kind == "tire-size" and before.last == first and read.value <= 160:
        return Label("tire-size", lows[first], first, unit.last if unit is not None and unit.last == last + 1 else last)
    if unit is None:
        if last + 1 < len(lows) and lows[last] in ("by", "x", "×") and not read.has_fraction and (
            (tokens[last].gap == Gap.GLUED) == (tokens[last + 1].gap == Gap.GLUED)
        ):
            other = read_number(tokens, last + 1)
            if other is not None and not other.part and read_unit(tokens, other.last, other.spoken) is None:
                end = other.last
                if end + 1 < len(lows) and lows[end] in ("by", "x", "×") and (third := read_number(tokens, end + 1)) is not None:
                    end = third.last
                return Label("dimensions", " ".join(lows[first:end]), first, end)
        return None
    if unit.code == "W" and lows[unit.first] == "w" and read.value in (0, 5, 10, 15, 20, 25) and not read.spoken and (
        {"oil", "fork", "atf", "lube"} & set(lows[max(0, first - 3) : unit.last + 3])
    ):
        return Label("grade", f"{_plain(read.value)}W", first, unit.last)
    if unit.code in ("l", "ml") and not read.has_fraction:
        end = shop.lists["engine-after"].starts_at(lows, unit.last)
        size = read.value if unit.code == "l" else read.value / 1000
        if not Fraction(1, 50) <= size <= 16:
            return None
        if end > 0 and (unit.code == "l" or lows[unit.first] in ("cc", "ccs", "c")):
            return Label("engine", f"{_plain(read.value)} {'L' if unit.code == 'l' else 'cc'}", first, unit.last)
        close = before is not None and before.kind in ("year", "model", "make") and first - before.last <= 3
        if unit.code == "l" and size <= 9 and (close or any(masked[max(0, first - 3) : first]) or _names_vehicle(lows, first, shop)):
            return Label("engine", f"{_plain(read.value)} L", first, unit.last)
    return None


def _names_vehicle(lows: Sequence[str], first: int, shop: Shop) -> bool:
    """Whether a make, a model or the word "engine" stands within the three words before."""
    return any(w in shop.models or w in ("engine", "motor") for w in lows[max(0, first - 3) : first])


def _plain(value: Fraction) -> str:
    return str(value.numerator) if value.denominator == 1 else f"{float(value):g}"
