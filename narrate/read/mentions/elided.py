"""Units left out, because the shop knows them: "75 on the low side", "those are seventeens", "bracket bolts one thirty three".

In this order: a frame of words that asks for one unit; treads; a list told place by place; what the value was read on,
named before it or after it; a fastener or a tool; the last value told of the same kind. Where nothing tells, a bare
number stays nothing.
"""

from __future__ import annotations

from fractions import Fraction

from narrate.core.units import dimension
from narrate.read.mentions.counts import counts_thing
from narrate.read.mentions.found import Found
from narrate.read.mentions.shop import Framing
from narrate.read.mentions.talk import Point, Talk, fits, unit_that_fits

REACH_BEFORE, REACH_AFTER, PARALLEL = 14, 5, 22
_COPULAS = frozenset(("at", "is", "are", "was", "were", "to", "reads", "read", "measured", "measures", "=", ":", "@", "showed", "shows", "sat", "be", "being"))
_SIZES = (Fraction(3), Fraction(60))


def supply_units(talk: Talk, found: list[Found], edges: dict[int, int]) -> None:
    """Give units to the bare values that the context tells the unit of, in place; `edges` tells where their doubt began."""
    previous: Found | None = None
    for n, one in enumerate(found):
        if one.gone:
            continue
        if one.retracted and not one.said:
            continue  # it takes its unit from the value that replaced it
        if not one.said and not one.counted and not one.elided:
            edge = edges.get(one.first, one.first)
            if one.replaced:
                edge = min(edge, edges.get(one.replaced[0][0], one.replaced[0][0]))
            after = next((f for f in found[n + 1 :] if not f.gone), None)
            unit = _unit_for(talk, one, edge, previous, after)
            if unit:
                one.unit, one.elided = unit, True
        if one.unit and one.unit not in ("each", "set", "pair") and not one.retracted:
            previous = one


def _unit_for(talk: Talk, one: Found, edge: int, previous: Found | None, after: Found | None) -> str:
    number = one.number
    if number.plural:
        return "mm"
    if number.spelt or number.improper or number.part or (one.low == 1 and one.high == 1 and number.spoken):
        return ""  # a bare "one" is a pronoun
    for frame in talk.shop.frames:
        if _framed(talk, one, edge, frame):
            return _house_unit(frame.frame.unit, previous)
    if number.has_fraction and number.denominator == 32:
        return _tread_or_inch(talk, one)
    unit = _place_by_place(talk, one, edge, previous)
    if unit:
        return unit
    unit = _fastener_torque(talk, one, edge, previous)
    if unit:
        return unit
    counted = counts_thing(talk, one)
    before, behind = _point_before(talk, one, edge), _point_after(talk, one, after)
    if before is not None and not before.named and talk.low(one.last) in talk.shop.lists["not-things"].words:
        before = None  # "the battery is five years old"
    if before is not None and (not counted or talk.low(edge - 1) in _COPULAS):
        strong = behind is not None and talk.low(one.last) in talk.shop.lists["beside"].words and behind.named
        if not (strong and talk.low(edge - 1) not in _COPULAS):
            unit = unit_that_fits(before, one)
            if unit:
                return unit
    if behind is not None and not counted:
        unit = unit_that_fits(behind, one)
        if unit:
            return unit
    if before is not None and not counted:
        unit = unit_that_fits(before, one)
        if unit:
            return unit
    unit = _size_unit(talk, one, edge, counted)
    if unit or counted:
        return unit
    return _like_the_last(talk, one, edge, previous)


def _house_unit(unit: str, previous: Found | None) -> str:
    """The frame's unit, or the one of its dimension that the speaker just used."""
    if previous is not None and previous.unit and dimension(previous.unit) == dimension(unit) and unit in ("ftlb", "degF", "psi", "mph"):
        return previous.unit
    return unit


def _framed(talk: Talk, one: Found, edge: int, framing: Framing) -> bool:
    frame, lows = framing.frame, talk.lows
    if framing.least is not None and one.low < framing.least:
        return False
    if framing.most is not None and one.high > framing.most:
        return False
    if one.number.has_fraction and frame.unit in ("rpm", "ftlb", "psi", "mph", "thou"):
        return False
    before = bool(frame.before) and any(framing.before.ends_at(lows, k) >= 0 for k in {edge, one.first})
    if frame.both and not before:
        return False
    end = framing.after.starts_at(lows, one.last) if frame.after else -1
    if frame.both:
        return end > 0
    if before:
        return True
    if end < 0:
        return False
    if frame.never and talk.low(end) in frame.never:
        return False
    if not frame.near:
        return True
    window = range(max(0, one.first - 25), min(len(lows), one.last + 16))
    near = frozenset(frame.near)
    return any(lows[j] in near for j in window)


def _tread_or_inch(talk: Talk, one: Found) -> str:
    """A thirty-second is a tread where a tool, a drill, a hose or an inch does not say otherwise."""
    lists = talk.shop.lists
    for k in (one.last, one.last + 1, one.last + 2):
        if lists["tools"].starts_at(talk.bare, k) > 0 or lists["hoses"].starts_at(talk.bare, k) > 0 or lists["drive-words"].starts_at(talk.bare, k) > 0:
            return "in"
        if lists["fasteners"].starts_at(talk.bare, k) > 0 and talk.low(k) not in ("head", "heads", "cap", "caps"):
            return "in"
    for k in range(max(0, one.first - 4), one.first):
        if lists["tools"].starts_at(talk.bare, k) > 0:
            return "in"
    one.low, one.high = one.low * 32, one.high * 32
    return "32nds"


def _point_before(talk: Talk, one: Found, edge: int) -> Point | None:
    """What was named last before the value, with only small words between."""
    link, places = talk.shop.lists["link"], talk.shop.lists["places"]
    best: Point | None = None
    for point in reversed(talk.points):
        if point.first >= one.first or (point.last > edge and point.last > one.first):
            continue
        if one.first - point.last > REACH_BEFORE or (best is not None and point.last < best.last):
            break
        if talk.segment[point.first] != talk.segment[one.first]:
            break
        if best is not None and not (point.named and not best.named) and point.first >= best.first:
            continue
        strange = 0
        k = point.last
        while k < edge:
            end = max(link.starts_at(talk.lows, k), places.starts_at(talk.lows, k))
            if end < 0:
                strange += 1
                if talk.low(k)[:1].isdigit() or talk.thing_at[k] is not None:
                    strange += 2
                end = k + 1
            k = end
        if strange <= (1 if talk.low(edge - 1) in _COPULAS else 0):
            best = point
            if point.named:
                break
    return best


def _point_after(talk: Talk, one: Found, after: Found | None) -> Point | None:
    """What is named behind the value: "210 on the high side", "7/32 tread"."""
    lists = talk.shop.lists
    limit = min(one.last + REACH_AFTER, after.first if after is not None else len(talk.lows))
    k = one.last
    for point in _points_from(talk, k, limit):
        if talk.segment[point.first] != talk.segment[one.first] or (not point.named and point.first > one.last):
            return None
        j = k
        while j < point.first:
            end = lists["beside"].starts_at(talk.lows, j)
            if end < 0:
                end = lists["places"].starts_at(talk.lows, j)
            if end < 0:
                return None
            j = end
        return point if point.named else None
    return None


def _points_from(talk: Talk, k: int, limit: int) -> list[Point]:
    from bisect import bisect_left

    at = bisect_left(talk.points, k, key=lambda p: p.first)
    out = []
    while at < len(talk.points) and talk.points[at].first < limit:
        out.append(talk.points[at])
        at += 1
    return out


def _small_words(talk: Talk, first: int, last: int, things: bool = False) -> int:
    """How many of the words between are neither links nor places (nor, if allowed, things)."""
    lists = talk.shop.lists
    strange, k = 0, first
    while k < last:
        end = max(lists["link"].starts_at(talk.lows, k), lists["places"].starts_at(talk.lows, k), lists["beside"].starts_at(talk.lows, k))
        if end < 0 and things:
            hit = talk.thing_at[k]
            end = hit.last if hit is not None else lists["fasteners"].starts_at(talk.bare, k)
            if end < 0 and talk.low(k) in lists["adjective"].words:
                end = k + 1
        if end < 0:
            strange += 1
            end = k + 1
        k = end
    return strange


def _place_by_place(talk: Talk, one: Found, edge: int, previous: Found | None) -> str:
    """"LF 31 RF 30", "two thou left and one and a half right", "two millimeters, outers about four"."""
    if previous is None or edge - previous.last > 9 or talk.segment[previous.first] != talk.segment[one.first]:
        return ""
    places = talk.shop.lists["places"]
    here = places.ends_at(talk.lows, edge) >= 0 or places.ends_at(talk.lows, edge - 1) >= 0 and talk.low(edge - 1) in (":", "=", "-", "at", "is", "was", "only", "are", "were", "@")
    behind = _place_behind(talk, one.last) and edge - previous.last <= 5
    if not (here or behind) or not _same_size(one, previous):
        return ""
    if behind and not here and counts_thing(talk, one):
        return ""
    return previous.unit if _small_words(talk, previous.last, edge) == 0 and previous.unit not in ("each",) else ""


def _place_behind(talk: Talk, k: int) -> bool:
    """"twenty eight flat on the right": whether a place follows, over small words."""
    for _ in range(4):
        if talk.shop.lists["places"].starts_at(talk.lows, k) >= 0:
            return True
        if talk.low(k) not in ("flat", "even", "exactly", "on", "the", "at", "in", "for", "my"):
            return False
        k += 1
    return False


def _same_size(one: Found, previous: Found) -> bool:
    small, big = sorted((abs(one.low), abs(previous.low)))
    return small == 0 or big <= small * 6


def _fastener_torque(talk: Talk, one: Found, edge: int, previous: Found | None) -> str:
    """"compressor bolts got 37 foot pounds and the manifold bolt twenty five": a fastener, and a bare number behind it."""
    if one.number.has_fraction or one.number.decimals > 1 or not 2 <= one.low <= 700:
        return ""
    lists, k = talk.shop.lists, edge
    if talk.low(k - 1) in ("a", "an") or talk.low(one.first - 1) in ("a", "an"):
        return ""
    while k > 0 and k > edge - 4 and talk.lows[k - 1] in ("to", "at", "got", "get", "that's", "went", "is", "are", "was", "were", "gets", "another", "went to", ":", "=", "those", "@", "the", "them", "all", "same", "just", "only", "on", "also"):
        k -= 1
    hit = talk.thing_at[k - 1] if k else None
    fastened = lists["fasteners"].ends_at(talk.bare, k) >= 0 or (hit is not None and hit.last == k and talk.shop.thing_kinds.get(hit.id) == "fastener")
    if not fastened or talk.segment[k - 1] != talk.segment[one.first]:
        return ""
    if previous is not None and dimension(previous.unit) == "torque" and one.first - previous.last <= PARALLEL:
        return previous.unit
    if one.low > _SIZES[1] and one.low <= 700 and (previous is None or previous.unit != "mm") and _a_bolt(talk, k):
        return "ftlb"
    return ""


def _a_bolt(talk: Talk, k: int) -> bool:
    """A thing that is torqued: the wider words for what is held ("cover", "cap", "pin") do not make a torque by themselves."""
    word = talk.bare[k - 1]
    return word in ("bolt", "bolts", "nut", "nuts", "lug", "lugs", "stud", "studs", "capscrews", "screws")


def _size_unit(talk: Talk, one: Found, edge: int, counted: bool) -> str:
    """A fastener, a tool or a hose with a bare number: millimetres, or inches where it is a fraction."""
    lists, lows = talk.shop.lists, talk.lows
    number = one.number
    fraction = number.has_fraction and number.denominator in (2, 4, 8, 16, 64) and one.low <= 4
    whole = one.low.denominator == 1 and _SIZES[0] <= one.low <= _SIZES[1] and not number.has_fraction and number.decimals == 0
    if not (fraction or whole):
        return ""
    if whole and counted:
        return ""
    tool_after = any(lists["tools"].starts_at(talk.bare, k) > 0 for k in (one.last, one.last + 1))
    hose_after = lists["hoses"].starts_at(talk.bare, one.last) > 0
    drive = lists["drive-words"].starts_at(lows, one.last) > 0
    fast_after = any(lists["fasteners"].starts_at(talk.bare, k) > 0 for k in (one.last, one.last + 1))
    if fraction:
        if tool_after or hose_after or drive or fast_after or number.denominator in (8, 16, 64):
            return "in"
        if _tool_before(talk, edge, 6) or _fastener_before(talk, edge):
            return "in"
        return ""
    if tool_after and not (talk.low(one.last).endswith("s") and one.low < 6):
        return "mm"
    if fast_after and lists["size-before"].ends_at(lows, one.first) >= 0 and not talk.low(one.last).endswith("s"):
        return "mm"
    article = talk.low(one.first - 1) in ("a", "an")
    if article and (_fastener_before(talk, edge) or _tool_before(talk, edge, 8)):
        return "mm"
    if lists["size-before"].ends_at(lows, edge) >= 0 and _fastener_before(talk, edge) and one.low <= 50:
        return "mm"
    return "mm" if article and one.low >= 7 and talk.low(one.last) in ("", ".", ",", "on", "and", "or", "for", "in", "to", "i", "socket") and _takes_size(lows, one.first) else ""


def _takes_size(lows: list[str] | tuple[str, ...], first: int) -> bool:
    return first >= 2 and lows[first - 2] in ("takes", "took", "take", "uses", "used", "use", "needs", "need", "grabbed", "grab", "with")


def _fastener_before(talk: Talk, edge: int) -> bool:
    """Whether a fastener was named within the last words of the same sentence."""
    lists = talk.shop.lists
    for k in range(edge, max(0, edge - 8), -1):
        if talk.segment[k - 1] != talk.segment[edge if edge < len(talk.segment) else edge - 1]:
            return False
        hit = talk.thing_at[k - 1]
        if hit is not None and talk.shop.thing_kinds.get(hit.id) == "fastener":
            return True
        if lists["fasteners"].ends_at(talk.bare, k) >= 0:
            return True
    return False


def _tool_before(talk: Talk, edge: int, reach: int) -> bool:
    lists = talk.shop.lists
    return any(lists["tools"].ends_at(talk.bare, k) >= 0 for k in range(edge, max(0, edge - reach), -1))


def _like_the_last(talk: Talk, one: Found, edge: int, previous: Found | None) -> str:
    """The unit of the value told last, where only small words stand between and the size is alike."""
    if previous is None or one.first - previous.last > PARALLEL or not previous.unit:
        return ""
    unit = previous.unit
    if unit in ("each", "set", "pair", "can", "bottle", "turns") or one.number.plural:
        return ""
    if talk.segment[one.first] - talk.segment[previous.first] > 1:
        return ""
    kind = dimension(unit)
    if kind == "length" and unit in ("mm", "in") and one.number.has_fraction != previous.number.has_fraction and one.number.denominator > 2:
        return ""
    small, big = sorted((abs(one.low), abs(previous.low)))
    if small and big > small * 8:
        return ""
    strange = _small_words(talk, previous.last, edge, things=kind not in ("time",))
    near = one.first - previous.last
    nudged = talk.low(edge - 1) in ("at", "to", "was", "is", "reads", "read", "now", "it's", "up", "down", "back", "another", "or", "were", "are", "for", "wants", "says", "be")
    verbs = ("in", "added", "took", "put", "got", "drained", "pulled", "recovered", "poured", "out", "charged", "used", "needed")
    if kind in ("volume", "mass") and any(w in verbs for w in talk.lows[previous.last : one.first]):
        strange = min(strange, 1)
        nudged = nudged or talk.low(edge - 1) in verbs
    if kind == "time":
        return unit if strange == 0 and nudged and near <= 4 else ""
    if strange == 0 and near <= 12:
        return unit if nudged or one.number.decimals or near <= 6 or kind in ("pressure", "voltage", "resistance") else ""
    if strange <= 2 and nudged and (near <= 9 and big <= small * 2 or kind in ("volume", "mass") and near <= 12):
        return unit
    return ""


def settle_retracted(found: list[Found]) -> None:
    """A value taken back is of the unit of the value that took its place."""
    by_span = {span: one for one in found if not one.gone for span in one.replaced}
    for one in found:
        if one.retracted and not one.unit:
            heir = by_span.get((one.first, one.last))
            if heir is not None and heir.unit:
                one.unit, one.elided = heir.unit, True
                if heir.unit == "32nds" and one.number.denominator == 32:
                    one.low, one.high = one.low * 32, one.high * 32


__all__ = ["fits", "settle_retracted", "supply_units"]
