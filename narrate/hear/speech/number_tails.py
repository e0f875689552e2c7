"""What may follow a number: decimals after "point", and a fraction after "and"."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from narrate.core.handoffs import Gap, Token
from narrate.hear.speech.chunks import one_chunk, over_what
from narrate.hear.speech.number_words import DENOMINATORS, Vocabulary, figure, vocabulary


def read_decimals(tokens: Sequence[Token], k: int, words: Vocabulary) -> tuple[str, int]:
    """The digits said after "point": one at a time, or two at once ("forty two"); ("", k) where none are."""
    digits = ""
    while k < len(tokens) and tokens[k].gap <= Gap.SOFT and len(digits) < 8:
        low = tokens[k].low
        if low in words.nought:
            digits, k = digits + "0", k + 1
            continue
        value = words.small.get(low)
        if value is not None and value < 10:
            follows = tokens[k + 1].low if k + 1 < len(tokens) else ""
            if digits and (follows == "point" or follows in words.scales or follows in words.parts):
                break  # the first digit of the next number
            if digits and follows == "and" and k + 2 < len(tokens) and tokens[k + 2].low in ("a", "half"):
                break
            digits, k = digits + str(value), k + 1
            continue
        if not digits.strip("0") and (value is not None or low in words.tens):
            chunk = one_chunk(tokens, k, words)
            if chunk is not None and 10 <= chunk.value <= 99:
                return digits + str(chunk.value), chunk.last
        if not digits and low.isdigit() and low.isascii() and len(low) <= 4:
            return low, k + 1
        break
    return digits, k


def and_fraction(tokens: Sequence[Token], k: int) -> tuple[Fraction, int, int] | None:
    """ "and a half", "and three quarters", "and 1/2" from token k on: (value, last, denominator)."""
    words = vocabulary()
    if k + 1 >= len(tokens) or tokens[k].low != "and" or tokens[k].gap > Gap.PAUSE or tokens[k + 1].gap > Gap.PAUSE:
        return None
    j = k + 1
    low = tokens[j].low
    if low in ("a", "an") and j + 1 < len(tokens) and tokens[j + 1].low in words.parts:
        over = words.parts[tokens[j + 1].low]
        if over == 100 or (tokens[j + 1].low == "half" and _half_names_unit(tokens, j + 2)):
            return None
        return Fraction(1, over), j + 2, over
    if low == "half":
        return None if _half_names_unit(tokens, j + 1) else (Fraction(1, 2), j + 1, 2)
    part = figure(low) if low[0].isdigit() or low in "½¼¾⅛⅜⅝⅞⅓⅔" else None
    if part is not None and part.denominator in DENOMINATORS and part.denominator != 32 and 0 < part.value < 1:
        return part.value, j + 1, part.denominator
    top = one_chunk(tokens, j, words)
    if top is None or top.shape not in "dt":
        return None
    over, end = over_what(tokens, top, words)
    if not over or top.value >= over or over == 10:
        return None
    if over == 32 and not any(t.low in ("inch", "inches") for t in tokens[end : end + 3]):
        return None  # "six and seven thirty seconds" are two treads
    return Fraction(top.value, over), end, over


def _half_names_unit(tokens: Sequence[Token], k: int) -> bool:
    """ "three and half a quart": the half begins an amount of its own."""
    return (
        k + 1 < len(tokens)
        and tokens[k].low in ("a", "an")
        and tokens[k].gap <= Gap.SOFT
        and tokens[k + 1].low.isalpha()
    )
