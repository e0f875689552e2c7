"""Procedures that no book can be made of: what is wrong with each, all at once, with the place in its file."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from difflib import get_close_matches

from narrate.core.lexicon.lexicon import Lexicon
from narrate.core.lexicon.plain_yaml import Fault
from narrate.core.lexicon.procedures import Clue, Module, Procedure, StepRule, Use
from narrate.reckon.evidence.book import nested, step_clues
from narrate.reckon.evidence.ranges import read_range
from narrate.reckon.evidence.sayings import check_saying


def faults_in_procedures(lexicon: Lexicon) -> tuple[Fault, ...]:
    """The faults for which `build_book` refuses a lexicon, in order of the entries; () where it would not."""
    return tuple(dict.fromkeys(_Search(lexicon).all()))


class _Search:
    def __init__(self, lexicon: Lexicon) -> None:
        self.lexicon = lexicon
        self.modules: dict[str, Module] = {}
        self.jobs: dict[str, Procedure] = {}
        self.groups: dict[str, tuple[str, ...]] = {}
        for file in lexicon.files.get("procedures", ()):
            self.groups |= file.groups
            self.modules |= {m.id: m for m in file.modules}
            self.jobs |= {j.id: j for j in file.jobs}
        self.cautions = {c.id: c for file in lexicon.files.get("cautions", ()) for c in file.cautions}

    def all(self) -> Iterator[Fault]:
        for subject in self.lexicon.subjects.values():
            yield from self._range("reading", subject.id, None, subject.plausible)
        for module in self.modules.values():
            yield from self._twice("module", module.id, [rule.id for rule in module.steps])
            for rule in module.steps:
                yield from self._rule("module", module.id, rule)
        for job in self.jobs.values():
            yield from self._job(job)
        for caution in self.cautions.values():
            yield from self._sayings("caution", caution.id, None, caution.when)

    def _job(self, job: Procedure) -> Iterator[Fault]:
        yield from self._twice("job", job.id, [step.id for step in job.steps if isinstance(step, StepRule)])
        starts = (*job.starts, *job.unless, *job.own_work, *(c for piece in job.pieces for c in piece.starts))
        yield from self._sayings("job", job.id, None, starts)
        for item in job.steps:
            if isinstance(item, StepRule):
                yield from self._rule("job", job.id, item)
            else:
                yield from self._use(job, item)

    def _use(self, job: Procedure, use: Use) -> Iterator[Fault]:
        module = self.modules.get(use.use)
        if module is None:
            yield self._fault("job", job.id, use.use, use.use, f"there is no module “{use.use}”.", self.modules)
            return
        known = {rule.id for rule in module.steps}
        for name in (*use.level, *use.skip, *use.always):
            if name not in known:
                what = f"the module “{use.use}” has no step “{name}”."
                yield self._fault("job", job.id, use.use, name, what, known)
        yield from self._sayings("job", job.id, use.use, use.when)

    def _rule(self, kind: str, entry: str, rule: StepRule) -> Iterator[Fault]:
        yield from self._sayings(kind, entry, rule.id, step_clues(rule))
        yield from self._range(kind, entry, rule.id, rule.plausible)

    def _twice(self, kind: str, entry: str, steps: list[str]) -> Iterator[Fault]:
        for step in dict.fromkeys(steps):
            if steps.count(step) > 1:
                yield self._fault(kind, entry, step, None, f"the step “{step}” stands twice.", ())

    def _range(self, kind: str, entry: str, step: str | None, text: str | None) -> Iterator[Fault]:
        try:
            if text:
                read_range(text)
        except ValueError as error:
            yield self._fault(kind, entry, step, text, f"{error}.", ())

    def _sayings(self, kind: str, entry: str, step: str | None, clues: Iterable[Clue]) -> Iterator[Fault]:
        for clue in nested(clues):
            for saying in clue.said:
                try:
                    check_saying(saying, self.groups)
                except ValueError as error:
                    yield self._fault(kind, entry, step, saying, f"{error}.", ())

    def _fault(
        self, kind: str, entry: str, step: str | None, words: str | None, what: str, known: Collection[str]
    ) -> Fault:
        near = get_close_matches(words or "", known, n=1) if known else []
        if near:
            remedy = f"Did you mean “{near[0]}”?"
        else:
            remedy = f"Known are {', '.join(sorted(known))}." if known else "See the guide on how it is written."
        inside = f"{entry}, {step}" if step and step != words else entry
        path, line, column = self.lexicon.place(kind, entry, step, words)
        return Fault(path, line, column, f"in {inside}: {what}", remedy)
