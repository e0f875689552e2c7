"""What procedures name and no lexicon holds: a step that refers to nothing can never be met as it was meant."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass, fields
from difflib import get_close_matches
from pathlib import Path
from typing import get_args

from narrate.core.handoffs import UnitUnderWork
from narrate.core.lexicon.lexicon import Lexicon
from narrate.core.lexicon.plain_yaml import Fault, place_in
from narrate.core.lexicon.procedures import Clue, Clues, Module, Procedure, StepRule
from narrate.core.lexicon.rules import Pack
from narrate.core.lexicon.schema import Subject
from narrate.reckon.evidence.book import RuleBook, nested, step_clues

_READ = frozenset(get_args(Subject.model_fields["what"].annotation))
_UNIT = frozenset(f.name for f in fields(UnitUnderWork))


@dataclass(frozen=True, slots=True)
class LooseEnd:
    """A name in an entry (`kind` and `entry`, and a step of it) that means nothing; `near` is what was likely meant."""

    kind: str
    entry: str
    step: str | None
    name: str
    noun: str
    near: str | None

    def fault(self, lexicon: Lexicon, pack: Path | None = None) -> Fault:
        """With its place in the file that holds the entry; of several laid over each other, the last with the word."""
        if pack is not None:
            path, (line, column) = pack, place_in(pack, self.step or self.entry, self.name)
        else:
            path, line, column = lexicon.place(self.kind, self.entry, self.step, self.name)
        inside = f"{self.entry}, {self.step}" if self.step else self.entry
        remedy = f"Did you mean “{self.near}”?" if self.near else "Add it to the lexicon, or take it out here."
        return Fault(path, line, column, f"in {inside}: there is no {self.noun} “{self.name}”.", remedy)


def loose_ends(lexicon: Lexicon, book: RuleBook) -> tuple[LooseEnd, ...]:
    """Every name in things, readings, procedures and cautions that means nothing, in order of the entries."""
    return tuple(dict.fromkeys(_Search(lexicon, book).all()))


def loose_ends_of(pack: Pack, lexicon: Lexicon, book: RuleBook) -> tuple[LooseEnd, ...]:
    """The same for the clues of a rule pack, in one of the trades that it is for."""
    search = _Search(lexicon, book)
    ends = [end for rule in pack.rules for end in search._clues(rule.met_by, "pack", pack.id, rule.id)]
    steps = [
        end
        for rule in pack.rules
        for end in search._missing(rule.steps, search.steps, "step", "pack", pack.id, rule.id)
    ]
    return tuple(dict.fromkeys((*ends, *steps)))


class _Search:
    def __init__(self, lexicon: Lexicon, book: RuleBook) -> None:
        self.lexicon, self.book = lexicon, book
        self.things = lexicon.things.keys() | lexicon.subjects.keys()
        # what a trade is without, it may still name: a module that it shares with the trade it extends does
        left_out = lexicon.left_out.values()
        self.steps = {p.rule.id for planned in book.steps.values() for p in planned}
        self.steps |= {s.id for module in book.modules.values() for s in module.steps}
        self.steps |= {s.id for job in left_out for s in job.steps if isinstance(s, StepRule)}
        self.jobs = {job.id for job in book.jobs} | set(lexicon.left_out)

    def all(self) -> Iterator[LooseEnd]:
        for thing in self.lexicon.things.values():
            yield from self._missing(thing.within, self.things, "part or fluid", "thing", thing.id)
        for subject in self.lexicon.subjects.values():
            yield from self._missing(subject.of, self.things, "part or fluid", "reading", subject.id)
        for module in self.book.modules.values():
            yield from self._module(module)
        for job in self.book.jobs:
            yield from self._job(job)
        for caution in self.book.cautions.values():
            yield from self._clues(caution.when, "caution", caution.id)

    def _missing(
        self, names: Iterable[str], known: Collection[str], noun: str, kind: str, entry: str, step: str | None = None
    ) -> Iterator[LooseEnd]:
        for name in names:
            if name not in known:
                near = get_close_matches(name, known, n=1)
                yield LooseEnd(kind, entry, step, name, noun, near[0] if near else None)

    def _module(self, module: Module) -> Iterator[LooseEnd]:
        yield from self._missing(module.cautions, self.book.cautions, "caution", "module", module.id)
        for rule in module.steps:
            yield from self._clues(tuple(step_clues(rule)), "module", module.id, rule.id)

    def _job(self, job: Procedure) -> Iterator[LooseEnd]:
        yield from self._missing(job.cautions, self.book.cautions, "caution", "job", job.id)
        yield from self._missing(job.part_of, self.jobs, "job", "job", job.id)
        yield from self._missing((*job.heads, *job.covers), self.things, "part, fluid or reading", "job", job.id)
        starts = (*job.starts, *job.unless, *job.own_work, *(c for piece in job.pieces for c in piece.starts))
        yield from self._clues(starts, "job", job.id)
        pieces = {piece.id for piece in job.pieces}
        known = {rule.id for module in self.book.modules.values() for rule in module.steps}
        for item in job.steps:
            if not isinstance(item, StepRule):
                yield from self._clues(item.when, "job", job.id, item.use)
                continue
            yield from self._clues(tuple(step_clues(item)), "job", job.id, item.id)
            yield from self._missing(item.pieces, pieces, "piece of this job", "job", job.id, item.id)
            if item.replaces:
                yield from self._missing((item.replaces,), known, "step of a module", "job", job.id, item.id)

    def _clues(self, clues: Clues, kind: str, entry: str, step: str | None = None) -> Iterator[LooseEnd]:
        for clue in nested(clues):
            for names, known, noun in self._names(clue):
                yield from self._missing(names, known, noun, kind, entry, step)

    def _names(self, clue: Clue) -> Iterator[tuple[Iterable[str], Collection[str], str]]:
        yield clue.act, self.lexicon.verbs, "verb"
        yield (*clue.part, *clue.on, *clue.off, *clue.of, *clue.mentioned), self.things, "part, fluid or reading"
        yield (*clue.step, *clue.later_than), self.steps, "step"
        yield clue.job, self.jobs, "job"
        yield clue.reading, _READ, "kind of reading"
        yield clue.unit, _UNIT, "field of the unit under work"
