"""Which fluid an amount is of: the one joined to it, the one its act speaks of, or the one of the talk."""

from __future__ import annotations

from collections.abc import Sequence

from narrate.core.handoffs import Hit, Moved, Quantity
from narrate.core.lexicon.schema import Fluid
from narrate.core.units import dimension
from narrate.reckon.events.phrase import Mention
from narrate.reckon.events.words import Words

_MORE = 45  # tokens over which "another quart" is of the fluid that went in before
_BETWEEN = frozenset(
    (
        "from",
        "out",
        "of",
        "in",
        "into",
        "the",
        "that",
        "its",
        "back",
        "each",
        "his",
        "her",
        "this",
        "came",
        "come",
        "ran",
    )
)


def find_substance(
    words: Words, fluids: Sequence[Mention], quantity: Quantity, k: int, verb: Hit | None, before: Sequence[Moved]
) -> tuple[str | None, Mention | None]:
    after = quantity.last
    told = _by_verb(words, verb)
    for mention in fluids:  # N unit of FLUID, N unit FLUID
        if (
            mention.first >= after
            and not (told and any(j in words.quantity_at for j in range(after, mention.first)))
            and mention.first - after <= 4
            and all(
                words.lows[j]
                in ("of", "the", "new", "fresh", "more", "that", "same", "premixed", "blue", "full", "some")
                or words.lows[j] in words.lexicon.word_sets["new"]
                or j in words.quantity_at
                or (
                    words.lows[j][:1].isalnum()
                    and words.lows[j] not in ("no", "without")
                    and j not in words.verb_at
                    and words.lows[j] not in words.lexicon.word_sets["preposition"]
                )
                for j in range(after, mention.np_first if mention.np_first >= after else mention.first)
            )
        ):
            return mention.thing, mention
    held = _joined_to(words, quantity)
    if held is not None:
        return held, None
    mapped = told or _by_unit(words, quantity)
    here = [m for m in fluids if m.clause == k and _carries(words, m, quantity)]
    if here:
        near = min(here, key=lambda m: (abs(m.first - quantity.first), m.first))
        if mapped and not words.lexicon.is_a(near.thing, (mapped,)) and dimension(quantity.unit) == "mass":
            return mapped, None
        return near.thing, near
    if mapped:
        named = next(
            (m for m in reversed(fluids) if m.first < quantity.first and words.lexicon.is_a(m.thing, (mapped,))), None
        )
        return (named.thing, named) if named else (mapped, None)
    if words.lows[after : after + 3] == ["of", "the", "same"] and before:
        return before[-1].thing, None
    if before and _once_more(words, quantity, before[-1]):
        return before[-1].thing, None
    earlier = _spoken_of(words, fluids, quantity, k)
    if earlier is not None:
        return earlier
    later = next(
        (m for m in fluids if m.first >= after and m.first - after < 60 and _carries(words, m, quantity)), None
    )
    if later is not None:
        return later.thing, later
    return (before[-1].thing, None) if before else (None, None)


def _once_more(words: Words, quantity: Quantity, last: Moved) -> bool:
    """ "Filled it with two gallons of the orange ..., then it took another quart": of what went in straight before."""
    more = "another" in words.lows[max(0, quantity.first - 1) : quantity.last]
    more = more or words.lows[quantity.last : quantity.last + 1] == ["more"]
    return more and quantity.first - last.quantity.last <= _MORE and dimension(last.quantity.unit) == "volume"


def _joined_to(words: Words, quantity: Quantity) -> str | None:
    """ "2.1 litres from the gearbox", "2 qt out of the rear diff": the fluid that the part behind the amount holds."""
    for hit in words.thing_hits:
        if not 1 <= hit.first - quantity.last <= 6 or hit.layer == "fluid":
            continue
        between = words.lows[quantity.last : hit.first]
        if words.lows[hit.last - 1] in words.lexicon.word_sets["vessel"]:
            return None  # "forty quarts in the drum": what it was caught in
        if any(w in ("from", "out", "in", "into") for w in between) and all(
            words.lows[j] in _BETWEEN or j in words.place_at for j in range(quantity.last, hit.first)
        ):
            return held_by(words, hit.id)
    return None


def _carries(words: Words, mention: Mention, quantity: Quantity) -> bool:
    """Whether an amount that names no fluid may be of this one: what is weighed is not told in gallons or cups."""
    fluid = words.lexicon.things[mention.thing]
    if not isinstance(fluid, Fluid) or not fluid.moves or not fluid.carry or mention.denied:
        return False
    return _told_so(words, fluid.id, quantity)


def _told_so(words: Words, thing: str, quantity: Quantity) -> bool:
    fluid = words.lexicon.things[thing]
    return not isinstance(fluid, Fluid) or fluid.ounce != "mass" or dimension(quantity.unit) != "volume"


def _spoken_of(
    words: Words, fluids: Sequence[Mention], quantity: Quantity, k: int
) -> tuple[str, Mention | None] | None:
    """The fluid of which the talk is: named before, or the one in the part that was named before, whichever is nearer.

    A generic name ("fluid", "oil") stands for the narrower one that the narrative names, or that the part holds.
    """
    named = next((m for m in reversed(fluids) if m.first < quantity.first and _carries(words, m, quantity)), None)
    held: tuple[int, str] | None = None
    for hit in reversed(words.thing_hits):
        if hit.first >= quantity.first or hit.layer == "fluid":
            continue
        if words.clauses[k].sentence - words.clauses[words.clause_of[hit.first]].sentence > 2:
            break
        if (
            words.lexicon.kinds[hit.id] not in ("part", "assembly", "system")
            or "plug" in words.lows[hit.first : hit.last]
        ):
            continue
        fluid = held_by(words, hit.id)
        if fluid is not None and _told_so(words, fluid, quantity):
            held = (hit.first, fluid)
            break
    if held is not None and words.clause_of[held[0]] == k and (named is None or named.clause != k):
        if named is None or not words.lexicon.is_a(named.thing, (held[1],)):
            return held[1], None  # "drained the box, 2.1 litres": what the part holds
    recent = named is not None and words.clauses[k].sentence - words.clauses[named.clause].sentence <= 3
    if named is not None and (
        held is None or named.first > held[0] or recent or words.lexicon.is_a(named.thing, (held[1],))
    ):
        generic = words.lexicon.things[named.thing].name in ("fluid", "oil")
        if generic and held is not None and named.thing in words.lexicon.wider(held[1]):
            return held[1], named
        return named.thing, named
    if held is not None:
        same = next(
            (m for m in reversed(fluids) if m.first < quantity.first and words.lexicon.is_a(m.thing, (held[1],))), None
        )
        return (same.thing, same) if same is not None else (held[1], None)
    return None


def held_by(words: Words, thing: str) -> str | None:
    """The fluid that a part holds, by the trade's data: by its own id, a wider one, or the system that it belongs to."""
    holds = words.lexicon.holds
    for key in (thing, *sorted(words.lexicon.wider(thing)), words.lexicon.systems.get(thing, "")):
        if key in holds:
            return holds[key]
    return None


def _by_verb(words: Words, verb: Hit | None) -> str | None:
    """The fluid that an act speaks of by itself in this trade: what is "recovered" is refrigerant."""
    found = words.lexicon.moves_by.get(verb.id) if verb is not None else None
    return found if found in words.lexicon.things else None


def _by_unit(words: Words, quantity: Quantity) -> str | None:
    found = words.lexicon.moves_by.get(f"unit:{quantity.unit}")
    if (
        found is None
        or found not in words.lexicon.things
        or not any(words.lexicon.is_a(h.id, (found,)) or held_by(words, h.id) == found for h in words.thing_hits)
    ):
        return None  # a mass of what is never named in the notes, nor what holds it
    return found
