"""Work of the technician's own that is told with no act of fitting: "so pads are new", "the pump is new, old one toast",
"old pads off, pads are on".

Each needs a sign beside it that something was renewed: the old piece, or the part called for.
"""

from __future__ import annotations

from collections.abc import Sequence

from narrate.core.handoffs import Gap
from narrate.reckon.events.phrase import Mention
from narrate.reckon.events.words import Words

_BE = frozenset(("is", "are", "'s", "all"))
_CLOSES = frozenset(("now", "too", "also", "again", "and", ",", ";"))
_THERE = frozenset(("already", "ish", "enough", "when", "last"))
_JOINS = frozenset(("and", "&", "+", "plus", ","))
_BACK = 14  # mentions before, among which a part was called for
_HANDS = 12  # tokens about such a statement in which other hands are told
_NEAR = 3  # statements between a part that is new and its old one


def renewed(words: Words, mentions: Sequence[Mention], i: int) -> bool:
    """Whether the mention, with no act of fitting, tells that the part was renewed here."""
    mention = mentions[i]
    if mention.located or mention.old or mention.denied or mention.pronoun:
        return False
    return _is_new(words, mentions, i) or _is_on(words, mentions, i)


def _predicate(words: Words, mention: Mention) -> int | None:
    """Where the word behind a copula stands: "pads are | new", "thermostat's | new", "belt | new"."""
    j = mention.last
    while j < len(words.lows) and words.lows[j] in _BE and words.tokens[j].gap < Gap.LINE:
        j += 1
    return j if j < len(words.lows) and words.tokens[j].gap < Gap.LINE else None


def _closed(words: Words, j: int) -> bool:
    return (
        j >= len(words.lows)
        or words.tokens[j].gap >= Gap.LINE
        or not words.lows[j][0].isalnum()
        or words.lows[j] in _CLOSES
    )


def _is_new(words: Words, mentions: Sequence[Mention], i: int) -> bool:
    """ "Water pump is new, old one was toast"; "pads were down to metal, so pads are new"."""
    mention = mentions[i]
    j = _predicate(words, mention)
    if j is None or words.lows[j] not in words.lexicon.word_sets["new"] or not _closed(words, j + 1):
        return False
    if words.lows[j + 1 : j + 2] and words.lows[j + 1] in _THERE:
        return False
    clause = words.clauses[mention.clause]
    if not words.lexicon.word_sets["other-hand"].isdisjoint(words.lows[max(0, clause.first - _HANDS) : j + _HANDS]):
        return False  # "customer fitted it himself, battery is new"
    if any(
        w in words.lexicon.word_sets["somebody-else"] or w in ("his", "her", "their")
        for w in words.lows[clause.first : j]
    ):
        return False
    if _old_one(words, mention):
        return True
    so = words.lows[clause.first] == "so" or words.lows[max(0, clause.first - 1)] == "so"
    return so and _called_for(words, mentions, i, fault=True)


def _old_one(words: Words, mention: Mention) -> bool:
    """Whether "the old one", or the same part called old, is spoken of within a statement or two."""
    first = words.clauses[max(0, mention.clause - 1)].first
    last = words.clauses[min(len(words.clauses) - 1, mention.clause + _NEAR)].last
    for j in range(first, min(last, len(words.lows)) - 1):
        if words.lows[j] != "old" or words.lows[max(0, j - 1)] == "same":
            continue
        noun = words.noun_at.get(j + 1)
        if words.lows[j + 1] in ("one", "ones", "one's") or (noun is not None and noun.id == mention.thing):
            return True
    return False


def _called_for(words: Words, mentions: Sequence[Mention], i: int, fault: bool = False) -> bool:
    """Whether the part was called for before: named as old or new, planned, or told as faulty."""
    mention = mentions[i]
    for other in mentions[max(0, i - _BACK) : i]:
        if other.thing != mention.thing and mention.thing not in words.lexicon.wider(other.thing):
            continue
        clause = words.clauses[other.clause]
        acts = (h for j in range(clause.first, clause.last) for h in words.verb_at.get(j, ()))
        if any(words.lexicon.verbs[h.id].speaks for h in acts):
            continue  # "ordered a pump last week. Pump's in": it has come
        if other.old or other.condition or words.standing.state[other.first] == "planned":
            return True
        near = words.by_clause.get(other.clause, ())
        if fault and any(h.layer == "finding" and h.id in ("fault", "cause") for h in near):
            return True
    return False


def _is_on(words: Words, mentions: Sequence[Mention], i: int) -> bool:
    """ "Old pads off, pads are on", "needed a pump, pump's in": put in its place, where it was called for."""
    mention = mentions[i]
    j = _predicate(words, mention)
    if j is None or (j == mention.last and not words.lows[j - 1].endswith("'s")):
        return False
    return words.lows[j] in ("on", "in") and _closed(words, j + 1) and _called_for(words, mentions, i)
