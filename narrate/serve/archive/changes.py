"""Two sheets of one narrative -> what changed from the one to the other, each with the words that it comes from."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import Any, Literal

from narrate.core.records import Evidence, Record, Sheet, Vehicle
from narrate.render.sheet.measures import say_measure
from narrate.render.sheet.work import say_action, say_part


class Change(Record):
    """One difference. `before` is null for what is new, `after` for what is gone; `evidence` is of the words added
    since where they tell of it, else of all words that it rests on."""

    kind: Literal["job", "step", "question", "line", "unit", "balance", "sheet"]
    what: str
    before: str | None
    after: str | None
    evidence: tuple[Evidence, ...] = ()


def tell_changes(before: Sheet, after: Sheet) -> tuple[Change, ...]:
    """Everything that differs, in the order of the sheet. The same sheet twice has no changes."""
    since = len(before.narrative) if len(after.narrative) > len(before.narrative) else None

    def words(evidence: Iterable[Evidence]) -> tuple[Evidence, ...]:
        every = tuple(evidence)
        added = tuple(one for one in every if since is not None and one.start >= since)
        return added or every

    changes = [
        *_unit(before.vehicle, after.vehicle),
        *_plain(before, after),
        *_jobs(before, after),
        *_steps(before, after),
        *_lines(before, after),
        *_balances(before, after),
        *_questions(before, after),
    ]
    return tuple(change.model_copy(update={"evidence": words(change.evidence)}) for change in changes)


def _unit(before: Vehicle, after: Vehicle) -> Iterator[Change]:
    for name in Vehicle.model_fields:
        if name == "evidence":
            continue
        old, new = _said(getattr(before, name)), _said(getattr(after, name))
        if old != new:
            meter = getattr(after, name)
            own = getattr(meter, "evidence", ()) or after.evidence
            yield Change(kind="unit", what=name.replace("_", " "), before=old, after=new, evidence=own)


def _said(value: object) -> str | None:
    if value is None:
        return None
    if isinstance(value, bool):
        return "yes" if value else "no"
    return say_measure(value) if isinstance(value, Record) else str(value)  # type: ignore[arg-type]


def _plain(before: Sheet, after: Sheet) -> Iterator[Change]:
    for name in ("trade", "dictated_on", "work_date"):
        old, new = _said(getattr(before, name)), _said(getattr(after, name))
        if old != new:
            yield Change(kind="sheet", what=name.replace("_", " "), before=old, after=new)


def _jobs(before: Sheet, after: Sheet) -> Iterator[Change]:
    old, new = {job.id: job for job in before.jobs}, {job.id: job for job in after.jobs}
    for key, job in new.items():
        was = old.get(key)
        if was is None or was.title != job.title:
            yield Change(
                kind="job", what=job.title, before=was.title if was else None, after=job.title, evidence=job.evidence
            )
    for key, job in old.items():
        if key not in new:
            yield Change(kind="job", what=job.title, before=job.title, after=None, evidence=job.evidence)


def _steps(before: Sheet, after: Sheet) -> Iterator[Change]:
    old = {(job.id, step.id): step for job in before.jobs for step in job.steps}
    told: set[tuple[str, str, str]] = set()
    for job in after.jobs:
        for step in job.steps:
            was = old.get((job.id, step.id))
            if was is None or was.state == step.state:
                continue
            once = (step.id, was.state, step.state)  # a step that several jobs share changes once
            if once not in told:
                told.add(once)
                yield Change(kind="step", what=step.label, before=was.state, after=step.state, evidence=step.evidence)


def _lines(before: Sheet, after: Sheet) -> Iterator[Change]:
    for name, say in _SAY.items():
        old, new = list(getattr(before, name)), list(getattr(after, name))
        gone, come = _left(old, new), _left(new, old)
        for line in come:
            was = next((one for one in gone if _about(one) == _about(line)), None)
            if was is not None:
                gone.remove(was)
            yield Change(
                kind="line", what=name, before=say(was) if was else None, after=say(line), evidence=line.evidence
            )
        for line in gone:
            yield Change(kind="line", what=name, before=say(line), after=None, evidence=line.evidence)


def _left(some: Sequence[Any], others: Sequence[Any]) -> list[Any]:
    """The lines that are not among the others, each as often as it is missing there."""
    among = Counter(map(_content, others))
    out = []
    for line in some:
        key = _content(line)
        if among[key]:
            among[key] -= 1
        else:
            out.append(line)
    return out


def _about(line: Record) -> tuple[object, ...]:
    """What a line is of, whatever it says of it: two of one thing are one line that changed."""
    fields = ("id", "name", "substance", "direction", "what", "subject", "verb", "component", "kind", "text")
    skip = ("text",) if hasattr(line, "measure") else ()
    return tuple(getattr(line, field, None) for field in fields if field not in skip)


def _content(line: Record) -> str:
    """A line without the places that it rests on and the job it is listed under."""
    held = line.model_dump(mode="json", exclude={"evidence", "job", "id"})
    if isinstance(held.get("measure"), dict):
        held["measure"] = {k: v for k, v in held["measure"].items() if k not in ("evidence", "text")}
    return repr(sorted(held.items(), key=lambda pair: pair[0]))


_SAY: dict[str, Callable[..., str]] = {
    "parts": lambda x: _in_state(f"{say_part(x)}{f', number {x.number}' if x.number else ''}", x.state),
    "amounts": lambda x: _in_state(f"{x.substance} {x.direction}: {say_measure(x.measure)}", x.state),
    "readings": lambda x: _in_state(f"{x.subject or x.what}: {say_measure(x.measure)}", x.state),
    "sizes": lambda x: f"{x.subject or 'size'}: {x.text}",
    "actions": lambda x: _in_state(say_action(x), x.state),
    "labour": lambda x: f"{say_measure(x.measure)} ({x.basis})",
    "findings": lambda x: f"{x.kind}: {x.text}",
    "deferred": lambda x: f"{x.kind}: {x.text}",
    "unknown": lambda x: x.text,
}


def _in_state(words: str, state: str) -> str:
    return words if state == "done" else f"{words} ({state.replace('_', ' ')})"


def _balances(before: Sheet, after: Sheet) -> Iterator[Change]:
    old = {one.substance: one for one in before.balances}
    for one in after.balances:
        was = old.get(one.substance)
        if was is None or was.verdict != one.verdict:
            yield Change(kind="balance", what=one.substance, before=was.verdict if was else None, after=one.verdict,
                         evidence=one.evidence)  # fmt: skip


def _questions(before: Sheet, after: Sheet) -> Iterator[Change]:
    old = {(gap.step, gap.kind): gap for gap in before.gaps}
    new = {(gap.step, gap.kind): gap for gap in after.gaps}
    for key, gap in old.items():
        if key not in new:
            yield Change(
                kind="question", what=gap.question, before="open", after="closed", evidence=_behind(gap.step, after)
            )
    for key, gap in new.items():
        if key not in old:
            yield Change(kind="question", what=gap.question, before=None, after="open", evidence=gap.evidence)


def _behind(step: str, sheet: Sheet) -> tuple[Evidence, ...]:
    """The words that closed a question: the answer to it where there is one, else those of its step."""
    for one in reversed(sheet.addenda):
        if one.step == step:
            return (Evidence(start=one.start, end=one.end, quote=sheet.narrative[one.start : one.end]),)
    wanted = step.partition(":")[0]
    return next((one.evidence for job in sheet.jobs for one in job.steps if one.id == wanted and one.evidence), ())
