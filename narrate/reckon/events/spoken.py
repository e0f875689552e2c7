"""New parts that are only spoken of: priced, fetched, asked for, or there already. Calling a part new fits none.

Where no act of fitting governs a new part, its words decide: what stands straight before it, and what follows.
"""

from __future__ import annotations

from narrate.core.handoffs import Gap, Hit
from narrate.reckon.events.phrase import Mention
from narrate.reckon.events.words import COUNTS, Words

_EXISTS = frozenset(("there's", "there", "theres"))
_COPULA = frozenset(("is", "are", "was", "were", "'s"))
_ASKED = frozenset(("price", "prices", "cost", "estimate", "quote", "thought", "sake"))
_OWNERS = frozenset(("it", "him", "her", "them", "customer", "owner", "cust"))


def only_spoken_of(words: Words, mention: Mention, verb: Hit | None) -> bool:
    """ "Found him a new fender", "in for new tires", "she has new tires", "the new belt is in the boot"."""
    if verb is not None and words.lexicon.verbs[verb.id].speaks:
        return True
    if _wanted(words, mention) or _there(words, mention) or _done_to(words, mention):
        return True
    clause = words.clauses[mention.clause]
    sets = words.lexicon.word_sets
    lead = words.lows[clause.first : mention.np_first]
    tail = words.lows[mention.last : clause.last]
    if verb is None and _marked_behind(words, mention.last) and _inspected(words, mention):
        return True
    if _comes_with(tail):
        return True
    if "aside" in tail or _priced(words, mention, tail):
        return True
    if verb is None and any(w in sets["somebody-else"] for w in lead):
        return not _now(words, mention)
    bare = all(
        i in words.noun_at or words.lows[i] in ("and", "so", "then") for i in range(clause.first, mention.np_first)
    )
    return verb is None and (
        _place_told(words, tail)
        or (not bare and any(tail[i : i + 1] == ["for"] and tail[i + 1] in _OWNERS for i in range(len(tail) - 1)))
    )


def _marked_behind(words: Words, j: int) -> bool:
    """Whether a colon or a dash on the same line stands at j, and its "new" behind it."""
    marked = (
        j + 1 < len(words.lows)
        and words.lows[j] in (":", "-", "–")
        and words.lows[j + 1] in words.lexicon.word_sets["new"]
    )
    return marked and words.tokens[j].gap < Gap.LINE and words.tokens[j + 1].gap < Gap.LINE


def _inspected(words: Words, mention: Mention) -> bool:
    """ "Tires: new, 10/32 all round", "Battery: new, dated 3/24", "Wipers: new": a line of an inspection, with a reading or
    a day, or with no act of fitting told before the lines that it stands among."""
    sentence = words.clauses[mention.clause].sentence
    if not _work_above(words, sentence) and not any(
        label.kind == "part-number" and words.clauses[words.clause_of[label.first]].sentence == sentence
        for label in words.labels
    ):
        return True
    spans = [(c.first, c.last) for c in words.clauses if c.sentence == sentence]
    first, last = spans[0][0], spans[-1][1]
    return any(q.unit and q.unit not in COUNTS and first <= q.first < last for q in words.quantities) or any(
        label.kind == "date" and first <= label.first < last for label in words.labels
    )


def _work_above(words: Words, sentence: int) -> bool:
    """Whether a part was fitted by the sentence before, or by the one over the lines that this one stands among: "Struts
    replaced. Mounts: new. Bump stops: new."."""
    firsts = words.sentence_firsts
    for back in range(sentence, max(-1, sentence - 12), -1):
        first, nxt = firsts.get(back), firsts.get(back + 1, len(words.clauses))
        if first is None:
            return False
        own = words.clauses[first:nxt]
        for clause in own:
            acts = (h for i in range(clause.first, clause.last) for h in words.verb_at.get(i, ()))
            if clause.state == "done" and any(words.lexicon.verbs[h.id].fits for h in acts):
                return True
        lined = words.lows[own[0].last - 1] in (":", "-", "–")
        if back < sentence and not lined:
            return False
    return False


def _comes_with(tail: list[str]) -> bool:
    """ "A new blower motor, new wheel comes on it": a piece of what was fitted."""
    return (
        tail[:1] in (["comes"], ["came"], ["come"])
        and tail[1:2] in (["on"], ["with"], ["in"])
        and tail[2:3] in (["it"], ["them"], ["that"], ["the"], ["there"])
    )


def _priced(words: Words, mention: Mention, tail: list[str]) -> bool:
    """ "A new rack is nine hundred bucks": what it costs, and no more."""
    last = mention.last + len(tail)
    return tail[:1] in (["is"], ["are"], ["runs"], ["costs"]) and any(
        label.kind == "price" and mention.last < label.first < last for label in words.labels
    )


def _place_told(words: Words, tail: list[str]) -> bool:
    """ "The new belt is in the boot"."""
    sets = words.lexicon.word_sets
    return (
        len(tail) > 2
        and tail[0] in sets["auxiliary"]
        and tail[1] in sets["preposition"]
        and (tail[2] in sets["determiner"] or tail[2] in sets["state-verb"])
    )


def ordered_after(words: Words, mention: Mention) -> bool:
    """ "Got a new pump ordered", "got a new one here for it": talk of it right behind its name, and of nothing else."""
    sets = words.lexicon.word_sets
    clause = words.clauses[mention.clause]
    tail = words.lows[mention.last : clause.last]
    if tail[-2:-1] == ["for"] and tail[-1] in _OWNERS and "got" in words.lows[clause.first : mention.np_first]:
        return True
    for i in (mention.last, mention.last + 1):
        for hit in words.verb_at.get(i, ()):
            if not words.lexicon.verbs[hit.id].speaks or not words.lows[i].endswith("ed"):
                continue
            near = words.same_sentence(words.clause_of[i], mention.clause) and words.clause_of[i] - mention.clause <= 1
            nxt = hit.last
            taken = nxt < len(words.lows) and (
                nxt in words.noun_at
                or any(words.lows[nxt] in sets[name] for name in ("determiner", "new", "number-word"))
            )
            return near and not taken
    return False


def _wanted(words: Words, mention: Mention) -> bool:
    """ "In for new tires", "the price of a new rack", "not a new battery", "what it wants as a new loom"."""
    at = mention.np_first
    clause = words.clauses[mention.clause]
    if at <= clause.first:
        return False
    before = words.lows[at - 1]
    if before in ("for", "about", "not"):
        return True
    if {"wants", "needs"} & set(words.lows[max(clause.first, at - 2) : at]):
        return True
    if before == "of" and at - 2 >= clause.first and words.lows[at - 2] in _ASKED:
        return True
    if before in ("is", "be") and not mention.definite and at - 2 >= clause.first:
        lead = range(clause.first, at - 1)
        return not any(i in words.noun_at or words.lows[i] in words.lexicon.word_sets["subject"] for i in lead)
    return False


def _there(words: Words, mention: Mention) -> bool:
    """ "There's a new belt on it", "it has new tires", "it came with a new battery", "new battery in it already"."""
    clause = words.clauses[mention.clause]
    lead = words.lows[clause.first : mention.np_first]
    tail = words.lows[mention.last : clause.last]
    if tail[-1:] == ["already"] or lead[:1] == ["already"]:
        return True
    if _now(words, mention):
        return False
    if lead[-2:] == ["came", "with"]:
        return True
    if (
        lead
        and lead[0] not in ("so", "that's")
        and (lead[-1] in _EXISTS or (len(lead) > 1 and lead[-1] in _COPULA | {"already"} and lead[-2] in _EXISTS))
    ):
        return True
    return (
        bool(lead)
        and lead[-1] in ("has", "had", "have")
        and (len(lead) == 1 or not (lead[-2] in ("i", "we", "has", "have") or "'" in lead[-2]))
    )


def _now(words: Words, mention: Mention) -> bool:
    """ "It has a new one on it now": as it leaves, and not as it came."""
    clause = words.clauses[mention.clause]
    after = words.lows[clause.last] if clause.last < len(words.lows) else ""
    return "now" in words.lows[clause.first : clause.last] or after == "now"


def _done_to(words: Words, mention: Mention) -> bool:
    """ "Estimated new struts": an act that the lexicon does not know, of which nobody can say that it fits."""
    clause = words.clauses[mention.clause]
    at = mention.np_first
    if at <= clause.first:
        return False
    word = words.lows[at - 1]
    sets = words.lexicon.word_sets
    if (
        mention.definite
        or not word.endswith(("ed", "ing"))
        or len(word) < 5
        or at - 1 in words.verb_words
        or at - 1 in words.noun_at
    ):
        return False
    lead = [
        w for w in words.lows[clause.first : at - 1] if w not in sets["opener"] and w not in ("and", "just", "also")
    ]
    if any(w in sets["particle"] for w in words.lows[mention.last : clause.last]):
        return False  # "wrestled a new alternator in"
    return not lead or (len(lead) == 1 and lead[0] in sets["subject"])
