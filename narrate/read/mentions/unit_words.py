"""Unit words behind a number: "foot pounds", "in. lbs", "°F". Which unit an ambiguous word means is settled later."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from narrate.core.handoffs import Gap, Token
from narrate.core.lexicon.units import Ambiguous, UnitsFile
from narrate.core.tokens import split_words
from narrate.core.units import units_file
from narrate.core.values import value_class
from narrate.hear.speech.number_words import numbers_file


@value_class(frozen=True, slots=True)
class UnitRead:
    """A unit word on tokens `first` to `last`: its code, or the ambiguous entry that it belongs to."""

    code: str
    choice: Ambiguous | None
    first: int
    last: int
    article: bool
    container: bool


@dataclass(frozen=True, slots=True)
class _Meaning:
    code: str
    choice: Ambiguous | None
    loose: bool
    article: bool
    container: bool


_END = "\0"
_DOTS = frozenset((".", "-"))


@lru_cache(maxsize=8)
def _list(name: str) -> frozenset[str]:
    return next((frozenset(one.say) for one in numbers_file().lists if one.id == name), frozenset())


@lru_cache(maxsize=1)
def _trie() -> dict[str, Any]:
    return build_trie(units_file())


def build_trie(file: UnitsFile) -> dict[str, Any]:
    """Word -> word -> ... -> meaning, of every spelling of every unit."""
    root: dict[str, Any] = {}

    def add(phrase: str, meaning: _Meaning) -> None:
        node = root
        for token in split_words(phrase):
            node = node.setdefault(token.low, {})
        node.setdefault(_END, meaning)

    for word in file.ambiguous:
        for phrase in word.say:
            add(phrase, _Meaning("", word, False, word.article, False))
    for unit in file.units:
        for phrase in unit.say:
            add(phrase, _Meaning(unit.code, None, False, unit.article, unit.container))
        for phrase in unit.loose:
            choice = next((w for w in file.ambiguous if w.default == unit.code and unit.code == "in"), None)
            add(phrase, _Meaning("" if choice else unit.code, choice, True, unit.article, False))
    return root


def read_unit(
    tokens: Sequence[Token], k: int, spoken: bool, decimal: bool = False, small: bool = False, big: bool = False
) -> UnitRead | None:
    """The longest unit word that begins at token `k`, behind a number that was `spoken` or written.

    A full stop or a hyphen inside a unit ("ft. lbs", "in-lb") is skipped. A letter that is a word too counts only
    straight behind figures, in capitals, or where nothing else makes sense of it. `small`: the number is a whole one
    below five, which counts rather than measures; `big`: it is too large for a length.
    """
    node: dict[str, Any] = _trie()
    best: tuple[_Meaning, int] | None = None
    first, size = k, len(tokens)
    while k < size:
        token = tokens[k]
        if k > first and token.gap > Gap.PAUSE:
            break
        if token.low == "#" and not _pound_sign(tokens, k):
            break
        below = node.get(token.low)
        if below is None:
            if (
                token.low in _DOTS
                and token.gap == Gap.GLUED
                and k > first
                and k + 1 < size
                and tokens[k + 1].low in node
            ):
                k += 1
                continue
            break
        node = below
        k += 1
        meaning = node.get(_END)
        if meaning is not None and (not meaning.loose or _loose_fits(tokens, first, k, spoken, decimal, small, big)):
            best = (meaning, k)
    if best is None:
        return None
    meaning, last = best
    return UnitRead(meaning.code, meaning.choice, first, last, meaning.article, meaning.container)


def _pound_sign(tokens: Sequence[Token], k: int) -> bool:
    """Whether "#" is pounds ("35#", "ft #") and does not number what follows ("165 #2")."""
    numbers = k + 1 < len(tokens) and tokens[k + 1].gap == Gap.GLUED and tokens[k + 1].low[:1].isdigit()
    return not numbers and (tokens[k].gap == Gap.GLUED or (k > 0 and tokens[k - 1].low.isalpha()))


def _loose_fits(
    tokens: Sequence[Token], first: int, last: int, spoken: bool, decimal: bool, small: bool, big: bool
) -> bool:
    token = tokens[first]
    after = tokens[last] if last < len(tokens) and tokens[last].gap < Gap.LINE else None
    follows = after.low if after is not None else ""
    if token.low == "in":
        return not big and _is_inch(token, follows, spoken, decimal)
    if token.low == "f" and [t.low for t in tokens[last : last + 3 : 2]] == ["/", "r"]:
        return False  # "34 F / 42 R": front and rear
    if token.gap == Gap.GLUED:
        return True
    if token.low in ("'", "′"):
        return False
    if follows in _list("not-after-letter") and token.low != follows:
        return False
    if token.low in ("f", "c", "m", "d") and small:
        return False  # "1 F sprocket", "2 C brackets"
    if spoken:
        return token.low in ("v", "f", "c", "w") and not (after is not None and len(follows) == 1 and follows.isalpha())
    if token.low == "a" and not token.text.isupper():  # small letters, and an article as likely: "96 a on the clamp"
        if decimal:
            return follows not in _list("not-after-amp")
        return not small and (follows == "" or not follows[0].isalnum() or follows in _list("after-amp"))
    return token.text.isupper() or token.low in ("g", "l", "v", "h", "m", "f", "c")


def _is_inch(token: Token, follows: str, spoken: bool, decimal: bool) -> bool:
    """ "2 in." is a length, "left 4 in the box" is none."""
    if spoken:
        return False
    if follows in _list("not-after-inch"):
        return False
    return token.gap == Gap.GLUED or decimal or follows == "" or follows in _list("after-inch")
