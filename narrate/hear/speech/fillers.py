"""Breath, restarts and words said twice -> the words that were meant. Nothing is invented, and no place moves.

A token that is taken out leaves no hole: the one behind it takes over the stronger of their breaks. Figures, letters
and codes are never touched, since "five five" is fifty-five or two fives, and no slip.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import replace

from narrate.core.handoffs import Gap, Token
from narrate.core.phrases import by_first_word
from narrate.hear.speech.number_words import VULGAR

_MEASURED = frozenset(("mm", "ah", "er"))  # breath, and also units or a place: no breath behind a figure
_ASKING = frozenset(
    ("do", "did", "if", "when", "that", "as", "let", "lets", "letting", "don't", "didn't", "should", "before", "what")
)
_ASKED = frozenset(
    (
        "what",
        "how",
        "that",
        "where",
        "why",
        "who",
        "whether",
        "if",
        "which",
        "when",
        "it",
        "them",
        "him",
        "her",
        "about",
    )
)
_MARKS = frozenset((",", ".", "?", "!", ";", ":"))
_BROKEN = frozenset(("-", "–", "—", "..."))  # behind the stub of a word
_MOST_STUB = 4  # letters of a word that broke off
_MOST_TWICE = 3  # words that are said twice together
_CLOSED = Gap.PAUSE  # a slip stays within one line


def drop_fillers(tokens: Sequence[Token], words: Mapping[str, Collection[str]]) -> tuple[Token, ...]:
    """The tokens without breath (`filler`), broken-off words, and small words (`said-twice`) that were said twice.

    `words` are the lexicon's word lists by id. The tokens that stay keep their text and their places.
    """
    breath = by_first_word(frozenset(words.get("filler", ())))
    numbers = words.get("number-word", ())
    small = words.get("said-twice", ())
    broken = {at - 1 for at, t in enumerate(tokens) if t.low in _BROKEN and t.gap == Gap.GLUED}
    begin = {at for at, t in enumerate(tokens) if t.low in breath} | broken
    spoken = _without(tokens, begin, lambda at, out: _breath(tokens, at, breath, numbers, out) or _stub(tokens, at))
    twice = _at_repeats(spoken, small)
    return tuple(_without(spoken, twice, lambda at, out: _said_again(spoken, at, out))) if twice else tuple(spoken)


def _without(
    tokens: Sequence[Token], begin: Collection[int], slip: Callable[[int, Sequence[Token]], int]
) -> list[Token]:
    """The tokens without those that `slip` counts as one from a place on; their break passes to the next that stays.

    `begin` are the places at which a slip may begin: it is asked there alone.
    """
    out: list[Token] = []
    owed = Gap.GLUED
    i = 0
    while i < len(tokens):
        size = slip(i, out) if i in begin else 0
        if size:
            owed = max(owed, tokens[i].gap)
            i += size
            apart = not out or owed >= Gap.LINE or out[-1].low in _MARKS
            if apart and i < len(tokens) and tokens[i].low == ",":
                i += 1  # ", um, " leaves one comma
            continue
        out.append(tokens[i] if owed <= tokens[i].gap else replace(tokens[i], gap=owed))
        owed = Gap.GLUED
        i += 1
    return out


def _breath(
    tokens: Sequence[Token],
    i: int,
    breath: Mapping[str, Collection[tuple[str, ...]]],
    numbers: Collection[str],
    out: Sequence[Token],
) -> int:
    """How many tokens of breath begin at i; 0 for none."""
    found = 0
    for parts in breath.get(tokens[i].low, ()):
        end = i + len(parts)
        if end > len(tokens) or tuple(t.low for t in tokens[i:end]) != parts:
            continue
        before = out[-1].low if out and tokens[i].gap <= _CLOSED else ""
        if parts[0] in _MEASURED and (
            before[-1:].isdigit()
            or before[-1:] in VULGAR
            or before[:1].isdigit()
            or before in numbers
            or tokens[i].text.isupper()
        ):
            continue
        if parts == ("you", "know") and (before in _ASKING or (end < len(tokens) and tokens[end].low in _ASKED)):
            continue
        found = max(found, len(parts))
    return found


def _stub(tokens: Sequence[Token], i: int) -> int:
    """A word that broke off and was begun again: "repl- replaced"."""
    if i + 2 >= len(tokens) or tokens[i + 1].low not in _BROKEN or tokens[i + 1].gap != Gap.GLUED:
        return 0
    word, again = tokens[i].low, tokens[i + 2]
    broke = word.isalpha() and len(word) <= _MOST_STUB and again.gap in (Gap.SPACE, Gap.SOFT, Gap.PAUSE)
    return 2 if broke and again.low.startswith(word) and again.low.isalpha() else 0


def _at_repeats(tokens: Sequence[Token], small: Collection[str]) -> set[int]:
    """Where a small word stands that comes again one, two or three tokens on."""
    lows = [t.low for t in tokens]
    return {at for at, low in enumerate(lows) if low in small and low in lows[at + 1 : at + 1 + _MOST_TWICE]}


def _said_again(tokens: Sequence[Token], i: int, out: Sequence[Token]) -> int:
    """How many tokens at i, a small word, are said again straight behind: "the the", "in the in the"."""
    for size in range(_MOST_TWICE, 0, -1):
        if i + 2 * size > len(tokens):
            continue
        first = [t.low for t in tokens[i : i + size]]
        if first != [t.low for t in tokens[i + size : i + 2 * size]]:
            continue
        if not all(w.replace("'", "").isalpha() for w in first):
            continue
        if any(t.gap > _CLOSED or t.gap == Gap.GLUED for t in tokens[i + 1 : i + 2 * size]):
            continue
        if size > 1 and out and out[-1].low == first[-1]:
            continue  # "over and over and over"
        return size
    return 0
