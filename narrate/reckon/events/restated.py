"""Parts that are fitted by words that do not name them: "replaced it", "both new", "so that's four O-rings"."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from narrate.core.handoffs import Fitted, Gap, Hit
from narrate.hear.speech.numbers import read_number
from narrate.reckon.events.counted import as_called, quantity_of
from narrate.reckon.events.governing import is_fitting
from narrate.reckon.events.phrase import Mention
from narrate.reckon.events.tallied import numbered
from narrate.reckon.events.words import COUNTS, FITTABLE, Words

_TOTAL = frozenset(("altogether", "total"))  # behind a count: it is one of all
_IN_ALL = {"in": (["all"], ["total"]), "all": (["told"], ["together"])}

_LISTING = frozenset(("and", ",", "&", "plus", "both", "the", "with", "its"))


def called_new(words: Words, mentions: Sequence[Mention], complaint: frozenset[int]) -> list[Fitted]:
    """ "Two filters on this truck, both new"; "ball joint and tie rod end, new both of them"; "hanger gone: +1 new".

    The parts were named before: those of the clause, else the one named last.
    """
    out: list[Fitted] = []
    new = words.lexicon.word_sets["new"]
    for i in range(1, len(words.lows)):
        k = words.clause_of[i]
        after = words.lows[i + 1] if i + 1 < len(words.lows) else "."
        if words.lows[i] not in new or k in complaint or words.standing.state[i] != "done":
            continue
        lead = _all_of(words, i)
        pair = lead is not None or after in ("both", "all")
        number = read_number(words.tokens, i - 1) if words.lows[i - 1][0].isalnum() else None
        if number is not None and (number.last != i or number.value.denominator != 1 or number.value > 60):
            number = None
        alone = not after[0].isalnum() or words.tokens[min(i + 1, len(words.tokens) - 1)].gap >= Gap.LINE
        counted = number is not None and alone
        also = i - 1 in words.noun_at and any(tuple(words.lows[i + 1 : i + 1 + len(p)]) == p for p in _ALSO)
        if not pair and not counted and not also:
            continue
        if i + 1 in words.noun_at or after in new:
            continue
        able = [
            m
            for m in mentions
            if m.last <= i
            and k - m.clause <= (8 if words.same_sentence(m.clause, k) else 3)
            and (not m.condition or (pair and m.count is None))
            and not m.old
            and words.lexicon.kinds[m.thing] in FITTABLE
            and not m.located
        ]
        here = _list_of(words, [m for m in able if pair], k, i)
        named = here or [m for m in able[-1:] if m.plural or counted or also]
        for mention in named:
            thing = words.lexicon.things[mention.thing]
            quantity = mention.count
            if counted and number is not None:
                quantity = number.value
            elif quantity is None:
                both = "both" in (lead, after) or also
                told = quantity_of(words, mention)[0] if mention.plural and not both else None
                quantity = told or (Fraction(1 if not mention.plural else 2) if len(named) > 1 or both else None)
            spans = (words.span(i - 1, i + 1), words.clause_span(k), words.span(mention.np_first, mention.last))
            out.append(
                Fitted(
                    mention.thing,
                    as_called(words, mention, thing),
                    quantity,
                    "each",
                    mention.position,
                    "new",
                    None,
                    "done",
                    k,
                    spans,
                )
            )
    return out


def _listed_before(words: Words, able: Sequence[Mention], i: int) -> list[Mention]:
    """The part named last before token i, and those that a list joins to it: no figures or acts stand between."""
    out: list[Mention] = []
    for mention in reversed(able):
        between = words.lows[mention.last : out[-1].np_first] if out else []
        if out and not (between and all(w in _LISTING for w in between)):
            break
        out.append(mention)
    return out[::-1]


_ALSO = (("as", "well"), ("on", "top"), ("too",), ("also",), ("both", "of"))


def _all_of(words: Words, i: int) -> str | None:
    """The "all" or "both" before a "new": "all new", "all of them new", "both of those new"."""
    j = i - 1
    if j >= 2 and words.lows[j] in ("them", "those", "these", "em") and words.lows[j - 1] == "of":
        j -= 2
    return words.lows[j] if words.lows[j] in ("both", "all") else None


def _list_of(words: Words, able: Sequence[Mention], k: int, at: int) -> list[Mention]:
    """The parts of clause k, and those that its list began with: "timing belt, pump, tensioner and idler all new"."""
    named = _listed_before(words, [m for m in able if m.clause == k], at)
    if not named and at - 2 >= 0 and words.clauses[k].first >= at - 1:
        named = _listed_before(
            words, [m for m in able if m.clause == k - 1 and m.last >= words.clauses[k].first - 1], at
        )
    if not named or words.lows[max(0, at - 1)] == "both":
        return named
    for mention in reversed([m for m in able if m.clause < k and m not in named]):
        between = words.lows[mention.last : named[0].np_first]
        if not between or not all(w in (",", "and", "&", "plus", "the") for w in between):
            break
        named.insert(0, mention)
    return named


def counted_up(words: Words, mentions: Sequence[Mention], fitted: Sequence[Fitted]) -> list[Fitted]:
    """ "Each with a new O-ring, so that's two O-rings": the count of what went in, said after."""
    out: list[Fitted] = []
    for mention in mentions:
        clause = words.clauses[mention.clause]
        lead = tuple(words.lows[clause.first : mention.np_first])
        billed = lead[-2:] in (("call", "it"), ("call", "that"))
        if (
            mention.count is None
            or mention.condition
            or not (billed or (lead and lead[-1] in ("that's", "makes", "total")))
        ):
            continue
        head = words.lexicon.things[mention.thing].name.split()[-1]
        same = next(
            (
                f
                for f in reversed(fitted)
                if 0 <= mention.clause - f.clause <= 4 and (f.thing == mention.thing or f.name.split()[-1] == head)
            ),
            None,
        )
        counted = any(
            m.thing == mention.thing
            and m.count is not None
            and 0 <= mention.clause - m.clause <= 3
            and m is not mention
            for m in mentions
        )
        if (same is not None and same.state == "done") or (
            same is None and (counted or billed) and clause.state in ("done", "planned")
        ):
            thing = same.thing if same else mention.thing
            name = same.name if same else words.lexicon.things[thing].name
            spans = (words.span(mention.np_first, mention.last), words.clause_span(mention.clause))
            out.append(
                Fitted(
                    thing,
                    name,
                    mention.count,
                    mention.count_unit,
                    same.position if same else None,
                    None,
                    None,
                    "done",
                    mention.clause,
                    spans,
                )
            )
    return out


def counted_in_all(words: Words, fitted: Sequence[Fitted]) -> list[Fitted]:
    """ "Two O-rings at the manifold, and 7 more, so 9 in all": a total with no name is of what was counted last."""
    out: list[Fitted] = []
    if not fitted:
        return out
    totals = {
        at
        for at, low in enumerate(words.lows)
        if low in _TOTAL or (low in _IN_ALL and words.lows[at + 1 : at + 2] in _IN_ALL[low])
    }
    if not totals:
        return out  # most narratives: no number needs to be read again
    for i, low in enumerate(words.lows):
        read = read_number(words.tokens, i) if low.isdigit() or low in words.lexicon.word_sets["number-word"] else None
        if read is None or read.value.denominator != 1 or not 1 < read.value <= 60:
            continue
        if read.last not in totals:
            continue
        k = words.clause_of[i]
        here = words.tokens[i].start
        near = [f for f in fitted if 0 <= k - f.clause <= 3 and f.spans[0][0] < here and f.quantity is not None]
        if not near or near[-1].state != "done" or words.standing.state[i] != "done" or i in words.noun_at:
            continue
        last = near[-1]
        parts = [f.quantity or 0 for f in near if f.thing == last.thing]
        if sum(parts) == read.value or max(parts) < read.value <= 2 * sum(parts):
            spans = (words.span(i, read.last), words.clause_span(k), *last.spans)
            out.append(replace(last, quantity=read.value, unit="each", spans=spans))
    return out


def by_pronoun(words: Words, mentions: Sequence[Mention], complaint: frozenset[int]) -> list[Fitted]:
    """ "Battery tested bad, replaced it": the act names no part, the words before it did.

    What was just taken off, cleaned or lent a hand with may be the same piece going back, so only an act of replacing
    speaks for itself; one of fitting needs a part that nothing else was done to.
    """
    out: list[Fitted] = []
    for hit in words.verb_hits:
        if hit.id not in ("replace", "install", "put-in") or words.clause_of[hit.first] in complaint:
            continue
        k = words.clause_of[hit.first]
        clause = words.clauses[k]
        if any(m.clause == k and words.lexicon.kinds[m.thing] in FITTABLE | {"fluid"} for m in mentions):
            continue
        if words.lows[hit.first].endswith("ing") and words.standing.state[hit.first] != "done":
            continue
        if hit.first == clause.first and hit.last == clause.last and words.heading(k):
            continue
        if words.lows[hit.last : clause.last] == [":"] and words.same_sentence(k, k + 1):
            continue  # "Repl: belt, tensioner": what it speaks of follows
        pronoun = hit.last < clause.last and words.lows[hit.last] in (
            "it",
            "them",
            "that",
            "those",
            "both",
            "one",
            "mine",
        )
        if pronoun and words.lows[hit.last] == "one" and _names_unknown(words, hit.last + 1, clause.last):
            continue  # "fitted one bell, DB-4402": of something the lexicon does not know
        so_many = _so_many(words, hit, clause.last)
        named = next(
            (
                m
                for m in reversed(mentions)
                if m.first < hit.first
                and words.lexicon.kinds[m.thing] in FITTABLE
                and not (m.located and words.lows[m.np_first - 1] != "for")
            ),
            None,
        )
        if named is None or _far(words, named.clause, k) or named.pronoun:
            continue
        if so_many is not None and not (named.plural or _wanting(words, named)):
            so_many = None
        if hit.id != "replace" and not pronoun and so_many is None:
            continue
        bare = words.lows[hit.first] == words.lexicon.verbs[hit.id].say[0]
        if (
            not pronoun
            and bare
            and (so_many is None or words.lows[hit.first] not in words.lexicon.word_sets["same-past"])
        ):
            continue  # "340 of 760 CCA, replace": a tester's verdict
        if (
            hit.id == "put-in"
            and not (so_many is not None and _wanting(words, named))
            and not (is_fitting(words, hit) and (_said_new(words, named) or _goes_in(words, hit, named)))
        ):
            continue
        number = (
            read_number(words.tokens, hit.first - 1) if hit.first and words.lows[hit.first - 1][0].isalnum() else None
        )
        counted = number is not None and number.last == hit.first and number.value.denominator == 1
        if counted and not words.same_sentence(named.clause, k):
            continue  # "Screws on the pan, two replaced": of what its own sentence names, known or not
        between = [h for h in words.verb_hits if named.clause <= words.clause_of[h.first] < k]
        if hit.id == "install" and any(
            words.lexicon.verbs[h.id].removes or h.id in ("clean", "machine", "repair") for h in between
        ):
            continue
        if any(is_fitting(words, h) and words.standing.state[h.first] == "done" for h in between) or any(
            words.lexicon.verbs[h.id].keeps for h in between
        ):
            continue
        thing = words.lexicon.things[named.thing]
        quantity, unit = quantity_of(words, named)
        listed = numbered(words, Hit("thing", named.thing, named.first, named.last))
        if listed is not None:
            quantity, unit = listed, "each"  # "glow plugs 2 and 4 replaced"
        elif so_many is not None:
            quantity, unit = so_many, "each"
        elif counted and number is not None:
            quantity, unit = number.value, "each"  # "screws on the pan, two replaced"
        spans = (words.span(hit.first, hit.last), words.clause_span(k), words.span(named.np_first, named.last))
        state = words.standing.state[hit.first]
        out.append(
            Fitted(
                named.thing, as_called(words, named, thing), quantity, unit, named.position, None, None, state, k, spans
            )
        )
    return out


def _so_many(words: Words, hit: Hit, last: int) -> Fraction | None:
    """ "Caps were missing, installed 2": a lone count as the object, and nothing behind it but a particle or "new"."""
    j = hit.last
    if j >= last or not (words.lows[j].isdigit() or words.lows[j] in words.lexicon.word_sets["number-word"]):
        return None
    read = read_number(words.tokens, j)
    if read is None or read.value.denominator != 1 or not 0 < read.value <= 24:
        return None
    told = words.quantity_at.get(j)
    after = words.lows[read.last : last]
    small = words.lexicon.word_sets["particle"] | words.lexicon.word_sets["new"] | {".", ",", ";", "more", "ones"}
    ends = len(after) < 3 and all(w in small for w in after)
    return read.value if ends and (told is None or told.unit in COUNTS) else None


def _wanting(words: Words, named: Mention) -> bool:
    """Whether the statement that named a part says that it was missing or broken."""
    return any(h.layer == "finding" and h.id == "fault" for h in words.by_clause.get(named.clause, ()))


def _names_unknown(words: Words, at: int, last: int) -> bool:
    """Whether a word stands at `at` that can only be a name: no mark, small word, place or verb."""
    if at >= last or not words.lows[at][0].isalpha() or at in words.verb_at or at in words.place_at:
        return False
    sets = words.lexicon.word_sets
    known = ("particle", "preposition", "opener", "subject", "determiner", "auxiliary", "state-verb", "new", "ordinary")
    return not any(words.lows[at] in sets[name] for name in known)


def _far(words: Words, named: int, k: int) -> bool:
    """ "O-rings x 4 (HNBR), all replaced": remarks between may make more clauses of one statement."""
    return k - named > (4 if words.same_sentence(k, named) else 2)


def _goes_in(words: Words, hit: Hit, named: Mention) -> bool:
    """ "It needed a battery so i put one in": the particle closes the act; "put it on the charger" fits nothing."""
    if named.condition is None and words.standing.state[named.first] != "planned":
        return False
    end = words.clauses[words.clause_of[hit.first]].last
    after = words.lows[hit.last + 1 : min(end, hit.last + 3)]
    if not after or after[0] not in words.lexicon.word_sets["particle"]:
        return False
    points = words.lexicon.word_sets["determiner"] - {"this"}  # "put it in this morning"
    return len(after) < 2 or not (hit.last + 2 in words.noun_at or after[1] in points)


def _said_new(words: Words, mention: Mention) -> bool:
    """ "The cabin filter is new": told of it right behind its name."""
    after = words.lows[mention.last : mention.last + 3]
    return (
        len(after) == 3
        and after[0] in ("is", "was", "are")
        and any(w in words.lexicon.word_sets["new"] for w in after[1:])
    )
