"""Sets of short phrases that are asked for beside a number: "does one of them end here?", "does one begin here?"."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from narrate.core.handoffs import Token
from narrate.core.tokens import split_words


class PhraseSet:
    """Phrases by their first and by their last word; the longest one wins. Compared in lower case, as written."""

    __slots__ = ("_by_first", "_by_last", "words")

    def __init__(self, phrases: Iterable[str]) -> None:
        self._by_first: dict[str, list[tuple[str, ...]]] = {}
        self._by_last: dict[str, list[tuple[str, ...]]] = {}
        found = {_words(p) for p in phrases}
        for words in sorted(found, key=lambda w: (-len(w), w)):
            if words:
                self._by_first.setdefault(words[0], []).append(words)
                self._by_last.setdefault(words[-1], []).append(words)
        self.words = frozenset(w[0] for w in found if len(w) == 1)

    def firsts(self) -> Iterable[str]:
        return self._by_first

    def lasts(self) -> Iterable[str]:
        return self._by_last

    def ends_at(self, lows: Sequence[str], last: int) -> int:
        """The start of the longest phrase that ends before index `last` (excluded); -1 where none does."""
        if last <= 0:
            return -1
        for words in self._by_last.get(lows[last - 1], ()):
            first = last - len(words)
            if first >= 0 and (len(words) == 1 or tuple(lows[first:last]) == words):
                return first
        return -1

    def starts_at(self, lows: Sequence[str], first: int) -> int:
        """The end (excluded) of the longest phrase that starts at index `first`; -1 where none does."""
        if first >= len(lows):
            return -1
        phrases = self._by_first.get(lows[first])
        if phrases is None:
            return -1
        for words in phrases:
            last = first + len(words)
            if last <= len(lows) and (len(words) == 1 or tuple(lows[first:last]) == words):
                return last
        return -1

    def covers(self, lows: Sequence[str], first: int, last: int) -> bool:
        """Whether exactly the words `first` to `last` are one phrase, or phrases one after the other, longest first."""
        while first < last:
            end = self.starts_at(lows[:last], first) if last < len(lows) else self.starts_at(lows, first)
            if end < 0 or end > last:
                return False
            first = end
        return True


def _words(phrase: str) -> tuple[str, ...]:
    """A phrase as words. Plain words need no splitter, which has its price for thousands of phrases."""
    if phrase.replace(" ", "").isalpha():
        return tuple(phrase.lower().split())
    return tuple(t.low for t in split_words(phrase))


def lows_of(tokens: Sequence[Token]) -> list[str]:
    return [t.low for t in tokens]
