"""How many of a part a mention speaks of, and which part a short name stands for."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from narrate.core.handoffs import Hit
from narrate.core.lexicon.match import key_of
from narrate.core.lexicon.schema import Thing
from narrate.reckon.events.counts_later import later
from narrate.reckon.events.phrase import Mention
from narrate.reckon.events.tallied import EACH_SIDE, tally
from narrate.reckon.events.words import Words

_OFF = 6  # clauses between the cover that came off and its new gasket


def quantity_of(words: Words, mention: Mention) -> tuple[Fraction | None, str | None]:
    thing = words.lexicon.things[mention.thing]
    if _each_got(words, mention):
        return Fraction(2), "each"
    if mention.count is not None:
        unit = mention.count_unit or "each"
        if unit == "each" and mention.count == 1 and mention.plural and thing.sold_as != "each":
            unit = thing.sold_as
        return mention.count, unit
    if mention.plural:
        named = Hit("thing", mention.thing, mention.first, mention.last)
        told = later(words, named) if mention.pronoun else tally(words, named)
        if told is not None and thing.sold_as == "each":
            return told, "each"
        if thing.sold_as in ("set", "pair"):
            return Fraction(1), thing.sold_as
        return None, None
    if thing.sold_as == "set" and not mention.indefinite:
        return Fraction(1), "set"
    return Fraction(1), "each"


def _each_got(words: Words, mention: Mention) -> bool:
    """ "Each side got a new strut mount": one, twice."""
    clause = words.clauses[mention.clause]
    lead = words.lows[clause.first : mention.np_first]
    return mention.count in (None, 1) and mention.indefinite and not mention.plural and tuple(lead[:2]) in EACH_SIDE


def narrower(words: Words, mentions: Sequence[Mention], i: int) -> Mention | None:
    """The part just named in full, where this mention names it in short: "valve cap gone, 1 new cap"."""
    mention = mentions[i]
    name = words.lexicon.things[mention.thing].name.lower()
    if " " in name or mention.name is not None:
        return None
    for other in reversed(mentions[:i]):
        far = (
            mention.clause - other.clause > 2
            or words.clauses[mention.clause].sentence != words.clauses[other.clause].sentence
        )
        if far and not mention.definite:
            return None
        full = words.lexicon.things[other.thing].name.lower()
        if full != name and full.split()[-1] == name and (other.clause < mention.clause or not other.condition):
            return other
    return None


def of_what_came_off(words: Words, mentions: Sequence[Mention], i: int) -> Mention | None:
    """The cover that was taken off, where a bare gasket or seal is what seals it: "pulled the rocker cover, cleaned both
    faces and fitted a new gasket". Returns the mention of the cover.
    """
    mention = mentions[i]
    things = words.lexicon.things
    if mention.last - mention.first > 1 or things[mention.thing].kind != "seal" or mention.qualifier:
        return None
    for other in reversed(mentions[:i]):
        if mention.clause - other.clause > _OFF:
            return None
        if f"{other.thing}-{mention.thing}" not in things or other.old or other.denied:
            continue
        clause = words.clauses[other.clause]
        acts = [h for j in range(clause.first, clause.last) for h in words.verb_at.get(j, ())]
        off = words.lows[other.last : other.last + 1] in (["off"], ["out"])
        if clause.state == "done" and (off or any(words.lexicon.verbs[h.id].removes for h in acts)):
            return other
    return None


def as_called(words: Words, mention: Mention, thing: Thing) -> str:
    """The lexicon's name, with the speaker's own word beside it where the two share none."""
    said = {t.key for t in words.tokens[mention.first : mention.last]}
    known = {key_of(w) for w in thing.name.replace("-", " ").lower().split()}
    if mention.pronoun or said & known or any(len(k) > 2 and (k in w or w in k) for k in said for w in known):
        return thing.name
    return f"{thing.name} ({words.text(mention.first, mention.last)})"
