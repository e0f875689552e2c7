"""Phrases -> hits: one spaCy PhraseMatcher for a whole trade, over the keys of tokens.

A key is a word as phrases are compared by: lower case, straight apostrophes, no possessive, no simple plural. Both the
lexicon's phrases and the narrative's words go through `key_of`, so that a rule here can only widen, never misalign.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import lru_cache
from typing import Any

from narrate.core.handoffs import Hit, Token

_KEEP_POSSESSIVE = frozenset(
    "it's that's there's he's she's who's what's here's where's let's one's how's when's everything's nothing's".split()
)
# contractions whose spelling without the apostrophe is another word
_NO_BARE = frozenset("we're we'll he'll she'll i'll i'd we'd he'd she'd it's who're let's can't won't".split())


@lru_cache(maxsize=65536)
def key_of(word: str) -> str:
    """The key of one word as written. "O-Rings" never arrives here whole: the splitter drops the hyphen."""
    low = word.lower().replace("’", "'").replace("‘", "'").replace("`", "'")
    if low.endswith("'s") and low not in _KEEP_POSSESSIVE:
        low = low[:-2]
    elif low.endswith("s'") and len(low) > 3:
        low = low[:-1]
    if len(low) > 3 and low[-1] == "s" and low[-2].isalpha() and not low.endswith(("ss", "us", "is", "'s")):
        if low.endswith("ies") and len(low) > 4:
            return low[:-3] + "y"
        if low.endswith(("ches", "shes", "xes", "zes", "sses")):
            return low[:-2]
        return low[:-1]
    return low


def bare_forms(phrase: str) -> Iterable[str]:
    """The phrase, and the spelling that a recogniser makes of its contractions ("didnt", "didn t")."""
    yield phrase
    words = phrase.split()
    for i, word in enumerate(words):
        if "'" in word and word.lower() not in _NO_BARE and not word.startswith("'"):
            yield " ".join([*words[:i], word.replace("'", ""), *words[i + 1 :]])


class PhraseIndex:
    """All phrases of a trade: `add` while building, `find` for ever after (safe in threads)."""

    def __init__(self) -> None:
        self._owners: dict[tuple[str, ...], list[tuple[str, str]]] = {}
        self._matcher: Any = None
        self._vocab: Any = None
        self._by_key: dict[int, list[tuple[str, str]]] = {}

    def add(self, layer: str, entry: str, keys: tuple[str, ...]) -> str | None:
        """Claim a phrase for an entry; returns the entry of the same layer that had it already, if any."""
        owners = self._owners.setdefault(keys, [])
        for other_layer, other in owners:
            if other_layer == layer and other != entry:
                if layer in ("verb", "said", "cue", "model", "finding", "place", "labour") or layer.startswith("unless"):
                    continue
                return other
            if other_layer == layer and other == entry:
                return None
        owners.append((layer, entry))
        return None

    def phrases(self) -> Iterable[tuple[tuple[str, ...], list[tuple[str, str]]]]:
        return self._owners.items()

    def _build(self) -> None:
        import spacy
        from spacy.matcher import PhraseMatcher
        from spacy.tokens import Doc

        vocab = spacy.blank("en").vocab
        matcher = PhraseMatcher(vocab, attr="ORTH")
        by_key: dict[int, list[tuple[str, str]]] = {}
        for n, (keys, owners) in enumerate(self._owners.items()):
            name = f"p{n}"
            matcher.add(name, [Doc(vocab, words=list(keys))])
            by_key[vocab.strings[name]] = owners
        self._vocab, self._by_key = vocab, by_key
        self._matcher = matcher

    def find(self, tokens: Sequence[Token]) -> list[Hit]:
        """Every phrase on the tokens, each layer's own, overlaps and all, in order of place."""
        if self._matcher is None:
            self._build()
        from spacy.tokens import Doc

        if not tokens:
            return []
        doc = Doc(self._vocab, words=[t.key or " " for t in tokens])
        hits = [
            Hit(layer, entry, first, last)
            for match, first, last in self._matcher(doc)
            for layer, entry in self._by_key[match]
        ]
        hits.sort(key=lambda h: (h.first, -h.last, h.layer, h.id))
        return hits


def longest_first(hits: Iterable[Hit]) -> list[Hit]:
    """Of overlapping hits the longer keeps the words; of equal ones the earlier. In order of place."""
    taken: list[Hit] = []
    used: set[int] = set()
    for hit in sorted(hits, key=lambda h: (-(h.last - h.first), h.first)):
        span = range(hit.first, hit.last)
        if used.isdisjoint(span):
            used.update(span)
            taken.append(hit)
    taken.sort(key=lambda h: h.first)
    return taken
