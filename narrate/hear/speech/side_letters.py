"""Sides written as one letter, "3 mm L, 2 mm R", "59 F / 39 R" -> tokens that are compared as the word.

A letter alone may be a unit, a size or a name. It is a side only where its partner stands near it, in the same line, and
both are next to figures as sides are: left with right, front with rear.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from narrate.core.handoffs import Gap, Token
from narrate.core.lexicon.match import key_of

_PAIRS = {"L": ("R", "left", "right"), "F": ("R", "front", "rear")}
_REACH = 9  # tokens from a letter to its partner
_BETWEEN = frozenset((",", "/", ";", "-", "–", "&", "and", "."))


def read_side_letters(tokens: Sequence[Token]) -> tuple[Token, ...]:
    """The tokens, each letter that is a side compared (`low`, `key`) as the side's word."""
    out = list(tokens)
    for i, token in enumerate(tokens):
        pair = _PAIRS.get(token.text)
        if pair is None or out[i].low != token.low:
            continue
        partner, here, there = pair
        other = _partner(tokens, i, partner)
        if other is not None and _beside_figures(tokens, i, other):
            for at, word in ((i, here), (other, there)):
                out[at] = replace(out[at], low=word, key=key_of(word))
    return tuple(out)


def _partner(tokens: Sequence[Token], i: int, letter: str) -> int | None:
    """Where the partner of the letter at `i` stands, the nearest first."""
    for way in (1, -1):
        for step in range(1, _REACH + 1):
            at = i + way * step
            if not 0 <= at < len(tokens) or tokens[max(i, at) if way > 0 else at + 1].gap >= Gap.LINE:
                break
            if tokens[at].text == letter:
                return at
            if tokens[at].text == tokens[i].text:
                break
    return None


def _beside_figures(tokens: Sequence[Token], one: int, other: int) -> bool:
    """Whether both letters stand the same way to their values: all behind, or all before."""
    return (_behind(tokens, one) and _behind(tokens, other)) or (_before(tokens, one) and _before(tokens, other))


def _behind(tokens: Sequence[Token], at: int) -> bool:
    """ "3 mm L", "59 ft-lb F", "39 R": a figure stands before, with or without its unit, and the value ends here.

    Straight behind a figure "L" may be liters and "F" degrees, unless the figure has a unit of its own.
    """
    if not _ends(tokens, at + 1) or at == 0:
        return False
    if _figure(tokens[at - 1]):
        return tokens[at].text == "R"
    return any(_figure(tokens[k]) for k in range(max(0, at - 3), at - 1)) and tokens[at - 1].low not in _BETWEEN


def _before(tokens: Sequence[Token], at: int) -> bool:
    """ "L 3 mm", "R: .002": a figure stands behind; "R 134a" is none."""
    after = at + 1
    if after < len(tokens) and tokens[after].text in (":", "=", "-"):
        after += 1
    return after < len(tokens) and _figure(tokens[after]) and tokens[after].gap < Gap.LINE


def _ends(tokens: Sequence[Token], at: int) -> bool:
    return at >= len(tokens) or tokens[at].gap >= Gap.LINE or not tokens[at].text[0].isdigit()


def _figure(token: Token) -> bool:
    return token.text.replace(".", "", 1).replace("/", "", 1).isdigit()
