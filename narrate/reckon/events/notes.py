"""Clauses -> what was complained of, what was found, and what is left for later, in the speaker's words."""

from __future__ import annotations

from collections.abc import Sequence

from narrate.core.handoffs import Clause, Deferral, Gap, Hit, Noted
from narrate.core.records import DeferredKind
from narrate.reckon.events.complaint import named_in
from narrate.reckon.events.phrase import Mention
from narrate.reckon.events.words import Words

_DENIES = frozenset(
    (
        "no",
        "not",
        "without",
        "isn't",
        "wasn't",
        "never",
        "nothing",
        "zero",
        "didn't",
        "doesn't",
        "aren't",
        "weren't",
        "free",
        "none",
        "any",
    )
)
_HOLDS_ON = frozenset(
    "to from of with when while after before on in at for the a an and or by".split()
)  # one statement yet
_LEADS = frozenset("and so but then well okay ok um uh yeah also now".split())
_POINTS = frozenset("the a an this that these those its his her".split())
_FINISHED = frozenset(("refit", "torque", "reinstall", "tighten"))
_OVER = frozenset("gone fixed cured sorted disappeared resolved eliminated".split())
_CODE_WORDS = frozenset(
    "code codes fault faults error errors dtc dtcs flash flashes flashing blink blinks blinking stored pending history "
    "display displays displayed shows showing showed alarm alarms set threw throws".split()
)
_MOST_QUOTED = 32  # tokens of a deferred piece of work
_OWN_WORDS = 12  # tokens of a finding; where its clause is longer, only what was found is quoted
_ABOUT = 8  # tokens about a fault in which it is told of what, and how
_PRONOUNS = frozenset(("it", "them", "those", "that", "one", "ones", "both", "this"))


def note_findings(words: Words, complaint: frozenset[int]) -> list[Noted]:
    """Faults and causes: a clause that says that something is wrong, not denied, of this job."""
    out: list[Noted] = []
    for clause in words.clauses:
        if clause.index in complaint or clause.state in ("advice", "elsewhere"):
            continue
        faults = [
            h
            for h in words.by_clause.get(clause.index, ())
            if h.layer == "finding"
            and h.id == "fault"
            and not _denied(words, h.first, clause.first)
            and not _cured(words, h, clause)
            and not _done_so(words, h)
            and not any(
                words.noun_at[i].last - words.noun_at[i].first >= h.last - h.first
                for i in range(h.first, h.last)
                if i in words.noun_at and words.lexicon.things[words.noun_at[i].id].kind != "place"  # "a pinhole"
            )
        ]
        codes = [
            label
            for label in words.labels
            if words.clause_of[label.first] == clause.index
            and (label.kind == "dtc" or (label.kind == "code" and _of_codes(words, clause)))
        ]
        if not faults and not codes:
            continue
        caused = any(h.layer == "finding" and h.id == "cause" for h in words.by_clause.get(clause.index, ()))
        first, last = _told(words, clause, faults) if faults else (clause.first, clause.last)
        spans = [words.span(first, last)]
        things = named_in(words, first, last)
        if not things and clause.index and words.same_sentence(clause.index, clause.index - 1):
            before = words.clauses[clause.index - 1]
            if not (out and out[-1].clause == before.index):  # what was found before is quoted there
                spans[:0] = [words.span(*told) for told in _nearest_named(words, before)]
            things = named_in(words, before.first, before.last)
        if not things and not codes and not caused and len(faults) < 1:
            continue
        out.append(Noted("cause" if caused else "fault", clause.index, tuple(spans), things))
    return out


def _told(words: Words, clause: Clause, faults: Sequence[Hit]) -> tuple[int, int]:
    """The words of a clause that tell its faults. Speech that was cut too seldom goes on with something else: where an
    act or a reading begins behind the last fault, the finding has ended; one that ended before the first begins it.
    """
    first, last = clause.first, clause.last
    begin, end = faults[0].first, max(h.last for h in faults)
    here = words.by_clause.get(clause.index, ())
    for hit in here:
        starts = hit.layer == "reading" or (hit.layer == "verb" and hit in words.verb_at.get(hit.first, ()))
        if starts and end < hit.first < last and words.lows[hit.first - 1] not in _HOLDS_ON:
            if hit.layer == "reading" and not any(q.first >= hit.last for q in words.quantities_in(clause)):
                continue
            last = hit.first
    while first < begin and (words.lows[first] in words.lexicon.word_sets["opener"] or words.lows[first] in _LEADS):
        first += 1
    while last > end and (words.lows[last - 1] in _LEADS or words.lows[last - 1] in _POINTS):
        last -= 1
    if last - first > _OWN_WORDS:
        first, last = _own_words(words, first, last, begin, end)
    return (first, last) if last > first else (clause.first, clause.last)


def _own_words(words: Words, first: int, last: int, begin: int, end: int) -> tuple[int, int]:
    """Of a long clause, what was found and on what: from the part named last before the fault, to where another statement
    may begin behind it."""
    named = [j for j in range(first, begin + 1) if j in words.noun_at]
    start = words.noun_at[named[-1]].first if named and begin - named[-1] <= _ABOUT else max(first, begin - _OWN_WORDS)
    while start - 1 >= first and start - 1 not in words.verb_at and _leads_name(words, start - 1):
        start -= 1
    while start < begin and words.lows[start] in _LEADS | {"to", "of", "that"}:
        start += 1
    stop = end
    while stop < last and stop - end < _OWN_WORDS and not _begins_anew(words, stop):
        stop += 1
    while stop < last and stop > end and words.lows[stop - 1] in _HOLDS_ON:
        stop -= 1
    return start, stop


def _leads_name(words: Words, j: int) -> bool:
    sets = words.lexicon.word_sets
    known = any(words.lows[j] in sets[name] for name in ("determiner", "new", "old", "number-word"))
    return known or j in words.place_at or (j in words.noun_at)


def _begins_anew(words: Words, j: int) -> bool:
    low, sets = words.lows[j], words.lexicon.word_sets
    nxt = words.lows[j + 1] if j + 1 < len(words.lows) else ""
    if low == "and" and (nxt[:1].isdigit() or nxt in sets["number-word"] or j + 1 in words.place_at):
        return False  # "one millimeter on the left and two on the right"
    return (
        low in ("and", "but", "so", "then")
        or low in sets["subject"]
        or low in sets["sentence-end"]
        or j in words.verb_at
    )


def _nearest_named(words: Words, clause: Clause) -> list[tuple[int, int]]:
    """Of a long clause, the part that it names last with what leads and places it, or nothing; a short one whole."""
    named = [j for j in range(clause.first, clause.last) if j in words.noun_at]
    if clause.last - clause.first <= _OWN_WORDS:
        return [(clause.first, clause.last)]
    if not named:
        return []
    first, last = words.noun_at[named[-1]].first, words.noun_at[named[-1]].last
    while first - 1 >= clause.first and _leads_name(words, first - 1):
        first -= 1
    return [(first, clause.last if clause.last - last <= _ABOUT // 2 else last)]


def _of_codes(words: Words, clause: Clause) -> bool:
    """Whether a clause speaks of codes, so that letters and figures in it are one and no name of a part or an engine."""
    return not _CODE_WORDS.isdisjoint(words.lows[clause.first : clause.last])


def _done_so(words: Words, fault: Hit) -> bool:
    """ "Battery negative disconnected": what was undone for the work, unless it was found so."""
    acts = [h for h in words.verb_at.get(fault.first, ()) if h.last >= fault.last]
    if not any(words.lexicon.verbs[h.id].removes or words.lexicon.verbs[h.id].undoes for h in acts):
        return False
    clause = words.clauses[words.clause_of[fault.first]]
    said = words.lows[clause.first : fault.first]
    return not any(w in words.lexicon.word_sets["auxiliary"] or w in ("found", "come", "half") for w in said)


def _cured(words: Words, hit: Hit, clause: Clause) -> bool:
    """ "The vibration was gone", "noise all gone now": it was, and is no more."""
    if any(w in _OVER for w in words.lows[hit.last : min(clause.last, hit.last + 3)]):
        return True
    if words.lows[hit.first] not in _OVER:
        return False
    before = range(max(clause.first, hit.first - 3), hit.first)
    return any(h.layer == "finding" and h.id == "fault" and h.first in before for h in words.by_clause[clause.index])


def _denied(words: Words, first: int, start: int) -> bool:
    return any(w in _DENIES for w in words.lows[max(start, first - 4) : first])


def note_deferred(words: Words, mentions: Sequence[Mention], complaint: frozenset[int]) -> list[Deferral]:
    """What was recommended, declined, planned or promised: each clause so told, with the thing it speaks of."""
    out: list[Deferral] = []
    for clause in words.clauses:
        k = clause.index
        if k in complaint:
            continue
        kind = _kind(words, k)
        if kind is None:
            continue
        named = [m for m in mentions if m.clause == k]
        verbs = [h for i in range(clause.first, clause.last) for h in words.verb_at.get(i, ())]
        last = _headed(words, k)
        named += [m for m in mentions if k < m.clause <= last]
        first = k if last > k else _lead(words, mentions, k, complaint, bool(named))
        if not named:
            named = [m for m in mentions if first <= m.clause < k]
            pronoun = any(w in _PRONOUNS for w in words.lows[clause.first : clause.last])
            if not named and not verbs and not (pronoun and first < k):
                continue
        spans = [words.span(words.clauses[first].first, words.clauses[last].last)]
        full = [_in_full(words, mentions, m) for m in named]
        spans += [words.span(*_around(words, m)) for m, said in zip(full, named, strict=True) if m is not said]
        named = full
        out.append(Deferral(kind, k, tuple(spans), tuple(dict.fromkeys(m.thing for m in named))))
    return out


def _headed(words: Words, k: int) -> int:
    """ "Rec: front discs at 24.1, do with next pads": the last clause of the line that a heading with a colon opens."""
    clause = words.clauses[k]
    if words.lows[clause.last - 1] != ":" or clause.last - clause.first > 4:
        return k
    last = k
    while last + 1 < len(words.clauses) and words.same_sentence(k, last + 1):
        last += 1
        if words.clauses[last].last - clause.first > _MOST_QUOTED:
            break
    return last


def _lead(words: Words, mentions: Sequence[Mention], k: int, complaint: frozenset[int], named: bool) -> int:
    """The clause from which the words must be quoted to be understood: a whole short sentence where marks show one,
    else back to the clause that names the thing."""
    clause = words.clauses[k]
    first = k
    while first and first - 1 not in complaint and words.same_sentence(k, first - 1):
        if clause.last - words.clauses[first - 1].first > _MOST_QUOTED:
            break
        first -= 1
    begin = words.clauses[first].first
    opens = begin > 0 and (words.tokens[begin].gap >= Gap.LINE or words.lows[begin - 1] == ".")
    marked = opens or _has_marks(words, begin, clause.last)
    if marked and any(first <= m.clause <= k for m in mentions):
        return first
    if named:
        return k  # speech without marks: its own clause says enough
    for back in (1, 2, 3):
        other = k - back
        if other < 0 or other in complaint or clause.first - words.clauses[other].first > _MOST_QUOTED:
            break
        if _worked(words, other):
            break  # "put the wheels back on | sent it to the other bay | he'll do it": of the bay, not of the wheels
        if any(m.clause == other for m in mentions):
            return other
    return first if marked else max(k - 1, 0) if words.same_sentence(k, k - 1) else k


def _worked(words: Words, k: int) -> bool:
    """Whether a clause tells of work that was finished with what it names."""
    clause = words.clauses[k]
    acts = [h for i in range(clause.first, clause.last) for h in words.verb_at.get(i, ())]
    return clause.state == "done" and any(h.id in _FINISHED or words.lexicon.verbs[h.id].fits for h in acts)


def _has_marks(words: Words, first: int, last: int) -> bool:
    return any(w in (",", ".", ";", ":", "-", "–", "—") for w in words.lows[first:last])


def _marked(words: Words, first: int, k: int) -> bool:
    """Whether marks or ends of lines stand between the clauses, so that they are one written statement."""
    starts = [words.clauses[j].first for j in range(first, k + 1)]
    return any(at and not words.lows[at - 1][0].isalnum() for at in starts) or words.tokens[starts[0]].gap >= Gap.LINE


def _in_full(words: Words, mentions: Sequence[Mention], mention: Mention) -> Mention:
    """The mention that named in full what this one names in short: "that gasket" is the valve cover gasket."""
    name = words.lexicon.things[mention.thing].name.lower()
    if " " in name or not mention.definite:
        return mention
    for other in reversed(mentions):
        if other.first < mention.first and mention.clause - other.clause <= 6:
            full = words.lexicon.things[other.thing].name.lower()
            if full != name and full.split()[-1] == name:
                return other
    return mention


def _around(words: Words, mention: Mention) -> tuple[int, int]:
    return words.clauses[mention.clause].first, words.clauses[mention.clause].last


def _kind(words: Words, k: int) -> DeferredKind | None:
    clause = words.clauses[k]
    cues = [words.lexicon.cues[h.id] for h in words.by_clause.get(k, ()) if h.layer == "cue"]
    acts = {h.id for i in range(clause.first, clause.last) if i in words.verb_at for h in words.verb_at[i]}
    if "decline" in acts or any(c.id == "declined-after" for c in cues):
        return "declined"
    if any(c.kind == "recommend" for c in cues) and clause.state not in ("advice", "elsewhere"):
        return "recommended"
    if clause.state == "planned" and not any(c.kind == "conditional" for c in cues):
        lows = words.lows[clause.first : clause.last]
        return "promised" if any(w in ("i'll", "we'll", "i", "we") for w in lows) else "planned"
    if "recommend" in acts and clause.state not in ("advice", "elsewhere"):
        return "recommended"
    return None
