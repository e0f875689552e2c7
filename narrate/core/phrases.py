"""The phrases of a word list as words, by the first of them: split once a list, and looked for only where one may begin."""

from __future__ import annotations

from functools import lru_cache

Words = tuple[str, ...]


@lru_cache(maxsize=256)
def by_first_word(phrases: frozenset[str]) -> dict[str, frozenset[Words]]:
    """First word -> every phrase that begins with it, as words. The lists of a lexicon stay, and so do their splits."""
    out: dict[str, set[Words]] = {}
    for phrase in phrases:
        words = tuple(phrase.split())
        out.setdefault(words[0], set()).add(words)
    return {first: frozenset(own) for first, own in out.items()}
