"""What a bare value was read on: the subject named before it or behind it, with nothing but small words between."""

from __future__ import annotations

from bisect import bisect_left, bisect_right

from narrate.core.units import same_dimension
from narrate.read.mentions.found import Found
from narrate.read.mentions.talk import Point, Talk

REACH_BEFORE, REACH_AFTER = 14, 7
COPULAS = frozenset(
    (
        "at",
        "is",
        "are",
        "was",
        "were",
        "to",
        "reads",
        "read",
        "measured",
        "measures",
        "=",
        ":",
        "@",
        "showed",
        "shows",
        "sat",
        "be",
        "being",
        "tests",
        "got",
        "says",
        "hit",
        "hits",
        "reached",
    )
)
_OF = frozenset(("on", "in", "at", "of", "across", "through", "between", "from", "for", "by", "with"))


def strange_words(talk: Talk, first: int, last: int, things: bool = False) -> int:
    """How many of the words between are neither links nor places nor values (nor, if allowed, things)."""
    lists, lows = talk.shop.lists, talk.lows
    link, places, beside, fasteners = lists["link"], lists["places"], lists["beside"], lists["fasteners"]
    adjectives = lists["adjective"].words
    strange, k = 0, first
    while k < last:
        end = talk.value_end[k]
        if not end:
            end = max(link.starts_at(lows, k), places.starts_at(lows, k), beside.starts_at(lows, k))
        if end < 0 and things:
            hit = talk.thing_at[k]
            end = hit.last if hit is not None else fasteners.starts_at(talk.bare, k)
            if end < 0 and lows[k] in adjectives:
                end = k + 1
        if end < 0:
            strange += 1
            end = k + 1
        k = end
    return strange


def point_before(talk: Talk, one: Found, edge: int) -> Point | None:
    """The subject named last before the value. Its place may stand between ("drop on the positive cable was ...")."""
    best: Point | None = None
    at = bisect_right(talk.points, one.first, key=lambda p: p.first) - 1
    copula = talk.low(edge - 1) in COPULAS
    while at >= 0:
        point = talk.points[at]
        at -= 1
        if point.last > edge:
            continue
        if one.first - point.last > REACH_BEFORE or talk.segment[point.first] != talk.segment[one.first]:
            break
        if best is not None and not (point.named and not best.named):
            continue
        if _spoken_for(talk, point, one):
            continue
        if _clear_between(talk, point, edge, copula, bool(one.number.decimals)):
            best = point
            if point.named:
                break
    return best


def _spoken_for(talk: Talk, point: Point, one: Found) -> bool:
    """Whether a value straight before the subject was its own: "75 degrees in here 28 low"."""
    beside = talk.shop.lists["beside"].words
    k = point.first - 1
    while k >= 0 and k >= point.first - 3 and talk.value_at[k] is None and talk.lows[k] in beside:
        k -= 1
    owner = talk.value_at[k] if k >= 0 else None
    if owner is None or owner is one or not owner.unit or talk.low(one.first - 1) in COPULAS:
        return False
    return same_dimension(owner.unit, point.unit) and (k < point.first - 1 or talk.lows[point.first] in beside)


def _clear_between(talk: Talk, point: Point, edge: int, copula: bool, decimal: bool) -> bool:
    lists, lows = talk.shop.lists, talk.lows
    strange, things, k = 0, 0, point.last
    placed = k < edge and (lows[k] in _OF or lows[k - 1] in _OF or lows[k - 1] == "the")
    while k < edge:
        if talk.value_at[k] is not None:
            return False
        if talk.value_end[k]:
            k = talk.value_end[k]  # a name in figures: "#1"
            continue
        end = max(lists["link"].starts_at(lows, k), lists["places"].starts_at(lows, k))
        if end < 0:
            hit = talk.thing_at[k]
            if hit is not None:
                things += 1
                end = max(hit.last, k + 1)
            else:
                strange += 1
                end = k + 1
        k = end
    if placed and point.named and (copula or decimal):
        return strange <= 2 and things <= 2
    return strange + 2 * things <= (1 if copula else 0)


def point_after(talk: Talk, one: Found, after: Found | None) -> Point | None:
    """What is named behind the value: "210 on the high side", "7/32 tread", "70 and 60, that's fahrenheit"."""
    lists, lows = talk.shop.lists, talk.lows
    limit = min(one.last + REACH_AFTER, after.first if after is not None else len(lows))
    at = bisect_left(talk.points, one.last, key=lambda p: p.first)
    while at < len(talk.points) and talk.points[at].first < limit:
        point = talk.points[at]
        at += 1
        if not point.named:
            continue
        if talk.segment[point.first] != talk.segment[one.first]:
            return None
        k = one.last
        while k < point.first:
            end = max(lists["beside"].starts_at(lows, k), lists["places"].starts_at(lows, k))
            if end < 0:
                return None
            k = end
        return point
    return None
