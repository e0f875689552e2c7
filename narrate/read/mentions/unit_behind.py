"""The unit said behind a number, over the small words that may stand between ("half of a quart", "two more quarts")."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from narrate.core.handoffs import Gap, Token
from narrate.hear.speech.number_words import figure, vocabulary
from narrate.hear.speech.numbers import NumberRead
from narrate.read.mentions.shop import Shop
from narrate.read.mentions.unit_words import UnitRead, read_unit

_POURING = frozenset(
    (
        "put",
        "puts",
        "went",
        "goes",
        "go",
        "pour",
        "poured",
        "pumped",
        "add",
        "added",
        "adding",
        "putting",
        "dumped",
        "took",
    )
)


_QUOTES = frozenset(('"', "”"))
_QUOTED = 40  # tokens of a quotation, at the most


def _closes(tokens: Sequence[Token], k: int) -> bool:
    """Whether the mark at `k` ends what was quoted, and is no inch: one opened before it, and none but it closes that."""
    j = k - 1
    while j >= 0 and j > k - _QUOTED and tokens[j].text not in ('"', "“", "”"):
        j -= 1
    if j < 0 or tokens[j].text not in ('"', "“") or (tokens[j].gap == Gap.GLUED and j > 0):
        return False
    for i in range(k + 1, min(len(tokens), k + _QUOTED)):
        if tokens[i].gap >= Gap.LINE:
            break
        if tokens[i].text in _QUOTES:
            return tokens[i].gap != Gap.GLUED
    return True


def unit_behind(tokens: Sequence[Token], lows: Sequence[str], read: NumberRead, shop: Shop) -> UnitRead | None:
    """The unit word behind a number, over "of an", "more", "full" and the like."""
    k, size = read.last, len(tokens)
    if k >= size or read.ordinal:
        return None
    if tokens[k].gap > Gap.PAUSE:
        return _on_next_line(tokens, lows, read)
    decimal = read.decimals > 0 or (read.denominator > 0 and not read.spoken)
    whole = read.value.numerator if read.value.denominator == 1 else 0  # to compare fractions takes long
    if read.has_fraction or read.approximate or whole in (6, 12, 24):
        if lows[k] == "of" and k + 1 < size:
            k += 1
            if lows[k] in ("a", "an") and k + 1 < size:
                k += 1
        elif lows[k] in ("a", "an") and read.part and k + 1 < size:
            k += 1
    small = 0 < whole < 5
    direct = read_unit(tokens, k, read.spoken, decimal, small, abs(float(read.value)) > 500)
    if direct is not None and direct.code == "quart-can" and direct.last - direct.first == 2:
        counted = (
            k > 0 and read.first > 0 and (lows[read.first - 1].isdigit() or lows[read.first - 1] in vocabulary().small)
        )
        if counted or (read.value != 1 and not lows[direct.last - 1].endswith("s")):
            return UnitRead("qt", None, direct.first, direct.first + 1, True, False)  # "a five quart jug"
    if (
        direct is not None
        and lows[direct.first] == "in"
        and tokens[direct.first].gap != Gap.GLUED
        and (not read.decimals or (read.first > 0 and lows[read.first - 1] in _POURING))
        and (
            (not read.denominator or "and" in lows[read.first : read.last])
            and _POURING & set(lows[max(0, read.first - 5) : read.first])
        )
    ):
        return None  # "put 5 and a half in"
    if direct is not None and tokens[direct.first].text in _QUOTES and _closes(tokens, direct.first):
        return None  # "he said "bump it to 35""
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


def plural_figure(lows: Sequence[str], read: NumberRead, shop: Shop) -> bool:
    """ "those are 13s", "two bolts, both of them 14s": the s makes a plural of a size, it stands for no seconds."""
    if shop.lists["size-before"].ends_at(lows, read.first) >= 0:
        return True
    before = lows[read.first - 1] if read.first else ""
    if before in ("for", "hold", "held", "in", "after", "within", "every", "cranked", "another", "~", "about"):
        return False
    fasteners = shop.lists["fasteners"]
    return any(fasteners.ends_at(lows, k) >= 0 for k in range(read.first, max(0, read.first - 6), -1))


def _second_reading(tokens: Sequence[Token], lows: Sequence[str], read: NumberRead, unit: UnitRead, shop: Shop) -> bool:
    """Whether what looks like a unit is none: "those are 13s", "2 second gear sets"."""
    token = tokens[unit.first]
    if token.low == "min" and read.decimals and unit.last < len(lows):
        least = figure(lows[unit.last])  # "disc 4.9 min 4.5": the minimum
        if least is not None and least.decimals and Fraction(2, 3) <= least.value / read.value <= Fraction(3, 2):
            return True
    if token.low == "s" and token.gap == Gap.GLUED and not read.has_fraction and read.value.denominator == 1:
        return 4 <= read.value <= 50 and plural_figure(lows, read, shop)
    return token.low == "second" and unit.last < len(lows) and lows[unit.last] in ("gear", "stage", "row", "set", "one")
