"""What leaves the program: the job sheet and every line on it.

The field names and their values are the promise made to readers of the JSON form; `SCHEMA_VERSION` is raised on
any change that would break such a reader. Records are frozen and refuse unknown keys.
"""

from __future__ import annotations

from datetime import date
from typing import Literal

from pydantic import BaseModel, ConfigDict, Field

SCHEMA_VERSION = 1

State = Literal["done", "planned", "not_done", "advice", "elsewhere", "retracted"]
Direction = Literal["in", "out"]
Condition = Literal["new", "used", "rebuilt"]
Requirement = Literal["must", "should"]
StepState = Literal[
    "recorded",
    "value missing",
    "promised only",
    "out of range",
    "contradicted",
    "not done with reason",
    "not recorded",
    "not applicable",
]
GapKind = Literal[
    "missing",
    "value missing",
    "promised only",
    "out of range",
    "contradicted",
    "imbalance",
    "impossible",
    "unclear",
]
FindingKind = Literal["complaint", "cause", "fault", "observation"]
DeferredKind = Literal["recommended", "declined", "planned", "promised"]


class Record(BaseModel):
    """The base of every line: frozen, and no key that is not declared."""

    model_config = ConfigDict(frozen=True, extra="forbid")


class Evidence(Record):
    """A place in the narrative: `narrative[start:end] == quote`, in characters; `time_s` seconds into a recording."""

    start: int = Field(ge=0)
    end: int = Field(ge=0)
    quote: str
    time_s: float | None = None


class SiMeasure(Record):
    """The same measure in the SI unit of its dimension (temperatures in K)."""

    low: float
    high: float
    unit: str


class Measure(Record):
    """One quantity as said: `low == high` for a single value, a range otherwise; `unit` is a code of units.yaml.

    `state` tells a value that stands (`done`) from one the speaker took back (`retracted`). `bound` is `under` for
    "less than 3 mm" and `over` for "at least 6".
    """

    low: float
    high: float
    unit: str
    approximate: bool = False
    bound: Literal["under", "over"] | None = None
    text: str
    si: SiMeasure | None = None
    state: State = "done"
    evidence: tuple[Evidence, ...] = ()


class Notice(Record):
    """What intake set aside, and why; `time_s` where the source is timed."""

    message: str
    time_s: float | None = None


class Source(Record):
    """Where the narrative came from. `sha256` is of the bytes as given; `duration_s` is null where untimed."""

    name: str | None = None
    sha256: str
    kind: str
    words: int
    duration_s: float | None = None
    notices: tuple[Notice, ...] = ()


class Vehicle(Record):
    """The unit under work; every field null unless said. `vin_valid` is null where no check digit can be judged."""

    year: int | None = None
    make: str | None = None
    model: str | None = None
    vin: str | None = None
    vin_valid: bool | None = None
    odometer: Measure | None = None
    engine_hours: Measure | None = None
    plate: str | None = None
    unit_number: str | None = None
    evidence: tuple[Evidence, ...] = ()


class Step(Record):
    """One step that a job type calls for, with what the narrative says of it."""

    id: str
    label: str
    requirement: Requirement
    state: StepState
    evidence: tuple[Evidence, ...] = ()
    reason: str = ""


class Job(Record):
    """One line of work, told from what was done; its steps in the order of the procedure."""

    id: str
    title: str
    evidence: tuple[Evidence, ...] = Field(min_length=1)
    steps: tuple[Step, ...] = ()


class Part(Record):
    """A part or material fitted (or, by its `state`, to be fitted). `quantity` in `unit` (each, set, pair ...)."""

    id: str
    name: str
    quantity: float | None = None
    unit: str | None = None
    position: str | None = None
    condition: Condition | None = None
    number: str | None = None
    state: State
    job: str | None = None
    evidence: tuple[Evidence, ...] = Field(min_length=1)


class Amount(Record):
    """One amount of a fluid or bulk material that went in or came out, as said, in its own unit."""

    id: str
    substance: str
    direction: Direction
    measure: Measure
    state: State
    job: str | None = None
    verdict: Literal["within", "outside"] | None = None
    limit: str | None = None
    evidence: tuple[Evidence, ...] = Field(min_length=1)


class Reading(Record):
    """What was measured, set or timed. `verdict` is against a named limit only; null where no limit was given.

    `limit` tells that limit and who set it. `absolute` is what pressure a gauge vacuum leaves, in Pa, where the air
    pressure at the site is known.
    """

    what: str
    subject: str | None = None
    measure: Measure
    state: State
    job: str | None = None
    verdict: Literal["within", "outside"] | None = None
    limit: str | None = None
    absolute: SiMeasure | None = None
    reasoning: tuple[str, ...] = ()
    evidence: tuple[Evidence, ...] = Field(min_length=1)


class Size(Record):
    """The size of a fastener, tool, thread or hose; `measure` is null for a thread or a drive (`text` holds it)."""

    subject: str | None = None
    measure: Measure | None = None
    text: str
    evidence: tuple[Evidence, ...] = Field(min_length=1)


class Action(Record):
    """One act said, with the state it was said in."""

    verb: str
    component: str | None = None
    id: str | None = None
    position: str | None = None
    state: State
    job: str | None = None
    evidence: tuple[Evidence, ...] = Field(min_length=1)


class Labour(Record):
    """Time spent on a job; `basis` is inferred where only a recording's time codes tell."""

    job: str | None = None
    measure: Measure
    basis: Literal["said", "inferred"]
    evidence: tuple[Evidence, ...] = Field(min_length=1)


class Finding(Record):
    """What was complained of, found, or seen, in the speaker's words."""

    text: str
    kind: FindingKind
    evidence: tuple[Evidence, ...] = Field(min_length=1)


class Deferred(Record):
    """Work recommended, declined, planned or promised. `closed_by`: later words that tell it as done; else it is open."""

    text: str
    kind: DeferredKind
    closed_by: tuple[Evidence, ...] = ()
    evidence: tuple[Evidence, ...] = Field(min_length=1)


class Balance(Record):
    """Out against in for one substance. `difference` is out minus in; null sides were not said."""

    model_config = ConfigDict(
        frozen=True, extra="forbid", validate_by_name=True, validate_by_alias=True, serialize_by_alias=True
    )

    substance: str
    out: Measure | None = None
    in_: Measure | None = Field(default=None, validation_alias="in", serialization_alias="in")
    difference: Measure | None = None
    verdict: Literal["balanced", "short", "over", "cannot tell"]
    reason: str
    reasoning: tuple[str, ...] = ()
    evidence: tuple[Evidence, ...] = Field(min_length=1)


class Gap(Record):
    """What an auditor would ask. `question` is one breath long and answerable by voice.

    `reasoning` unfolds it, a line each: the rule, the numbers, the conversion, the source.
    """

    job: str | None = None
    step: str
    kind: GapKind
    severity: Requirement
    message: str
    question: str
    reasoning: tuple[str, ...] = ()
    evidence: tuple[Evidence, ...] = ()


class Unknown(Record):
    """Words that sound like a part, an act or a measure, and are not in the lexicon."""

    text: str
    evidence: tuple[Evidence, ...] = Field(min_length=1)


class Caution(Record):
    """A caution that the work calls for, and who says so."""

    text: str
    source: str


class Addendum(Record):
    """Words added after the narrative was dictated: the answer to a question (`step`, `job` and `kind` of its gap), or an
    addition of the speaker's own (`question` null). They stand in `narrative` from `start` to `end`.

    `outcome` tells what an answer came to: the question is `answered`, or closed by a `reason` for not doing it; or it
    stays open, because the answer was a `promise`, gave `no reason`, was `not known` to the speaker, or `unclear` to us.
    """

    start: int = Field(ge=0)
    end: int = Field(ge=0)
    made_on: date | None = None
    question: str | None = None
    step: str | None = None
    job: str | None = None
    kind: GapKind | None = None
    outcome: Literal["answered", "reason", "promise", "no reason", "not known", "unclear"] = "answered"


class Sheet(Record):
    """The job sheet: one narrative, compiled. Every value on it carries the words that it rests on."""

    schema_version: int = SCHEMA_VERSION
    source: Source
    narrative: str
    trade: str
    dictated_on: date | None = None
    work_date: date | None = None
    vehicle: Vehicle
    jobs: tuple[Job, ...] = ()
    parts: tuple[Part, ...] = ()
    amounts: tuple[Amount, ...] = ()
    readings: tuple[Reading, ...] = ()
    sizes: tuple[Size, ...] = ()
    actions: tuple[Action, ...] = ()
    labour: tuple[Labour, ...] = ()
    findings: tuple[Finding, ...] = ()
    deferred: tuple[Deferred, ...] = ()
    balances: tuple[Balance, ...] = ()
    gaps: tuple[Gap, ...] = ()
    unknown: tuple[Unknown, ...] = ()
    cautions: tuple[Caution, ...] = ()
    addenda: tuple[Addendum, ...] = ()
