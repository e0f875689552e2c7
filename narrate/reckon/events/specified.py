"""Figures that a label, a casting or a book was said to ask for: no readings and no amounts, but what these are held to.

"The label says 28 ounces", "minimum's 26", "spec is 1.2 pounds". `what` of such a figure is "capacity" for a fluid's
label, else the kind of reading that it limits; its bound is "over" for a least value allowed and "under" for a most.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from functools import lru_cache
from typing import Literal

from narrate.core.handoffs import Hit, Label, Measured, Quantity
from narrate.core.tokens import phrase_keys
from narrate.core.units import dimension, known, scale
from narrate.core.vague import vague_rules
from narrate.reckon.events.moved import is_amount
from narrate.reckon.events.phrase import Mention
from narrate.reckon.events.subjects import find_subject
from narrate.reckon.events.words import COUNTS, Words

_NEAR = 7  # tokens before or after a figure within which its word stands
_TALK = 45  # tokens back to the fluid that a label speaks of
_WRITTEN = re.compile(r"(\d[\d.]*)(?:\.\.(\d[\d.]*))? (\S+)")


def note_specified(words: Words, mentions: Sequence[Mention], complaint: frozenset[int]) -> list[Measured]:
    """Every figure of a specification, in order of place."""
    out = []
    for quantity in _figures(words):
        k = words.clause_of[quantity.first]
        if k in complaint or words.standing.state[quantity.first] in ("elsewhere", "retracted"):
            continue
        spans = (words.span(quantity.first, quantity.last), words.clause_span(k))
        if is_amount(quantity):
            fluid = _fluid(words, quantity)
            if fluid is not None and _worded(words, quantity, "label"):
                out.append(
                    Measured("capacity", words.lexicon.things[fluid].name, fluid, None, quantity, "done", k, spans)
                )
            continue
        bound: Literal["over", "under"] | None = (
            "over" if _worded(words, quantity, "minimum") else "under" if _worded(words, quantity, "maximum") else None
        )
        subject = find_subject(words, mentions, quantity, k)
        if bound is not None and subject.thing in vague_rules().worn_larger:
            bound = "under"
        figure = replace(quantity, bound=bound) if bound is not None and quantity.bound is None else quantity
        out.append(Measured(subject.what, subject.name, subject.thing, subject.position, figure, "done", k, spans))
    return sorted(out, key=lambda one: one.quantity.first)


def _figures(words: Words) -> Iterator[Quantity]:
    for quantity in words.quantities:
        if (
            quantity.retracted
            or not quantity.unit
            or quantity.unit in COUNTS
            or not (words.standing.figure[quantity.first] or is_limit(words, quantity))
        ):
            continue
        if scale(quantity.unit).unit.container:
            continue
        yield quantity
    for label in words.labels:
        if label.kind == "rating":
            read = _read(label)
            if read is not None and dimension(read.unit) in ("volume", "mass"):
                yield read


def is_limit(words: Words, quantity: Quantity) -> bool:
    """Whether a length stands straight behind "max", "min" or "limit": "drums 9.04, max 9.06", "discs at 24.1 (min 24.0)"."""
    before = words.lows[quantity.first - 1] if quantity.first else ""
    return before in _single_words() and dimension(quantity.unit) == "length"


@lru_cache(maxsize=1)
def _single_words() -> frozenset[str]:
    return frozenset(p[0] for kind in ("minimum", "maximum") for p in _phrases()[kind] if len(p) == 1)


def _read(label: Label) -> Quantity | None:
    found = _WRITTEN.fullmatch(label.text)
    if found is None or not known(found[3]):
        return None
    low = Fraction(found[1])
    return Quantity(low, Fraction(found[2] or found[1]), found[3], label.first, label.last)


def _worded(words: Words, quantity: Quantity, kind: str) -> bool:
    """Whether a word of the kind stands beside the figure, in its clause or the one before it."""
    k = words.clause_of[quantity.first]
    begin = words.clauses[k - 1 if k and words.same_sentence(k, k - 1) else k].first
    begin = max(begin, quantity.first - 2 * _NEAR) if kind == "label" else max(begin, quantity.first - _NEAR)
    phrases = _phrases()[kind]
    before = [t.key for t in words.tokens[begin : quantity.first]]
    after = [t.key for t in words.tokens[quantity.last : min(words.clauses[k].last, quantity.last + 3)]]
    return any(_within(p, before) or _within(p, after) for p in phrases)


def _within(phrase: tuple[str, ...], keys: Sequence[str]) -> bool:
    size = len(phrase)
    return any(tuple(keys[i : i + size]) == phrase for i in range(len(keys) - size + 1))


@lru_cache(maxsize=1)
def _phrases() -> dict[str, tuple[tuple[str, ...], ...]]:
    rules = vague_rules()
    return {
        kind: tuple(tuple(phrase_keys(say)) for say in said)
        for kind, said in (("label", rules.label_words), ("minimum", rules.minimum), ("maximum", rules.maximum))
    }


def _fluid(words: Words, quantity: Quantity) -> str | None:
    """The fluid that the figure is of: named beside it, else the one that a mass speaks of, else the last named."""
    near: Hit | None = None
    for hit in words.thing_hits:
        if hit.layer != "fluid":
            continue
        if quantity.last <= hit.first <= quantity.last + 3:
            return hit.id
        if hit.last <= quantity.first and quantity.first - hit.last <= _TALK:
            near = hit
    by_unit = words.lexicon.moves_by.get(f"unit:{quantity.unit}")
    if dimension(quantity.unit) == "mass" and by_unit in words.lexicon.things:
        if near is not None and words.lexicon.is_a(near.id, (by_unit or "",)):
            return near.id
        return by_unit
    return near.id if near is not None else None
