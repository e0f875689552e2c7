"""What stands for a part whose old one came out: "pressed out the old ones, pressed in two new such-and-suches".

A maker's name or a slang word, called new or counted, as the object of an act of fitting, is of the part that the
statements before it took out. Where nothing came out it stays what it was: unknown.
"""

from __future__ import annotations

from collections.abc import Sequence

from narrate.core.handoffs import Hit
from narrate.reckon.events.governing import is_fitting
from narrate.reckon.events.phrase import Mention, is_plural, mention_at
from narrate.reckon.events.unknown import name_at
from narrate.reckon.events.words import FITTABLE, Words

_BACK = 3  # statements between what came out and what went in
_THEM = frozenset(("it", "them", "those", "both", "all"))


def unknown_objects(words: Words) -> frozenset[int]:
    """Where unknown names begin as the objects of acts of fitting: `stands_in` need not be asked of any other word."""
    spans = (name_at(words, hit.last) for hit in words.verb_hits if is_fitting(words, hit))
    return frozenset(span[0] for span in spans if span is not None)


def stands_in(words: Words, mentions: Sequence[Mention], i: int) -> tuple[Mention, Mention] | None:
    """The mention that the unknown name at token i makes, and the part that it is of; None where it is no such name."""
    if i in words.noun_at or i in words.verb_at or not words.lows[i].isalpha():
        return None
    k = words.clause_of[i]
    clause = words.clauses[k]
    verb = next(
        (h for j in range(i - 1, clause.first - 1, -1) for h in words.verb_at.get(j, ()) if is_fitting(words, h)), None
    )
    if verb is None or i - verb.last > 5 or name_at(words, verb.last) is None:
        return None
    first, last = name_at(words, verb.last) or (i, i)
    if first != i or any(j in words.noun_at for j in range(verb.last, clause.last) if j < last):
        return None
    mention = mention_at(words, Hit("thing", mentions[-1].thing, first, last)) if mentions else None
    if mention is None or not (mention.condition or mention.count is not None):
        return None
    out = _taken_out(words, mentions, k, i)
    plural = is_plural(words.lows[last - 1])
    if out is None or (out.plural and not plural) or (plural and not out.plural):
        return None
    return mention_at(words, Hit("thing", out.thing, first, last)), out


def _taken_out(words: Words, mentions: Sequence[Mention], k: int, i: int) -> Mention | None:
    """The part that an act of removing had as object within the last statements, by name, by "the old ones" or "them"."""
    for other in range(k, max(-1, k - _BACK - 1), -1):
        clause = words.clauses[other]
        acts = [h for j in range(clause.first, min(clause.last, i)) for h in words.verb_at.get(j, ())]
        if other != k and any(is_fitting(words, h) for h in acts):
            return None
        for hit in reversed(acts):
            if not words.lexicon.verbs[hit.id].removes or words.standing.state[hit.first] != "done":
                continue
            end = min(clause.last, i)
            named = [m for m in mentions if m.clause == other and _part(words, m) and m.last <= end]
            if named:
                return named[-1]
            told = any(w in _THEM or w in ("ones", "one") for w in words.lows[hit.last : end])
            able = [m for m in mentions if m.last <= hit.first and other - m.clause <= _BACK and _part(words, m)]
            return able[-1] if told and able else None
    return None


def _part(words: Words, mention: Mention) -> bool:
    return words.lexicon.kinds[mention.thing] in FITTABLE and not mention.located
