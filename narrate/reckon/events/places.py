"""The sides said with a part: before its name, inside it, behind it, or apart between marks; and what they make together."""

from __future__ import annotations

from collections.abc import Sequence

from narrate.core.handoffs import Gap, Hit
from narrate.reckon.events.words import Words

AXLES = frozenset(("front", "rear"))
SIDES = frozenset(("left", "right"))
_ORDER = ("upper", "lower", "inner", "outer", "left", "right", "front", "rear")
LOCATION = frozenset(
    (
        "on in at to from of under behind around near into onto off for by inside between through over "
        "above below beside against via"
    ).split()
)


def places_after(words: Words, hit: Hit, end: int) -> list[Hit]:
    """A side said after the head: "a new slide pin on the left", "strut, left front"."""
    out: list[Hit] = []
    j = hit.last
    stop = min(end, hit.last + 6)
    while j < stop:
        place = words.place_at.get(j)
        if place is not None:
            if out and words.lows[place.last : place.last + 1] in (["one"], ["one's"], ["ones"]):
                break  # "on the left, the right one's fine"
            nxt = words.noun_at.get(place.last)
            whole = words.lows[j] in LOCATION or (words.lows[j - 1] == "the" and words.lows[j - 2] in LOCATION)
            if nxt is None or nxt.first != place.last or whole:
                out.append(place)
            j = place.last
            continue
        went = next((v for v in words.verb_at.get(j, ()) if words.lexicon.verbs[v.id].fits), None)
        if went is not None and went.last in words.place_at:
            j = went.last  # "one new strut goes in left"
            continue
        if j in words.noun_at or words.lows[j] in ("and", "new", ".", ";", "with", "but", "or") or j in words.verb_at:
            break
        if words.lows[j] == "," and (j + 1 not in words.place_at):
            break
        j += 1
    return out or _place_apart(words, hit.last)


def _place_apart(words: Words, j: int) -> list[Hit]:
    """A side between marks: "1 new outer end, RF, TR-5508"."""
    if words.lows[j : j + 1] not in ([","], ["("], ["-"], ["–"]):
        return []
    place = words.place_at.get(j + 1)
    if place is None or place.first != j + 1 or words.tokens[j + 1].gap >= Gap.LINE:
        return []
    after = words.lows[place.last] if place.last < len(words.lows) else "."
    closed = not after[0].isalnum() or words.tokens[place.last].gap >= Gap.LINE
    return [place] if closed else []


def places_inside(words: Words, hit: Hit) -> list[Hit]:
    """A side that the part's own phrase took in: "front pads"."""
    return list(
        {words.place_at[i].first: words.place_at[i] for i in range(hit.first, hit.last) if i in words.place_at}.values()
    )


def position_of(words: Words, places: Sequence[Hit]) -> str | None:
    """Places as one position: "left" and "front" are left front; contrary ones are none."""
    values: list[str] = []
    for place in sorted(places, key=lambda h: h.first):
        for word in (words.lexicon.words[place.id].value or place.id).split():
            if word not in values:
                values.append(word)
    if "left" in values and "right" in values:
        values = [v for v in values if v not in ("left", "right")]
    for ends in (("front", "rear"), ("upstream", "downstream")):
        if values and all(end in values for end in ends):
            values = [v for v in values if v not in ends]
    return " ".join(sorted(values, key=side_order)) or None


def side_order(word: str) -> int:
    """Where a word stands in a position as the sheet says it: "upper left front"."""
    return _ORDER.index(word) if word in _ORDER else len(_ORDER)
