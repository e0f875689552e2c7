"""Clauses -> what was complained of, what was found, and what is left for later, in the speaker's words."""

from __future__ import annotations

from collections.abc import Sequence

from narrate.core.handoffs import Deferral, Gap, Noted
from narrate.core.records import DeferredKind
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
_MOST_QUOTED = 32  # tokens of a deferred piece of work
_PRONOUNS = frozenset(("it", "them", "those", "that", "one", "ones", "both", "this"))
_MOST_COMPLAINT = 45  # tokens of unpunctuated speech that a complaint runs on for at the most


def complaint_clauses(words: Words) -> tuple[frozenset[int], list[Noted]]:
    """The clauses that tell the customer's own words, and the complaint as noted.

    A complaint runs from its opening words to "unquote", the end of its quotation or sentence, or, in speech with no
    marks, to the first clause in which the speaker is back at his own work.
    """
    inside: set[int] = set()
    noted: list[Noted] = []
    for hit in words.hits:
        if hit.layer != "finding" or hit.id != "complaint":
            continue
        k = words.clause_of[hit.first]
        if k in inside or words.standing.state[hit.first] in ("advice", "elsewhere"):
            continue
        if not _opens_complaint(words, hit.first, hit.last, k):
            continue
        run = _run(words, k, hit.last)
        inside.update(run[1:] if run and not _early(words, hit.first, run[0]) else run)
        if run:
            first, last = hit.first, words.clauses[run[-1]].last
            noted.append(Noted("complaint", k, (words.span(first, last),), _things(words, first, last)))
            inside.update(run)
    return frozenset(inside), noted


def _opens_complaint(words: Words, first: int, last: int, k: int) -> bool:
    """A pronoun ("he said") opens one only before any work is told, and "wants" is no complaint late in the notes."""
    weak = words.lows[first] in (
        "he",
        "she",
        "they",
        "said",
        "says",
        "reports",
        "stating",
        "states",
        "symptom",
        "in",
        "here",
        "noticed",
    )
    if not weak:
        return True
    worked = any(
        h.id in ("replace", "install", "put-in", "drain", "fill", "recover", "evacuate", "torque", "charge", "remove")
        and words.standing.state[h.first] == "done"
        and h.first < first
        for h in words.verb_hits
    )
    quoted = last < len(words.lows) and (words.lows[last] in ("quote", '"', "“") or words.lows[last - 1] == "quote")
    return quoted or not worked


def _early(words: Words, first: int, k: int) -> bool:
    return first - words.clauses[k].first <= 3


def _run(words: Words, k: int, last: int) -> list[int]:
    run = [k]
    start = words.clauses[k].first
    closing = {h.first for h in words.hits if h.layer == "finding" and h.id == "unquote"}
    opened = any(
        h.layer == "finding" and h.id == "quote-open" and words.clauses[k].first <= h.first < words.clauses[k].last + 1
        for h in words.hits
    )
    if opened and closing:
        for j in range(k, len(words.clauses)):
            if j > k:
                run.append(j)
            if any(words.clauses[j].first <= c < words.clauses[j].last for c in closing):
                return run
            if words.clauses[j].last - start > _MOST_COMPLAINT * 2:
                break
        run = [k]
    quoted = any(
        words.lows[i] in ('"', "“")
        for i in range(words.clauses[k].first, min(words.clauses[k].last + 2, len(words.lows)))
    )
    for j in range(k + 1, len(words.clauses)):
        clause = words.clauses[j]
        gap = words.tokens[clause.first].gap
        if gap >= Gap.PARAGRAPH or clause.last - start > _MOST_COMPLAINT:
            break
        if (
            quoted
            and any(words.lows[i] in ('"', "”") for i in range(start + 1, clause.first))
            and sum(words.lows[i] in ('"', "“", "”") for i in range(start, clause.first)) % 2 == 0
        ):
            break
        if clause.sentence != words.clauses[k].sentence:
            break
        if _own_work(words, j):
            break
        run.append(j)
    return run


def _own_work(words: Words, k: int) -> bool:
    """Whether the clause tells of the speaker's own doing or finding, not of the customer's."""
    clause = words.clauses[k]
    lows = words.lows[clause.first : clause.last]
    lead = next(
        (w for w in lows if w not in words.lexicon.word_sets["opener"] and w not in words.lexicon.word_sets["filler"]),
        "",
    )
    if lead in words.lexicon.word_sets["first-person"] and lead != "me":
        return True
    for i in range(clause.first, clause.last):
        for hit in words.verb_at.get(i, ()):
            kinds = words.lexicon.forms.get(" ".join(t.key for t in words.tokens[hit.first : hit.last]), frozenset())
            if (
                "past" in kinds
                and "base" not in kinds
                and i - clause.first <= 2
                and (
                    hit.id not in ("start", "hold", "road-test", "find", "lead")
                    or (hit.id == "road-test" and i == clause.first)
                )
            ):
                return True
            if i == clause.first and "base" in kinds and _puts_new(words, hit.last, clause.last):
                return True  # "put on a new belt": no customer's words
    return any(
        h.layer == "reading"
        and any(
            clause.first <= q.first < clause.last and q.unit not in ("", "each", "mi", "km", "h", "d", "min")
            for q in words.quantities
        )
        for h in words.by_clause.get(k, ())
    )


def _puts_new(words: Words, first: int, last: int) -> bool:
    """Whether something new is named within a few words: what a verb at a clause's start puts in."""
    fresh = words.lexicon.word_sets["new"] | words.lexicon.word_sets["rebuilt"]
    return any(words.lows[i] in fresh for i in range(first, min(first + 3, last)))


def _things(words: Words, first: int, last: int) -> tuple[str, ...]:
    return tuple(dict.fromkeys(h.id for h in words.thing_hits if first <= h.first < last))


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
            and not any(
                words.noun_at[i].last - words.noun_at[i].first >= h.last - h.first
                for i in range(h.first, h.last)
                if i in words.noun_at
            )
        ]
        codes = [
            label
            for label in words.labels
            if label.kind in ("dtc", "code") and words.clause_of[label.first] == clause.index
        ]
        if not faults and not codes:
            continue
        caused = any(h.layer == "finding" and h.id == "cause" for h in words.by_clause.get(clause.index, ()))
        spans = [words.span(clause.first, clause.last)]
        things = _things(words, clause.first, clause.last)
        if not things and clause.index and words.same_sentence(clause.index, clause.index - 1):
            before = words.clauses[clause.index - 1]
            spans.insert(0, words.span(before.first, before.last))
            things = _things(words, before.first, before.last)
        if not things and not codes and not caused and len(faults) < 1:
            continue
        out.append(Noted("cause" if caused else "fault", clause.index, tuple(spans), things))
    return out


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
        first = _lead(words, mentions, k, complaint, bool(named))
        if not named:
            named = [m for m in mentions if first <= m.clause < k]
            pronoun = any(w in _PRONOUNS for w in words.lows[clause.first : clause.last])
            if not named and not verbs and not (pronoun and first < k):
                continue
        spans = [words.span(words.clauses[first].first, clause.last)]
        full = [_in_full(words, mentions, m) for m in named]
        spans += [words.span(*_around(words, m)) for m, said in zip(full, named, strict=True) if m is not said]
        named = full
        out.append(Deferral(kind, k, tuple(spans), tuple(dict.fromkeys(m.thing for m in named))))
    return out


def _lead(words: Words, mentions: Sequence[Mention], k: int, complaint: frozenset[int], named: bool) -> int:
    """The clause from which the words must be quoted to be understood: a whole short sentence where marks show one,
    else back to the clause that names the thing."""
    clause = words.clauses[k]
    first = k
    while first and first - 1 not in complaint and words.same_sentence(k, first - 1):
        if clause.last - words.clauses[first - 1].first > _MOST_QUOTED:
            break
        first -= 1
    if (
        named
        and words.tokens[words.clauses[first].first].gap < Gap.LINE
        and words.lows[words.clauses[first].first - 1] != "."
    ):
        return k  # speech without marks: its own clause says enough
    if any(first <= m.clause <= k for m in mentions):
        return first
    for back in (1, 2, 3):
        other = k - back
        if other < 0 or other in complaint or clause.first - words.clauses[other].first > _MOST_QUOTED:
            break
        if any(m.clause == other for m in mentions):
            return other
    return first


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
    if any(c.id == "declined-after" for c in cues) or any(
        h.id == "decline" for i in range(clause.first, clause.last) for h in words.verb_at.get(i, ())
    ):
        return "declined"
    if any(c.kind == "recommend" for c in cues) and clause.state not in ("advice", "elsewhere"):
        return "recommended"
    if clause.state == "planned" and not any(c.kind == "conditional" for c in cues):
        lows = words.lows[clause.first : clause.last]
        return "promised" if any(w in ("i'll", "we'll", "i", "we") for w in lows) else "planned"
    if any(
        h.id == "recommend" for i in range(clause.first, clause.last) for h in words.verb_at.get(i, ())
    ) and clause.state not in ("advice", "elsewhere"):
        return "recommended"
    return None
