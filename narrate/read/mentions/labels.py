"""What looks like a number and is none: grades, codes, part numbers, threads, years, dates, clocks, prices, ordinals.

`label_at` tells it from the words at a token, before any number is read there; `label_number` from the words beside a
number that was read. Both give a Label with its normal form, or None.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from narrate.core.handoffs import Gap, Label, Token
from narrate.hear.speech.number_words import figure, vocabulary
from narrate.hear.speech.numbers import read_number
from narrate.read.mentions.label_shapes import shape_of
from narrate.read.mentions.label_spoken import (
    spelled,
    spoken_gas,
    spoken_grade,
    spoken_star,
    spoken_thread,
)
from narrate.read.mentions.shop import Shop

_MONEY = frozenset("$£€")
_LITTLE_WORDS = frozenset(
    ("is", "was", "on", "in", "to", "of", "or", "and", "at", "for", "by", "the", "has", "with", "we", "had", "its")
)
_DTC_LETTERS = frozenset("pbcu")
_CONTAINS = frozenset(("thread", "tire-size", "clock", "phone", "grade", "gas", "star", "vin", "code", "year", "dtc"))
YEARS = (Fraction(1950), Fraction(2035))
WORDS = frozenset(
    (
        "r",
        "p",
        "b",
        "c",
        "u",
        "m",
        "t",
        "torx",
        "e",
        "part",
        "p/n",
        "pn",
        "oh",
        "o",
        "$",
        "£",
        "€",
        "item",
        "stock",
        "oem",
        "oe",
        "plate",
        "serial",
        "s/n",
        "mfg",
        "casting",
        "catalog",
        "sku",
        "tag",
        "license",
        "licence",
        "reg",
        "registration",
        "quarter",
        "half",
        "number",
        "numbers",
        "cat",
        "ser",
    )
)


def label_at(tokens: Sequence[Token], lows: Sequence[str], i: int, shop: Shop) -> Label | None:
    """The name that begins at token `i`, if one does."""
    low = lows[i]
    if low in WORDS:
        found = _by_word(tokens, lows, i, shop)
        if found is not None:
            return found
    if low in _MONEY and i + 1 < len(tokens):
        read = read_number(tokens, i + 1)
        if read is None:
            return None
        millions = lows[read.last : read.last + 1] in (["m"], ["b"], ["k"]) and tokens[read.last].gap == Gap.GLUED
        return Label("price", f"{low}{plain(read.value)}", i, read.last + millions)
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
    """ "M10-1.5", "M10 x 1.5": the pitch stands apart."""
    if i + 2 < len(tokens) and lows[i + 1] in ("-", "x", "×", "by"):
        pitch = figure(lows[i + 2])
        if pitch is not None and 0 < pitch.value < 7:
            return Label("thread", f"{tokens[i].text.upper()}x{plain(pitch.value)}", i, i + 3)
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
    if low == "number":  # "number d b one seven seven four": a supplier's, and no second or third of a kind
        k = _skip(lows, i + 1, ("is", ":", "#", "was"))
        text, last = spelled(tokens, k)
        figures = sum(c.isdigit() for c in text)
        if figures < 3 and not (figures == 2 and text[:2].isalpha()):
            text, last = _run_together(tokens, lows, k)
        if text[:1].isalpha() and lows[i - 1] not in ("vin", "v", "n"):
            return Label("part-number", text, i, last)
    end = shop.lists["plate-before"].starts_at(lows, i)
    if end > 0:
        text, last = spelled(tokens, _skip(lows, end, ("is", ":", "number", "#")))
        if len(text) >= 4 and any(c.isdigit() for c in text):
            return Label("plate", text, i, last)
    if low == "r":
        return spoken_gas(tokens, lows, i)
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
        while (
            last + 1 < len(tokens)
            and lows[last] == "-"
            and tokens[last].gap == Gap.GLUED
            and tokens[last + 1].gap == Gap.GLUED
        ):
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
    text, last = _run_together(tokens, lows, k)
    return Label("part-number", text, i, last) if text else None


def _run_together(tokens: Sequence[Token], lows: Sequence[str], k: int) -> tuple[str, int]:
    """ "rk three one seven seven": letters that a recogniser wrote as one, and figures said one by one; ("", k) for none."""
    if k + 3 >= len(tokens) or not lows[k].isalpha() or not 2 <= len(lows[k]) <= 3 or lows[k] in _LITTLE_WORDS:
        return "", k
    text, last = spelled(tokens, k + 1)
    counted = last < len(lows) and lows[last] == "new" and any(low.endswith("s") for low in lows[last + 1 : last + 4])
    if counted and len(text) == last - k - 1 > 3:  # "... seven seven two new seals": the last figure counts them
        text, last = text[:-1], last - 1
    return (tokens[k].text.upper() + text, last) if len(text) >= 3 and text.isdigit() else ("", k)


def _spoken_dtc(tokens: Sequence[Token], lows: Sequence[str], i: int) -> Label | None:
    """ "p oh three oh one", "p zero four twenty", "P 0302": a letter and four digits, the first of them 0 to 3."""
    if i and len(lows[i - 1]) == 1 and lows[i - 1].isalpha() and lows[i - 1] != "a":
        return None
    text, last = spelled(tokens, i, letters_first=1)
    if len(text) == 5 and text[1] in "0123" and text[1:].isdigit():
        return Label("dtc", text, i, last)
    if len(text) == 6 and text[1:].isdigit() and text[1] in "0123" and lows[last - 1].isalpha():
        return Label("dtc", text[:5], i, last - 1)
    return None


def _short_year(tokens: Sequence[Token], lows: Sequence[str], i: int, shop: Shop) -> Label | None:
    """ "oh five chevy"."""
    digit = vocabulary().small.get(lows[i + 1], -1) if i + 1 < len(tokens) else -1
    if 0 <= digit <= 9 and i + 2 < len(tokens) and (lows[i + 2] in shop.models):
        return Label("year", str(2000 + digit), i, i + 2)
    return None


def _clock_words(tokens: Sequence[Token], lows: Sequence[str], i: int, shop: Shop) -> Label | None:
    """ "quarter past nine", "half past two"."""
    if i + 2 < len(tokens) and lows[i + 1] in ("past", "after", "to", "till", "til"):
        read = read_number(tokens, i + 2)
        if read is not None and read.value.denominator == 1 and 1 <= read.value <= 12:
            if lows[i + 1] == "to" and lows[i] == "half":
                return None
            return Label("clock", " ".join(lows[i : read.last]), i, read.last)
    return None


def _date_words(tokens: Sequence[Token], lows: Sequence[str], i: int, shop: Shop) -> Label | None:
    """ "march fourteenth twenty twenty six", "Mar 14", "july 4th": a month with its day, never the bare word "may"."""
    k = i + 1
    if k < len(tokens) and lows[k] in (".", "the", "of"):
        k += 1
    if k >= len(tokens) or tokens[k].gap > Gap.SPACE:
        return None
    last = _day(tokens, lows, k, shop)
    if last < 0:
        read = read_number(tokens, k)
        if read is None or not YEARS[0] <= read.value <= YEARS[1] or lows[i] in ("may", "march", "mar"):
            return None
        return Label("date", " ".join(t.text for t in tokens[i : read.last]), i, read.last)
    j = last + 1 if last < len(tokens) and lows[last] == "," else last
    if j < len(tokens):
        year = read_number(tokens, j)
        if year is not None and not year.has_fraction and YEARS[0] <= year.value <= YEARS[1]:
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
    if (
        read is not None
        and (read.ordinal or not read.has_fraction)
        and read.value.denominator == 1
        and 1 <= read.value <= 31
        and not read.spoken
        and read.last == k + 1
    ):
        return read.last
    return -1


def plain(value: Fraction) -> str:
    return str(value.numerator) if value.denominator == 1 else f"{float(value):g}"
