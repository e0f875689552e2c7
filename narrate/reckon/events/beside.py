"""Which way an amount went, told by the words straight beside it: "back in", "in by scale", "in the caddy", "gave it"."""

from __future__ import annotations

from typing import Literal

from narrate.core.handoffs import Quantity
from narrate.reckon.events.words import Words

Way = Literal["in", "out"]

_INTO = frozenset(("in", "into"))
_BESIDE = frozenset(("straight", "right", "back"))
_ARTICLES = frozenset(("the", "a", "an", "each", "my", "our", "his", "that"))
_BY = frozenset(("by", "with", "total", "through", "altogether", "again"))
_GAVE = frozenset(("gave", "give", "given"))
_THROUGH = 6  # tokens from an amount to what it was pushed through


def way_beside(words: Words, quantity: Quantity) -> Way | None:
    """The way that the nearest words tell, whatever the act of the clause; None where they tell none."""
    if ended(words, quantity):
        return None
    lows, j = words.lows, quantity.last
    vessels = words.lexicon.word_sets["vessel"]
    if lows[j : j + 1] == ["back"] and j + 1 < len(lows) and lows[j + 1] in _INTO:
        return "in"
    if lows[j : j + 1] == ["in"] and j + 1 < len(lows) and lows[j + 1] in _BY:
        return "in"
    while j < len(lows) and lows[j] in _BESIDE:
        j += 1
    if j + 1 < len(lows) and lows[j] in _INTO:
        k = j + 2 if lows[j + 1] in _ARTICLES else j + 1
        named = lows[k : k + 4]  # "into the r twelve bottle"
        if any(low in vessels for low in named):
            return "out"
        if lows[j + 1] in _ARTICLES and k in words.noun_at:
            return "in"
    if _through(words, quantity):
        return "in"
    if any(low in _GAVE for low in lows[max(0, quantity.first - 4) : quantity.first]):
        return "in"
    return None


def ended(words: Words, quantity: Quantity) -> bool:
    """Whether a statement ends with the amount, so that what follows tells nothing of it."""
    j = quantity.last
    return j < len(words.lows) and not words.same_sentence(words.clause_of[quantity.first], words.clause_of[j])


def _through(words: Words, quantity: Quantity) -> bool:
    """ "pushed about four ounces of dot four through it": a fluid stands between the amount and the word."""
    lows = words.lows
    for j in range(quantity.last, min(len(lows), quantity.last + _THROUGH)):
        if lows[j] == "through":
            return j > quantity.last and j - 1 in words.noun_at
    return False
