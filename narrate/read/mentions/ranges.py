"""Ranges and tolerances: "thirty to thirty five", "30-35", "between .9 and 1.2", "12.6 plus or minus .2".

A change from one value to another ("went from 12.1 volts to 14.2 volts") is two readings and no range.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from narrate.core.handoffs import Gap, Token
from narrate.core.units import convert, same_dimension
from narrate.read.mentions.found import Found
from narrate.read.mentions.pairs import compatible, take_unit
from narrate.read.mentions.shop import Shop

_TOLD_ONCE = 3  # times the lower end, that the upper one is at most where the unit is said behind the lower alone
_MANY = 24  # of one kind, at the most, that are set alike: cylinder head bolts


def join_ranges(tokens: Sequence[Token], lows: Sequence[str], found: list[Found], shop: Shop) -> None:
    """ "thirty to thirty five", "30-35", "between .9 and 1.2", "fourteen or fifteen", "two three ounces"."""
    k = 0
    while k + 1 < len(found):
        one, other = found[k], found[k + 1]
        if one.gone or other.gone or one.ranged or other.ranged or not compatible(one, other):
            k += 1
            continue
        if _all_of_them(lows, one, other):
            found.pop(k)
            continue
        kind = _range_kind(tokens, lows, one, other, shop)
        if not kind:
            k += 1
            continue
        _merge(lows, one, other, kind)
        found.pop(k + 1)
        k += 1
    _tolerances(tokens, lows, found, shop)


def _range_kind(tokens: Sequence[Token], lows: Sequence[str], one: Found, other: Found, shop: Shop) -> str:
    first, last = one.last, other.first
    if last - first > 6 or any(tokens[j].gap > Gap.PAUSE for j in range(first, last + 1) if j < len(tokens)):
        return ""
    if (
        (one.container and one.said)
        or (other.container and one.said)
        or (one.number.part and not one.said)
        or other.counted
        or one.counted
    ):
        return ""
    link = [w for w in lows[first:last] if w not in ("um", "uh", ",")]
    words = " ".join(link)
    low, high = _same_scale(one, other)
    if not link:
        return _side_by_side(tokens, lows, one, other, shop)
    if words in ("-", "–", "—") and not _hyphen_range(tokens, first, last, one, other):
        return ""
    if words == "and":
        return "to" if low < high and _between_before(lows, one, shop) else ""
    if _is(words, shop, "range-link"):
        if _from_before(lows, one) and _is_change(lows, one, other, shop):
            return ""
        if not other.said and lows[other.last : other.last + 1] and lows[other.last] in shop.lists["never-units"].words:
            return ""  # "44 ml to 50 mg"
        scattered = any(w in shop.lists["scatter"].words for w in lows[max(0, one.first - 4) : one.first])
        if words in ("/", "..") or low == high or (low > high and not scattered):
            return ""
        if one.said and not other.said and high > _TOLD_ONCE * low:
            return ""  # "rode it four miles up to sixty", "for 45 minutes to 290": the second has a unit of its own
        if words == "to" and not (one.said or other.said) and high == low + 1 and _clockish(lows, other):
            return ""
        return "to"
    if _is(words, shop, "or-link"):
        if words == "/" or low == high or _odd_pair(one, other):
            return ""
        return "or"
    return ""


def _all_of_them(lows: Sequence[str], one: Found, other: Found) -> bool:
    """ "torqued all five to 100", "set the two to 80": how many were set, and to what."""
    before = lows[one.first - 1] if one.first else ""
    if one.said or one.low.denominator != 1 or one.low > _MANY or list(lows[one.last : other.first]) != ["to"]:
        return False
    return before == "all" or (before in ("the", "them", "these", "those", "every") and other.high >= 4 * one.low)


def _is(words: str, shop: Shop, name: str) -> bool:
    phrases = words.split()
    return shop.lists[name].starts_at(phrases, 0) == len(phrases)


def _clockish(lows: Sequence[str], other: Found) -> bool:
    """ "ten to eleven o'clock"."""
    return other.last < len(lows) and lows[other.last] in ("o'clock", "am", "pm")


def _same_scale(one: Found, other: Found) -> tuple[Fraction, Fraction]:
    if other.number.denominator == 32 and other.low < 1 and not one.number.has_fraction:
        return one.low, other.low * 32
    if one.unit and other.unit and one.choice is None and other.choice is None and one.unit != other.unit:
        return one.low, convert(other.low, other.unit, one.unit) if same_dimension(one.unit, other.unit) else other.low
    return one.low, other.low


def _odd_pair(one: Found, other: Found) -> bool:
    """A metric size or an inch size is no range ("a 24 or maybe a fifteen sixteenths"), nor values ten times apart."""
    if one.number.has_fraction != other.number.has_fraction and not (one.said or other.said):
        return (one.low > 1) != (other.low > 1) or other.number.denominator > 4 or one.number.denominator > 4
    low, high = sorted(_same_scale(one, other))
    return low > 0 and high / low > 10


def _hyphen_range(tokens: Sequence[Token], first: int, last: int, one: Found, other: Found) -> bool:
    """A hyphen joins figures straight before and behind it, or figures set apart whose unit follows the second."""
    if one.number.spoken or other.number.spoken:
        return False
    glued = tokens[first].gap == Gap.GLUED and tokens[last].gap == Gap.GLUED
    spaced = tokens[first].gap != Gap.GLUED and tokens[last].gap != Gap.GLUED
    near = one.number.decimals == other.number.decimals > 0 and other.low <= one.low * Fraction(3, 2)
    return one.low < other.low and (glued or (spaced and (other.said or near)))  # "old ones .041 - .045"


def _between_before(lows: Sequence[str], one: Found, shop: Shop) -> bool:
    k = one.first - 1
    while k >= 0 and k >= one.first - 3 and lows[k] in ("a", "about", "an", "like", "the", "maybe", "somewhere"):
        k -= 1
    return k >= 0 and lows[k] in ("between", "betwixt", "tween")


def _from_before(lows: Sequence[str], one: Found) -> bool:
    k = one.first - 1
    while k >= 0 and k >= one.first - 3 and lows[k] in ("about", "a", "like", "around", "roughly", "maybe", "the"):
        k -= 1
    return k >= 0 and lows[k] in ("from", "was", "were")


def _is_change(lows: Sequence[str], one: Found, other: Found, shop: Shop) -> bool:
    """Whether "from A to B" tells of a change: a verb of change before it, a falling value, a unit said on both."""
    k = one.first - 1
    while k >= 0 and lows[k] not in ("from", "was", "were"):
        k -= 1
    if k >= 0 and lows[k] != "from":
        return False
    start = max(0, k - 5)
    before = lows[start:k]
    if any(w in shop.lists["scatter"].words for w in before[-3:]):
        return False
    if before and before[-1] == "go":
        return False
    if any(shop.lists["change-verb"].ends_at(lows, j) >= start for j in range(max(start, k - 2), k + 1)):
        return True
    low, high = _same_scale(one, other)
    return low >= high or (one.said and other.said)


def _side_by_side(tokens: Sequence[Token], lows: Sequence[str], one: Found, other: Found, shop: Shop) -> str:
    """ "two three ounces", "ten fifteen minutes": a range told by its ends alone, the unit behind the second."""
    if one.said or not other.said or not (one.number.spoken and other.number.spoken) or one.number.spelt:
        return ""
    if one.number.has_fraction or other.number.has_fraction or one.number.decimals or other.number.decimals:
        return ""
    if one.end != other.first or other.container:
        return ""
    low, high = one.low, other.low
    near = high == low + 1 or (low % 5 == 0 and high == low + 5 and low >= 5)
    return "or" if near else ""


def _merge(lows: Sequence[str], one: Found, other: Found, kind: str) -> None:
    if not one.said and other.said:
        take_unit(one, other)
    elif one.said and other.said and one.choice is None and other.choice is None and one.unit != other.unit:
        other.low = other.high = convert(other.low, other.unit, one.unit)
    if not one.number.has_fraction and other.number.denominator == 32 and other.low < 1:
        one.low, one.high, one.number = (
            one.low / 32,
            one.high / 32,
            replace(one.number, has_fraction=True, denominator=32),
        )
    values = sorted((one.low, one.high, other.low, other.high))
    one.low, one.high = values[0], values[-1]
    one.ranged = one.low != one.high
    one.last = max(one.last, other.last)
    one.approximate = one.approximate or other.approximate or kind == "or"
    if other.number.plural and not one.number.plural:
        one.number = replace(one.number, plural=True)


def _tolerances(tokens: Sequence[Token], lows: Sequence[str], found: list[Found], shop: Shop) -> None:
    """ "12.6 plus or minus .2 volts", "30 ± 2"; alone, "plus or minus two degrees" is what lies between."""
    k = 0
    for one in found:
        if (
            one.low < 0
            and one.first >= 2
            and lows[one.first - 2 : one.first] == ["plus", "or"]
            and (not any(f.last == one.first - 2 for f in found))
        ):
            one.high, one.ranged, one.first = -one.low, True, one.first - 2
    while k + 1 < len(found):
        one, other = found[k], found[k + 1]
        link = " ".join(lows[one.last : other.first])
        if link == "plus or" and other.low < 0:
            link, other.low, other.high = "plus or minus", -other.low, -other.high
        if (
            not one.gone
            and not one.ranged
            and link in ("plus or minus", "±", "+ / -", "+ /-", "plus minus", "+/-", "give or take")
            and compatible(one, other)
        ):
            give = max(abs(other.low), abs(other.high))  # the tolerance may itself be a range, or a give and take
            if not one.said and other.said:
                take_unit(one, other)
            one.low, one.high, one.ranged = one.low - give, one.low + give, give != 0
            one.last = max(one.last, other.last)
            if link == "give or take":
                one.approximate = True
            found.pop(k + 1)
        k += 1
