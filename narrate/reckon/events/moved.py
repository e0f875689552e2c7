"""Quantities of volume and mass -> amounts of fluid that went in or came out.

The substance is the fluid named with the amount ("three ounces of PAG"), else in its clause, else the one last spoken
of; the direction is the act's, or the plain words "out" and "in".
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from narrate.core.handoffs import Hit, Moved, Quantity
from narrate.core.units import dimension
from narrate.reckon.events.fitted import worse
from narrate.reckon.events.things import Mention, Words

_DIMENSIONS = frozenset(("volume", "mass"))
_CONTAINERS = frozenset(("can", "bottle", "quart-can"))
_OUT = frozenset(("out", "lost", "drained", "removed", "out:"))
_IN = frozenset(("in", "into", "added", "in:", "back"))
_LEVEL = frozenset(("low", "short", "down", "over", "under", "overfull", "high"))


def is_amount(quantity: Quantity) -> bool:
    return quantity.unit in _CONTAINERS or dimension(quantity.unit) in _DIMENSIONS


def move_fluids(words: Words, mentions: Sequence[Mention], complaint: frozenset[int]) -> list[Moved]:
    """Every amount that went in or came out, in order. Specifications, levels and capacities are none."""
    fluids = [m for m in mentions if words.lexicon.things[m.thing].kind == "fluid"]
    out: list[Moved] = []
    for quantity in words.quantities:
        if quantity.retracted or not is_amount(quantity):
            continue
        k = words.clause_of[quantity.first]
        if k in complaint or words.standing.figure[quantity.first]:
            continue
        if _is_level(words, quantity):
            continue
        direction, verb = _direction(words, quantity, k, out)
        if direction is None:
            continue
        fluid, where = _substance(words, fluids, quantity, k, verb, out)
        if fluid is None:
            continue
        state = words.standing.state[quantity.first]
        if verb is not None and words.clause_of[verb.first] == k:
            state = worse(state, words.standing.state[verb.first])
        spans = [words.span(quantity.first, quantity.last), words.clause_span(k)]
        spans += [words.span(*r) for r in quantity.replaced]
        if where is not None and words.clause_of[where.first] != k:
            spans.append(words.span(where.np_first, where.last))
        thing = words.lexicon.things[fluid]
        out.append(Moved(fluid, thing.name, direction, quantity, state, k, tuple(spans)))
    return out


def _is_level(words: Words, quantity: Quantity) -> bool:
    """"half a quart low", "a quart over": where the level stood, not what was moved."""
    nxt = words.lows[quantity.last] if quantity.last < len(words.lows) else ""
    nxt2 = words.lows[quantity.last + 1] if quantity.last + 1 < len(words.lows) else ""
    return (nxt in _LEVEL and not (nxt == "down" and nxt2 == "the")) or (nxt == "too" and nxt2 in ("much", "little", "low"))


def _verbs_of(words: Words, k: int) -> list[tuple[Hit, Literal["in", "out"]]]:
    clause = words.clauses[k]
    out: list[tuple[Hit, Literal["in", "out"]]] = []
    for i in range(clause.first, clause.last):
        for hit in words.verb_at.get(i, ()):
            moves = words.lexicon.verbs[hit.id].moves
            if moves is not None:
                out.append((hit, moves))
    return out


def _direction(
    words: Words, quantity: Quantity, k: int, before: Sequence[Moved]
) -> tuple[Literal["in", "out"] | None, Hit | None]:
    clause = words.clauses[k]
    verbs = _verbs_of(words, k)
    if verbs:
        hit, moves = min(verbs, key=lambda v: (_distance(v[0], quantity), v[0].first))
        if _adverb(words, quantity, clause.last) == "out" and moves == "in":
            return "out", hit
        return moves, hit
    word = _adverb(words, quantity, clause.last)
    if word is not None:
        return word, None
    lead = words.lows[clause.first : quantity.first]
    for low in reversed(lead):
        if low in _OUT:
            return "out", None
        if low in _IN and low != "back":
            return "in", None
    for back in (1, 2, 3):  # "two quarts came out, then another pint"
        other = k - back
        if other < 0 or words.clauses[other].sentence < clause.sentence - 1:
            break
        verbs = _verbs_of(words, other)
        if verbs and (words.same_sentence(k, other) or back == 1):
            hit, moves = verbs[-1]
            return moves, hit
    head = words.clauses[k - 1] if k else None
    if head is not None and words.same_sentence(k, k - 1) and words.lows[head.last - 1] == ":":
        label = words.lows[head.first : head.last - 1]
        if any(w in _OUT for w in label):
            return "out", None
        if any(w in ("in", "filled", "fill", "refill", "charge", "added") for w in label):
            return "in", None
    nearby = words.noun_at.get(quantity.last) or words.noun_at.get(quantity.last + 1)
    if nearby is not None and words.lexicon.things[nearby.id].kind == "fluid" and not verbs:
        plain = [w for w in words.lows[clause.first : clause.last] if w in words.lexicon.word_sets["auxiliary"]]
        if not plain:
            return "in", None  # "5 qt 5W-30", "about five fluid ounces of DOT 3": a line of the ticket
    return None, None


def _distance(hit: Hit, quantity: Quantity) -> int:
    return quantity.first - hit.last if hit.last <= quantity.first else (hit.first - quantity.last) + 1


def _adverb(words: Words, quantity: Quantity, end: int) -> Literal["in", "out"] | None:
    for j in range(quantity.last, min(end, quantity.last + 9)):
        if words.lows[j] == "out":
            return "out"
        if words.lows[j] in ("in", "into") and words.lows[j - 1] in ("back", "went", "goes", "put"):
            return "in"
        if words.lows[j] in (",", ";", "."):
            break
    return None


def _substance(
    words: Words, fluids: Sequence[Mention], quantity: Quantity, k: int, verb: Hit | None, before: Sequence[Moved]
) -> tuple[str | None, Mention | None]:
    after = quantity.last
    for mention in fluids:  # N unit of FLUID, N unit FLUID
        if mention.first >= after and mention.first - after <= 4 and all(
            words.lows[j] in ("of", "the", "new", "fresh", "more", "that", "same", "premixed", "blue", "full", "some")
            or words.lows[j] in words.lexicon.word_sets["new"] or j in words.quantity_at or words.lows[j][:1].isalnum()
            and j not in words.verb_at and words.lows[j] not in words.lexicon.word_sets["preposition"]
            for j in range(after, mention.np_first if mention.np_first >= after else mention.first)
        ):
            return mention.thing, mention
    mapped = _by_verb(words, verb) or _by_unit(words, quantity)
    here = [m for m in fluids if m.clause == k]
    if here:
        near = min(here, key=lambda m: (abs(m.first - quantity.first), m.first))
        if mapped and not words.lexicon.is_a(near.thing, (mapped,)) and dimension(quantity.unit) == "mass":
            return mapped, None
        return near.thing, near
    if mapped:
        named = next((m for m in reversed(fluids) if m.first < quantity.first and words.lexicon.is_a(m.thing, (mapped,))), None)
        return (named.thing, named) if named else (mapped, None)
    earlier = [m for m in fluids if m.first < quantity.first and words.standing.state[m.first] == "done"]
    last_moved = before[-1] if before else None
    if earlier:
        near = earlier[-1]
        if last_moved is not None and words.clauses[k].sentence == words.clauses[last_moved.clause].sentence:
            if near.first < words.clauses[last_moved.clause].first:
                return last_moved.thing, None
        return near.thing, near
    later = next((m for m in fluids if m.first >= after and m.first - after < 25), None)
    if later is not None:
        return later.thing, later
    return (last_moved.thing, None) if last_moved else (None, None)


def _by_verb(words: Words, verb: Hit | None) -> str | None:
    """The fluid that an act speaks of by itself in this trade: what is "recovered" is refrigerant."""
    found = words.lexicon.moves_by.get(verb.id) if verb is not None else None
    return found if found in words.lexicon.things else None


def _by_unit(words: Words, quantity: Quantity) -> str | None:
    found = words.lexicon.moves_by.get(f"unit:{quantity.unit}")
    return found if found in words.lexicon.things else None


