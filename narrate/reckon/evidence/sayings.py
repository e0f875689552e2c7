"""Phrases with alternatives and holes -> where they are said.

`(shut|closed) .. off` holds for "shut the valves off" and "closed it off". `(a|b c)` stands for either, `word?` may be
left out, `..` is up to four words between, in the same sentence, and `<put>`
any word of the group `put`. Words are compared by their keys, so that plurals and
capitals do not matter; fillers and commas in between do not either.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import lru_cache
from itertools import product

from narrate.core.handoffs import Clause, Gap, Token
from narrate.core.lexicon.match import bare_forms
from narrate.core.tokens import split_words

HOLE = ".."
HOLE_WORDS = 4
MOST_VARIANTS = 1500
_GROUP = re.compile(r"<([a-z-]+)>")
_INNER = re.compile(r"(?<=[(|])\(([^()]*)\)(?=[)|])")  # a group as one alternative of several
_NESTED = re.compile(r"\([^()]*\(")
_PIECE = re.compile(r"\(([^()]*)\)(\?)?|(\.\.)|([^\s()]+)")
_END = ""  # a key that no phrase holds: the end of a sentence or line
_STOPS = frozenset(".;!?:")
_BREATH = frozenset([",", "-", "–", "—", '"', "(", ")", "'", "“", "”", "um", "uh", "er", "uhh", "umm", "…", "..."])



class _Node:
    """A place in the tree: where each next key leads, where a hole leads, and the sayings that end here."""

    __slots__ = ("after", "hole", "owners")

    def __init__(self) -> None:
        self.after: dict[str, _Node] = {}
        self.hole: _Node | None = None
        self.owners: tuple[str, ...] = ()


@lru_cache(maxsize=65536)
def _keys(words: str) -> tuple[tuple[str, ...], ...]:
    """The keys of some plain words, once as written and once as a recogniser would spell their contractions."""
    forms = dict.fromkeys(tuple(t.key for t in split_words(form) if t.key not in _BREATH) for form in bare_forms(words))
    return tuple(forms)


def spell_out(saying: str, groups: Mapping[str, Sequence[str]] = {}) -> Iterator[tuple[str, ...]]:
    """Every way that a saying can be said, as keys; a hole is `..`. Raises ValueError for one that is malformed.

    `<name>` stands for any word of the group of that name.
    """
    for name in _GROUP.findall(saying):
        if name not in groups:
            raise ValueError(f"the group “{name}” of “{saying}” is not known")
    saying = _GROUP.sub(lambda m: f"({'|'.join(groups[m[1]])})", saying)
    saying = _INNER.sub(r"\1", saying)
    if saying.count("(") != saying.count(")"):
        raise ValueError(f"a bracket is not closed in “{saying}”")
    if _NESTED.search(saying):
        raise ValueError(f"a bracket stands within a bracket in “{saying}”")
    slots: list[list[tuple[str, ...]]] = []
    for group, maybe, hole, word in _PIECE.findall(saying):
        if hole:
            slots.append([(HOLE,)])
            continue
        if word:
            maybe, group = ("?", word[:-1]) if word.endswith("?") else ("", word)
        ways = [keys for part in group.split("|") if part.strip() for keys in _keys(part.strip())]
        if maybe or any(not part.strip() for part in group.split("|")):
            ways.append(())
        slots.append(ways)
    while len(slots) > 1 and (() in slots[-1] or slots[-1] == [(HOLE,)]) and slots[-1] != slots[0]:
        slots.pop()  # what may be left out at the end need not be looked for
    if not slots or slots[0] == [(HOLE,)] or slots[-1] == [(HOLE,)]:
        raise ValueError(f"“{saying}” needs words at both ends")
    count = 1
    for ways in slots:
        count *= len(ways)
    if count > MOST_VARIANTS:
        raise ValueError(f"“{saying}” can be said in {count} ways, more than {MOST_VARIANTS}: split it")
    for choice in product(*slots):
        keys = tuple(key for part in choice for key in part)
        while keys and keys[0] == HOLE:
            keys = keys[1:]
        while keys and keys[-1] == HOLE:
            keys = keys[:-1]
        if keys:
            yield keys


class Sayings:
    """All sayings of a trade in one tree of keys: built once, then read only (safe in threads)."""

    def __init__(self, sayings: Iterable[str], groups: Mapping[str, Sequence[str]] = {}) -> None:
        self._root = _Node()
        self.count = 0
        for saying in dict.fromkeys(sayings):
            self.count += 1
            for keys in spell_out(saying, groups):
                self._add(keys, saying)

    def _add(self, keys: tuple[str, ...], saying: str) -> None:
        node = self._root
        for key in keys:
            if key == HOLE:
                node.hole = node.hole or _Node()
                node = node.hole
            else:
                node = node.after.setdefault(key, _Node())
        if saying not in node.owners:
            node.owners = (*node.owners, saying)

    def find(
        self, tokens: Sequence[Token], clauses: Sequence[Clause], clause_of: Sequence[int]
    ) -> dict[str, list[tuple[int, int]]]:
        """Saying -> the token spans (`last` excluded) that say it, in order of place."""
        keys, places = _stream(tokens)
        after, found = self._root.after, dict[str, list[tuple[int, int]]]()
        for begin, key in enumerate(keys):
            start = after.get(key)
            if start is None:
                continue
            for owner, end in _walk(start, keys, begin + 1):
                first, last = places[begin], places[end - 1] + 1
                spans = found.setdefault(owner, [])
                if spans and spans[-1][0] == first:
                    continue  # the shorter of two that begin together is enough
                if clauses[clause_of[first]].sentence == clauses[clause_of[last - 1]].sentence:
                    spans.append((first, last))
        return found


def _stream(tokens: Sequence[Token]) -> tuple[list[str], list[int]]:
    """The keys that count, and where each stands; a full stop or the end of a line is a key that nothing matches."""
    keys: list[str] = []
    places: list[int] = []
    for place, token in enumerate(tokens):
        if token.gap >= Gap.LINE and keys:
            keys.append(_END)
            places.append(place)
        if token.key in _BREATH:
            continue
        keys.append(_END if token.key in _STOPS else token.key)
        places.append(place)
    return keys, places


def _walk(node: _Node, keys: list[str], at: int) -> Iterator[tuple[str, int]]:
    """Every saying that ends on the way from `node`, with the place after its last key; nearest ends first."""
    paths = [(node, at)]
    size = len(keys)
    for here, place in paths:  # the list grows while it is walked
        for owner in here.owners:
            yield owner, place
        if place >= size:
            continue
        following = here.after.get(keys[place])
        if following is not None:
            paths.append((following, place + 1))
        if here.hole is None:
            continue
        for skip in range(min(HOLE_WORDS + 1, size - place)):
            key = keys[place + skip]
            if key == _END:
                break
            beyond = here.hole.after.get(key)
            if beyond is not None:
                paths.append((beyond, place + skip + 1))
