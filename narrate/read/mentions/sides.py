"""A shop's own words for sides and places: "street side" is the left of this vehicle, whatever it is elsewhere."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from narrate.core.findings import NarrateError
from narrate.core.handoffs import Hit, Token
from narrate.core.lexicon.lexicon import Lexicon
from narrate.core.tokens import phrase_keys


def own_sides(
    hits: Sequence[Hit], tokens: Sequence[Token], lexicon: Lexicon, sides: Mapping[str, Sequence[str]]
) -> tuple[Hit, ...]:
    """The hits with the places that `sides` names (place -> words) in the stead of ours on the same words."""
    own = tuple(_named(tokens, lexicon, sides))
    taken = {i for hit in own for i in range(hit.first, hit.last)}
    kept = [h for h in hits if h.layer != "place" or taken.isdisjoint(range(h.first, h.last))]
    return tuple(sorted((*kept, *own), key=lambda h: (h.first, h.last, h.layer, h.id)))


def _named(tokens: Sequence[Token], lexicon: Lexicon, sides: Mapping[str, Sequence[str]]) -> list[Hit]:
    """The places on the tokens, the longest words first, no token twice."""
    keys = tuple(t.key for t in tokens)
    found: list[Hit] = []
    phrases = [(phrase_keys(words.lower()), place_id(lexicon, side)) for side, own in sides.items() for words in own]
    taken: set[int] = set()
    for words, place in sorted(phrases, key=lambda p: -len(p[0])):
        size = len(words)
        for i in range(len(keys) - size + 1):
            if size and keys[i : i + size] == words and taken.isdisjoint(range(i, i + size)):
                taken.update(range(i, i + size))
                found.append(Hit("place", place, i, i + size))
    return found


def place_id(lexicon: Lexicon, side: str) -> str:
    """The id of a place by what a sheet calls it; NarrateError where there is none of that name."""
    places = {words.value or words.id: words.id for words in lexicon.words.values() if words.value}
    wanted = " ".join(side.lower().split())
    if wanted not in places:
        raise NarrateError(
            f"there is no side or place “{side}”.", where="sides", remedy=f"Known: {', '.join(sorted(places))}."
        )
    return places[wanted]
