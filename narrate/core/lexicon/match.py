"""Phrases -> hits: one spaCy PhraseMatcher for a whole trade, over the keys of tokens.

A key is a word as phrases are compared by: lower case, straight apostrophes, no possessive, no simple plural. Both the
lexicon's phrases and the narrative's words go through `key_of`, so that a rule here can only widen, never misalign.
"""

from __future__ import annotations

import threading
from collections.abc import Iterable, Mapping, Sequence
from functools import lru_cache
from typing import Any

from narrate.core.handoffs import Hit, Token

_KEEP_POSSESSIVE = frozenset(
    [
        "it's",
        "that's",
        "there's",
        "he's",
        "she's",
        "who's",
        "what's",
        "here's",
        "where's",
        "let's",
        "one's",
        "how's",
        "when's",
        "everything's",
        "nothing's",
    ]
)
Owner = tuple[str, str]  # the layer, and the id of the entry
_STRANGE = "\u00b7"
_MOST_PAIRS = 100_000  # pairs of words that are remembered to call for nothing more
_SHARED = frozenset(("verb", "said", "cue", "model", "finding", "place", "labour"))  # layers that share phrases
# contractions whose spelling without the apostrophe is another word
_NO_BARE = frozenset(
    [
        "we're",
        "we'll",
        "he'll",
        "she'll",
        "i'll",
        "i'd",
        "we'd",
        "he'd",
        "she'd",
        "it's",
        "who're",
        "let's",
        "can't",
        "won't",
    ]
)


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
    """All phrases of a trade: `add` while building, `find` for ever after (safe in threads).

    A PhraseMatcher of thirty thousand phrases takes a second to fill, and one narrative can meet only those whose first
    two words it holds. So the phrases wait, packed by these two words, and go into the matcher as words come up. What
    `find` gives never depends on what came before.
    """

    def __init__(self) -> None:
        self._owners: dict[tuple[str, ...], list[Owner]] = {}  # of the phrases that do not wait
        self._waiting: dict[str, dict[str, str]] = {}  # first word -> the first two -> phrases
        self._folded: dict[str, str] = {}  # first word -> all that wait behind it, while none has come up
        self._known: frozenset[str] = frozenset()
        self._asked: set[tuple[str, str]] = set()  # pairs of words that have come up: nothing waits for them now
        self._matcher: Any = None
        self._vocab: Any = None
        self._lock = threading.Lock()

    def __getstate__(self) -> dict[str, Any]:
        owners = dict(self.phrases())
        packed = {
            word: "\f".join(f"{pair}\r{lines}" for pair, lines in held.items())
            for word, held in _by_word(_pack(owners)).items()
        }
        known = {key for keys in owners for key in keys}
        return {"packed": packed, "known": " ".join(sorted(known))}

    def __setstate__(self, state: dict[str, Any]) -> None:
        self.__init__()  # type: ignore[misc]
        self._folded = state["packed"]
        self._known = frozenset(state["known"].split(" "))

    def add(self, layer: str, entry: str, keys: tuple[str, ...]) -> str | None:
        """Claim a phrase for an entry; returns the entry of the same layer that had it already, if any."""
        owners = self._open().setdefault(keys, [])
        for other_layer, other in owners:
            if other_layer == layer and other != entry:
                if layer in _SHARED or layer.startswith("unless"):
                    continue
                return other
            if other_layer == layer and other == entry:
                return None
        owners.append((layer, entry))
        return None

    def hand_over(self, layer: str, loser: str, entry: str, keys: tuple[str, ...]) -> None:
        """Let `entry` have a phrase that `loser` claimed: a trade says a word of one it extends in its own sense."""
        owners = self._open()[keys]
        owners[owners.index((layer, loser))] = (layer, entry)

    def give_up(self, layer: str, entry: str, keys: tuple[str, ...]) -> None:
        """Take a phrase from an entry; nothing happens where it has none."""
        owners = self._open().get(keys, [])
        if (layer, entry) in owners:
            owners.remove((layer, entry))
            if not owners:
                del self._owners[keys]

    def phrases(self) -> Iterable[tuple[tuple[str, ...], list[Owner]]]:
        """Every phrase, as keys, and who claims it."""
        yield from self._owners.items()
        for word in tuple(self._folded):
            self._unfold(word)
        for held in self._waiting.values():
            for pair, lines in held.items():
                yield from _unpack(pair, lines)

    def _open(self) -> dict[tuple[str, ...], list[Owner]]:
        """All phrases unpacked, and the matcher let go, so that they can be changed."""
        if self._folded or self._waiting or self._matcher is not None:
            self._owners = dict(self.phrases())
            self._waiting, self._asked, self._matcher = {}, set(), None
        return self._owners

    def _ready(self) -> None:
        """Make the matcher, empty as yet, with every phrase waiting."""
        from spacy.matcher import PhraseMatcher
        from spacy.vocab import Vocab

        if self._owners:
            owners = dict(self.phrases())
            self._known = frozenset(key for keys in owners for key in keys)
            self._waiting, self._owners = _by_word(_pack(owners)), {}
        self._vocab = Vocab()
        self._matcher = PhraseMatcher(self._vocab, attr="ORTH")

    def _unfold(self, word: str) -> None:
        """Let the phrases that begin with a word wait by their first two."""
        folded = self._folded.get(word)
        if folded is not None:
            held = (waiting.partition("\r") for waiting in folded.split("\f"))
            self._waiting[word] = {pair: lines for pair, _, lines in held}
            self._folded.pop(word, None)

    def _called_up(self, keys: Sequence[str]) -> list[tuple[str, ...]]:
        """The phrases that these words call for and that still waited."""
        due: list[tuple[str, ...]] = []
        if len(self._asked) > _MOST_PAIRS:
            self._asked.clear()
        pairs = dict.fromkeys(zip(keys, [*keys[1:], _STRANGE], strict=True))
        for one, following in [pair for pair in pairs if pair not in self._asked]:
            self._asked.add((one, following))
            if one in self._folded:
                self._unfold(one)
            held = self._waiting.get(one)
            if not held:
                continue
            for pair in (f"{one} {following}", one):
                lines = held.pop(pair, None)
                if lines is not None:
                    phrases = list(_unpack(pair, lines))
                    self._owners.update(phrases)
                    due += [keys for keys, _ in phrases]
        return due

    def find(self, tokens: Sequence[Token]) -> list[Hit]:
        """Every phrase on the tokens, each layer's own, overlaps and all, in order of place."""
        from spacy.tokens import Doc

        if not tokens:
            return []
        with self._lock:
            if self._matcher is None:
                self._ready()
            # words of no phrase all become one mark, so that the vocabulary does not grow with what is read
            keys = [t.key if t.key in self._known else _STRANGE for t in tokens]
            due = self._called_up(keys)
            if due:
                self._matcher.add("phrase", [Doc(self._vocab, words=list(words)) for words in due])
            matches = self._matcher(Doc(self._vocab, words=keys))
        hits = [
            Hit(layer, entry, first, last)
            for _, first, last in matches
            for layer, entry in self._owners[tuple(keys[first:last])]
        ]
        hits.sort(key=lambda h: (h.first, -h.last, h.layer, h.id))
        return hits


def _pack(owners: Mapping[tuple[str, ...], Sequence[Owner]]) -> dict[str, str]:
    """Phrases by their first two words, each a line of its further words and its owners, tabs between: a text is kept
    and read back many times faster than what it says."""
    lines: dict[str, list[str]] = {}
    for keys, own in owners.items():
        fields = [" ".join(keys[2:]), *(f"{layer}\t{entry}" for layer, entry in own)]
        lines.setdefault(" ".join(keys[:2]), []).append("\t".join(fields))
    return {pair: "\n".join(own) for pair, own in lines.items()}


def _by_word(packed: Mapping[str, str]) -> dict[str, dict[str, str]]:
    """The same by the first word alone."""
    out: dict[str, dict[str, str]] = {}
    for pair, lines in packed.items():
        out.setdefault(pair.partition(" ")[0], {})[pair] = lines
    return out


def _unpack(pair: str, lines: str) -> Iterable[tuple[tuple[str, ...], list[Owner]]]:
    begin = tuple(pair.split(" "))
    for line in lines.split("\n"):
        rest, *fields = line.split("\t")
        keys = (*begin, *rest.split(" ")) if rest else begin
        yield keys, list(zip(fields[::2], fields[1::2], strict=True))


_HEAD_LAST = frozenset(("thing", "fluid"))


def longest_first(hits: Iterable[Hit]) -> list[Hit]:
    """Of overlapping hits the longer keeps the words. In order of place.

    Of equal ones the earlier does; of names of things the later, since the last word of a name says what it is: a
    "rear window motor" is a window motor, the "upper oil pan bolt" an oil pan bolt.
    """
    taken: list[Hit] = []
    used: set[int] = set()
    for hit in sorted(hits, key=lambda h: (h.first - h.last, -h.first if h.layer in _HEAD_LAST else h.first)):
        span = range(hit.first, hit.last)
        if used.isdisjoint(span):
            used.update(span)
            taken.append(hit)
    taken.sort(key=lambda h: h.first)
    return taken
