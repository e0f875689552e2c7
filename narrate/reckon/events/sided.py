"""Parts fitted -> the same parts with the side that was told of them before: "left front hose is swelled shut ... new hose"."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import replace

from narrate.core.handoffs import Fitted, Hit
from narrate.reckon.events.phrase import Mention
from narrate.reckon.events.places import AXLES, SIDES
from narrate.reckon.events.words import Words

_REACH = 110  # tokens back to where the side was told
_SMALL = frozenset(("seal", "fastener", "consumable"))


def side_told_before(words: Words, mentions: Sequence[Mention], fitted: Sequence[Fitted]) -> list[Fitted]:
    """Give a part that names no place the one that the same part was last told with.

    Nothing is given where both sides of it are told: "left pads 3, right pads 2, new pads". Two of a part, or a set,
    are at no one side, but may be at one axle.
    """
    starts = [t.start for t in words.tokens]
    out: list[Fitted] = []
    for one in fitted:
        told = set((one.position or "").split())
        if one.state == "done" and not told & (SIDES | AXLES):
            at = bisect_left(starts, one.spans[0][0])
            position = _told(words, mentions, one, at)
            if position is not None:
                one = replace(one, position=" ".join([*(one.position or "").split(), position]))
        out.append(one)
    return out


def _told(words: Words, mentions: Sequence[Mention], one: Fitted, at: int) -> str | None:
    near = [m for m in mentions if at - _REACH <= m.first < at and _same_part(words, m.thing, one.thing)]
    placed = [m for m in near if m.position and set(m.position.split()) & (SIDES | AXLES)]
    if not placed or any(m.other_place for m in placed):
        return None
    last = placed[-1]
    values = [w for w in (last.position or "").split() if w in SIDES | AXLES]
    said = {w for m in placed for w in (m.position or "").split()}
    said |= {w for hit in _alone(words, placed[0].first, at) for w in _value(words, hit).split()}
    many = one.unit in ("set", "pair") or one.quantity is None or one.quantity > 1
    if words.lexicon.kinds[one.thing] in _SMALL and last.plural == (one.quantity != 1):
        many = False
    if said >= SIDES or many:
        values = [w for w in values if w not in SIDES]
    if said >= AXLES:
        values = [w for w in values if w not in AXLES]
        if SIDES & set(values):
            return None  # "left front ... left rear": which of them nobody knows
    return " ".join(values) or None


def _alone(words: Words, first: int, last: int) -> list[Hit]:
    """Places between that are of no other part: "the left one's gone, right is tight"."""
    return [
        hit
        for i in range(first, last)
        if (hit := words.place_at.get(i)) is not None and hit.first == i and hit.last not in words.noun_at
    ]


def _value(words: Words, hit: Hit) -> str:
    return words.lexicon.words[hit.id].value or hit.id


def _same_part(words: Words, told: str, fitted: str) -> bool:
    if told == fitted:
        return True
    lexicon = words.lexicon
    if told in lexicon.wider(fitted) or fitted in lexicon.wider(told):
        return True
    short = lexicon.things[fitted].name.lower()
    return " " not in short and lexicon.things[told].name.lower().split()[-1] == short
