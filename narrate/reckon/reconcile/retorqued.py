"""One fastener told with two torques that cannot both stand: "torqued to 80, later 60".

Stages go up, and so does a re-torque after a drive; a figure that comes down again with nothing backed off, measured or
told apart between the two is a slip of one of them. One that goes up is asked about only where both are told in full,
apart from each other, and no word makes a stage of either.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from fractions import Fraction

from narrate.core.handoffs import Facts, Measured, Spans
from narrate.core.lexicon.lexicon import Lexicon
from narrate.core.records import Evidence, Gap
from narrate.core.units import convert
from narrate.reckon.reconcile.figures import rounded, shown
from narrate.reckon.reconcile.phrases import contradictions, find, says
from narrate.reckon.reconcile.twice import agree

Quote = Callable[[Spans], tuple[Evidence, ...]]
_ABOUT = 10  # tokens about a figure within which a place or a stage tells it apart
_APART = 8  # tokens between two torques: nearer ones are a list or stages
_LOWER = Fraction(19, 20)  # of the first: what a torque wrench strays by (ISO 6789-1, from memory) is no other torque


def retold_torques(facts: Facts, lexicon: Lexicon, quote: Quote) -> Iterator[Gap]:
    """One fastener with two torques, neither a stage nor a correction; each fastener once."""
    said: dict[str, Measured] = {}
    asked: set[str] = set()
    for reading in facts.measured:
        key = _fastener(reading, lexicon)
        if key is None:
            continue
        first = said.get(key)
        said[key] = reading
        if first is None or key in asked or agree(first.quantity, reading.quantity):
            continue
        if first.position != reading.position:
            continue
        lower = _in(first.quantity.low, first, reading) * _LOWER > reading.quantity.low
        if _came_down(first, reading, key, facts, lexicon) if lower else _told_twice(first, reading, facts, lexicon):
            asked.add(key)
            yield _ask(first, reading, lexicon, quote)


def _in(value: Fraction, of: Measured, unit: Measured) -> Fraction:
    return convert(value, of.quantity.unit, unit.quantity.unit)


def _fastener(reading: Measured, lexicon: Lexicon) -> str | None:
    """What a torque is of, where its name says which; parts of `tightened_alike` are one."""
    thing, quantity = reading.thing, reading.quantity
    if reading.what != "torque" or reading.state != "done" or thing is None or thing not in lexicon.things:
        return None
    if quantity.retracted or quantity.low != quantity.high or quantity.low <= 0 or quantity.bound:
        return None
    words = contradictions()
    if thing in words.tightened_alike:
        return words.tightened_alike[0]
    named = lexicon.kinds[thing] == "fastener" and " " in lexicon.things[thing].name
    return thing if (named and thing not in words.loosely_named) or thing in words.one_torque else None


def _came_down(first: Measured, second: Measured, key: str, facts: Facts, lexicon: Lexicon) -> bool:
    """The later figure is the lower one: nothing was undone, measured, or told of another place in between."""
    begin = facts.clauses[first.clause].first
    end = max(facts.clauses[second.clause].last, second.quantity.last)
    if says(facts, "undone_again", begin, end) or _elsewhere(facts, begin, end):
        return False
    if says(facts, "later", first.quantity.last, second.quantity.first):
        return True
    return _named(first, key, facts, lexicon) and _named(second, key, facts, lexicon)


def _elsewhere(facts: Facts, begin: int, end: int) -> bool:
    """Whether a place is named, and not as a piece of a part's own name."""
    named = {i for h in facts.hits if h.layer == "thing" for i in range(h.first, h.last)}
    return any(not named.issuperset(range(a, b)) for a, b in find(facts, "places", begin, end))


def _told_twice(first: Measured, second: Measured, facts: Facts, lexicon: Lexicon) -> bool:
    """The later figure is the higher one: both in full, and neither a stage, a list nor of another place."""
    if first.quantity.elided or second.quantity.elided or first.thing != second.thing:
        return False
    if second.quantity.first - first.quantity.last < _APART:
        return False
    key = first.thing or ""
    if not _named(first, key, facts, lexicon) or not _named(second, key, facts, lexicon):
        return False
    return not (_told_apart(first, facts) or _told_apart(second, facts))


def _named(reading: Measured, key: str, facts: Facts, lexicon: Lexicon) -> bool:
    """Whether the fastener itself is named in the clause of its torque, and alone: else the figure may be another's."""
    here = {_same(h.id) for h in facts.hits if h.layer == "thing" and facts.clause_of[h.first] == reading.clause
            and h.id in lexicon.things and (lexicon.kinds[h.id] == "fastener" or _same(h.id) == key)}  # fmt: skip
    return here == {key}


def _same(thing: str) -> str:
    alike = contradictions().tightened_alike
    return alike[0] if thing in alike else thing


def _told_apart(reading: Measured, facts: Facts) -> bool:
    first, last = reading.quantity.first - _ABOUT, reading.quantity.last + _ABOUT // 2
    return reading.position is not None or says(facts, "stages", first, last) or _elsewhere(facts, first, last)


def _ask(first: Measured, second: Measured, lexicon: Lexicon, quote: Quote) -> Gap:
    name = lexicon.things[first.thing or ""].name
    one, two, unit = shown(first.quantity), shown(second.quantity), second.quantity.unit
    same = "" if first.quantity.unit == unit else f" = {rounded(_in(first.quantity.low, first, second), unit)}"
    return Gap(
        step=f"contradiction: torque of the {name}", kind="contradicted", severity="must",
        message=f"The {name} was told as torqued to {one} and to {two}.",
        question=f"The {name}: was it {one} or {two}?",
        reasoning=(f"{one}{same}, and {two}", "the same fastener, with no stage, place, loosening or correction between (rule of this program)"),
        evidence=quote((first.spans[0], first.spans[1], second.spans[0], second.spans[1])),
    )  # fmt: skip
