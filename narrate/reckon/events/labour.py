"""Whether a time is the technician's own work on the job, and no reading: "took me two hours", "pads and rotors, 1.5 hrs"."""

from __future__ import annotations

from narrate.core.handoffs import Quantity
from narrate.reckon.events.words import Words

_TENTHS = frozenset((5, 10))  # denominators of hours that are counted in tenths, as labour is and a wait is not


def is_labour(words: Words, quantity: Quantity, k: int, thing: str | None) -> bool:
    """Told so in words; or hours that stand by themselves behind work done or on a line, or in tenths beside a part.

    `thing` is what the time is of: a reading's own time ("evacuated 1.5 hours") is none.
    """
    if any(h.layer == "labour" for h in words.by_clause.get(k, ())):
        return True
    if quantity.unit != "h" or thing in words.lexicon.subjects or quantity.bound is not None:
        return False
    clause = words.clauses[k]
    verbs = [h for i in range(clause.first, clause.last) for h in words.verb_at.get(i, ())]
    tenths = _in_tenths(words, quantity) and not quantity.approximate
    if any(not words.lexicon.verbs[h.id].fits for h in verbs):
        return False
    if verbs or not _alone(words, quantity, k):
        return tenths and not _leads_on(words, quantity)
    own_line = not words.same_sentence(k, k - 1) and not words.same_sentence(k, k + 1)
    return (own_line and tenths and k > 0) or _behind_work(words, k, tenths)


def _in_tenths(words: Words, quantity: Quantity) -> bool:
    """ "1.8 hrs", and "1.5" where it is written so; "an hour and a half" is no flat time."""
    halves = quantity.low.denominator == 2 and "." in words.lows[quantity.first]
    return halves or quantity.low.denominator in _TENTHS


def _alone(words: Words, quantity: Quantity, k: int) -> bool:
    """Whether the clause holds the time and nothing else."""
    clause = words.clauses[k]
    rest = (*words.lows[clause.first : quantity.first], *words.lows[quantity.last : clause.last])
    return all(not low[0].isalnum() or low in words.lexicon.word_sets["beside-labour"] for low in rest)


def _behind_work(words: Words, k: int, tenths: bool) -> bool:
    """Whether the clause before, of the same sentence, tells of work done; in tenths any act will do."""
    if not k or not words.same_sentence(k, k - 1):
        return False
    clause = words.clauses[k - 1]
    verbs = [h for i in range(clause.first, clause.last) for h in words.verb_at.get(i, ())]
    last = max(verbs, key=lambda h: h.first, default=None)
    return last is not None and (tenths or words.lexicon.verbs[last.id].fits)


def _leads_on(words: Words, quantity: Quantity) -> bool:
    """ "1.2 hours later", "0.5 hours of idling": the time of something that is told behind it."""
    after = words.lows[quantity.last] if quantity.last < len(words.lows) else ""
    return after in ("later", "after", "of", "before", "on", "at", "old", "ago")
