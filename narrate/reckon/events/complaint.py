"""Clauses -> which of them tell the customer's own words, and the complaint as noted."""

from __future__ import annotations

from narrate.core.handoffs import Gap, Hit, Noted
from narrate.reckon.events.words import FITTABLE, Words

_MOST_COMPLAINT = 45  # tokens of unpunctuated speech that a complaint runs on for at the most
_ANSWERS = frozenset(("thanks", "thank", "for", "to", "so", "and", "but", "i", "we", "today", "right", "on"))
_SEEN = frozenset(("start", "hold", "road-test", "find", "lead"))  # acts that a customer tells of as well


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
        if not _opens_complaint(words, hit.first, hit.last, k) or _refuses(words, hit):
            continue
        run = _run(words, k, hit.last)
        inside.update(run[1:] if run and not _early(words, hit.first, run[0]) else run)
        if run:
            first, last = hit.first, words.clauses[run[-1]].last
            noted.append(Noted("complaint", k, (words.span(first, last),), named_in(words, first, last)))
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


def _refuses(words: Words, hit: Hit) -> bool:
    """Whether "owner said no", "she said no thanks" is an answer: no thing follows that there would be none of."""
    after = words.lows[hit.last : hit.last + 2]
    if after[:1] != ["no"]:
        return False
    return (
        len(after) == 1
        or not after[1][0].isalnum()
        or after[1] in _ANSWERS
        or words.tokens[hit.last + 1].gap >= Gap.LINE
    )


def _early(words: Words, first: int, k: int) -> bool:
    return first - words.clauses[k].first <= 3


def _below(words: Words, k: int, last: int) -> list[int]:
    """The clauses under a heading that says only that a complaint follows: its bullets, else the one line below it."""
    clause, bullets = words.clauses[k], words.lexicon.word_sets["bullet"]
    at = k + 1
    alone = not any(low[0].isalnum() for low in words.lows[last : clause.last]) and clause.last - clause.first <= 4
    if not alone or at >= len(words.clauses) or words.tokens[words.clauses[at].first].gap != Gap.LINE:
        return []
    out: list[int] = []
    bulleted = words.lows[words.clauses[at].first] in bullets
    for j in range(at, len(words.clauses)):
        first = words.clauses[j].first
        gap = words.tokens[first].gap
        listed = bulleted and gap == Gap.LINE and words.lows[first] in bullets
        if j > at and not listed and words.clauses[j].sentence != words.clauses[j - 1].sentence:
            break
        out.append(j)
    return out


def _run(words: Words, k: int, last: int) -> list[int]:
    below = _below(words, k, last)
    if below:
        return [k, *below]
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
    bare = last >= words.clauses[k].last  # "customer says |": what follows is said by him, whatever it tells
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
        if not (
            bare and j == k + 1 and _lead(words, j)[1] not in words.lexicon.word_sets["first-person"]
        ) and _own_work(words, j):
            break
        run.append(j)
    return run


def _lead(words: Words, k: int) -> tuple[int, str]:
    """The first word of a clause that tells something, and its place."""
    clause = words.clauses[k]
    sets = words.lexicon.word_sets
    for i in range(clause.first, clause.last):
        low = words.lows[i]
        if low not in sets["opener"] and low not in sets["filler"] and low not in ("and", "just") and low[0].isalnum():
            return i, low
    return clause.first, ""


def _own_work(words: Words, k: int) -> bool:
    """Whether the clause tells of the speaker's own doing or finding, not of the customer's."""
    clause = words.clauses[k]
    at, lead = _lead(words, k)
    if words.standing.state[at] == "elsewhere":
        return False
    if lead in words.lexicon.word_sets["first-person"] and lead != "me":
        return True
    if _fresh_part(words, at, clause.last) or _found_bad(words, k):
        return True
    for i in range(clause.first, clause.last):
        for hit in words.verb_at.get(i, ()):
            kinds = words.lexicon.forms_of(words.tokens, hit)
            past = "past" in kinds and "base" not in kinds
            if (
                past
                and i - clause.first <= 2
                and (hit.id not in _SEEN or (i == at and hit.id in ("road-test", "find")))
            ):
                return True
            if i == at and _works(words, hit, kinds, clause.last):
                return True
            if past and words.lexicon.verbs[hit.id].fits and i - 1 in words.noun_at:
                return True  # "the left front pads replaced"
    return any(
        h.layer == "reading"
        and any(
            clause.first <= q.first < clause.last and q.unit not in ("", "each", "mi", "km", "h", "d", "min")
            for q in words.quantities
        )
        for h in words.by_clause.get(k, ())
    )


def _works(words: Words, hit: Hit, kinds: frozenset[str], last: int) -> bool:
    """Whether a verb that opens a clause in a form that may be past or not tells of work: "put pads on it"."""
    verb = words.lexicon.verbs[hit.id]
    if words.lows[hit.first] in words.lexicon.word_sets["same-past"] and (verb.fits or verb.removes):
        return any(i in words.noun_at or words.lows[i] in ("it", "them", "one") for i in range(hit.last, last))
    return "base" in kinds and _puts_new(words, hit.last, last)


def _found_bad(words: Words, k: int) -> bool:
    """ "The drive belt was cracked": of a part, and as past, it is what was found, and not what is complained of."""
    clause = words.clauses[k]
    for i in range(clause.first + 1, clause.last):
        part = words.noun_at.get(i - 1)
        if words.lows[i] not in ("was", "were") or part is None:
            continue
        if words.lexicon.kinds[part.id] in FITTABLE:
            return any(h.layer == "finding" and h.id == "fault" and h.first > i for h in words.by_clause.get(k, ()))
    return False


def _fresh_part(words: Words, at: int, last: int) -> bool:
    """ "One new radiator", "a rebuilt caliper on the left": a line of work, where no verb says otherwise."""
    sets = words.lexicon.word_sets
    i = at
    while i < min(at + 3, last) and (words.lows[i] in sets["number-word"] or words.lows[i] in ("a", "an")):
        i += 1
    fresh = i < last and (words.lows[i] in sets["new"] or words.lows[i] in sets["rebuilt"])
    return fresh and any(j in words.noun_at for j in range(i + 1, min(i + 5, last)))


def _puts_new(words: Words, first: int, last: int) -> bool:
    """Whether something new is named within a few words: what a verb at a clause's start puts in."""
    fresh = words.lexicon.word_sets["new"] | words.lexicon.word_sets["rebuilt"]
    return any(words.lows[i] in fresh for i in range(first, min(first + 3, last)))


def named_in(words: Words, first: int, last: int) -> tuple[str, ...]:
    return tuple(dict.fromkeys(h.id for h in words.thing_hits if first <= h.first < last))
