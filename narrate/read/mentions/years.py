"""Model years as written and said: 2014, '05, "oh five", "twenty eleven", "two thousand and four", "ninety eight"."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from narrate.core.handoffs import Gap
from narrate.hear.speech.number_words import vocabulary
from narrate.read.mentions.said import Said

EARLIEST = 1950
Strength = Literal["full", "short", "bare"]


@dataclass(frozen=True, slots=True)
class Year:
    """A year, and how surely it is one: `full` by itself, `short` beside a vehicle, `bare` straight before one."""

    value: int
    first: int
    last: int
    strength: Strength


def read_year(said: Said, k: int, latest: int) -> Year | None:
    """The year that begins at token k, if the words can be one; `latest` is the newest model year there can be."""
    word = said.words[k]
    if word.isdigit():
        return _typed(said, k, latest)
    if len(word) == 3 and word[0] == "'" and word[1:].isdigit():
        return _century(int(word[1:]), k, k + 1, "short", latest)
    return _spoken(said, k, latest)


def _typed(said: Said, k: int, latest: int) -> Year | None:
    word = said.words[k]
    if len(word) == 4:
        return Year(int(word), k, k + 1, "full") if EARLIEST <= int(word) <= latest else None
    if len(word) != 2:
        return None
    after = said.word(k + 1)
    if word in ("19", "20") and len(after) == 2 and after.isdigit() and EARLIEST <= int(word + after) <= latest:
        return Year(int(word + after), k, k + 2, "bare")
    return _century(int(word), k, k + 1, "short" if word[0] == "0" else "bare", latest)


def _century(two: int, first: int, last: int, strength: Strength, latest: int) -> Year | None:
    for year in (2000 + two, 1900 + two):
        if EARLIEST <= year <= latest:
            return Year(year, first, last, strength)
    return None


def _spoken(said: Said, k: int, latest: int) -> Year | None:
    known = vocabulary()
    word, after = said.words[k], said.word(k + 1)
    if word == "two" and after == "thousand":
        j = k + 3 if said.word(k + 2) == "and" else k + 2
        two, last = _below_hundred(said, j)
        if two and two < 50 and said.word(last) not in known.scales:
            return _century(two, k, last, "full", latest)
        return None if said.word(k + 2) in known.scales else Year(2000, k, k + 2, "bare")
    if word in ("twenty", "nineteen"):
        two, last = _below_hundred(said, k + 1)
        if after in known.nought:
            two, last = known.small.get(said.word(k + 2), 0), k + 3
            two = two if two < 10 else 0
        elif two < 10:
            two = 0  # "twenty three" is no 2003
        year = (2000 if word == "twenty" else 1900) + two
        if two and EARLIEST <= year <= latest:
            return Year(year, k, last, "full")
    if (word in known.nought or known.small.get(word) == 0) and 0 < known.small.get(after, 0) < 10:
        return Year(2000 + known.small[after], k, k + 2, "short")
    two, last = _below_hundred(said, k)
    return _century(two, k, last, "bare", latest) if two >= 10 else None


def _below_hundred(said: Said, k: int) -> tuple[int, int]:
    """A spoken number from 1 to 99 at token k and where it ends; (0, k) where none is."""
    known = vocabulary()
    if k >= said.size:
        return 0, k
    word = said.words[k]
    if word in known.tens:
        unit = known.small.get(said.word(k + 1), 0)
        return (known.tens[word] + unit, k + 2) if 1 <= unit <= 9 else (known.tens[word], k + 1)
    value = known.small.get(word, 0)
    return (value, k + 1) if value else (0, k)


def year_before(said: Said, end: int, latest: int) -> Year | None:
    """The year that ends just before token `end`; the longest reading counts."""
    for start in range(max(0, end - 5), end):
        if any(t.gap >= Gap.PARAGRAPH for t in said.tokens[start + 1 : end]):
            continue
        year = read_year(said, start, latest)
        if year is None or year.last != end:
            continue
        typed = said.words[start].startswith("'")
        if year.strength != "full" and not typed and start > 0 and _is_number(said.words[start - 1]):
            return None  # the tail of a longer number
        return year
    return None


def _is_number(word: str) -> bool:
    known = vocabulary()
    return word in known.small or word in known.tens or word in known.scales or word[:1].isdigit() or word == "point"
