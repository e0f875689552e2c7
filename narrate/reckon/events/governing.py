"""Which act a mention of a part belongs to: the verb that has it as object, or as subject, or that the list began with."""

from __future__ import annotations

from narrate.core.handoffs import Hit
from narrate.reckon.events.phrase import Mention
from narrate.reckon.events.words import COUNTS, Words

_AWAY = frozenset(("out", "off", "apart", "aside", "down", "loose", "away", "back"))
_GOES_ON = frozenset(
    ("and", "too", "also", "as", "both", "all", "each", "plus", "w", "x", "kit", "kits", "set", "sets")
)


def governing_verb(words: Words, mention: Mention) -> Hit | None:
    """The act that the mention belongs to: before it as its object, or after it with the part as subject.

    In "cleaned the face and put a new gasket on", the gasket belongs to the nearer act. A verb after the part counts
    where the part opens the clause, or where no act stands before it.
    """
    clause = words.clauses[mention.clause]
    before: Hit | None = None
    after: Hit | None = None
    for k in range(clause.first, clause.last):
        for hit in words.verb_at.get(k, ()):
            if hit.last <= mention.np_first or hit.last <= mention.first:
                if before is None or hit.first > before.first or (hit.first == before.first and _prefers(words, hit)):
                    before = hit
            elif hit.first >= mention.last and (after is None or (hit.first == after.first and _prefers(words, hit))):
                after = hit
    if before is not None and after is not None:
        beside = before.last == mention.np_first and _has_object(words, after)
        if not is_fitting(words, before) and is_fitting(words, after) and _subject_like(words, mention, after):
            return before if beside else after  # "checked the battery hung a reman alternator"
        return before
    if before is None and after is not None:
        return None if _has_done(words, mention, after) else after
    if before is None:
        return _stated_next(words, mention) or _carried_verb(words, mention) or _shared_verb(words, mention)
    return before


def _has_done(words: Words, mention: Mention, verb: Hit) -> bool:
    """ "The connector had a loose pin replaced": it was the pin."""
    between = words.lows[mention.last : verb.first]
    had = next((i for i, w in enumerate(between) if w in ("had", "has", "having")), None)
    return had is not None and any(
        mention.last + had < j for j in range(mention.last, verb.first) if j in words.noun_at
    )


def _prefers(words: Words, hit: Hit) -> bool:
    return words.lexicon.verbs[hit.id].fits


def _has_object(words: Words, verb: Hit) -> bool:
    """Whether a thing stands straight behind an act, so that what stands before it is no subject of it."""
    sets = words.lexicon.word_sets
    j = verb.last
    lead = ("determiner", "new", "rebuilt", "number-word")
    while j < len(words.lows) and (
        words.lows[j].isdigit() or j in words.place_at or any(words.lows[j] in sets[n] for n in lead)
    ):
        j += 1
    return j in words.noun_at


def _subject_like(words: Words, mention: Mention, verb: Hit) -> bool:
    """Whether only auxiliaries and adverbs stand between the part and the verb: "the belt was also replaced"."""
    between = words.lows[mention.last : verb.first]
    sets = words.lexicon.word_sets
    return len(between) <= 4 and not any(
        w in sets["preposition"] or i + mention.last in words.noun_at for i, w in enumerate(between)
    )


def _carried_verb(words: Words, mention: Mention) -> Hit | None:
    """A list goes on: "replaced the filter, the crush washer and the drain plug"."""
    k = mention.clause
    clause = words.clauses[k]
    if words.lows[clause.last - 1] == ":":
        return None  # it opens a statement of its own
    lead = [
        words.lows[j]
        for j in range(clause.first, mention.np_first)
        if j not in words.noun_at
        and words.lows[j] not in ("and", ",", "&", "plus", "also")
        and words.lows[j] not in words.lexicon.word_sets["determiner"]
        and words.lows[j] not in words.lexicon.word_sets["new"]
        and not (j in words.quantity_at and words.quantity_at[j].unit in COUNTS)
    ]
    if lead or not words.same_sentence(k, k - 1):
        return None
    lead = words.lows[clause.first : clause.first + 1]
    counted = mention.count is not None or mention.condition is not None
    closed = words.lows[clause.first - 1] == ")" and counted  # "fitted two seals (SF-18) two dust seals"
    if (
        words.lows[clause.first - 1] not in (",", ";", "(", ":", "&", "+")
        and not closed
        and not (lead and lead[0] in ("and", "plus", "also"))
    ):
        return None
    tail = [
        w
        for w in words.lows[mention.last : clause.last]
        if w.isalpha() and w not in ("and", "too", "also", "as", "well", "new")
    ]
    if words.lows[mention.last - 1] in _AWAY:
        return None  # "heater core replaced, dash out"
    if any(w in ("included", "inside", "attached", "supplied") for w in tail) or _said_of(words, mention, clause.last):
        return None
    if (
        any(words.lows[j] in words.lexicon.word_sets["auxiliary"] for j in range(mention.last, clause.last))
        or len(tail) > 6
    ):
        return None
    for other in range(k - 1, max(-1, k - 6), -1):
        if not words.same_sentence(k, other):
            return None
        hits = [
            h for i in range(words.clauses[other].first, words.clauses[other].last) for h in words.verb_at.get(i, ())
        ]
        if hits:
            last = hits[-1]
            fitting = [h for h in hits if h.first == last.first and words.lexicon.verbs[h.id].fits]
            return fitting[0] if fitting else None
    return None


def _said_of(words: Words, mention: Mention, last: int) -> bool:
    """Whether the next words say how a part is or where it went, and so make it no member of a list: "replaced the
    pump, belt good", "pump replaced, shroud out of the way"."""
    j = mention.last
    if j >= last or not words.lows[j].isalpha() or j in words.place_at or j in words.quantity_at or j in words.label_at:
        return False
    low, sets = words.lows[j], words.lexicon.word_sets
    goes_on = low in _GOES_ON or low in sets["preposition"] or low in sets["new"] or j in words.noun_at
    return low in _AWAY or not goes_on


def _shared_verb(words: Words, mention: Mention) -> Hit | None:
    """One act for all that was listed before it: "the belt, the idler and the tensioner were replaced"."""
    clause = words.clauses[mention.clause]
    tail = [w for w in words.lows[mention.last : clause.last] if w.isalpha() and w not in ("x", "and", "both", "all")]
    if tail or any(words.verb_at.get(i) for i in range(clause.first, clause.last)):
        return None
    for k in range(mention.clause + 1, min(mention.clause + 6, len(words.clauses))):
        nxt = words.clauses[k]
        mark = words.lows[nxt.first - 1]
        joined = mark == "," or words.lows[nxt.first] in ("and", "&", "plus")
        if not words.same_sentence(mention.clause, k) or not joined:
            return None
        hits = [h for i in range(nxt.first, nxt.last) for h in words.verb_at.get(i, ())]
        if not hits:
            continue
        first = min(hits, key=lambda h: h.first)
        lead = [j for j in range(nxt.first, first.first) if j in words.noun_at]
        same = [h for h in hits if h.first == first.first and words.lexicon.verbs[h.id].fits]
        return same[0] if same and lead else None
    return None


def _stated_next(words: Words, mention: Mention) -> Hit | None:
    """A line of a ticket: "Battery: replaced." The act is the fragment after the mark."""
    clause = words.clauses[mention.clause]
    if clause.last - mention.last > 2 or not words.same_sentence(mention.clause, mention.clause + 1):
        return None
    if words.lows[clause.last - 1] not in (":", "-", "–", "—", "->", "("):
        return None
    start = words.clauses[mention.clause + 1].first
    fitting = [h for i in (start, start + 1) for h in words.verb_at.get(i, ()) if words.lexicon.verbs[h.id].fits]
    if not fitting or _has_object(words, fitting[0]):
        return None  # "Rear end: fitted two rear shocks": the line's heading is no part fitted
    return fitting[0]


def is_fitting(words: Words, verb: Hit) -> bool:
    """Whether the verb is one of fitting, its particle in place."""
    entry = words.lexicon.verbs[verb.id]
    if not entry.fits:
        return False
    if entry.fits_unless:
        clause = words.clauses[words.clause_of[verb.first]]
        if any(w in entry.fits_unless for w in words.lows[verb.last : clause.last]):
            return False
    if not entry.particles or words.lows[verb.last - 1] in entry.particles:
        return True
    clause = words.clauses[words.clause_of[verb.first]]
    after = words.lows[verb.last : min(clause.last, verb.last + 14)]
    pieces = {p for p in entry.particles if " " not in p}
    return any(w in pieces for w in after)


def did(words: Words, mention: Mention) -> bool:
    """ "Did the plugs", "did both fuel filters": what wears out was renewed, by who speaks. Not "did the belt squeal",
    "did the drain plug to 30"."""
    at, sets = mention.np_first - 1, words.lexicon.word_sets
    if at < 0 or words.lows[at] != "did" or mention.located or mention.old:
        return False
    first = words.clauses[mention.clause].first
    mine = (
        at == first or words.lows[at - 1] in sets["first-person"] or words.lows[at - 1] in ("and", "also", "then", ",")
    )
    after = words.lows[mention.last] if mention.last < len(words.lows) else "."
    goes_on = mention.last in words.verb_words or after in ("to", "at", "up", "smear", "make", "need")
    return mine and not goes_on and words.lows[mention.last - 1] in sets["done-over"]


def keeps(words: Words, verb: Hit) -> bool:
    return words.lexicon.verbs[verb.id].keeps
