"""Values told in pieces: digits of one decimal, amounts in two units, counts before sizes, lists of tens."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

from narrate.core.handoffs import Gap, Token
from narrate.core.units import convert
from narrate.hear.speech.numbers import NumberRead
from narrate.read.mentions.found import Found
from narrate.read.mentions.shop import Shop, ambiguous_key

_SMALL_UNITS = frozenset(
    ("ftlb", "Nm", "qt", "gal", "pt", "V", "degF", "degC", "mm", "in", "thou", "min", "s", "h", "inHg", "%")
)
_DECIMAL_UNITS = frozenset(("V", "inHg", "degF", "degC", "lb", "qt", "mm", "l", "bar"))


def join_decimals(tokens: Sequence[Token], lows: Sequence[str], found: list[Found], shop: Shop) -> None:
    """ "fourteen two volts" 14.2, "twenty nine five inches" 29.5: tens and a digit side by side, before such a unit."""
    for one, other in pairwise(found):
        if one.gone or other.gone or one.said or not other.said or one.end != other.first or not one.number.spoken:
            continue
        chunk = one.number.chunks[-1] if len(one.number.chunks) == 1 else None
        tail = other.number
        if (
            chunk is None
            or tail.has_fraction
            or tail.decimals
            or not 0 <= tail.value <= 9
            or tail.value.denominator != 1
        ):
            continue
        if other.choice is not None:
            if ambiguous_key(other.choice) not in ("inches", "degrees"):
                continue
        elif other.unit not in _DECIMAL_UNITS or (other.unit != "V" and chunk.shape == "d"):
            continue
        if chunk.shape not in "td" or (chunk.value < 10 and other.unit != "V"):
            continue
        if tokens[other.first].gap > Gap.SOFT:
            continue
        value = one.low + tail.value / 10
        other.low = other.high = value
        other.first = one.first
        other.number = replace(tail, value=value, first=one.first, decimals=1, chunks=())
        one.gone = True


def split_counts(
    tokens: Sequence[Token], lows: Sequence[str], found: list[Found], shop: Shop, noun_at: bytearray
) -> list[Found]:
    """ "five ten millimeter bolts": a count, and the size of what is counted; so with cans of twelve ounces."""
    out: list[Found] = []
    for one in found:
        chunks = one.number.chunks
        if one.gone or len(chunks) < 2 or not one.said or not one.number.spoken or one.number.spelt:
            out.append(one)
            continue
        if not _splits(lows, one, shop, noun_at):
            out.append(one)
            continue
        head, tail = chunks[0], chunks[1:]
        count = Found(
            Fraction(head.value),
            Fraction(head.value),
            one.first,
            head.last,
            head.last,
            NumberRead(Fraction(head.value), one.first, head.last, True, (head,)),
            counted=True,
        )
        rest = 0
        for chunk in tail:
            rest = rest * 100 + chunk.value
        one.low = one.high = Fraction(rest)
        one.first = tail[0].first
        one.number = replace(one.number, value=Fraction(rest), first=one.first, chunks=tuple(tail))
        out += [count, one]
    return out


def split_lists(lows: Sequence[str], found: list[Found], shop: Shop) -> list[Found]:
    """ "thirty fifty and seventy foot pounds": tens said one after the other in a list are values of their own."""
    out: list[Found] = []
    for n, one in enumerate(found):
        chunks = one.number.chunks
        after = found[n + 1] if n + 1 < len(found) else None
        pair = [c.value for c in chunks] if len(chunks) == 2 else [0, 0]
        fives = (
            one.unit in ("psi", "kPa", "rpm") and pair[1] == pair[0] + 5 and pair[0] % 5 == 0
        )  # "thirty thirty five psi"
        if (
            not one.gone
            and (one.unit in _SMALL_UNITS or fives)
            and one.low >= 1000
            and len(chunks) == 2
            and one.number.spoken
            and {c.shape for c in chunks} == {"t"}
        ):
            first, second = chunks  # nobody says "fifty sixty foot pounds" for so large a torque
            value = Fraction(first.value)
            out.append(
                Found(
                    value,
                    value,
                    first.first,
                    first.last,
                    first.last,
                    replace(one.number, value=value, first=first.first, last=first.last, chunks=(first,)),
                )
            )
            one.low = one.high = Fraction(second.value)
            one.first, one.number = (
                second.first,
                replace(one.number, value=one.low, first=second.first, chunks=(second,)),
            )
            out.append(one)
            continue
        if (
            after is None
            or one.said
            or len(chunks) != 2
            or not after.said
            or not one.number.spoken
            or one.number.spelt
            or one.gone
            or {c.shape for c in chunks} - {"t", "d"}
            or after.low <= 0
            or not all(Fraction(1, 8) <= c.value / after.low <= 8 for c in chunks)
            or one.low / after.low <= 8
        ):
            out.append(one)
            continue
        link = lows[one.last : after.first]
        if not link or len(link) > 3 or shop.lists["share-link"].starts_at(link, 0) != len(link):
            out.append(one)
            continue
        for chunk in chunks:
            value = Fraction(chunk.value)
            out.append(
                Found(
                    value,
                    value,
                    chunk.first,
                    chunk.last,
                    chunk.last,
                    replace(one.number, value=value, first=chunk.first, last=chunk.last, chunks=(chunk,)),
                )
            )
    return out


def _splits(lows: Sequence[str], one: Found, shop: Shop, noun_at: bytearray) -> bool:
    chunks = one.number.chunks
    if chunks[0].shape not in "dt" or chunks[0].value > 24 or chunks[1].shape == "z":
        return False
    after = one.last
    if one.unit in ("mm", "in") or (one.choice is not None and ambiguous_key(one.choice) == "mil"):
        follows = shop.lists["fasteners"].starts_at(lows, after) > 0 or shop.lists["tools"].starts_at(lows, after) > 0
        follows = follows or (after < len(noun_at) and bool(noun_at[after]))
        return one.low > 40 and (follows or _sizes_alone(lows, one, shop))
    container = shop.lists["can-words"].starts_at(lows, after) > 0
    return container


_SOCKETS = frozenset((8, 10, 12, 13, 14, 15, 16, 17, 18, 19, 21, 22, 24))  # common practice, no source


def _sizes_alone(lows: Sequence[str], one: Found, shop: Shop) -> bool:
    """ "Held with four ten millimeters": so many of a common size, where what is counted is left out."""
    chunks = one.number.chunks
    many = len(chunks) == 2 and 2 <= chunks[0].value <= 12 and chunks[1].value in _SOCKETS
    return many and lows[one.last - 1].endswith("s") and shop.lists["holds-by"].ends_at(lows, one.first) >= 0


def join_compounds(tokens: Sequence[Token], lows: Sequence[str], found: list[Found], shop: Shop) -> None:
    """ "two pounds two ounces", "an hour and ten", "one pound twelve": one amount in two units, told in the smaller."""
    for one, other in pairwise(found):
        if one.gone or other.gone or not one.said or one.ranged or other.ranged or one.container:
            continue
        link = lows[one.last : other.first]
        if link not in ([], ["and"], [","], [",", "and"]) or tokens[other.first].gap > Gap.PAUSE:
            continue
        big = _heavy_unit(one)
        pair = next((c for (b, _), c in shop.compounds.items() if b == big and _small_fits(other, c.small)), None)
        if pair is None or one.low.denominator != 1 or not 0 < other.low < Fraction(pair.most):
            continue
        if not other.said:
            if not pair.alone or (link and big != "h") or other.number.has_fraction or other.counted:
                continue
            if _thing_follows(lows, other, shop):
                continue
        elif (link and big == "lb" and _of_another(lows, other)) or (link == [","] and big != "ft"):
            continue
        other.low = other.high = convert(one.low, pair.big, pair.small) + other.low
        other.first, other.unit, other.choice, other.said = one.first, pair.small, None, True
        other.number = replace(other.number, first=one.first)
        one.gone = True


def _heavy_unit(one: Found) -> str:
    if one.choice is not None:
        return (
            "lb" if ambiguous_key(one.choice) == "pounds" else ("in" if ambiguous_key(one.choice) == "inches" else "")
        )
    return one.unit


def _small_fits(other: Found, small: str) -> bool:
    if not other.said:
        return small in ("oz", "min")
    if other.choice is not None:
        key = ambiguous_key(other.choice)
        return (key == "ounces" and small in ("oz", "floz")) or (key == "inches" and small == "in")
    return other.unit == small


def _of_another(lows: Sequence[str], other: Found) -> bool:
    """ "one pound of gas and two ounces of oil" are two amounts."""
    return other.last < len(lows) and lows[other.last] == "of"


def _thing_follows(lows: Sequence[str], other: Found, shop: Shop) -> bool:
    after = lows[other.last] if other.last < len(lows) else ""
    return (
        after in shop.lists["adjective"].words
        or shop.lists["fasteners"].starts_at(lows, other.last) > 0
        or (len(after) > 3 and after.endswith("s") and after not in ("is", "was", "this", "its"))
    )
