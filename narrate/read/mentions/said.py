"""A narrative as the finders of who and when ask about it: its tokens, the words compared, and the signs of a trade."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass

from narrate.core.handoffs import Gap, Token
from narrate.read.mentions.landmarks import Signs

_ENDS = frozenset((".", "!", "?", ";", "...", "…"))
APART = "·"  # stands for a word that is part of another name, so that nothing else is read out of it


@dataclass(frozen=True, slots=True)
class Said:
    """Tokens and, one for each, the word that phrases are compared by. Places are token indexes."""

    tokens: Sequence[Token]
    words: Sequence[str]
    signs: Signs

    @property
    def size(self) -> int:
        return len(self.words)

    def word(self, k: int) -> str:
        """The word at k, "" beyond the end or where a new line begins there."""
        return "" if self.breaks(k) else self.words[k]

    def begins(self, name: str, k: int) -> int:
        """Where the longest phrase of a list ends that begins at word k; -1 where none does."""
        return self.signs.lists[name].starts_at(self.words, k)

    def begins_any(self, names: Sequence[str], k: int) -> bool:
        return k < self.size and any(self.begins(name, k) >= 0 for name in names)

    def ends(self, name: str, k: int) -> int:
        """Where the longest phrase of a list begins that ends before word k; -1 where none does."""
        return self.signs.lists[name].ends_at(self.words, k)

    def within(self, name: str, first: int, last: int) -> bool:
        """Whether a phrase of the list begins and ends inside a stretch."""
        asked = self.signs.lists[name]
        return any(0 <= asked.starts_at(self.words, k) <= last for k in range(first, last))

    def breaks(self, k: int) -> bool:
        """Whether a line or paragraph that was ended on purpose ends before token k, or the narrative does."""
        return k >= self.size or self.tokens[k].gap >= Gap.LINE

    def closes(self, k: int) -> bool:
        """Whether a break or a mark stands at token k."""
        return self.breaks(k) or not self.words[k].isalnum()

    def opens(self, k: int) -> bool:
        """Whether token k is the first of the narrative or of a line."""
        return k == 0 or self.tokens[k].gap >= Gap.LINE

    def back(self, k: int, reach: int) -> int:
        """The first token to look at before token k: at most `reach` back, not out of the sentence or the line."""
        at, tokens = k, self.tokens
        while at > 0 and k - at < reach and tokens[at - 1].low not in _ENDS:
            if at < len(tokens) and tokens[at].gap >= Gap.LINE:
                break
            at -= 1
        return at

    def on(self, k: int, reach: int) -> int:
        """The token past the last to look at from token k on: at most `reach`, not out of the sentence or line."""
        at, tokens = k, self.tokens
        while at < len(tokens) and at - k < reach and tokens[at].low not in _ENDS and tokens[at].gap < Gap.LINE:
            at += 1
        return at

    def without(self, apart: Collection[int]) -> Said:
        """The same with the words at these places blotted out."""
        return Said(self.tokens, [APART if k in apart else w for k, w in enumerate(self.words)], self.signs)
