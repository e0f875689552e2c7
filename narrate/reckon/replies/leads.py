"""A step that was asked about -> the words after which its answer is read, so that a bare figure finds its subject.

"With the pump off, how long did it hold?" makes "15 minutes" be read as "vacuum hold: 15 minutes". What is asked for
is told by the step's own clues; how the trade calls it, by the lexicon.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from narrate.core.lexicon.answers import answer_words
from narrate.core.lexicon.lexicon import Lexicon
from narrate.core.lexicon.procedures import Clue, StepRule
from narrate.core.lexicon.units import Unit
from narrate.core.units import units_file


@dataclass(frozen=True, slots=True)
class Lead:
    """Words that are read before an answer (`before`) or, for a bare figure, after it (`unit`), and what is wanted.

    `kind`: amount, reading, unit (a field of the unit under work) or fitted. `wanted`: a direction, kinds of reading,
    field names, or what is asked of the parts fitted; `of`: ids that what is read belongs to.
    """

    kind: str
    before: str
    wanted: tuple[str, ...]
    of: tuple[str, ...] = ()
    unit: str = ""


def find_leads(rule: StepRule, lexicon: Lexicon) -> tuple[tuple[Lead, ...], ...]:
    """For each thing that the step asks for, in the order of asking, the ways to read its answer, best first."""
    if rule.values:
        groups = [tuple(_leads(value.by, lexicon)) for value in rule.values]
        valued = [lead for group in groups for lead in group]
        own = (lead for lead in _leads(rule.met_by, lexicon) if not any(_same(lead, other) for other in valued))
        groups.insert(0, tuple(own))
    else:
        groups = [tuple(_leads(rule.met_by, lexicon))]
    return tuple(group for group in (tuple(dict.fromkeys(one)) for one in groups) if group)


def unit_leads(step: str) -> tuple[tuple[Lead, ...], ...]:
    """For a question about the unit under work that no procedure asks ("vin-check"), the way to read its answer."""
    field = step.removesuffix("-check")
    leads = answer_words().leads
    return ((Lead("unit", leads[field], (field,)),),) if field in leads else ()


def _same(lead: Lead, other: Lead) -> bool:
    """Whether two leads ask for one thing: a step's own clue often names the values that it needs as well."""
    alike = lead.kind == other.kind and not set(lead.wanted).isdisjoint(other.wanted)
    return alike and (not lead.of or not other.of or not set(lead.of).isdisjoint(other.of))


def _leads(clues: Iterable[Clue], lexicon: Lexicon) -> Iterator[Lead]:
    for clue in _flat(clues):
        if clue.kind == "amount":
            yield from _of_amount(clue, lexicon)
        elif clue.kind == "reading":
            yield from _of_reading(clue, lexicon)
        elif clue.kind == "unit":
            leads = answer_words().leads
            for field in clue.unit:
                if field in leads:
                    yield Lead("unit", leads[field], (field,))
        elif clue.kind == "fitted" and clue.fitted in ("counted", "condition", "number"):
            yield Lead("fitted", answer_words().leads["part"], (clue.fitted,))


def _flat(clues: Iterable[Clue]) -> Iterator[Clue]:
    """Every single clue, out of those that hold others; what must not hold asks for nothing."""
    for clue in clues:
        inner = (*clue.all, *clue.any, *clue.together)
        if inner:
            yield from _flat(inner)
        elif clue.kind != "no":
            yield clue


def _of_amount(clue: Clue, lexicon: Lexicon) -> Iterator[Lead]:
    pattern = answer_words().leads[f"amount-{clue.amount}"]
    for thing in clue.of[:1]:
        entry = lexicon.things.get(thing)
        if entry is not None:
            unit = getattr(entry, "unit", None) or ""
            yield Lead("amount", pattern.format(name=entry.name), (clue.amount or "",), clue.of, _say_unit(unit))


def _of_reading(clue: Clue, lexicon: Lexicon) -> Iterator[Lead]:
    pattern = answer_words().leads["reading"]
    named = [lexicon.subjects[one] for one in clue.of if one in lexicon.subjects]
    named = [one for one in named if one.what in clue.reading]
    if named:
        yield Lead("reading", pattern.format(name=named[0].name), clue.reading, clue.of, _say_unit(named[0].unit or ""))
        return
    things = [lexicon.things[one].name for one in clue.of if one in lexicon.things]
    kind = clue.reading[0]
    name = f"{things[0]} {kind}" if things else kind.replace("-", " ")
    yield Lead("reading", pattern.format(name=name), clue.reading, clue.of)


def _say_unit(code: str) -> str:
    """The first way that a unit is said; "" for none."""
    return next((_first(unit) for unit in units_file().units if unit.code == code), "") if code else ""


def _first(unit: Unit) -> str:
    return unit.say[0] if unit.say else unit.code
