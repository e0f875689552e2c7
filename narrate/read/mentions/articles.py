"""Amounts counted by an article, and what is added behind a unit: "a pint", "two pounds and a half"."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from functools import lru_cache

from narrate.core.handoffs import Gap, Token
from narrate.hear.speech.number_tails import and_fraction
from narrate.hear.speech.number_words import numbers_file
from narrate.hear.speech.numbers import NumberRead, read_number
from narrate.read.mentions.found import Found
from narrate.read.mentions.unit_words import UnitRead, read_unit


def counted_by_article(tokens: Sequence[Token], lows: Sequence[str], i: int) -> Found | None:
    """ "a pint", "an hour and a half", "another ounce", and with no article "hour and ten"."""
    low = lows[i]
    k = i + 1 if low in ("a", "an", "another") else i
    if k >= len(tokens) or (k > i and tokens[k].gap > Gap.PAUSE):
        return None
    if (
        k > i
        and lows[k] in ("good", "full", "solid", "whole", "fresh", "new", "complete", "further", "additional")
        and k + 1 < len(tokens)
    ):
        k += 1
    unit = read_unit(tokens, k, spoken=True)
    if unit is None:
        return None
    joined = unit.last < len(lows) and lows[unit.last] == "and" and and_fraction(tokens, unit.last) is not None
    timed = (
        unit.code == "h"
        and unit.last + 1 < len(lows)
        and lows[unit.last] == "and"
        and _starts_number(tokens, unit.last + 1)
    )
    if k == i and not (joined or timed):
        return None
    if not (unit.article or unit.container or joined):
        return None
    follows = lows[unit.last] if unit.last < len(lows) else ""
    if low != "another" and not joined and not _article_fits(lows, i, unit, follows):
        return None
    one = Found(Fraction(1), Fraction(1), i, unit.last, k, NumberRead(Fraction(1), i, k, True, article=True))
    one.take(unit)
    add_tail(tokens, lows, one)
    return one


@lru_cache(maxsize=1)
def _sizes_of_tools() -> frozenset[str]:
    """What makes a tool of "a half inch": drive, socket."""
    return frozenset(word for one in numbers_file().lists if one.id == "drive-or-tool" for word in one.say)


def _starts_number(tokens: Sequence[Token], k: int) -> bool:
    read = read_number(tokens, k)
    return read is not None and read.value.denominator == 1 and 0 < read.value < 60


def _article_fits(lows: Sequence[str], i: int, unit: UnitRead, follows: str) -> bool:
    """Whether "a can", "a set", "a cup", "a turn" counts: the word names things and places too."""
    before = lows[i - 1] if i else ""
    if unit.code == "turns":
        return follows in ("past", "more", "of", "out", "in", "further") or before in (
            "about",
            "another",
            "half",
            "off",
            "out",
            "back",
            "in",
            "one",
        )
    if unit.code == "min":
        return before in ("for", "about", "in", "under", "over", "after", "within", "than", "almost", "around", "every")
    if unit.container:
        return follows == "of" or (unit.code in ("pair", "can") and follows in ("", ".", ","))
    if unit.code == "cup":
        return follows in ("of", "low", "more", "out") or before in (
            "about",
            "got",
            "maybe",
            "around",
            "lost",
            "almost",
            "only",
        )
    if unit.code == "h":
        return follows not in ("meter", "later", "ago", "rate", "away") and before not in (
            "per",
            "miles",
            "mile",
            "half",
            "times",
            "bucks",
            "kilometers",
        )
    if unit.code == "in":
        return follows not in _sizes_of_tools() or before in ("about",)
    return before not in ("half", "per", "a")


def add_tail(tokens: Sequence[Token], lows: Sequence[str], one: Found) -> None:
    """ "a quart *and a half*", "two pounds *and three quarters*"; not where the fraction has a unit of its own."""
    if one.number.has_fraction or one.number.decimals or (one.container and not one.number.article):
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
