"""How many of a part, where the count comes later than its name, or is dealt out over places.

"new washers on the drain plug and the fill plug, two of them", "new bushings, that's two", "O-rings: two at the
compressor, two at the condenser".
"""

from __future__ import annotations

from fractions import Fraction

from narrate.core.handoffs import Gap, Hit
from narrate.hear.speech.numbers import read_number
from narrate.reckon.events.words import COUNTS, Words

_REACH = 26  # tokens behind the name
_MOST = 48
_THEM = frozenset(("them", "em", "'em", "those", "these"))
_SUMMED = (
    ("that's",),
    ("thats",),
    ("that", "is"),
    ("that", "makes"),
    ("makes",),
    ("there's",),
    ("call", "it"),
    ("so",),
)
_DEALT = frozenset("at on for in to per".split())
_TERM_REACH = 8  # tokens from one place's count to the next


def later(words: Words, hit: Hit) -> Fraction | None:
    """The count said after a plural name, or the sum of what is told of each place; None where none is told."""
    return _dealt_out(words, hit) or _told_after(words, hit)


def _number(words: Words, j: int) -> tuple[int, int] | None:
    """(value, end) of a small whole number at j that no unit, label or noun of its own has."""
    low = words.lows[j]
    if not (low.isdigit() or low in words.lexicon.word_sets["number-word"]):
        return None
    read = read_number(words.tokens, j)
    label = words.label_at.get(j)
    if read is None or read.value.denominator != 1 or not 0 < read.value <= _MOST:
        return None
    if label is not None and label.kind != "ordinal":
        return None
    quantity = words.quantity_at.get(j)
    if quantity is not None and quantity.unit and quantity.unit not in COUNTS and not quantity.elided:
        return None
    return int(read.value), read.last


def _ends(words: Words, j: int) -> bool:
    """Whether the statement ends at j, or goes on to something else."""
    if j >= len(words.lows) or words.tokens[j].gap >= Gap.LINE or not words.lows[j][0].isalnum():
        return True
    return words.lows[j] in ("and", "so", "total", "altogether", "all", "each") or words.lows[j : j + 2] == [
        "in",
        "all",
    ]


def _told_after(words: Words, hit: Hit) -> Fraction | None:
    lows, acted = words.lows, False
    for j in range(hit.last, min(hit.last + _REACH, len(lows))):
        if words.tokens[j].gap >= Gap.PARAGRAPH:
            return None
        noun = words.noun_at.get(j)
        if noun is not None and (_plural(lows[noun.last - 1]) or words.is_fluid(noun)):
            if words.is_fluid(noun) or not _located(words, hit.last, noun.first):
                return None
            continue
        acted = acted or (j in words.verb_at and not all(words.lexicon.verbs[v.id].fits for v in words.verb_at[j]))
        read = _number(words, j)
        if read is None or read[0] == 1:
            continue
        value, end = read
        if lows[j - 1] == "(" and lows[end : end + 1] == [")"] and not acted:
            return Fraction(value)  # "the flywheel bolts were replaced as well (8)"
        them = lows[end : end + 1] == ["of"] and end + 1 < len(lows) and lows[end + 1] in _THEM
        if them and _ends(words, end + 2):
            return Fraction(value)
        lead = tuple(lows[max(hit.last, j - 2) : j])
        told = any(lead[-len(phrase) :] == phrase for phrase in _SUMMED)
        if told and not acted and (_ends(words, end) or them) and end not in words.noun_at:
            return Fraction(value)
        in_all = lows[end : end + 1] in (["total"], ["altogether"]) or lows[end : end + 2] in (
            ["in", "all"],
            ["all", "told"],
        )
        if in_all and not any(k in words.noun_at for k in (end + 1, end + 2)):
            return Fraction(value)
    return None


def _dealt_out(words: Words, hit: Hit) -> Fraction | None:
    """ "Two at the block, two at the evaporator and one on the line": their sum, where two places or more are told."""
    lows = words.lows
    terms: list[int] = []
    j = hit.last
    last = j
    while j < len(lows) and j - last <= _TERM_REACH:
        if words.tokens[j].gap >= Gap.PARAGRAPH:
            break
        one = lows[j : j + 2] == ["the", "one"] and bool(terms)
        read = (1, j + 2) if one else _number(words, j)
        if read is not None and read[1] < len(lows) and lows[read[1]] in _DEALT and lows[j - 1] != "that's":
            terms.append(read[0])
            j = last = read[1]
            continue
        if read is not None or (not terms and j > hit.last + 2):
            break
        noun = words.noun_at.get(j)
        if noun is not None and _plural(lows[noun.last - 1]) and not terms:
            break
        j += 1
    if len(terms) < 2:
        return None
    total = sum(terms)
    for j in range(last, min(last + _REACH, len(lows))):
        read = _number(words, j)
        if read is not None and lows[j - 1] in ("that's", "makes", "is") and total < read[0] <= 2 * total:
            if read[0] - total <= 2:
                total = read[0]
    return Fraction(total)


def _located(words: Words, first: int, last: int) -> bool:
    """Whether what stands at `last` is a place for what ends at `first`: "washers on the drain and fill plugs"."""
    while first < last and (first in words.verb_at or words.lows[first] in words.lexicon.word_sets["auxiliary"]):
        first += 1
    between = words.lows[first:last]
    return between[:1] in (["on"], ["at"], ["in"], ["for"]) and not any(w in (",", "new", ".", ";") for w in between)


def _plural(low: str) -> bool:
    return low.endswith("s") and not low.endswith(("ss", "us", "'s"))
