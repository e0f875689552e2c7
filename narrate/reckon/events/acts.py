"""Verbs -> acts: who-did-what without the who, each with the things it was done to and the state it was told in."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence

from narrate.core.handoffs import Act, Fitted, Hit, Measured, Moved
from narrate.core.records import State
from narrate.reckon.events.declined import looked_at
from narrate.reckon.events.described import inside_kit
from narrate.reckon.events.fitted import worse
from narrate.reckon.events.phrase import Mention
from narrate.reckon.events.words import Words

_GOES = frozenset(("went", "goes", "came", "comes"))
_FITS_FLUID = {"install": "fill", "put-in": "fill"}


def bind_acts(words: Words, mentions: Sequence[Mention], complaint: frozenset[int]) -> list[Act]:
    """Every act said, once a thing it was done to, in order. A verb of the customer's own words is none."""
    by_clause: dict[int, list[Mention]] = {}
    for mention in mentions:
        by_clause.setdefault(mention.clause, []).append(mention)
    out: list[Act] = []
    for hit in words.verb_hits:
        k = words.clause_of[hit.first]
        if k in complaint:
            continue
        verb = words.lexicon.verbs[hit.id]
        if verb.particles and not _particle(words, hit, verb.particles):
            continue
        if _condition_only(words, hit):
            continue
        looked = looked_at(words, hit)
        state = "done" if looked else words.standing.state[hit.first]
        objects = _objects(words, by_clause.get(k, []), hit)
        if verb.bare:  # "drove it, caps back on": of the whole machine, unless a system is its object
            objects = [m for m in objects if words.lexicon.kinds[m.thing] == "system"]
        if verb.loose:
            objects = [m for m in objects if words.lexicon.kinds[m.thing] == "fluid"]
            if not objects:
                continue
        carried: tuple[tuple[int, int], ...] = ()
        nothing = words.lows[hit.last : hit.last + 1] in (["nothing"], ["none"])
        if (
            not objects
            and not nothing
            and not verb.fits
            and not verb.bare
            and words.lows[words.clauses[k].last - 1] != ":"
        ):
            before = _carried(words, mentions, hit, k)
            if before is not None:
                objects = [before]
                carried = (words.span(before.first, before.last),)
        spans = (words.span(hit.first, hit.last), words.clause_span(k), *carried)
        if not objects:
            out.append(Act(hit.id, None, None, state, k, spans))
            continue
        for mention in objects:
            name = verb.becomes or hit.id
            if words.lexicon.kinds[mention.thing] == "fluid":
                name = _FITS_FLUID.get(name, name)
            out.append(
                Act(
                    name,
                    mention.thing,
                    mention.position,
                    state if looked else _state(words, hit, mention, state),
                    k,
                    spans,
                )
            )
    return out


def _condition_only(words: Words, hit: Hit) -> bool:
    """ "Rebuilt starter went in": the word that says how a part was when it came is no act of this work."""
    sets = words.lexicon.word_sets
    if hit.last - hit.first > 1 or words.lows[hit.first] not in sets["rebuilt"] | sets["used"]:
        return False
    part = words.noun_at.get(hit.last)
    if part is None or words.lexicon.kinds[part.id] == "fluid":
        return False
    clause = words.clauses[words.clause_of[hit.first]]
    return hit.first == clause.first and any(
        words.lexicon.verbs[h.id].fits for i in range(part.last, clause.last) for h in words.verb_at.get(i, ())
    )


def kit_acts(words: Words, mentions: Sequence[Mention], fitted: Sequence[Fitted]) -> list[Act]:
    """The pieces that a kit is told to hold went in with it: each is an act, while the kit is the one line to bill."""
    out: list[Act] = []
    for i, piece in enumerate(mentions):
        if not inside_kit(words, mentions, i):
            continue
        start = words.tokens[piece.first].start
        before = [f for f in fitted if f.spans[0][0] <= start and words.same_sentence(f.clause, piece.clause)]
        if before:
            kit = max(before, key=lambda f: f.spans[0][0])
            spans = (words.span(piece.np_first, piece.last), words.clause_span(piece.clause))
            out.append(Act("install", piece.thing, piece.position, kit.state, piece.clause, spans))
    return out


def imply_acts(
    words: Words, acts: Sequence[Act], fitted: Sequence[Fitted], moved: Sequence[Moved], measured: Sequence[Measured]
) -> list[Act]:
    """Acts that a line of the ledgers tells by itself: a part that went in was fitted, an amount was drained or filled,
    a value was measured or torqued. One for each that no verb told already, in the ledger line's own state and words.
    """
    fits = {v.id for v in words.lexicon.verbs.values() if v.fits}
    told = {(a.thing, a.state) for a in acts if a.verb in fits}
    out: list[Act] = []
    for part in fitted:
        if (part.thing, part.state) not in told:
            out.append(Act("install", part.thing, part.position, part.state, part.clause, part.spans))
    for amount in moved:
        verb = "fill" if amount.direction == "in" else "drain"
        told_by = words.lexicon.verbs.get(amount.verb or "")
        if told_by is not None and told_by.moves == amount.direction and not told_by.fits:
            verb = told_by.becomes or told_by.id
        out.append(Act(verb, amount.thing, None, amount.state, amount.clause, amount.spans))
    for reading in measured:
        verb = "torque" if reading.what == "torque" else "measure"
        subject = words.lexicon.subjects.get(reading.thing or "")
        thing = subject.of[0] if subject is not None and subject.of else reading.thing
        whole = subject is not None and subject.name == subject.what  # "resistance": of whatever was named
        of_it = not whole or any(h.id == thing for h in words.thing_hits)
        if thing in words.lexicon.things and of_it:
            out.append(Act(verb, thing, reading.position, reading.state, reading.clause, reading.spans))
    return out


def _state(words: Words, hit: Hit, mention: Mention, state: State) -> State:
    if mention.retracted:
        return worse(state, "retracted")
    if mention.denied:
        return worse(state, "not_done")
    if words.clause_of[hit.first] == mention.clause:
        state = worse(state, words.standing.state[mention.first])
        if words.standing.kept[mention.first] and words.lexicon.verbs[hit.id].fits:
            return worse(state, "not_done")
    return state


def _particle(words: Words, hit: Hit, particles: Sequence[str]) -> bool:
    clause = words.clauses[words.clause_of[hit.first]]
    after = words.lows[hit.last : min(clause.last, hit.last + 14)]
    return any(p in after for p in particles if " " not in p)


def _objects(words: Words, here: Sequence[Mention], hit: Hit) -> list[Mention]:
    """Direct objects behind the verb up to the next act; where there are none, what it was done at; else its subject."""
    clause = words.clauses[words.clause_of[hit.first]]
    stop = clause.last
    for i in range(hit.last, clause.last):
        if i in words.verb_at and i > hit.first and words.verb_at[i][0].first != hit.first:
            stop = i
            break
    here = [m for m in here if words.lexicon.kinds[m.thing] not in ("tool", "place")]
    behind = [m for m in here if hit.last <= m.first < stop]
    direct = [m for m in behind if not m.located]
    passive = [m for m in here if m.last <= hit.first and not m.located]
    fits = words.lexicon.verbs[hit.id].fits
    if fits and words.lows[hit.first] in _GOES and clause.first < hit.first:
        direct = behind = []  # "the plate went in on the tool, flywheel side": what went is named before, known or not
    if direct:
        return direct
    if passive and not (behind and not fits):
        nearest = passive[-1]
        joined = [m for m in passive if _joined(words, m, nearest)]
        return joined or [nearest]
    if behind:
        return [] if fits else behind
    before = [m for m in here if m.last <= hit.first]
    return [] if fits else before[-1:]


def _joined(words: Words, mention: Mention, other: Mention) -> bool:
    if mention is other:
        return True
    between = words.lows[mention.last : other.np_first]
    return all(w in ("and", ",", "&", "both") for w in between)


def _carried(words: Words, mentions: Sequence[Mention], hit: Hit, k: int) -> Mention | None:
    """What "it", "them" or an elided object stands for: the part or fluid spoken of just before."""
    for at in range(bisect_left(mentions, hit.first, key=lambda m: m.first) - 1, -1, -1):
        mention = mentions[at]
        if k - mention.clause > 3 or words.clauses[k].sentence - words.clauses[mention.clause].sentence > 1:
            return None
        if words.lexicon.kinds[mention.thing] in ("tool", "place"):
            continue
        return mention
    return None
