"""Hits -> hits, with what a list names by its first words only: "upper and lower radiator hoses", "oil and air filters".

Parts listed with "and" share the last words of the last of them; a short name behind a fluid is that fluid's: the filter
of "trans fluid and filter".
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from narrate.core.handoffs import Gap, Hit, Token
from narrate.core.lexicon.lexicon import NOMINAL, Lexicon

_JOINS = frozenset(("and", "&", "/", "+", "plus"))
_ONE = frozenset(("a", "an", "one"))
_NEAR = 14  # tokens between a short name and the fluid that tells whose it is
_LINE = 40  # tokens between a line's heading and a short name in it
_MOST = 4  # names that one head ends


def share_heads(hits: Sequence[Hit], tokens: Sequence[Token], lexicon: Lexicon) -> tuple[Hit, ...]:
    """The hits, more where a list names more, in order of place; `tokens` are those that the hits lie on."""
    starts = {h.first: h for h in hits if h.layer in NOMINAL}
    ends = {h.last: h for h in starts.values()}
    out = {id(h): h for h in hits}
    for hit in sorted(starts.values(), key=lambda h: h.first):
        if hit.first < 2 or tokens[hit.first - 1].low not in _JOINS or tokens[hit.first].gap >= Gap.LINE:
            continue
        before = ends.get(hit.first - 1)
        if hit.last - hit.first == 1 and before is not None and before.layer == "fluid":
            narrow = _of_fluid(hit, before, tokens, lexicon)
            if narrow is not None:
                out[id(hit)] = narrow
                continue
        for name in _names_before(hit, ends, tokens, lexicon):
            for old in (h for h in starts.values() if name.first < h.last and h.first < name.last):
                out.pop(id(old), None)
            out[id(name)] = name
    headed = ":" in [token.low for token in tokens]
    for hit in list(out.values()) if headed else ():
        named = _under_heading(hit, tokens, lexicon)
        if named is not None:
            out[id(hit)] = named
    found = sorted(out.values(), key=lambda h: (h.first, h.last, h.layer, h.id))
    return tuple(_told_by_fluid(found, tokens, lexicon))


def _under_heading(hit: Hit, tokens: Sequence[Token], lexicon: Lexicon) -> Hit | None:
    """The whole name that a line's heading and a short name in the line make: "Window: replaced the regulator"."""
    if (
        hit.layer != "thing"
        or hit.last - hit.first != 1
        or lexicon.things[hit.id].name.lower() != _one(tokens[hit.first].low)
    ):
        return None
    start = hit.first
    while start and tokens[start].gap < Gap.LINE and hit.first - start < _LINE:
        start -= 1
    colon = next((j for j in range(start + 1, min(start + 4, hit.first)) if tokens[j].low == ":"), None)
    if colon is None or tokens[start].gap < Gap.LINE:
        return None
    words = [replace(t, gap=Gap.SPACE) for t in (*tokens[start:colon], tokens[hit.first]) if t.low[0].isalnum()]
    for known in lexicon.find(words):
        if (
            known.layer == "thing"
            and known.first == 0
            and known.last == len(words)
            and hit.id in lexicon.wider(known.id)
        ):
            return Hit("thing", known.id, hit.first, hit.last)
    return None


def _one(low: str) -> str:
    return low[:-1] if low.endswith("s") and not low.endswith("ss") else low


def _told_by_fluid(hits: Sequence[Hit], tokens: Sequence[Token], lexicon: Lexicon) -> list[Hit]:
    """The hits, a short name that one fluid's system knows narrowed to it: "drained the oil and fitted a new filter".

    Not where a longer name that ends so stands as near: that is what the short one repeats.
    """
    named = [h for h in hits if h.layer in NOMINAL]
    fluids = [h for h in named if h.layer == "fluid"]
    out = list(hits)
    for i, hit in enumerate(out):
        if (
            hit.layer != "thing"
            or hit.last - hit.first != 1
            or lexicon.things[hit.id].name.lower() != tokens[hit.first].low
        ):
            continue
        if lexicon.kinds[hit.id] in ("seal", "fastener"):
            continue  # "0.3 l of ATF" tells of no filter's seal
        near = [h for h in fluids if _between(h, hit) <= _NEAR]
        if not near or any(hit.id in lexicon.wider(h.id) for h in named if h is not hit and _between(h, hit) <= _NEAR):
            continue
        for fluid in sorted(near, key=lambda h: _between(h, hit)):
            narrow = _of_fluid(hit, fluid, tokens, lexicon)
            if narrow is not None and hit.id in lexicon.wider(narrow.id):
                out[i] = narrow
                break
    return out


def _between(one: Hit, other: Hit) -> int:
    return other.first - one.last if one.first < other.first else one.first - other.last


def _names_before(hit: Hit, ends: dict[int, Hit], tokens: Sequence[Token], lexicon: Lexicon) -> list[Hit]:
    """The names before the join at `hit` that are whole with its last words; from right to left."""
    plural = tokens[hit.last - 1].low.endswith("s")
    out: list[Hit] = []
    end = hit.first - 1  # the join, or the comma, behind the name
    while end > 0 and len(out) < _MOST:
        found = None
        for size in (2, 1):
            first = end - size
            if first < 0 or any(tokens[j].gap >= Gap.LINE for j in range(first + 1, end + 1)):
                continue
            before = ends.get(end)
            if before is not None and before.first < first:
                break  # a name of its own, longer than this
            if before is not None and not plural:
                break  # "the oil and air filter": the oil, and a filter
            if before is not None and tokens[first - 1].low in _ONE:
                break  # "a battery and ground cables": counted by itself
            found = _whole(first, end, hit, tokens, lexicon)
            if found is not None:
                break
        if found is None:
            break
        out.append(found)
        if tokens[found.first - 1].low != "," or found.first < 2:
            break
        end = found.first - 1
    return out


def _whole(first: int, end: int, hit: Hit, tokens: Sequence[Token], lexicon: Lexicon) -> Hit | None:
    """The name that tokens `first` to `end` make with the last words of `hit`, the longest that the lexicon knows."""
    for tail in range(hit.first + 1, hit.last):
        words = [replace(t, gap=Gap.SPACE) for t in (*tokens[first:end], *tokens[tail : hit.last])]
        for known in lexicon.find(words):
            if known.layer == "thing" and known.first == 0 and known.last == len(words):
                return Hit("thing", known.id, first, end) if known.id != hit.id else None
    return None


def _of_fluid(hit: Hit, fluid: Hit, tokens: Sequence[Token], lexicon: Lexicon) -> Hit | None:
    """The one part of the fluid's own system that the short name can stand for."""
    systems = {system for system, holds in lexicon.holds.items() if fluid.id in lexicon.wider(holds) | {holds}}
    systems |= {s for s, holds in lexicon.holds.items() if holds in lexicon.wider(fluid.id)}
    able = [t for t in lexicon.by_head.get(tokens[hit.first].key, ()) if lexicon.systems.get(t) in systems]
    if hit.id in able or not able:
        return None
    word = tokens[hit.first].low.rstrip("s")
    named = [t for t in able if lexicon.things[t].name.lower().split()[-1] == word]
    named = named if len(able) > 1 else able
    first_words = set(lexicon.things[fluid.id].name.lower().split()) | {tokens[fluid.first].low}
    told = [t for t in named if first_words & set(lexicon.things[t].name.lower().split())]
    best = told if len(told) == 1 else named
    return Hit("thing", best[0], hit.first, hit.last) if len(best) == 1 else None
