"""Mentions of parts -> parts fitted, or to be.

A part is fitted where an act of fitting has it as object, or where it is called new (rebuilt, used) in a statement of
work done. A part that is old, kept, put back, or only the place where something was done is not.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from narrate.core.handoffs import Fitted, Gap, Hit
from narrate.core.records import State
from narrate.reckon.events.things import COUNTS, Mention, Words

_FITTABLE = frozenset(("part", "fastener", "seal", "consumable", "assembly"))
_NUMBER_REACH = 22  # tokens from a part to its number
_NEVER = frozenset(("tool", "place", "system", "fluid"))
_RANK: dict[str, int] = {"done": 0, "planned": 1, "not_done": 2, "advice": 3, "elsewhere": 4, "retracted": 5}


def worse(*states: State) -> State:
    """Of several states of one statement, the one furthest from done."""
    return max(states, key=lambda s: _RANK[s])


def fit_parts(words: Words, mentions: Sequence[Mention], complaint: frozenset[int]) -> list[Fitted]:
    """Every statement that a part was, or is to be, fitted; one a mention, in order. Merging comes after."""
    out: list[Fitted] = []
    for i, mention in enumerate(mentions):
        if mention.clause in complaint:
            continue
        thing = words.lexicon.things[mention.thing]
        if thing.kind in _NEVER or thing.kind not in _FITTABLE:
            continue
        state = _fitted_state(words, mentions, i)
        if state is None:
            continue
        quantity, unit = _quantity(words, mention)
        spans = [words.span(mention.np_first, mention.last), words.clause_span(mention.clause)]
        named = _narrower(words, mentions, i)
        if named is not None:
            thing = words.lexicon.things[named.thing]
            spans.append(words.span(named.np_first, named.last))
        out.append(
            Fitted(
                thing.id, mention.name or thing.name, quantity, unit, mention.position or (named.position if named else None),
                mention.condition, None, state, mention.clause, tuple(spans),
            )
        )
    out += _by_pronoun(words, mentions, complaint)
    out += _called_new(words, mentions, complaint)
    out += _counted_up(words, mentions, out)
    out.sort(key=lambda f: f.clause)
    return number_parts(words, [_only_side(words, one) for one in _on_one_axle(words, out)])


def _only_side(words: Words, one: Fitted) -> Fitted:
    """"Left headlamp out; one new bulb": the one side that a sentence speaks of is the part's."""
    if one.position is not None or one.state != "done":
        return one
    sentence = words.clauses[one.clause].sentence
    said = {words.place_at[i].id for c in words.clauses if c.sentence == sentence for i in range(c.first, c.last) if i in words.place_at}
    length = sum(c.last - c.first for c in words.clauses if c.sentence == sentence)
    if len(said) != 1 or length > 40:
        return one
    value = words.lexicon.words[next(iter(said))].value
    return replace(one, position=value) if value and set(value.split()) & {"left", "right"} else one


def number_parts(words: Words, fitted: Sequence[Fitted]) -> list[Fitted]:
    """Give each part number to the part fitted that was named last before it, in the same line of the notes."""
    out = list(fitted)
    starts = [words.tokens[i].start for i in range(len(words.tokens))]
    for label in words.labels:
        if label.kind != "part-number":
            continue
        at = starts[label.first]
        best: int | None = None
        for n, one in enumerate(out):
            start = one.spans[0][0]
            if start >= at or one.number or (best is not None and out[best].spans[0][0] >= start):
                continue
            first = bisect_left(starts, start)
            if label.first - first > _NUMBER_REACH or any(
                words.tokens[j].gap >= Gap.LINE for j in range(first + 1, label.first + 1)
            ):
                continue
            best = n
        if best is not None:
            out[best] = replace(out[best], number=label.text)
    return out


def _on_one_axle(words: Words, fitted: Sequence[Fitted]) -> list[Fitted]:
    """"A set of front pads and a pair of new rotors": parts of one system in one statement share the axle said."""
    out: list[Fitted] = []
    for one in fitted:
        if one.position is None:
            near = next(
                (
                    f for f in fitted
                    if f is not one and f.clause == one.clause and f.position in ("front", "rear")
                    and words.lexicon.systems.get(f.thing) == words.lexicon.systems.get(one.thing)
                ),
                None,
            )
            if near is not None:
                one = replace(one, position=near.position)
        out.append(one)
    return out


def _narrower(words: Words, mentions: Sequence[Mention], i: int) -> Mention | None:
    """The part just named in full, where this mention names it in short: "valve cap gone, 1 new cap"."""
    mention = mentions[i]
    name = words.lexicon.things[mention.thing].name.lower()
    if " " in name or mention.name is not None:
        return None
    for other in reversed(mentions[:i]):
        if mention.clause - other.clause > 2 or words.clauses[mention.clause].sentence != words.clauses[other.clause].sentence:
            return None
        full = words.lexicon.things[other.thing].name.lower()
        if full != name and full.split()[-1] == name and (other.clause < mention.clause or not other.condition):
            return other
    return None


def _called_new(words: Words, mentions: Sequence[Mention], complaint: frozenset[int]) -> list[Fitted]:
    """"Two filters on this truck, both new"; "ball joint and tie rod end, new both of them"; "hanger gone: +1 new".

    The parts were named before: those of the clause, else the one named last.
    """
    out: list[Fitted] = []
    new = words.lexicon.word_sets["new"]
    for i in range(1, len(words.lows)):
        k = words.clause_of[i]
        after = words.lows[i + 1] if i + 1 < len(words.lows) else "."
        if words.lows[i] not in new or k in complaint or words.standing.state[i] != "done":
            continue
        pair = words.lows[i - 1] in ("both", "all") or after in ("both", "all")
        number = words.quantity_at.get(i - 1)
        alone = (not after[0].isalnum() or words.tokens[min(i + 1, len(words.tokens) - 1)].gap >= Gap.LINE)
        counted = number is not None and number.unit in ("", "each") and alone
        if not pair and not counted:
            continue
        if i + 1 in words.noun_at or after in new:
            continue
        able = [
            m for m in mentions
            if m.last <= i and k - m.clause <= 3 and not m.condition and not m.old
            and words.lexicon.things[m.thing].kind in _FITTABLE and not m.located
        ]
        here = [m for m in able if m.clause == k and pair]
        named = here or [m for m in able[-1:] if m.plural or counted]
        for mention in named:
            thing = words.lexicon.things[mention.thing]
            quantity = mention.count
            if counted and number is not None:
                quantity = number.low
            elif quantity is None:
                quantity = Fraction(1 if not mention.plural else 2) if len(named) > 1 or words.lows[i - 1] == "both" else None
            spans = (words.span(i - 1, i + 1), words.clause_span(k), words.span(mention.np_first, mention.last))
            out.append(Fitted(mention.thing, thing.name, quantity, "each", mention.position, "new", None, "done", k, spans))
    return out


def _counted_up(words: Words, mentions: Sequence[Mention], fitted: Sequence[Fitted]) -> list[Fitted]:
    """"Each with a new O-ring, so that's two O-rings": the count of what went in, said after."""
    out: list[Fitted] = []
    for mention in mentions:
        clause = words.clauses[mention.clause]
        lead = tuple(words.lows[clause.first : mention.np_first])
        if mention.count is None or mention.condition or not lead or lead[-1] not in ("that's", "makes", "total"):
            continue
        same = next((f for f in reversed(fitted) if f.thing == mention.thing and 0 <= mention.clause - f.clause <= 4), None)
        counted = any(
            m.thing == mention.thing and m.count is not None and 0 <= mention.clause - m.clause <= 3 and m is not mention
            for m in mentions
        )
        if (same is not None and same.state == "done") or (same is None and counted and clause.state == "done"):
            name = words.lexicon.things[mention.thing].name
            spans = (words.span(mention.np_first, mention.last), words.clause_span(mention.clause))
            out.append(
                Fitted(mention.thing, name, mention.count, mention.count_unit, same.position if same else None, None, None,
                       "done", mention.clause, spans)
            )
    return out


def _by_pronoun(words: Words, mentions: Sequence[Mention], complaint: frozenset[int]) -> list[Fitted]:
    """"Battery tested bad, replaced it": the act names no part, the words before it did.

    What was just taken off, cleaned or lent a hand with may be the same piece going back, so only an act of replacing
    speaks for itself; one of fitting needs a part that nothing else was done to.
    """
    out: list[Fitted] = []
    for hit in words.verb_hits:
        if hit.id not in ("replace", "install", "put-in") or words.clause_of[hit.first] in complaint:
            continue
        k = words.clause_of[hit.first]
        clause = words.clauses[k]
        if any(m.clause == k and words.lexicon.things[m.thing].kind in _FITTABLE | {"fluid"} for m in mentions):
            continue
        if words.lows[hit.first].endswith("ing") and words.standing.state[hit.first] != "done":
            continue
        if hit.first == clause.first and hit.last == clause.last and words.heading(k):
            continue
        pronoun = hit.last < clause.last and words.lows[hit.last] in ("it", "them", "that", "those", "both", "one", "mine")
        named = next(
            (m for m in reversed(mentions) if m.first < hit.first and words.lexicon.things[m.thing].kind in _FITTABLE and not m.located),
            None,
        )
        if named is None or k - named.clause > 2 or (hit.id != "replace" and not pronoun) or named.pronoun:
            continue
        if hit.id == "put-in" and not (is_fitting(words, hit) and _said_new(words, named)):
            continue
        between = [h for h in words.verb_hits if named.clause <= words.clause_of[h.first] < k]
        if hit.id == "install" and any(words.lexicon.verbs[h.id].removes or h.id in ("clean", "machine", "repair") for h in between):
            continue
        if any(is_fitting(words, h) for h in between) or any(words.lexicon.verbs[h.id].keeps for h in between):
            continue
        thing = words.lexicon.things[named.thing]
        quantity, unit = _quantity(words, named)
        spans = (words.span(hit.first, hit.last), words.clause_span(k), words.span(named.np_first, named.last))
        state = words.standing.state[hit.first]
        out.append(Fitted(named.thing, thing.name, quantity, unit, named.position, None, None, state, k, spans))
    return out


def _said_new(words: Words, mention: Mention) -> bool:
    """"The cabin filter is new": told of it right behind its name."""
    after = words.lows[mention.last : mention.last + 3]
    return len(after) == 3 and after[0] in ("is", "was", "are") and any(w in words.lexicon.word_sets["new"] for w in after[1:])


def _fitted_state(words: Words, mentions: Sequence[Mention], i: int) -> State | None:
    """In what state the mention says that the part was fitted; None where it says nothing of the kind."""
    mention = mentions[i]
    standing = words.standing
    here = standing.state[mention.first]
    if mention.retracted:
        return "retracted"
    if mention.again and mention.definite:
        return None
    if mention.denied:
        return "not_done" if mention.condition else None
    verb = governing_verb(words, mention)
    fits = verb is not None and is_fitting(words, verb)
    if mention.old and not (verb is not None and verb.id == "replace"):
        return None
    if verb is not None and fits:
        if mention.located and not mention.condition:
            return None
        if not mention.condition and _amount_between(words, verb, mention):
            return None
        state = worse(here, standing.state[verb.first])
        if _just_went(words, verb) and not mention.condition and not mention.indefinite:
            return None  # "the wheels went on": nothing says that they were not there before
        return None if state == "done" and standing.kept[mention.first] and not mention.condition else state
    if mention.condition is None:
        if verb is not None and verb.id == "repair" and words.lows[mention.np_first - 1] == "with" and here == "done":
            return "done" if mention.count is not None or mention.indefinite else None
        if (verb is None or not fits) and here == "done" and _coordinated(words, mentions, i):
            return "done"
        if verb is None and here == "done" and _listed(words, mentions, i):
            return "done"
        return None
    if standing.kept[mention.first] and mention.condition == "new" and here != "done":
        return here
    if verb is not None and _keeps(words, verb):
        return None if mention.definite else here
    if _comparison(words, mention):
        return None
    if mention.definite and mention.np_first and not mention.pronoun and words.lows[mention.np_first - 1] in ("with", "after", "before", "on", "at", "in", "to", "from", "of", "for", "under"):
        return None  # it is spoken of as there already
    return here


def _amount_between(words: Words, verb: Hit, mention: Mention) -> bool:
    """"put in two pounds by scale, compressor bolts twenty four": what was put in is the amount."""
    return any(
        verb.last <= q.first < mention.np_first and q.unit and q.unit not in COUNTS and not q.retracted for q in words.quantities
    )


def _just_went(words: Words, verb: Hit) -> bool:
    return verb.id == "install" and words.lows[verb.first] in ("went", "goes", "gone", "going", "go", "in", "on")


def _coordinated(words: Words, mentions: Sequence[Mention], i: int) -> bool:
    """"Two new clips and two O-rings": the second of a pair joined by "and" is as new as the first."""
    mention = mentions[i]
    if i == 0 or mention.located or mention.definite or mention.old:
        return False
    before = mentions[i - 1]
    between = words.lows[before.last : mention.np_first]
    if mention.count is None and not (between in (["and"], ["&"]) and mention.np_first == mention.first and not mention.plural):
        return False
    if not before.condition or before.clause != mention.clause or not between:
        return False
    return all(w in ("and", ",", "&", "plus", "with") for w in between) and _fitted_state(words, mentions, i - 1) == "done"


def _comparison(words: Words, mention: Mention) -> bool:
    """"looks brand new", "like new", "as good as new", "new when ...": said of a part that is there."""
    before = words.lows[max(0, mention.np_first - 1) : mention.first]
    return any(w in ("like", "than", "compared", "looks", "look") for w in before)


def is_fitting(words: Words, verb: Hit) -> bool:
    """Whether the verb is one of fitting, its particle in place."""
    entry = words.lexicon.verbs[verb.id]
    if not entry.fits:
        return False
    if not entry.particles or words.lows[verb.last - 1] in entry.particles:
        return True
    clause = words.clauses[words.clause_of[verb.first]]
    after = words.lows[verb.last : min(clause.last, verb.last + 14)]
    pieces = {p for p in entry.particles if " " not in p}
    return any(w in pieces for w in after)


def _keeps(words: Words, verb: Hit) -> bool:
    return words.lexicon.verbs[verb.id].keeps


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
            elif hit.first >= mention.last and (
                after is None or (hit.first == after.first and _prefers(words, hit))
            ):
                after = hit
    if before is not None and after is not None:
        if not is_fitting(words, before) and is_fitting(words, after) and _subject_like(words, mention, after):
            return after
        return before
    if before is None and after is not None:
        return after
    if before is None:
        return _stated_next(words, mention) or _carried_verb(words, mention)
    return before


def _stated_next(words: Words, mention: Mention) -> Hit | None:
    """A line of a ticket: "Battery: replaced." The act is the fragment after the mark."""
    clause = words.clauses[mention.clause]
    if clause.last - mention.last > 2 or not words.same_sentence(mention.clause, mention.clause + 1):
        return None
    if words.lows[clause.last - 1] not in (":", "-", "–", "—", "->", "("):
        return None
    start = words.clauses[mention.clause + 1].first
    fitting = [h for i in (start, start + 1) for h in words.verb_at.get(i, ()) if words.lexicon.verbs[h.id].fits]
    return fitting[0] if fitting else None


def _prefers(words: Words, hit: Hit) -> bool:
    return words.lexicon.verbs[hit.id].fits


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
        words.lows[j] for j in range(clause.first, mention.np_first)
        if j not in words.noun_at and words.lows[j] not in ("and", ",", "&", "plus", "also") and words.lows[j] not in words.lexicon.word_sets["determiner"]
        and words.lows[j] not in words.lexicon.word_sets["new"]
        and not (j in words.quantity_at and words.quantity_at[j].unit in COUNTS)
    ]
    if lead or not words.same_sentence(k, k - 1):
        return None
    lead = words.lows[clause.first : clause.first + 1]
    if words.lows[clause.first - 1] not in (",", ";", "(", ":", "&", "+") and not (lead and lead[0] in ("and", "plus", "also")):
        return None
    tail = [w for w in words.lows[mention.last : clause.last] if w.isalpha() and w not in ("and", "too", "also", "as", "well", "new")]
    if any(w in ("included", "inside", "attached", "supplied") for w in tail):
        return None
    if any(words.lows[j] in words.lexicon.word_sets["auxiliary"] for j in range(mention.last, clause.last)) or len(tail) > 6:
        return None
    for other in range(k - 1, max(-1, k - 6), -1):
        if not words.same_sentence(k, other):
            return None
        hits = [h for i in range(words.clauses[other].first, words.clauses[other].last) for h in words.verb_at.get(i, ())]
        if hits:
            last = hits[-1]
            fitting = [h for h in hits if h.first == last.first and words.lexicon.verbs[h.id].fits]
            return fitting[0] if fitting else None
    return None


def _listed(words: Words, mentions: Sequence[Mention], i: int) -> bool:
    """Under a heading that says so, a bare line is a part fitted: "Parts: 2 O-rings, 1 gasket"."""
    mention = mentions[i]
    clause = words.clauses[mention.clause]
    first = next((c for c in words.clauses if c.sentence == clause.sentence), clause)
    head = words.lows[first.first : first.first + 3]
    if not head or ":" not in head:
        return False
    lead = [w for w in head[: head.index(":")] if w.isalpha()]
    return bool(lead) and lead[-1] in ("parts", "fitted", "installed", "used", "replaced", "renewed", "new", "part")


def _quantity(words: Words, mention: Mention) -> tuple[Fraction | None, str | None]:
    thing = words.lexicon.things[mention.thing]
    if mention.count is not None:
        unit = mention.count_unit or "each"
        if unit == "each" and mention.count == 1 and mention.plural and thing.sold_as != "each":
            unit = thing.sold_as
        return mention.count, unit
    if mention.plural:
        if thing.sold_as in ("set", "pair"):
            return Fraction(1), thing.sold_as
        return None, None
    if thing.sold_as == "set" and not mention.indefinite:
        return Fraction(1), "set"
    return Fraction(1), "each"
