"""Every line of a sheet, to be looked for and explained: what it says, on which words, and by which rule."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

from narrate.core.lexicon.lexicon import Lexicon
from narrate.core.records import Evidence, Job, Measure, Sheet
from narrate.reckon.evidence import RuleBook


@dataclass(frozen=True, slots=True)
class Line:
    """One line: its block of the sheet, what it says, its state, the words behind it, and how it came about."""

    block: str
    says: str
    state: str
    evidence: tuple[Evidence, ...]
    remarks: tuple[str, ...] = ()

    def holds(self, wanted: str) -> bool:
        """Whether the words asked for stand in the line, or in the words behind it; capitals do not matter."""
        low = " ".join(wanted.lower().split())
        texts = (f"{self.block}: {self.says}", *(" ".join(e.quote.split()) for e in self.evidence))
        return any(low in text.lower() for text in texts)


def lines_of(sheet: Sheet, lexicon: Lexicon, book: RuleBook) -> Iterator[Line]:
    """All lines in the order of the sheet."""
    yield from _unit(sheet)
    for job in sheet.jobs:
        yield Line("job", f"{job.title} ({job.id})", "done", job.evidence)
        yield from _steps(job, lexicon, book)
    for p in sheet.parts:
        count = "" if p.quantity is None else f" × {p.quantity:g} {p.unit or ''}".rstrip()
        more = _joined(p.condition, p.position, p.number and f"number {p.number}")
        yield Line("part", f"{p.name} ({p.id}){count}{more}", p.state, p.evidence, _of(p.job))
    for a in sheet.amounts:
        way = "put in" if a.direction == "in" else "came out"
        yield Line("amount", f"{a.substance} ({a.id}) {way} {_said(a.measure)}", a.state, a.evidence, _held(a))
    for r in sheet.readings:
        yield Line("reading", f"{r.what}{_joined(r.subject)} {_said(r.measure)}", r.state, r.evidence, _held(r))
    for s in sheet.sizes:
        yield Line("size", f"{s.text}{_joined(s.subject)}", "", s.evidence)
    for act in sheet.actions:
        named = f" {act.component} ({act.id})" if act.component else ""
        yield Line("act", f"{act.verb}{named}{_joined(act.position)}", act.state, act.evidence, _of(act.job))
    for t in sheet.labour:
        yield Line("time", f"{_said(t.measure)} ({t.basis})", "", t.evidence, _of(t.job))
    for f in sheet.findings:
        yield Line(f.kind, f.text, "", f.evidence)
    for d in sheet.deferred:
        yield Line(d.kind, d.text, "", d.evidence)
    for u in sheet.unknown:
        yield Line("unknown", u.text, "", u.evidence, ("no entry of the lexicon is said so",))


def _unit(sheet: Sheet) -> Iterator[Line]:
    v = sheet.vehicle
    said = [str(x) for x in (v.year, v.make, v.model, v.vin, v.plate, v.unit_number) if x]
    said += [f"odometer {_said(v.odometer)}"] if v.odometer else []
    said += [f"hours {_said(v.engine_hours)}"] if v.engine_hours else []
    if said:
        yield Line("unit under work", ", ".join(said), "", v.evidence)


def _steps(job: Job, lexicon: Lexicon, book: RuleBook) -> Iterator[Line]:
    """The steps of a job, each with the rule that asks for it and where that rule stands."""
    planned = {
        p.rule.id: p
        for rules in (book.steps.get(j.id, ()) for j in book.jobs if job.id.startswith(j.id))
        for p in rules
    }
    for step in job.steps:
        rule = planned.get(step.id)
        remarks = [f"{step.requirement}; {step.reason}" if step.reason else step.requirement]
        if rule is not None:
            kind, entry = ("module", rule.module) if rule.module else ("job", _owner(job, step.id, book))
            path, line, _ = lexicon.place(kind, entry, step.id)
            remarks.append(f"asked for by {kind} {entry}, {path.name}:{line} ({rule.rule.source})")
        yield Line("step", f"{step.id}: {step.label} ({job.id})", step.state, step.evidence, tuple(remarks))


def _owner(job: Job, step: str, book: RuleBook) -> str:
    return next(
        (j.id for j in book.jobs if job.id.startswith(j.id) and any(p.rule.id == step for p in book.steps[j.id])),
        job.id,
    )


def _held(line: Any) -> tuple[str, ...]:
    held = [f"{line.verdict or 'not held'}: {line.limit}"] if line.limit else []
    return (*_of(line.job), *held)


def _of(job: str | None) -> tuple[str, ...]:
    return (f"belongs to {job}",) if job else ()


def _joined(*words: str | None) -> str:
    return "".join(f", {word}" for word in words if word)


def _said(measure: Measure) -> str:
    ends = f"{measure.low:g}" if measure.low == measure.high else f"{measure.low:g} to {measure.high:g}"
    return f"{'about ' if measure.approximate else ''}{ends} {measure.unit} (“{measure.text}”)"


def wanted_lines(lines: Iterable[Line], wanted: str | None) -> list[Line]:
    """The lines that hold the words asked for; where nothing is asked for, all but the steps that nothing calls for."""
    if wanted is None:
        return [line for line in lines if line.state != "not applicable"]
    return [line for line in lines if line.holds(wanted)]
