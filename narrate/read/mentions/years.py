"""Model years as written and said: 2014, '05, "oh five", "twenty eleven", "two thousand and four", "ninety eight"."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from narrate.core.handoffs import Gap, Token
from narrate.hear.speech.number_words import vocabulary

EARLIEST = 1950
Strength = Literal["full", "short", "bare"]


@dataclass(frozen=True, slots=True)
class Year:
    """A year, and how surely it is one: `full` by itself, `short` beside a vehicle, `bare` straight before one."""

    value: int
    first: int
    last: int
    strength: Strength


def read_year(tokens: Sequence[Token], words: Sequence[str], k: int, latest: int) -> Year | None:
    """The year that begins at token k, if the words there can be one; `latest` is the newest model year there can be."""
    word = words[k]
    if word.isdigit():
        return _typed(tokens, words, k, latest)
    if len(word) == 3 and word[0] == "'" and word[1:].isdigit():
        return _century(int(word[1:]), k, k + 1, "short", latest)
    return _spoken(tokens, words, k, latest)


def _typed(tokens: Sequence[Token], words: Sequence[str], k: int, latest: int) -> Year | None:
    word = words[k]
    if len(word) == 4:
        return Year(int(word), k, k + 1, "full") if EARLIEST <= int(word) <= latest else None
    if len(word) != 2:
        return None
    if word in ("19", "20") and k + 1 < len(words) and len(words[k + 1]) == 2 and words[k + 1].isdigit() and tokens[k + 1].gap <= Gap.SOFT:
        year = int(word + words[k + 1])
        if EARLIEST <= year <= latest:
            return Year(year, k, k + 2, "bare")
    return _century(int(word), k, k + 1, "short" if word[0] == "0" else "bare", latest)


def _century(two: int, first: int, last: int, strength: Strength, latest: int) -> Year | None:
    for year in (2000 + two, 1900 + two):
        if EARLIEST <= year <= latest:
            return Year(year, first, last, strength)
    return None


def _spoken(tokens: Sequence[Token], words: Sequence[str], k: int, latest: int) -> Year | None:
    known = vocabulary()
    word = words[k]
    after = words[k + 1] if k + 1 < len(words) and tokens[k + 1].gap < Gap.LINE else ""
    if word == "two" and after == "thousand":
        j = k + 3 if k + 2 < len(words) and words[k + 2] == "and" else k + 2
        two, last = _below_hundred(tokens, words, j)
        if two and two < 50 and not (last < len(words) and words[last] in known.scales):
            return _century(two, k, last, "full", latest)
        return None if k + 2 < len(words) and words[k + 2] in known.scales else Year(2000, k, k + 2, "bare")
    if word in ("twenty", "nineteen") and after:
        two, last = _below_hundred(tokens, words, k + 1)
        if after in known.nought:
            digit = known.small.get(words[k + 2], 0) if k + 2 < len(words) else 0
            two, last = (digit, k + 3) if 0 < digit < 10 else (0, k)
        elif two < 10:
            two = 0  # "twenty three" is no 2003
        year = (2000 if word == "twenty" else 1900) + two
        if two and EARLIEST <= year <= latest:
            return Year(year, k, last, "full")
    if (word in known.nought or known.small.get(word) == 0) and 0 < known.small.get(after, 0) < 10:
        return Year(2000 + known.small[after], k, k + 2, "short")
    two, last = _below_hundred(tokens, words, k)
    return _century(two, k, last, "bare", latest) if two >= 10 else None


def _below_hundred(tokens: Sequence[Token], words: Sequence[str], k: int) -> tuple[int, int]:
    """A spoken number from 1 to 99 at token k and where it ends; (0, k) where none is."""
    known = vocabulary()
    if k >= len(words):
        return 0, k
    word = words[k]
    if word in known.tens:
        unit = known.small.get(words[k + 1], 0) if k + 1 < len(words) and tokens[k + 1].gap < Gap.LINE else 0
        return (known.tens[word] + unit, k + 2) if 1 <= unit <= 9 else (known.tens[word], k + 1)
    value = known.small.get(word, 0)
    return (value, k + 1) if value else (0, k)


def year_before(tokens: Sequence[Token], words: Sequence[str], end: int, latest: int) -> Year | None:
    """The year that ends just before token `end`; the longest reading counts."""
    best: Year | None = None
    for start in range(max(0, end - 5), end):
        if any(t.gap >= Gap.PARAGRAPH for t in tokens[start + 1 : end]):
            continue
        year = read_year(tokens, words, start, latest)
        if year is not None and year.last == end:
            best = year
            break
    if best is not None and best.strength != "full" and not words[best.first].startswith("'") and best.first > 0 and _is_number(words[best.first - 1]):
        return None  # the tail of a longer number
    return best


def _is_number(word: str) -> bool:
    known = vocabulary()
    return word in known.small or word in known.tens or word in known.scales or word[:1].isdigit() or word == "point"
