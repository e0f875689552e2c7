"""Quantities of volume and mass -> amounts of fluid that went in or came out.

The substance is the fluid named with the amount ("three ounces of PAG"), else in its clause, else the one last spoken
of; the direction is the act's, or the plain words "out" and "in".
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

from narrate.core.handoffs import Hit, Moved, Quantity
from narrate.core.lexicon.schema import Fluid
from narrate.core.units import dimension, scale
from narrate.reckon.events.direction import find_direction, verbs_of
from narrate.reckon.events.fitted import worse
from narrate.reckon.events.phrase import Mention
from narrate.reckon.events.said_again import fold_shares, fold_totals, fold_twins
from narrate.reckon.events.substance import find_substance
from narrate.reckon.events.words import Words

_DIMENSIONS = frozenset(("volume", "mass"))
_CONTAINERS = frozenset(("can", "bottle", "quart-can"))
_ALIKE = (Fraction(3, 4), Fraction(4, 3))  # how alike two amounts of one fluid are that went out and in
_LEVEL = frozenset(("low", "short", "down", "over", "under", "overfull", "high"))


def is_amount(quantity: Quantity) -> bool:
    return quantity.unit in _CONTAINERS or dimension(quantity.unit) in _DIMENSIONS


def move_fluids(words: Words, mentions: Sequence[Mention], complaint: frozenset[int]) -> list[Moved]:
    """Every amount that went in or came out, in order. Specifications, levels and capacities are none."""
    fluids = [m for m in mentions if words.lexicon.kinds[m.thing] == "fluid"]
    out: list[Moved] = []
    linked: list[bool] = []
    for quantity in words.quantities:
        if quantity.retracted or not is_amount(quantity):
            continue
        k = words.clause_of[quantity.first]
        if k in complaint or words.standing.figure[quantity.first]:
            continue
        if _out_of_what(words, quantity):
            continue
        drawn = _drawn_before(words, quantity, k)
        if (_is_level(words, quantity) and not (drawn is not None and _left_in_it(words, quantity))) or _is_container(
            words, quantity
        ):
            continue
        direction, verb = find_direction(words, quantity, k, out)
        if drawn is not None and verb is None and direction in ("out", None):
            direction, verb = "out", drawn
        if direction is None:
            continue
        fluid, where = find_substance(words, fluids, quantity, k, verb, out)
        if fluid is None or not _fits(words, quantity, fluid, where, k, verb):
            continue
        state = words.standing.state[quantity.first]
        if verb is not None and words.clause_of[verb.first] == k:
            state = worse(state, words.standing.state[verb.first])
        spans = [words.span(quantity.first, quantity.last), words.clause_span(k)]
        spans += [words.span(*r) for r in quantity.replaced]
        if where is not None and words.clause_of[where.first] != k:
            spans.append(words.span(where.np_first, where.last))
        thing = words.lexicon.things[fluid]
        linked.append(where is not None and where.clause == k)
        out.append(Moved(fluid, thing.name, direction, quantity, state, k, tuple(spans), verb.id if verb else None))
    return fold_shares(words, fold_totals(words, fold_twins(words, _paired(words, out, linked))))


def _paired(words: Words, moved: list[Moved], linked: Sequence[bool]) -> list[Moved]:
    """An amount whose fluid no word joins to it goes with the named one of about its size that moved the other way:
    "caught seven quarts ... then eight quarts of premix"."""
    out: list[Moved] = []
    for one, named in zip(moved, linked, strict=True):
        if not named and dimension(one.quantity.unit) == "volume":
            size = one.quantity.low * scale(one.quantity.unit).factor
            others = [
                m
                for m, sure in zip(moved, linked, strict=True)
                if sure
                and m.direction != one.direction
                and dimension(m.quantity.unit) == "volume"
                and m.state == "done"
            ]
            close = [
                m
                for m in others
                if size and _ALIKE[0] <= m.quantity.low * scale(m.quantity.unit).factor / size <= _ALIKE[1]
            ]
            if len({m.thing for m in close}) == 1 and not any(_kin(words, m.thing, one.thing) for m in others):
                one = replace(one, thing=close[0].thing, name=close[0].name)
        out.append(one)
    return out


def _kin(words: Words, one: str, other: str) -> bool:
    return other in words.lexicon.wider(one) or one in words.lexicon.wider(other)


def _fits(words: Words, quantity: Quantity, fluid: str, where: Mention | None, k: int, verb: Hit | None) -> bool:
    """Whether the amount can be one of that fluid: what no word joins to it must be of its kind and moved here."""
    entry = words.lexicon.things[fluid]
    linked = where is not None and where.clause == k and abs(where.first - quantity.last) <= 6
    if not isinstance(entry, Fluid) or not entry.moves:
        return linked and verb is not None and isinstance(entry, Fluid) and words.lexicon.verbs[verb.id].id != "clean"
    if linked:
        return entry.carry or (verb is not None and words.clause_of[verb.first] in (k, k + 1))
    if quantity.unit in _CONTAINERS:
        return words.lexicon.moves_by.get("unit:oz") in words.lexicon.wider(fluid)
    return dimension(quantity.unit) != "mass" or entry.ounce == "mass"


def _out_of_what(words: Words, quantity: Quantity) -> bool:
    """ "Recovered 0.62 lb of 1.10 lb": what it could have been."""
    first = quantity.first
    whole = words.quantity_at.get(first - 2) if first > 1 and words.lows[first - 1] == "of" else None
    return whole is not None and bool(whole.unit) and dimension(whole.unit) == dimension(quantity.unit)


def _drawn_before(words: Words, quantity: Quantity, k: int) -> Hit | None:
    """The act that drew off what is weighed, told just before: "recovered it, only nine ounces in there"."""
    start = words.clauses[k].first
    named = any(i in words.noun_at and not words.is_fluid(words.noun_at[i]) for i in range(start, quantity.first))
    if (
        dimension(quantity.unit) != "mass"
        or named
        or not _LEVEL.isdisjoint(words.lows[quantity.last : quantity.last + 1])
    ):
        return None
    for other in (k, k - 1):
        if not words.same_sentence(k, other):
            return None
        for hit, moves in reversed(verbs_of(words, other)):
            if hit.first < quantity.first:
                return hit if moves == "out" and hit.id in words.lexicon.moves_by else None
    return None


def _is_level(words: Words, quantity: Quantity) -> bool:
    """ "half a quart low", "a quart over": where the level stood, not what was moved."""
    nxt = words.lows[quantity.last] if quantity.last < len(words.lows) else ""
    nxt2 = words.lows[quantity.last + 1] if quantity.last + 1 < len(words.lows) else ""
    if _left_in_it(words, quantity):
        before = words.lows[max(0, quantity.first - 3) : quantity.first]
        return not any(w in words.lexicon.word_sets["first-person"] for w in before)
    return (nxt in _LEVEL and not (nxt == "down" and nxt2 == "the")) or (
        nxt == "too" and nxt2 in ("much", "little", "low")
    )


def _left_in_it(words: Words, quantity: Quantity) -> bool:
    """ "only eleven ounces in it", "had half a pint left"."""
    nxt, nxt2 = ([*words.lows[quantity.last : quantity.last + 2], "", ""])[:2]
    stood = any(
        w in ("was", "were", "only", "had", "still", "left")
        for w in words.lows[max(0, quantity.first - 3) : quantity.first]
    )
    return stood and (nxt == "left" or (nxt in ("in", "on", "of") and nxt2 in ("it", "there", "the", "her")))


def _is_container(words: Words, quantity: Quantity) -> bool:
    """ "most of a twelve ounce bottle": the bottle's size, not what was moved."""
    after = words.lows[quantity.last] if quantity.last < len(words.lows) else ""
    if after not in words.lexicon.word_sets["package"]:
        return False
    before = words.lows[max(0, quantity.first - 5) : quantity.first]
    if "from" in before or ("out", "of") in pairwise(before):
        return True  # "from a sealed 1 litre tin"
    return "of" in before[-3:] and any(w in ("most", "part", "half", "some", "rest") for w in before[-3:])
