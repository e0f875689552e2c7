"""Procedures, cautions and things of a trade -> one RuleBook, modules expanded in place.

Built once a trade and only read after that.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property

from narrate.core.findings import NarrateError
from narrate.core.lexicon.folded import Folded
from narrate.core.lexicon.procedures import (
    CautionRule,
    CautionsFile,
    Clue,
    Clues,
    Module,
    Procedure,
    ProceduresFile,
    Reasons,
    StepRule,
    Use,
)
from narrate.core.lexicon.schema import Subject, Thing, Verb
from narrate.core.records import Requirement
from narrate.core.tokens import phrase_keys
from narrate.reckon.evidence.ranges import Range, read_range
from narrate.reckon.evidence.sayings import Sayings


class Names:
    """The words of each thing, as keys: made when they are asked for, since one narrative asks for few."""

    def __init__(self, things: Mapping[str, Thing]) -> None:
        self._things = things
        self._made: dict[str, tuple[tuple[str, ...], ...]] = {}

    def of(self, thing: str) -> tuple[tuple[str, ...], ...]:
        """Every way to say a thing; () for one that is not known."""
        made = self._made.get(thing)
        if made is None:
            known = self._things.get(thing)
            made = self._made[thing] = tuple(map(phrase_keys, known.say)) if known else ()
        return made


@dataclass(frozen=True, slots=True)
class Planned:
    """A step as one job calls for it: the rule, the module that it comes from, and what the job says of it."""

    rule: StepRule
    module: str | None
    when: Clues
    level: Requirement
    always: bool


@dataclass(frozen=True)
class RuleBook:
    """All that reconciling needs to know of a trade.

    `wider` gives, for each thing, itself and all that it belongs to; `names` the words of each thing, as keys.
    """

    jobs: tuple[Procedure, ...]
    steps: Mapping[str, tuple[Planned, ...]]
    modules: Mapping[str, Module]
    cautions: Mapping[str, CautionRule]
    reasons: Reasons
    sayings: Sayings
    things: Mapping[str, Thing]
    wider: Mapping[str, frozenset[str]]
    names: Names
    short: frozenset[str]  # "the nut", "the bolt": a fastener that any other may be meant by
    bare: Mapping[str, frozenset[str]]  # a short name ("filter") -> the things whose names end in it ("oil filter")
    subjects: Mapping[str, Subject]
    ranges: Mapping[str, Range]  # of readings by their id, and of steps by the text of their range
    fits: frozenset[str]  # verbs that fit or remove a part: what they act on is never guessed

    @cached_property
    def _by_id(self) -> dict[str, Procedure]:
        return {job.id: job for job in self.jobs}

    def procedure(self, job: str) -> Procedure:
        return self._by_id[job]


def build_book(
    files: Iterable[ProceduresFile],
    cautions: Iterable[CautionsFile],
    things: Mapping[str, Thing],
    verbs: Iterable[Verb],
    subjects: Iterable[Subject] = (),
) -> RuleBook:
    """One book of all files, the later ones replacing modules and jobs of the same id; NarrateError where unsound."""
    subjects = tuple(subjects)
    modules: dict[str, Module] = {}
    jobs: dict[str, Procedure] = {}
    groups: dict[str, tuple[str, ...]] = {}
    reasons = Reasons()
    for file in files:
        groups |= file.groups
        modules |= {m.id: m for m in file.modules}
        jobs |= {j.id: j for j in file.jobs}
        reasons = file.reasons or reasons
    warned = {c.id: c for file in cautions for c in file.cautions}
    steps = Folded({job.id: tuple(_expand(job, modules)) for job in jobs.values()})
    said = set(_sayings(_all_clues(jobs.values(), modules.values(), warned.values(), reasons)))
    try:
        index = Sayings(sorted(said), groups)
        ranges = {s.id: read_range(s.plausible) for s in subjects if s.plausible}
        ranges |= {text: read_range(text) for planned in steps.values() for p in planned if (text := p.rule.plausible)}
    except ValueError as error:
        raise NarrateError(f"{error}.", where="procedures", remedy="See how phrases are written.") from None
    return RuleBook(
        jobs=tuple(jobs.values()),
        steps=steps,
        modules=Folded(modules),
        cautions=warned,
        reasons=reasons,
        sayings=index,
        things=things,
        wider={thing: _wider(thing, things) for thing in things}
        | {s.id: frozenset((s.id,)).union(*(_wider(t, things) for t in s.of)) for s in subjects},
        names=Names(things),
        short=frozenset(t.id for t in things.values() if t.kind == "fastener" and t.name.isalpha()),
        bare=_bare(things),
        subjects={s.id: s for s in subjects},
        ranges=ranges,
        fits=frozenset(v.id for v in verbs if v.fits or v.removes),
    )


def _bare(things: Mapping[str, Thing]) -> dict[str, frozenset[str]]:
    """Short names of parts and what they may be short for; "the nut" is left alone: a machine has too many."""
    ends: dict[tuple[str, ...], set[str]] = {}
    for thing in things.values():
        words = tuple(thing.name.lower().replace("-", " ").split())
        for n in range(1, len(words)):
            ends.setdefault(words[n:], set()).add(thing.id)
    return {
        thing.id: frozenset(ends[tail])
        for thing in things.values()
        if thing.kind != "fastener" and (tail := tuple(thing.name.lower().replace("-", " ").split())) in ends
    }


def _wider(thing: str, things: Mapping[str, Thing]) -> frozenset[str]:
    """A thing and all that it is within, however far."""
    seen: set[str] = set()
    todo = [thing]
    while todo:
        here = todo.pop()
        if here not in seen:
            seen.add(here)
            todo += things[here].within if here in things else ()
    return frozenset(seen)


def _expand(job: Procedure, modules: Mapping[str, Module]) -> Iterator[Planned]:
    """The steps of a job in order; a step that takes the place of a module's step stands for it."""
    own = [s for s in job.steps if isinstance(s, StepRule)]
    replaced = {s.replaces for s in own if s.replaces}
    seen: set[str] = set()
    for item in job.steps:
        if isinstance(item, StepRule):
            planned = [Planned(item, None, (), item.level, False)]
        else:
            planned = list(_of_module(job, item, modules))
        for step in planned:
            if step.rule.id in replaced and step.module:
                continue
            if step.rule.id in seen:
                if step.module:
                    continue  # two modules bring the same step: asked once
                raise NarrateError(
                    f"the step “{step.rule.id}” stands twice.",
                    where=f"procedures, job {job.id}",
                    remedy="Give one of them another id.",
                )
            seen.add(step.rule.id)
            yield step


def _of_module(job: Procedure, use: Use, modules: Mapping[str, Module]) -> Iterator[Planned]:
    module = modules.get(use.use)
    if module is None:
        raise NarrateError(
            f"the module “{use.use}” is not known.",
            where=f"procedures, job {job.id}",
            remedy=f"Known are: {', '.join(sorted(modules))}.",
        )
    known = {s.id for s in module.steps}
    for named in (*use.level, *use.skip, *use.always):
        if named not in known:
            raise NarrateError(
                f"the module “{use.use}” has no step “{named}”.",
                where=f"procedures, job {job.id}",
                remedy=f"It has: {', '.join(sorted(known))}.",
            )
    for rule in module.steps:
        if rule.id not in use.skip:
            yield Planned(rule, module.id, use.when, use.level.get(rule.id, rule.level), rule.id in use.always)


def step_clues(rule: StepRule) -> Iterator[Clue]:
    """Every clue of a step, the nested ones too."""
    for clues in (rule.only_if, rule.must_if, rule.unless, rule.met_by, rule.answered_by, *(v.by for v in rule.values)):
        yield from nested(clues)


def nested(clues: Iterable[Clue]) -> Iterator[Clue]:
    for clue in clues:
        yield clue
        for inner in (clue.all, clue.any, clue.together, clue.no, clue.not_with):
            yield from nested(inner)


def _all_clues(
    jobs: Iterable[Procedure], modules: Iterable[Module], cautions: Iterable[CautionRule], reasons: Reasons
) -> Iterator[Clue]:
    yield from nested((*reasons.because, *reasons.omitted))
    for caution in cautions:
        yield from nested(caution.when)
    for module in modules:
        for rule in module.steps:
            yield from step_clues(rule)
    for job in jobs:
        yield from nested((*job.starts, *job.unless, *job.own_work))
        for piece in job.pieces:
            yield from nested(piece.starts)
        for step in job.steps:
            yield from step_clues(step) if isinstance(step, StepRule) else nested(step.when)


def _sayings(clues: Iterable[Clue]) -> Iterator[str]:
    for clue in clues:
        yield from clue.said
