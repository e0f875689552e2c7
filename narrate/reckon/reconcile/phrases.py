"""Phrases of the common files as keys, and where they stand in a narrative: found in one pass over the words asked about."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

from narrate.core.handoffs import Facts
from narrate.core.lexicon.contradicting import ContradictionsFile
from narrate.core.lexicon.load import lexicon_root, read_model
from narrate.core.tokens import phrase_keys


@lru_cache(maxsize=1)
def contradictions() -> ContradictionsFile:
    return read_model(lexicon_root() / "common" / "contradictions.yaml", ContradictionsFile)


@lru_cache(maxsize=64)
def by_first(name: str) -> dict[str, tuple[tuple[str, ...], ...]]:
    """The phrases of one list of contradictions.yaml, by their first key."""
    out: dict[str, tuple[tuple[str, ...], ...]] = {}
    for phrase in getattr(contradictions(), name):
        keys = tuple(phrase_keys(phrase))
        out[keys[0]] = (*out.get(keys[0], ()), keys)
    return out


def find(facts: Facts, name: str, first: int, last: int) -> Iterator[tuple[int, int]]:
    """Token spans of a list's phrases from `first` to `last`, both within the narrative or beyond its ends."""
    index, places, keys = by_first(name), facts.places, facts.keys
    for i in sorted(i for key in index.keys() & places.keys() for i in places[key] if first <= i < last):
        for phrase in index[keys[i]]:
            if keys[i : i + len(phrase)] == phrase:
                yield i, i + len(phrase)


def says(facts: Facts, name: str, first: int, last: int) -> bool:
    return next(find(facts, name, first, last), None) is not None
