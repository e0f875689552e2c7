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
from narrate.core.tokens import phrase_keys

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
    forms = dict.fromkeys(tuple(k for k in phrase_keys(form) if k not in _BREATH) for form in bare_forms(words))
    return tuple(forms)


Slots = list[list[tuple[str, ...]]]


def spell_out(saying: str, groups: Mapping[str, Sequence[str]] = {}) -> Iterator[tuple[str, ...]]:
    """Every way that a saying can be said, as keys; a hole is `..`. Raises ValueError for one that is malformed.

    `<name>` stands for any word of the group of that name.
    """
    slots = _slots_of(saying, groups)
    for first in _first_keys(slots):
        yield from _beginning_with(first, slots)


def check_saying(saying: str, groups: Mapping[str, Sequence[str]] = {}) -> None:
    """Raise ValueError for a saying that is malformed."""
    _slots_of(saying, groups)


def _slots_of(saying: str, groups: Mapping[str, Sequence[str]]) -> Slots:
    """The places of a saying in order, each with every way to fill it; `()` where it may stay empty."""
    for name in _GROUP.findall(saying):
        if name not in groups:
            raise ValueError(f"the group “{name}” of “{saying}” is not known")
    saying = _GROUP.sub(lambda m: f"({'|'.join(groups[m[1]])})", saying)
    saying = _INNER.sub(r"\1", saying)
    if saying.count("(") != saying.count(")"):
        raise ValueError(f"a bracket is not closed in “{saying}”")
    if _NESTED.search(saying):
        raise ValueError(f"a bracket stands within a bracket in “{saying}”")
    slots: Slots = []
    for group, maybe, hole, word in _PIECE.findall(saying):
        if hole:
            slots.append([(HOLE,)])
            continue
        if word:
            maybe, group = ("?", word[:-1]) if word.endswith("?") else ("", word)
        # a part that is only a mark ("-") is said with no key: dropped, lest the place might stay empty
        ways = [keys for part in group.split("|") if part.strip() for keys in _keys(part.strip()) if keys]
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
    return slots


def _openings(slots: Slots) -> Iterator[int]:
    """The places at which a saying may begin: the first, and on past those that may stay empty."""
    for place, ways in enumerate(slots):
        if ways != [(HOLE,)]:
            yield place
            if () not in ways:
                return


def _first_keys(slots: Slots) -> Iterable[str]:
    return dict.fromkeys(way[0] for place in _openings(slots) for way in slots[place] if way)


def _beginning_with(first: str, slots: Slots) -> Iterator[tuple[str, ...]]:
    """The ways to say it that begin with one key."""
    for place in _openings(slots):
        begins = [way for way in slots[place] if way and way[0] == first]
        for choice in product(begins, *slots[place + 1 :]):
            keys = tuple(key for part in choice for key in part)
            while keys[-1] == HOLE:
                keys = keys[:-1]
            yield keys


class Sayings:
    """All sayings of a trade as trees of keys, one for each first key.

    A narrative meets only those whose first key it holds: a tree is grown when its key comes up, and read only after
    that. Two threads may grow the same one; both grow it alike.
    """

    def __init__(self, sayings: Iterable[str], groups: Mapping[str, Sequence[str]] = {}) -> None:
        self._sayings = tuple(dict.fromkeys(sayings))
        self._groups = {name: tuple(words) for name, words in groups.items()}
        self._begin: dict[str, list[int]] = {}
        self._grown: dict[str, _Node] = {}
        self._words: dict[str, frozenset[str]] = {}
        for place, saying in enumerate(self._sayings):
            for key in _first_keys(_slots_of(saying, self._groups)):
                self._begin.setdefault(key, []).append(place)

    def words_of(self, saying: str) -> frozenset[str]:
        """The keys that a saying may itself hold; what else stands between them when it is said fills its holes."""
        known = self._words.get(saying)
        if known is None:
            slots = _slots_of(saying, self._groups)
            known = self._words[saying] = frozenset(key for ways in slots for way in ways for key in way)
        return known

    @property
    def count(self) -> int:
        return len(self._sayings)

    def __getstate__(self) -> dict[str, object]:
        return {**self.__dict__, "_grown": {}, "_words": {}}

    def _tree(self, key: str) -> _Node | None:
        """Where sayings lead that begin with this key; None where none does."""
        known = self._grown.get(key)
        if known is not None or key not in self._begin:
            return known
        root = _Node()
        for place in self._begin[key]:
            saying = self._sayings[place]
            for keys in _beginning_with(key, _slots_of(saying, self._groups)):
                _add(root, keys[1:], saying)
        self._grown[key] = root
        return root

    def find(
        self, tokens: Sequence[Token], clauses: Sequence[Clause], clause_of: Sequence[int]
    ) -> dict[str, list[tuple[int, int]]]:
        """Saying -> the token spans (`last` excluded) that say it, in order of place."""
        keys, places = _stream(tokens)
        found: dict[str, list[tuple[int, int]]] = {}
        for begin, key in enumerate(keys):
            start = self._grown.get(key) or self._tree(key)
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


def _add(node: _Node, keys: tuple[str, ...], saying: str) -> None:
    for key in keys:
        if key == HOLE:
            node.hole = node.hole or _Node()
            node = node.hole
        else:
            node = node.after.setdefault(key, _Node())
    if saying not in node.owners:
        node.owners = (*node.owners, saying)


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


def _walk(node: _Node, keys: list[str], at: int) -> list[tuple[str, int]]:
    """Every saying that ends on the way from `node`, with the place after its last key; nearest ends first."""
    ended: list[tuple[str, int]] = []
    paths = [(node, at)]
    size = len(keys)
    for here, place in paths:  # the list grows while it is walked
        if here.owners:
            ended += [(owner, place) for owner in here.owners]
        if place >= size:
            continue
        following = here.after.get(keys[place])
        if following is not None:
            paths.append((following, place + 1))
        if here.hole is None:
            continue
        follows = here.hole.after
        within = keys[place : place + HOLE_WORDS + 1]
        if follows.keys().isdisjoint(within):
            continue  # as it is nearly always: most words of a narrative begin some saying, and few go on with it
        for behind, key in enumerate(within, place + 1):
            if key == _END:
                break
            beyond = follows.get(key)
            if beyond is not None:
                paths.append((beyond, behind))
    return ended
