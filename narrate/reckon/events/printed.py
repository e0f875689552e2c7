"""Amounts that a label bears or a system holds: "label 28", "the sticker was 22 ounces", "it holds 26 ounces".

What is printed was moved by nobody and read by nobody: it is what a charge or a fill is held to. "Charged to the label,
28 ounces" and "filled to capacity, 5 quarts" tell what went in, and stay amounts.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace
from functools import lru_cache

from narrate.core.handoffs import Hit, Quantity, Token
from narrate.core.lexicon.lexicon import Lexicon
from narrate.core.tokens import phrase_keys
from narrate.core.units import dimension, scale
from narrate.core.vague import vague_rules
from narrate.read.status.judge import Standing

_LINKS = 4  # words at the most between what bears a figure and the figure: "sticker on it says"
_SIZES = ("volume", "mass")


def mark_printed(
    standing: Standing, tokens: Sequence[Token], hits: Sequence[Hit], quantities: Sequence[Quantity], lexicon: Lexicon
) -> Standing:
    """The standing with every amount that a label bears, or that something holds, marked as a figure of a specification."""
    keys = [t.key for t in tokens]
    fills = {h.first for h in hits if h.layer == "verb" and lexicon.verbs[h.id].moves == "in"}
    figure = list(standing.figure)
    for q in quantities:
        if q.retracted or dimension(q.unit) not in _SIZES or scale(q.unit).unit.container:
            continue
        first = standing.clauses[standing.clause_of[q.first]].first
        borne = True if _ends(keys, q.first, "holders") is not None else _borne(keys, q.first, first, fills)
        if borne is not None:
            figure[q.first] = borne
    return replace(standing, figure=tuple(figure))


def _borne(keys: Sequence[str], at: int, first: int, fills: Collection[int]) -> bool | None:
    """Whether a label, with no more than linking words behind it, stands before the figure: False where it is the measure
    of an act, None where none stands there."""
    for _ in range(_LINKS + 1):
        start = _ends(keys, at, "bearers")
        if start is not None:
            lead = start
            while (before := _ends(keys, lead, "leads")) is not None:
                lead = before
            by = keys[lead - 1] if lead else ""
            acts = any(i in fills for i in range(min(first, lead), lead))
            return not (by in ("to", "per", "by") and acts)
        link = _ends(keys, at, "links")
        if link is None:
            return None
        at = link
    return None


def _ends(keys: Sequence[str], end: int, name: str) -> int | None:
    """Where the longest phrase of a list that ends before `end` begins."""
    for phrase in _phrases(name):
        if end >= len(phrase) and tuple(keys[end - len(phrase) : end]) == phrase:
            return end - len(phrase)
    return None


@lru_cache(maxsize=8)
def _phrases(name: str) -> tuple[tuple[str, ...], ...]:
    return tuple(sorted((tuple(phrase_keys(say)) for say in getattr(vague_rules(), name)), key=len, reverse=True))
