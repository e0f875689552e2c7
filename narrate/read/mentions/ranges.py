"""Values that belong together: ranges, tolerances, amounts in two units, digits of one decimal, limits and doubt.

A change from one value to another ("went from 12.1 volts to 14.2 volts") is two readings and no range.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from narrate.core.handoffs import Gap, Token
from narrate.core.units import convert, same_dimension
from narrate.hear.speech.numbers import NumberRead
from narrate.read.mentions.found import Found
from narrate.read.mentions.shop import Shop, ambiguous_key

_SMALL_UNITS = frozenset(("ftlb", "Nm", "qt", "gal", "pt", "V", "degF", "degC", "mm", "in", "thou", "min", "s", "h", "inHg", "%"))
_DECIMAL_UNITS = frozenset(("V", "inHg", "degF", "degC", "lb", "qt", "mm", "l", "bar"))


def compatible(one: Found, other: Found) -> bool:
    """Whether both values could be of one dimension: a missing unit goes with any."""
    if not one.said or not other.said:
        return True
    if one.choice is not None or other.choice is not None:
        return one.choice is other.choice or _may_be(one, other) or _may_be(other, one)
    return same_dimension(one.unit, other.unit)


def _may_be(ambiguous: Found, plain: Found) -> bool:
    if ambiguous.choice is None or not plain.unit:
        return False
    return any(same_dimension(s.unit, plain.unit) for s in ambiguous.choice.senses)


def take_unit(one: Found, other: Found) -> None:
    """Give `one` the unit that `other` was said with."""
    one.unit, one.choice, one.container = other.unit, other.choice, other.container
    one.said, one.elided = True, False


# ------------------------------------------------------------------------------------------------------- two units
def join_decimals(tokens: Sequence[Token], lows: Sequence[str], found: list[Found], shop: Shop) -> None:
    """"fourteen two volts" 14.2, "twenty nine five inches" 29.5: tens and a digit side by side, before such a unit."""
    for one, other in zip(found, found[1:], strict=False):
        if one.gone or other.gone or one.said or not other.said or one.end != other.first or not one.number.spoken:
            continue
        chunk = one.number.chunks[-1] if len(one.number.chunks) == 1 else None
        tail = other.number
        if chunk is None or tail.has_fraction or tail.decimals or not 0 <= tail.value <= 9 or tail.value.denominator != 1:
            continue
        if other.choice is not None:
            if ambiguous_key(other.choice) not in ("inches", "degrees"):
                continue
        elif other.unit not in _DECIMAL_UNITS or (other.unit != "V" and chunk.shape == "d"):
            continue
        if chunk.shape not in "td" or chunk.value < 10 and other.unit != "V":
            continue
        if tokens[other.first].gap > Gap.SOFT:
            continue
        value = one.low + tail.value / 10
        other.low = other.high = value
        other.first = one.first
        other.number = replace(tail, value=value, first=one.first, decimals=1, chunks=())
        one.gone = True


def split_counts(tokens: Sequence[Token], lows: Sequence[str], found: list[Found], shop: Shop, noun_at: bytearray) -> list[Found]:
    """"five ten millimeter bolts": a count, and the size of what is counted; so with cans of twelve ounces."""
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
        count = Found(Fraction(head.value), Fraction(head.value), one.first, head.last, head.last,
                      NumberRead(Fraction(head.value), one.first, head.last, True, (head,)), counted=True)
        rest = 0
        for chunk in tail:
            rest = rest * 100 + chunk.value
        one.low = one.high = Fraction(rest)
        one.first = tail[0].first
        one.number = replace(one.number, value=Fraction(rest), first=one.first, chunks=tuple(tail))
        out += [count, one]
    return out


def split_lists(lows: Sequence[str], found: list[Found], shop: Shop) -> list[Found]:
    """"thirty fifty and seventy foot pounds": tens said one after the other in a list are values of their own."""
    out: list[Found] = []
    for n, one in enumerate(found):
        chunks = one.number.chunks
        after = found[n + 1] if n + 1 < len(found) else None
        pair = [c.value for c in chunks] if len(chunks) == 2 else [0, 0]
        fives = one.unit in ("psi", "kPa", "rpm") and pair[1] == pair[0] + 5 and pair[0] % 5 == 0  # "thirty thirty five psi"
        if not one.gone and (one.unit in _SMALL_UNITS or fives) and one.low >= 1000 and len(chunks) == 2 and one.number.spoken and {c.shape for c in chunks} == {"t"}:
            first, second = chunks  # nobody says "fifty sixty foot pounds" for so large a torque
            value = Fraction(first.value)
            out.append(Found(value, value, first.first, first.last, first.last, replace(one.number, value=value, first=first.first, last=first.last, chunks=(first,))))
            one.low = one.high = Fraction(second.value)
            one.first, one.number = second.first, replace(one.number, value=one.low, first=second.first, chunks=(second,))
            out.append(one)
            continue
        if (
            after is None or one.said or len(chunks) != 2 or not after.said or not one.number.spoken or one.number.spelt or one.gone
            or {c.shape for c in chunks} - {"t", "d"} or after.low <= 0 or not all(Fraction(1, 8) <= c.value / after.low <= 8 for c in chunks)
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
            out.append(Found(value, value, chunk.first, chunk.last, chunk.last, replace(one.number, value=value, first=chunk.first, last=chunk.last, chunks=(chunk,))))
    return out


def _splits(lows: Sequence[str], one: Found, shop: Shop, noun_at: bytearray) -> bool:
    chunks = one.number.chunks
    if chunks[0].shape not in "dt" or chunks[0].value > 24 or chunks[1].shape == "z":
        return False
    after = one.last
    if one.unit in ("mm", "in") or (one.choice is not None and ambiguous_key(one.choice) == "mil"):
        follows = shop.lists["fasteners"].starts_at(lows, after) > 0 or shop.lists["tools"].starts_at(lows, after) > 0
        follows = follows or (after < len(noun_at) and bool(noun_at[after]))
        return follows and one.low > 40
    container = shop.lists["can-words"].starts_at(lows, after) > 0
    return container


def join_compounds(tokens: Sequence[Token], lows: Sequence[str], found: list[Found], shop: Shop) -> None:
    """"two pounds two ounces", "an hour and ten", "one pound twelve": one amount in two units, told in the smaller."""
    for one, other in zip(found, found[1:], strict=False):
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
        elif link and big == "lb" and _of_another(lows, other):
            continue
        elif link == [","] and big != "ft":
            continue
        other.low = other.high = convert(one.low, pair.big, pair.small) + other.low
        other.first, other.unit, other.choice, other.said = one.first, pair.small, None, True
        other.number = replace(other.number, first=one.first)
        one.gone = True


def _heavy_unit(one: Found) -> str:
    if one.choice is not None:
        return "lb" if ambiguous_key(one.choice) == "pounds" else ("in" if ambiguous_key(one.choice) == "inches" else "")
    return one.unit


def _small_fits(other: Found, small: str) -> bool:
    if not other.said:
        return small in ("oz", "min")
    if other.choice is not None:
        key = ambiguous_key(other.choice)
        return (key == "ounces" and small in ("oz", "floz")) or (key == "inches" and small == "in")
    return other.unit == small


def _of_another(lows: Sequence[str], other: Found) -> bool:
    """"one pound of gas and two ounces of oil" are two amounts."""
    return other.last < len(lows) and lows[other.last] == "of"


def _thing_follows(lows: Sequence[str], other: Found, shop: Shop) -> bool:
    after = lows[other.last] if other.last < len(lows) else ""
    return after in shop.lists["adjective"].words or shop.lists["fasteners"].starts_at(lows, other.last) > 0 or (
        len(after) > 3 and after.endswith("s") and after not in ("is", "was", "this", "its")
    )


# ---------------------------------------------------------------------------------------------------------- ranges
def join_ranges(tokens: Sequence[Token], lows: Sequence[str], found: list[Found], shop: Shop) -> None:
    """"thirty to thirty five", "30-35", "between .9 and 1.2", "fourteen or fifteen", "two three ounces"."""
    k = 0
    while k + 1 < len(found):
        one, other = found[k], found[k + 1]
        if one.gone or other.gone or one.ranged or other.ranged or not compatible(one, other):
            k += 1
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
    if one.container or other.container or one.number.part and not one.said or other.counted or one.counted:
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
        if words in ("/", "..") or low >= high:
            return ""
        if words == "to" and not (one.said or other.said) and high == low + 1 and _clockish(lows, other):
            return ""
        return "to"
    if _is(words, shop, "or-link"):
        if words == "/" or low == high or _odd_pair(one, other):
            return ""
        return "or"
    return ""


def _is(words: str, shop: Shop, name: str) -> bool:
    phrases = words.split()
    return shop.lists[name].starts_at(phrases, 0) == len(phrases)


def _clockish(lows: Sequence[str], other: Found) -> bool:
    """"ten to eleven o'clock"."""
    return other.last < len(lows) and lows[other.last] in ("o'clock", "am", "pm")


def _same_scale(one: Found, other: Found) -> tuple[Fraction, Fraction]:
    if other.number.denominator == 32 and other.low < 1 and not one.number.has_fraction:
        return one.low, other.low * 32
    if one.unit and other.unit and one.choice is None and other.choice is None and one.unit != other.unit:
        return one.low, convert(other.low, other.unit, one.unit) if same_dimension(one.unit, other.unit) else other.low
    return one.low, other.low


def _odd_pair(one: Found, other: Found) -> bool:
    """"a 24 or maybe a fifteen sixteenths": a metric size or an inch size, and no range; nor values ten times apart."""
    if one.number.has_fraction != other.number.has_fraction and not (one.said or other.said):
        return (one.low > 1) != (other.low > 1) or other.number.denominator > 4 or one.number.denominator > 4
    low, high = sorted(_same_scale(one, other))
    return low > 0 and high / low > 10


def _hyphen_range(tokens: Sequence[Token], first: int, last: int, one: Found, other: Found) -> bool:
    """A hyphen joins two figures straight before and behind it, or two figures set apart whose unit follows the second."""
    if one.number.spoken or other.number.spoken:
        return False
    glued = tokens[first].gap == Gap.GLUED and tokens[last].gap == Gap.GLUED
    spaced = tokens[first].gap != Gap.GLUED and tokens[last].gap != Gap.GLUED
    return one.low < other.low and (glued or (spaced and other.said))


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
    """"two three ounces", "ten fifteen minutes": a range told by its ends alone, the unit behind the second."""
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
        one.low, one.high, one.number = one.low / 32, one.high / 32, replace(one.number, has_fraction=True, denominator=32)
    values = sorted((one.low, one.high, other.low, other.high))
    one.low, one.high = values[0], values[-1]
    one.ranged = one.low != one.high
    one.last = max(one.last, other.last)
    one.approximate = one.approximate or other.approximate or kind == "or"
    if other.number.plural and not one.number.plural:
        one.number = replace(one.number, plural=True)


def _tolerances(tokens: Sequence[Token], lows: Sequence[str], found: list[Found], shop: Shop) -> None:
    """"12.6 plus or minus .2 volts", "30 ± 2"; alone, "plus or minus two degrees" is what lies between."""
    k = 0
    for one in found:
        if one.low < 0 and one.first >= 2 and lows[one.first - 2 : one.first] == ["plus", "or"] and (
            not any(f.last == one.first - 2 for f in found)
        ):
            one.high, one.ranged, one.first = -one.low, True, one.first - 2
    while k + 1 < len(found):
        one, other = found[k], found[k + 1]
        link = " ".join(lows[one.last : other.first])
        if link == "plus or" and other.low < 0:
            link, other.low, other.high = "plus or minus", -other.low, -other.high
        if not one.gone and not one.ranged and link in ("plus or minus", "±", "+ / -", "+ /-", "plus minus", "+/-", "give or take") and compatible(one, other):
            give = other.low
            if not one.said and other.said:
                take_unit(one, other)
            one.low, one.high, one.ranged = one.low - give, one.low + give, give != 0
            one.last = max(one.last, other.last)
            if link == "give or take":
                one.approximate = True
            found.pop(k + 1)
        k += 1


# ------------------------------------------------------------------------------------------------ doubt and limits
def mark_limits(tokens: Sequence[Token], lows: Sequence[str], found: list[Found], shop: Shop) -> dict[int, int]:
    """Set `approximate` and `bound` from the words beside each value; gives where each value's words of doubt begin."""
    edges: dict[int, int] = {}
    about, under, over = shop.lists["about-before"], shop.lists["under-before"], shop.lists["over-before"]
    nearly = shop.lists["nearly"]
    starts = {one.first for one in found}
    for n, one in enumerate(found):
        if one.gone:
            continue
        floor = found[n - 1].last if n else 0
        k, steps = one.first, 0
        while k > floor and steps < 8 and tokens[k].gap <= Gap.PAUSE:
            steps += 1
            start = nearly.ends_at(lows, k)
            if start >= floor:
                one.approximate = True
                one.bound = "over" if over.ends_at(lows, k) >= 0 else "under"
                k = start
                continue
            start = under.ends_at(lows, k)
            if start >= floor and one.bound is None and not _place(lows, start, k):
                one.bound, k = "under", start
                continue
            start = over.ends_at(lows, k)
            if start >= floor and one.bound is None and not _place(lows, start, k):
                one.bound, k = "over", start
                continue
            start = about.ends_at(lows, k)
            if start >= floor and not _plain_word(lows, start, k):
                one.approximate, k = True, start
                continue
            if lows[k - 1] in ("a", "an", "the", "um", "uh", "it's", "it", "was", "is", "that's", "they're", "at", "only", "just", ",", "its", "of", "to", "those", "are", "'s", "on"):
                if lows[k - 1] in ("at", "to", "of", "on") and k - 2 >= floor and lows[k - 2] not in _DOUBT_BEFORE_AT:
                    break
                k -= 1
                continue
            break
        edges[one.first] = k if one.approximate or one.bound else one.first
        _behind(tokens, lows, one, shop, starts)
    return edges


_DOUBT_BEFORE_AT = frozenset(("about", "around", "right", "somewhere", "close", "maybe", "probably", "think", "roughly", "like", "near"))
_PLACES = frozenset(("the", "a", "my", "it", "his", "her"))


def _place(lows: Sequence[str], start: int, k: int) -> bool:
    """"over" and "past" as places and times: "left over 2", "past 3 o'clock"."""
    return k - start == 1 and lows[start] in ("over", "past", "under", "above", "below", "within", "max") and start > 0 and lows[start - 1] in (
        "left", "turned", "crossed", "half", "quarter", "all", "go", "went", "moved", "took", "from", "carry", "bent", "started", "came", "do"
    )


def _plain_word(lows: Sequence[str], start: int, k: int) -> bool:
    """"like", "say", "some", "figure" in their plain sense."""
    word = lows[start]
    if k - start > 1:
        return False
    before = lows[start - 1] if start else ""
    if word == "like":
        return before in ("looks", "sounds", "feels", "look", "sound", "feel", "dragging", "just")
    if word == "say":
        return before in ("to", "n't", "don't", "didn't", "they", "labels", "specs", "does", "doesn't")
    if word == "some":
        return before in ("with", "need", "needs", "added", "got", "for", "in")
    return word == "figure" and before in ("to", "the")


def _behind(tokens: Sequence[Token], lows: Sequence[str], one: Found, shop: Shop, starts: set[int]) -> None:
    k = one.last
    if k >= len(lows) or tokens[k].gap > Gap.PAUSE:
        return
    for _ in range(2):
        end = shop.lists["about-after"].starts_at(lows, k)
        if end > 0:
            if end in starts and lows[k] in ("maybe", "probably", "roughly", "approximately", "approx", "i", "about"):
                return  # it belongs to the value that follows
            one.approximate, k = True, end
            continue
        end = shop.lists["under-after"].starts_at(lows, k)
        if end > 0 and one.bound is None and end not in starts:
            one.bound, k = "under", end
            continue
        end = shop.lists["over-after"].starts_at(lows, k)
        if end > 0 and one.bound is None and end not in starts and not (lows[k] == "+" and tokens[k].gap != Gap.GLUED):
            one.bound, k = "over", end
            continue
        return
