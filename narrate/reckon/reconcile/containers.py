"""Amounts said by the container: two 12-ounce cans, and half of a third -> an interval, marked as nominal.

Nobody weighed them: each is taken at its label within the play of vague.yaml, and a share of one within what the word
leaves possible. A container whose size was not said is no amount.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from narrate.core.handoffs import Facts, Moved
from narrate.core.intervals import Interval
from narrate.core.lexicon.vague import Share
from narrate.core.tokens import phrase_keys
from narrate.core.units import dimension, known, scale
from narrate.core.vague import interval_of, vague_rules
from narrate.reckon.reconcile.figures import rounded

_REACH = 12  # tokens from a container to its share of a further one, or to the size told after it
_SIZES = ("volume", "mass")


@dataclass(frozen=True, slots=True)
class Amounted:
    """One amount of fluid in SI, the unit that it is shown in, and how it was come to where it was not plainly said."""

    span: Interval
    unit: str
    dimension: str
    how: str = ""


def amount_of(moved: Moved, facts: Facts) -> Amounted | None:
    """The amount that was moved; None for a container of unknown size."""
    quantity = moved.quantity
    kind = dimension(quantity.unit)
    if kind in _SIZES:
        more = _more(moved, facts)
        span = interval_of(quantity)
        if more is None or quantity.low != quantity.high or quantity.unit not in ("qt", "l"):
            return Amounted(span, quantity.unit, kind)
        one = Interval(
            scale(quantity.unit).factor, scale(quantity.unit).factor
        )  # a quart is also the bottle it comes in
        return Amounted(span + one.times(_share(more)), quantity.unit, kind, f"and a further one by share ({more.why})")
    size = _size(moved, facts)
    if size is None:
        return None
    value, unit = size
    play = Fraction(vague_rules().nominal)
    each = Interval(value * scale(unit).factor, value * scale(unit).factor)
    count = Interval(quantity.low, quantity.high)
    more = _more(moved, facts)
    how = f"{float(quantity.low):g} × {rounded(value, unit)} by the label, not weighed"
    if more is not None:
        count = count + _share(more)
        how += f", and a further one by share ({more.why})"
    return Amounted(each.times(count).wider(play), unit, dimension(unit), how)


def _share(more: Share) -> Interval:
    return Interval(Fraction(more.low), Fraction(more.high))


def _size(moved: Moved, facts: Facts) -> tuple[Fraction, str] | None:
    """The size of the container: "two 12-ounce cans", "a can and a half, 12 ounce cans"."""
    quantity = moved.quantity
    best: tuple[int, Fraction, str] | None = None
    for label in facts.labels:
        away = max(quantity.first - label.last, label.first - quantity.last, 0)
        if label.kind not in ("nominal", "rating") or away > _REACH:
            continue
        figure, _, unit = label.text.partition(" ")
        if known(unit) and dimension(unit) in _SIZES and ".." not in figure and (best is None or away < best[0]):
            best = (away, Fraction(figure), unit)
    return None if best is None else best[1:]


def _more(moved: Moved, facts: Facts) -> Share | None:
    """The share of a further container told hard behind: "and half of a third", "plus most of another"."""
    first = moved.quantity.last
    keys = [t.key for t in facts.tokens[first : first + _REACH]]
    for at in range(len(keys)):
        if keys[at] not in ("and", "plus"):
            continue
        if keys[at + 1 : at + 2] == ["about"]:
            at += 1
        for share, phrase in _shares():
            end = at + 1 + len(phrase)
            if tuple(keys[at + 1 : end]) != phrase:
                continue
            if keys[end : end + 1] == ["of"]:
                end += 1
            if any(tuple(keys[end : end + len(m)]) == m for m in _mores()):
                return share
    return None


@lru_cache(maxsize=1)
def _shares() -> Sequence[tuple[Share, tuple[str, ...]]]:
    pairs = [(share, tuple(phrase_keys(say))) for share in vague_rules().shares for say in share.say]
    return sorted(pairs, key=lambda pair: -len(pair[1]))


@lru_cache(maxsize=1)
def _mores() -> Sequence[tuple[str, ...]]:
    return tuple(tuple(phrase_keys(say)) for say in vague_rules().more)
