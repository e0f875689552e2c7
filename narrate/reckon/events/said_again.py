"""Amounts that are told a second time: as the sum of what was told before, or in another unit. Each counts once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

from narrate.core.handoffs import Moved
from narrate.core.units import convert, same_dimension
from narrate.hear.speech.numbers import read_number
from narrate.reckon.events.words import Words

_TOTAL = frozenset(("total", "altogether", "so", "makes", "all", "overall", "sum", "that's"))
_WHOLE = frozenset(("total", "altogether", "overall"))
_EACH = frozenset(("per", "each", "apiece"))  # "two quarts per hub so four quarts"
_SUMMED = 40  # tokens from a summand to its sum
_MORE = frozenset(("more", "another", "extra", "additional"))
_ADDED = _MORE | {"then", "plus", "again", "later", "after", "topped"}
_BESIDE = frozenset(("(", "[", ",", "/", "or", "=", "which", "is", "that's", "that", "so", "about", "i.e.", "roughly"))
_SHARED = frozenset(
    ("=", "which", "that's", "i.e.", "that", "being", "as", "split", ":", "(", "so")
)  # its shares follow
_SAME = frozenset(("=", "which", "that's", "i.e."))  # what follows is the same, right or wrong
_NEAR = 3  # tokens at the most between one amount and the same in another unit
_ALIKE = Fraction(1, 20)  # how far the two may lie apart, as the same value in round figures


def fold_twins(words: Words, moved: Sequence[Moved]) -> list[Moved]:
    """ "24 oz (680 g)", "4.5 quarts, 4.3 liters": one amount, with both places as evidence.

    In brackets the second is a conversion even where it is wrong; that is asked about, and never added.
    """
    out: list[Moved] = []
    for one in moved:
        before = out[-1] if out else None
        if before is not None and _like_move(words, before, one) and _twin(words, before, one):
            named = one if before.thing in words.lexicon.wider(one.thing) else before
            spans = tuple(dict.fromkeys((*before.spans, *one.spans)))
            out[-1] = replace(before, thing=named.thing, name=named.name, spans=spans)
        else:
            out.append(one)
    return out


def _same_move(one: Moved, other: Moved) -> bool:
    return (one.thing, one.direction, one.state) == (other.thing, other.direction, other.state)


def _like_move(words: Words, one: Moved, other: Moved) -> bool:
    """The same way, of one fluid or of a wider name of it."""
    kin = (
        one.thing == other.thing
        or one.thing in words.lexicon.wider(other.thing)
        or other.thing in words.lexicon.wider(one.thing)
    )
    return kin and (one.direction, one.state) == (other.direction, other.state)


def _twin(words: Words, one: Moved, two: Moved) -> bool:
    a, b = one.quantity, two.quantity
    if a.unit == b.unit or not same_dimension(a.unit, b.unit):
        return False
    between = words.lows[a.last : b.first]
    if not 1 <= len(between) <= _NEAR or not _BESIDE.issuperset(between):
        return False
    if between[-1] in ("(", "[") or not _SAME.isdisjoint(between):
        return True
    first = convert(a.low, a.unit, b.unit)
    return abs(first - b.low) <= _ALIKE * b.low


def fold_totals(words: Words, moved: Sequence[Moved]) -> list[Moved]:
    """ "two and a half, and one more, so three and a half": the sum stands, with its summands as evidence."""
    out: list[Moved] = []
    for one in moved:
        said = words.lows[words.clauses[one.clause].first : words.clauses[one.clause].last]
        if any(w in _TOTAL for w in said):
            parts = [m for m in out if _same_move(m, one)]
            for start in range(len(parts)):
                run = parts[start:]
                same = all(m.quantity.unit == one.quantity.unit for m in run)
                parts_sum = sum((m.quantity.low for m in run), Fraction(0))
                near = one.quantity.first - run[0].quantity.last <= _SUMMED
                bare = _bare(words, run[0].quantity.last, one.quantity.first) if near else Fraction(0)
                whole = parts_sum < one.quantity.low and near and _in_all(said)
                each = len(run) == 1 and any(w in _EACH for w in words.lows[run[0].quantity.last : one.quantity.first])
                whole = whole or (each and parts_sum < one.quantity.low and not one.quantity.low % parts_sum)
                exact = (len(run) > 1 and parts_sum == one.quantity.low) or (0 < bare == one.quantity.low - parts_sum)
                if same and (whole or exact):
                    out = [m for m in out if m not in run]
                    one = replace(one, spans=tuple(dict.fromkeys((*one.spans, *(s for m in run for s in m.spans)))))
                    break
        out.append(one)
    return out


def _dealt_out(words: Words, whole: Moved, share: Moved) -> bool:
    """Whether the words between say that what follows are shares: "that's", "being", a colon. "2 qt, 1 qt, 1 qt" are three."""
    return not _SHARED.isdisjoint(words.lows[whole.quantity.last : share.quantity.first])


def fold_shares(words: Words, moved: Sequence[Moved]) -> list[Moved]:
    """ "Eight ounces of oil, that's five in the accumulator and three in the compressor": the whole, told with its shares.

    Two amounts or more behind a whole, of the same fluid and way, that make it up exactly are no further amounts.
    """
    out, i = list(moved), 0
    while i < len(out):
        whole, total = out[i], Fraction(0)
        for n in range(i + 1, len(out)):
            one = out[n]
            near = one.quantity.first - out[n - 1].quantity.last <= _SUMMED
            added = any(w in _ADDED for w in words.lows[out[n - 1].quantity.last : one.quantity.last])
            acted = any(j in words.verb_at for j in range(out[n - 1].quantity.last, one.quantity.first))
            if (
                not near
                or added
                or acted
                or not words.same_sentence(whole.clause, one.clause)
                or one.quantity.unit != whole.quantity.unit
                or not _like_move(words, whole, one)
            ):
                break
            if n == i + 1 and not _dealt_out(words, whole, one):
                break
            total += one.quantity.low
            if total >= whole.quantity.low:
                if total == whole.quantity.low and n > i + 1:
                    spans = (s for m in out[i + 1 : n + 1] for s in m.spans)
                    out[i] = replace(whole, spans=tuple(dict.fromkeys((*whole.spans, *spans))))
                    del out[i + 1 : n + 1]
                break
        i += 1
    return out


def _bare(words: Words, first: int, last: int) -> Fraction:
    """What summands with no unit come to: "and one more for the condenser"."""
    total, at = Fraction(0), first
    while at < last:
        read = read_number(words.tokens, at) if words.lows[at][:1].isalnum() and at not in words.quantity_at else None
        if read is None:
            at += 1
            continue
        beside = words.lows[max(first, at - 1) : at] + words.lows[read.last : read.last + 1]
        if read.value > 0 and any(w in _MORE or w == "plus" for w in beside):
            total += read.value
        at = max(read.last, at + 1)
    return total


def _in_all(said: Sequence[str]) -> bool:
    """Whether a clause says that its amount is the whole, a summand of which may have had no unit: "one more"."""
    return any(w in _WHOLE for w in said) or any(a == "in" and b == "all" for a, b in pairwise(said))
