"""Which unit an ambiguous word means: pounds of air, of torque or of refrigerant; ounces by weight or by volume.

The nearest word that tells decides: what the amount is of, first of all, then what stands before it, then what follows.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from narrate.core.lexicon.units import Ambiguous
from narrate.core.units import dimension, same_dimension
from narrate.read.mentions.found import Found
from narrate.read.mentions.metric import MOST_CELSIUS, thinks_metric
from narrate.read.mentions.nearby import point_before
from narrate.read.mentions.pairs import take_unit
from narrate.read.mentions.shop import Meaning, ambiguous_key
from narrate.read.mentions.talk import Talk

REACH = 14
CARRY = 45  # tokens over which the last meaning of the same word holds
_TURNS = frozenset(("plus", "another", "then", "additional", "+", "further", "more", "turn", "turned"))
_BREAKS = frozenset(
    (
        ",",
        ";",
        ".",
        "and",
        "then",
        "but",
        "with",
        "so",
        "before",
        "after",
        "while",
        "when",
        "plus",
        ":",
        "lugs",
        "-",
        "–",
        "because",
        "which",
        "that",
        "the",
    )
)
_BEFORE_FLUID = frozenset(("the", "fresh", "new", "old", "that", "more", "same", "clean", "his", "her"))


def settle_senses(talk: Talk, found: list[Found]) -> None:
    """Give every value with an ambiguous unit word its unit, in place and in order."""
    last: dict[str, tuple[int, str]] = {}
    previous: Found | None = None
    scale, metric = _scale_named(found), thinks_metric(found)
    for one in found:
        if one.gone:
            continue
        if one.choice is not None:
            key = ambiguous_key(one.choice)
            unit = _decide(talk, one, key, previous)
            if not unit:
                carried = last.get(key)
                if carried is not None and one.first - carried[0] <= CARRY:
                    unit = carried[1]
            one.unit = unit or _default(one.choice, one)
            if one.unit == "degF" and (scale or (metric and one.high <= MOST_CELSIUS)):
                one.unit = scale or "degC"
            if unit or key not in last:
                last[key] = (one.last, one.unit)
            one.choice = None
        previous = one


_FASTENED = 10  # tokens from a fastener to the degrees that it was turned by
_BESIDE = 6  # how near a word that tells another unit must stand to count against what follows


def _scale_named(found: list[Found]) -> str:
    """The one scale of temperature that is ever named; "" where none is, or both: bare degrees are of that scale."""
    named = {one.unit for one in found if not one.gone and one.said and one.unit in ("degF", "degC")}
    return named.pop() if len(named) == 1 else ""


def _default(choice: Ambiguous, one: Found) -> str:
    return choice.large if choice.large is not None and one.low >= Fraction(choice.large_from) else choice.default


def _decide(talk: Talk, one: Found, key: str, previous: Found | None) -> str:
    if one.choice is not None and one.choice.of_fluid and _of_fluid(talk, one):
        return one.choice.of_fluid
    meanings = [m for m in talk.shop.meanings[key] if _in_range(m, one)]
    if key == "degrees" and previous is not None and previous.unit in ("ftlb", "Nm", "inlb", "deg"):
        link = talk.lows[previous.last : one.first]
        if len(link) <= 5 and (any(w in _TURNS for w in link) or not link):
            return "deg"
    if key == "degrees" and _turned(talk, one):
        return "deg"
    if key == "inches" and one.low < 0:
        return "inHg"  # a length is never negative, a gauge vacuum is
    scores: dict[str, float] = {}
    if key == "ounces":
        _by_fluid(talk, one, scores)
    distances = [(meaning, _nearest(talk, one, meaning)) for meaning in meanings]
    for meaning, distance in distances:
        nearer = any(d is not None and d <= _BESIDE for other, d in distances if other is not meaning)
        if not nearer and meaning.sense.after and meaning.after.starts_at(talk.lows, one.last) > 0:
            return meaning.sense.unit  # but "the toe was 0.3 degrees out" is no weather
        if distance is not None:
            unit = meaning.sense.unit
            scores[unit] = min(scores.get(unit, 99.0), distance)
    if not scores:
        return ""
    return min(scores.items(), key=lambda s: s[1])[0]


def _of_fluid(talk: Talk, one: Found) -> bool:
    """ "fifty mil of fluid", "100 mil of fresh dot four": a fluid stands behind the unit, over small words alone."""
    first = one.last
    if talk.low(first) == "of":
        first += 1
    near = [f for f in talk.fluids_near(one.first, one.last, 6) if first <= f.first <= first + 2]
    return any(all(w in _BEFORE_FLUID for w in talk.lows[first : f.first]) for f in near)


def _in_range(meaning: Meaning, one: Found) -> bool:
    return (meaning.low is None or abs(one.low) >= meaning.low) and (
        meaning.high is None or abs(one.high) <= meaning.high
    )


def _nearest(talk: Talk, one: Found, meaning: Meaning) -> float | None:
    """How far the nearest telling word is: steps, a little more behind a break, backwards at half a step more."""
    lows, segment, size = talk.bare, talk.segment, len(talk.lows)
    best: float | None = None
    here = segment[one.first]
    cost, j = 0.0, one.last
    if j < size and lows[j] == "of":
        cost = -2.0
    while j < size and j < one.last + REACH and segment[j] == here:
        if lows[j] in _BREAKS:
            cost += 3.0
        if meaning.near.starts_at(lows, j) > 0:
            best = j - one.last + cost
            break
        j += 1
    cost, j = 0.0, one.first - 1
    while j >= 0 and j >= one.first - REACH and segment[j] >= here - 1:
        if segment[j] != here:
            cost += 2.0
            here = segment[j]
        if lows[j] in (",", ";", "and", "then", "but"):
            cost += 1.0
        if meaning.near.starts_at(lows, j) > 0:
            distance = one.first - j - 0.5 + cost
            if best is None or distance < best:
                best = distance
            break
        j -= 1
    return best


def _by_fluid(talk: Talk, one: Found, scores: dict[str, float]) -> None:
    for fluid in talk.fluids_near(one.first, one.last, REACH):
        unit = fluid.id[1:] if fluid.id[0] == "=" else talk.shop.ounces.get(fluid.id)
        if unit is None:
            continue
        if fluid.first >= one.last:
            distance = float(fluid.first - one.last)
            between = talk.lows[one.last : fluid.first]
            distance += 3.0 * sum(w in _BREAKS and w != "the" for w in between)
            if between[:1] == ["of"] or not between:
                distance -= 2.0
        elif fluid.last <= one.first:
            distance = (
                one.first
                - fluid.last
                + 0.5
                + sum(w in (",", "and", "then", "but") for w in talk.lows[fluid.last : one.first])
            )
        else:
            continue
        if distance <= REACH and abs(talk.segment[one.first] - talk.segment[fluid.first]) <= 1:
            scores[unit] = min(scores.get(unit, 99.0), distance)


def _share_thirty_seconds(talk: Talk, one: Found, other: Found) -> bool:
    """ "nine and ten thirty seconds": the first is told in thirty-seconds too; whether of tread is settled later."""
    number = one.number
    if other.said or other.number.denominator != 32 or other.low >= 1 or one.said or one.retracted or one.counted:
        return False
    if number.has_fraction or number.decimals or one.low.denominator != 1 or not 0 < one.low < 32:
        return False
    link = talk.lows[one.last : other.first]
    if not link or talk.shop.lists["share-link"].starts_at(link, 0) != len(link):
        return False
    one.low, one.high, one.number = one.low / 32, one.high / 32, replace(number, has_fraction=True, denominator=32)
    return True


def _turned(talk: Talk, one: Found) -> bool:
    """ "Head bolts thirty then sixty then ninety degrees": a fastener is turned by degrees, unless it was heated."""
    behind = range(one.first - 1, max(-1, one.first - _FASTENED), -1)
    if one.low > 360 or any(talk.lows[j].startswith("heat") for j in behind):
        return False
    hit = next((talk.thing_at[j] for j in behind if talk.thing_at[j] is not None), None)
    staged = any(talk.lows[j] in ("then", "plus", "and") for j in behind[:3])
    return hit is not None and staged and talk.shop.thing_kinds.get(hit.id) == "fastener"


def share_units(talk: Talk, found: list[Found]) -> None:
    """ "six, seven and five thirty-seconds", "20 and 8 mm": in a list the last unit is everybody's."""
    alive = [f for f in found if not f.gone]
    for k in range(len(alive) - 2, -1, -1):
        one, other = alive[k], alive[k + 1]
        if _share_thirty_seconds(talk, one, other):
            continue
        if one.said or one.counted or not other.said or other.container or one.retracted or other.number.article:
            continue
        link = [w for w in talk.lows[one.last : other.first] if w not in ("um", "uh", "a", "an")]
        if (
            not link
            and one.end == other.first
            and one.number.spoken
            and k + 2 < len(alive) + 1
            and other.elided
            and other.said
        ):
            link = [","]  # "thirty fifty and seventy"
        if not link or len(link) > 4 or talk.shop.lists["share-link"].starts_at(link, 0) != len(link):
            continue
        if other.unit in ("each", "set", "pair", "h", "min", "s", "d", "%") or (
            one.number.has_fraction != other.number.has_fraction and (other.number.denominator != 32)
        ):
            continue
        if (
            other.number.denominator == 32
            and not one.number.has_fraction
            and one.low.denominator == 1
            and one.low < 32
            and other.unit == ""
        ):
            continue
        if "then" in link and other.unit == "deg":
            continue  # staged: foot pounds, then degrees
        small, big = sorted((abs(one.low), abs(other.low)))
        if small > 0 and big / small > 8:
            continue
        if link == [","] and dimension(other.unit) in ("mass", "volume"):
            read_on = point_before(talk, one, one.first)
            if read_on is not None and not same_dimension(read_on.unit, other.unit):
                continue  # "till the high side hit 250, 32 ounces went in"
        take_unit(one, other)
        one.elided = True
