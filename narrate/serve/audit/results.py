"""What is kept of one narrative: each step of each job with its state, its reason and the words it rests on.

One result is one line of JSON, so that many of them can be kept, read again and compared without holding them all.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from typing import Any, Protocol, cast

from narrate.core.records import Evidence, Gap, GapKind, Job, Requirement, Source, StepState

_MOST_QUOTES, _LONGEST_QUOTE = 3, 200  # of one step: enough to find the place by

Place = tuple[int, int, str]  # start, end, the words


@dataclass(frozen=True, slots=True)
class StepResult:
    """One step of one job on one sheet."""

    id: str
    label: str
    need: Requirement
    state: StepState
    why: str
    at: tuple[Place, ...] = ()


@dataclass(frozen=True, slots=True)
class JobResult:
    """One job; `type` is the job type of the lexicon that its steps come from."""

    id: str
    type: str
    title: str
    steps: tuple[StepResult, ...]


@dataclass(frozen=True, slots=True)
class MoreResult:
    """A gap that is no step of a job: an imbalance, an impossible value, no job at all."""

    job: str | None
    step: str
    kind: GapKind
    need: Requirement
    message: str
    at: tuple[Place, ...] = ()


@dataclass(frozen=True, slots=True)
class Result:
    """All that an audit keeps of one narrative. `broken` tells why it could not be compiled; then there is no more."""

    key: str
    name: str
    trade: str
    tech: str | None
    day: str | None
    words: int
    broken: str
    jobs: tuple[JobResult, ...]
    more: tuple[MoreResult, ...]


@dataclass(frozen=True, slots=True)
class About:
    """What is known of a narrative before it is compiled."""

    key: str
    name: str
    tech: str | None
    day: str | None


class Reviewed(Protocol):
    """What a result is made of: a sheet has it, and so has a narrative that is judged and whose lines are not written."""

    @property
    def source(self) -> Source: ...
    @property
    def trade(self) -> str: ...
    @property
    def dictated_on(self) -> date | None: ...
    @property
    def work_date(self) -> date | None: ...
    @property
    def jobs(self) -> tuple[Job, ...]: ...
    @property
    def gaps(self) -> tuple[Gap, ...]: ...


def result_line(sheet: Reviewed, types: Iterable[str], about: About) -> bytes:
    """A sheet as a result. `types` are the job types of its trade."""
    known = sorted(types, key=len, reverse=True)
    own = {job.id: {step.id for step in job.steps} for job in sheet.jobs}
    told = sheet.work_date or sheet.dictated_on
    return write_result(
        {
            "key": about.key,
            "name": about.name,
            "trade": sheet.trade,
            "tech": about.tech,
            "day": about.day or (told.isoformat() if told else None),
            "words": sheet.source.words,
            "broken": "",
            "jobs": [
                {
                    "id": job.id,
                    "type": job_type(job.id, known),
                    "title": job.title,
                    "steps": [
                        {"id": step.id, "label": step.label, "need": step.requirement, "state": step.state,
                         "why": step.reason, "at": _places(step.evidence)}
                        for step in job.steps
                    ],
                }
                for job in sheet.jobs
            ],
            "more": [
                {"job": gap.job, "step": gap.step, "kind": gap.kind, "need": gap.severity, "message": gap.message,
                 "at": _places(gap.evidence)}
                for gap in sheet.gaps
                if gap.step.partition(":")[0] not in own.get(gap.job or "", ())
            ],
        }
    )  # fmt: skip


def broken_line(why: str, about: About) -> bytes:
    """The result of a narrative that could not be compiled."""
    return write_result(
        {"key": about.key, "name": about.name, "trade": "", "tech": about.tech, "day": about.day, "words": 0,
         "broken": why, "jobs": [], "more": []}
    )  # fmt: skip


def write_result(held: dict[str, Any]) -> bytes:
    """A result as a line of JSON."""
    line = json.dumps(held, ensure_ascii=True, separators=(",", ":"))
    return line.encode("ascii") + b"\n"


def read_result(line: bytes) -> Result:
    """A line as a result; ValueError or KeyError where it is none."""
    held = json.loads(line)
    return Result(
        key=held["key"],
        name=held["name"],
        trade=held["trade"],
        tech=held["tech"],
        day=held["day"],
        words=held["words"],
        broken=held["broken"],
        jobs=tuple(
            JobResult(
                job["id"],
                job["type"],
                job["title"],
                tuple(
                    StepResult(one["id"], one["label"], one["need"], one["state"], one["why"], _read_places(one["at"]))
                    for one in job["steps"]
                ),
            )
            for job in held["jobs"]
        ),
        more=tuple(
            MoreResult(one["job"], one["step"], one["kind"], one["need"], one["message"], _read_places(one["at"]))
            for one in held["more"]
        ),
    )


def job_type(job: str, known: Iterable[str]) -> str:
    """The job type that a job's id comes from: brake-disc-front is a brake-disc; `known` longest first."""
    if job.startswith("replace-"):
        return "replacement"
    return next((one for one in known if job == one or job.startswith(f"{one}-")), job)


def _places(evidence: Iterable[Evidence]) -> list[list[int | str]]:
    return [[one.start, one.end, one.quote[:_LONGEST_QUOTE]] for one in list(evidence)[:_MOST_QUOTES]]


def _read_places(places: Iterable[Any]) -> tuple[Place, ...]:
    return tuple(cast(Place, tuple(one)) for one in places)


def quotes_of(at: Iterable[Place]) -> str:
    """The words of some places, as one text."""
    return " … ".join(" ".join(words.split()) for _, _, words in at)


def steps_of(result: Result) -> Iterator[tuple[JobResult, StepResult]]:
    """Every step of every job."""
    return ((job, step) for job in result.jobs for step in job.steps)
