"""Lines with no verb at all: "Oil filter, drain plug washer, 5 qts 5W-30". What they list was fitted, or they tell nothing.

Nothing else may stand in such a line: a reading, a finding, or any word that is not a part, a count, a place or a join
makes it a remark on parts that were there.
"""

from __future__ import annotations

from collections.abc import Sequence

from narrate.core.handoffs import Gap
from narrate.reckon.events.phrase import Mention
from narrate.reckon.events.words import COUNTS, FITTABLE, Words

_JOINS = frozenset(
    "and & + plus , ; w w/ with x of for on the all both each ( ) - * • . – — too as well those them there in new also then "
    "a an pair set side sides us full complete".split()
)
_HEADINGS = frozenset(("parts", "fitted", "installed", "used", "replaced", "renewed", "new", "part", "on", "materials"))
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
    j = first
    while j < last:
        noun, quantity, low = words.noun_at.get(j), words.quantity_at.get(j), words.lows[j]
        if noun is not None:
            thing = words.lexicon.things[noun.id]
            if thing.kind not in FITTABLE and thing.kind != "fluid":
                return False
            parts += thing.kind != "fluid"
            j = noun.last
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


def _under_another_heading(words: Words, sentence: int) -> bool:
    """Whether a line, with the bullets above it, stands under a heading of something else: "Inspection:"."""
    for back in range(1, _MOST_LISTED):
        if sentence - back not in words.sentence_firsts:
            return False
        clause = words.clauses[words.sentence_firsts[sentence - back]]
        if words.lows[clause.last - 1] == ":":
            return not _headed(words, clause.index)
        if words.lows[clause.first] not in words.lexicon.word_sets["bullet"]:
            return False
    return False


def listed(words: Words, mentions: Sequence[Mention], i: int) -> bool:
    """Under a heading that says so, a bare line is a part fitted: "Parts: 2 O-rings, 1 gasket", or lines below it."""
    mention = mentions[i]
    if (
        mention.located
        or mention.old
        or (i > 0 and mentions[i - 1].clause == mention.clause and mentions[i - 1].first < mention.first)
    ):
        return False
    sentence = words.clauses[mention.clause].sentence
    firsts = words.sentence_firsts
    if mention.count is None and mention.clause != firsts[sentence] and not _headed(words, firsts[sentence]):
        return False
    for back in range(_MOST_LISTED):
        if sentence - back not in firsts:
            return False
        clause = words.clauses[firsts[sentence - back]]
        if clause.index != mention.clause and _headed(words, clause.index):
            return True
        bulleted = words.lows[clause.first] in words.lexicon.word_sets["bullet"] or back == 0
        if not bulleted or words.tokens[clause.first].gap >= Gap.PARAGRAPH:
            return False
    return False


def _headed(words: Words, k: int) -> bool:
    """Whether the clause is a heading over parts fitted, on its own line or with a mark behind it: "Parts used:"."""
    clause = words.clauses[k]
    lead = [w for w in words.lows[clause.first : min(clause.first + 4, clause.last)] if w[0].isalnum()]
    marked = words.lows[clause.last - 1] in (":", "-", "–", "—") or words.heading(k)
    return 0 < len(lead) <= 2 and lead[-1] in _HEADINGS and marked
