"""Lines with no verb at all: "Oil filter, drain plug washer, 5 qts 5W-30". What they list was fitted, or they tell nothing.

Nothing else may stand in such a line: a reading, a finding, or any word that is not a part, a count, a place or a join
makes it a remark on parts that were there.
"""

from __future__ import annotations

from collections.abc import Sequence

from narrate.core.handoffs import Gap, Hit
from narrate.hear.speech.numbers import read_number
from narrate.reckon.events.phrase import Mention
from narrate.reckon.events.words import COUNTS, FITTABLE, Words

_JOINS = frozenset(
    "and & + plus , ; w w/ with x of for on the all both each ( ) - * • . – — too as well those them there in new also then "
    "a an pair set side sides us full complete".split()
)
_JOINED = frozenset(("and", "&", "+", "plus", ",", ";", "with", "w/", "also"))
_MOST_HEAD = 8  # words of a heading
_MOST_BEHIND = 12  # fasteners counted behind their name
_MOST_LISTED = 16  # lines under one heading


def bare_list(words: Words, mention: Mention) -> bool:
    """Whether the mention stands in a sentence that lists parts and amounts and does nothing else, one of them counted."""
    sentence = words.clauses[mention.clause].sentence
    known = words.bare.get(sentence)
    if known is None:
        known = words.bare[sentence] = _is_bare(words, sentence)
    lead = words.lows[mention.np_first - 1] if mention.np_first else ""
    if lead in ("with", "w/", "w") and mention.count is None:
        return False  # "a new chain with a rivet link": what it comes with
    worn = any(words.lows[i] in words.lexicon.word_sets["old"] for i in range(mention.first, mention.last - 1))
    return known and not (mention.located or mention.definite or mention.old or worn)


def _is_bare(words: Words, sentence: int) -> bool:
    first = words.clauses[words.sentence_firsts[sentence]].first
    nxt = words.sentence_firsts.get(sentence + 1)
    last = words.clauses[nxt].first if nxt is not None else len(words.lows)
    if last - first > 40 or (first and words.tokens[first].gap < Gap.LINE and words.lows[first - 1] == ":"):
        return False
    if _under_another_heading(words, sentence):
        return False
    sets = words.lexicon.word_sets
    counted, parts = False, 0
    j = first + 2 * _enumerated(words, first, last)
    while j < last:
        noun, quantity, low = words.noun_at.get(j), words.quantity_at.get(j), words.lows[j]
        if noun is not None:
            thing = words.lexicon.things[noun.id]
            if thing.kind not in FITTABLE and thing.kind != "fluid":
                return False
            parts += thing.kind != "fluid"
            j = noun.last
            one = not words.lows[j - 1].endswith("s")
            if (thing.kind == "fastener" or one) and _many(words, j):
                return False  # "head bolts sixty", "drain plug forty three": a torque, and no count
            continue
        if quantity is not None:
            amount = quantity.unit not in COUNTS
            behind = [words.noun_at.get(k) for k in range(quantity.last, min(quantity.last + 3, last))]
            if amount and not any(h is not None and words.is_fluid(h) for h in behind):
                return False
            counted = True
            j = max(j + 1, quantity.last)
            continue
        if j in words.label_at or j in words.place_at or low in sets["new"]:
            counted = counted or low in ("both", "pair")
            j += 1
            continue
        if low not in _JOINS and not low.isdigit() and low not in sets["number-word"] and low not in sets["filler"]:
            return False
        counted = counted or low.isdigit() or low in ("both", "pair", "sides") or low in sets["number-word"]
        j += 1
    return counted and parts > 0


def _enumerated(words: Words, first: int, last: int) -> bool:
    """Whether a line begins with its number: "2) Glow plugs" counts no plugs."""
    return last - first > 2 and words.lows[first].isdigit() and words.lows[first + 1] in (")", ".", "/)")


def _many(words: Words, j: int) -> bool:
    read = read_number(words.tokens, j) if j < len(words.lows) and words.tokens[j].gap < Gap.LINE else None
    return read is not None and read.value > _MOST_BEHIND


def _under_another_heading(words: Words, sentence: int) -> bool:
    """Whether a line, with the bullets above it, stands under a heading of something else: "Inspection:"."""
    for back in range(1, _MOST_LISTED):
        if sentence - back not in words.sentence_firsts:
            return False
        clause = words.clauses[words.sentence_firsts[sentence - back]]
        if words.lows[clause.last - 1] == ":":
            said = " ".join(w for w in words.lows[clause.first : clause.last] if w[0].isalnum())
            return _heading_end(words, clause.index) is None and said not in words.lexicon.word_sets["heading-done"]
        if words.lows[clause.first] not in words.lexicon.word_sets["bullet"]:
            return False
    return False


def listed(words: Words, mentions: Sequence[Mention], i: int) -> bool:
    """Under a heading that says so, a bare line is a part fitted: "Parts: 2 O-rings, 1 gasket", or lines below it."""
    mention = mentions[i]
    if mention.located or mention.old:
        return False
    follows = i > 0 and mentions[i - 1].clause == mention.clause and mentions[i - 1].first < mention.first
    if follows and words.lows[mention.np_first - 1] not in _JOINED:
        return False
    sentence = words.clauses[mention.clause].sentence
    firsts = words.sentence_firsts
    end = _heading_end(words, firsts[sentence])
    if end is not None:
        return end <= mention.np_first
    if mention.count is None and mention.clause != firsts[sentence]:
        return False
    for back in range(1, _MOST_LISTED):
        clause = words.clauses[firsts[sentence - back + 1]]
        bulleted = words.lows[clause.first] in words.lexicon.word_sets["bullet"] or back == 1
        bulleted = bulleted or _enumerated(words, clause.first, clause.last)
        if not bulleted or words.tokens[clause.first].gap >= Gap.PARAGRAPH or sentence - back not in firsts:
            return False
        if _heading_end(words, firsts[sentence - back]) is not None:
            return True
    return False


def in_heading(words: Words, verb: Hit) -> bool:
    """Whether an act is a word of such a heading, and none of the list's: the "used" of "Parts used:"."""
    end = _heading_end(words, words.sentence_firsts[words.clauses[words.clause_of[verb.first]].sentence])
    return end is not None and verb.last <= end


def _names_next(words: Words, j: int) -> bool:
    """Whether a thing, a place or a count of things stands at j."""
    sets = words.lexicon.word_sets
    return (
        j in words.noun_at
        or j in words.place_at
        or j in words.quantity_at
        or (j < len(words.lows) and any(words.lows[j] in sets[n] for n in ("determiner", "new", "number-word")))
    )


def _heading_end(words: Words, k: int) -> int | None:
    """Where a heading over parts fitted ends that the clause opens with: "Parts used:", a line by itself, "parts on this
    one were". None where there is none."""
    first, sets = words.clauses[k].first, words.lexicon.word_sets
    if words.clauses[k].state != "done":
        return None  # "parts were back ordered"
    told = False
    for j in range(first, min(first + _MOST_HEAD, len(words.lows))):
        low = words.lows[j]
        if told and low in ("were", "are", "was", "is"):
            return j + 1 if _names_next(words, j + 1) else None  # and not "parts were back ordered"
        if told and low in (":", "-", "–", "—"):
            return j + 1
        if j > first and words.tokens[j].gap >= Gap.LINE:
            return j if told else None
        if low not in sets["heading-fitted"] and low not in sets["heading-beside"] and low not in sets["bullet"]:
            return None
        told = told or low in sets["heading-fitted"]
    return None
