"""The shape of procedures/*.yaml and cautions.yaml: what a complete record of each job type must hold.

A procedure is written in the trade's own terms, so that a foreman can read and correct it. What proves a step is a list
of clues, any one of which is enough; a clue that is a plain phrase is met where those words are said as done:

    met_by:
      - {act: [hold], on: [vacuum]}                # an act told as done, on a thing or on anything within it
      - needle (did not|didn't) (move|drop)        # words: (a|b) either, word? perhaps, .. up to four words between
      - together: [{reading: duration}, "(shut|closed) .. (off|valve)"]

Every figure (a digit in a label, a question, a caution, a range or a tolerance) needs its `source`, or the file does
not load.
"""

from __future__ import annotations

import re
from functools import cached_property
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, ConfigDict, Discriminator, Field, Tag, model_validator

from narrate.core.lexicon.schema import Entry, Id, Phrase, Source
from narrate.core.records import DeferredKind, FindingKind, Requirement

NO_SOURCE = "common practice, no source"
_FIGURE = re.compile(r"\d")


def _listed(value: Any) -> Any:
    """One word where a list may stand is a list of one."""
    return (value,) if isinstance(value, str) else value


def _clues(value: Any) -> Any:
    """Plain phrases of a list of clues become one `said` clue, in the place of the first of them."""
    if isinstance(value, str | dict):
        value = [value]
    if not isinstance(value, list | tuple):
        return value
    phrases = [v for v in value if isinstance(v, str)]
    out = [v for v in value if not isinstance(v, str)]
    return [*out, {"said": phrases}] if phrases else out


def _each_clue(value: Any) -> Any:
    """Where all of a list must hold, every phrase is a clue of its own."""
    if not isinstance(value, list | tuple):
        return value
    return [{"said": [v]} if isinstance(v, str) else v for v in value]


Ids = Annotated[tuple[Id, ...], BeforeValidator(_listed)]
Words = Annotated[tuple[str, ...], BeforeValidator(_listed)]


class Clue(Entry):
    """One thing that the words may show. Exactly one of the kinds below; `of`, `on`, `off` and `kinds` narrow it.

    act: a verb of actions.yaml, `on` a thing or a wider one, `off` things that it must not be on.
    part: a part fitted. amount: a fluid moved `in` or `out`. reading: a value measured, set or timed.
    said: words. noted: a finding, `of` a thing. size, label: as said. unit: a field of the unit under work.
    deferred: recommended, declined, planned or promised. mentioned: a thing named in what was done.
    step: another step that is on record. job: another job of this sheet. fitted: what is known of every part fitted.
    """

    model_config = ConfigDict(frozen=True, extra="forbid", populate_by_name=True)

    act: Ids = ()
    part: Ids = ()
    amount: Literal["in", "out"] | None = None
    reading: Words = ()
    said: Words = ()
    noted: Annotated[tuple[FindingKind, ...], BeforeValidator(_listed)] = ()
    size: bool = False
    label: Words = ()
    unit: Words = ()
    deferred: Annotated[tuple[DeferredKind, ...], BeforeValidator(_listed)] = ()
    mentioned: Ids = ()
    step: Ids = ()
    job: Ids = ()
    fitted: Literal["any", "counted", "condition", "number"] | None = None
    all: EachClue = ()
    any: Clues = ()
    together: EachClue = ()
    no: Clues = ()
    # what narrows a kind
    on: Ids = ()
    off: Ids = ()
    of: Ids = ()
    condition: Words = ()
    state: Literal["done", "any"] = "done"
    later_than: Ids = ()  # only what is told after the first words of these steps; where they are not told, anything
    lately: bool = False  # an act with no object of its own may be on what was named a little before
    not_with: Clues = ()  # not where one of these stands in the same clause, shortly before it or hard upon it
    times: int = Field(default=1, ge=1, le=20)

    @model_validator(mode="after")
    def _one_kind(self) -> Clue:
        kinds = [k for k in KINDS if getattr(self, k)]
        if len(kinds) != 1:
            raise ValueError(f"a clue is of one kind, of {', '.join(KINDS)}; here are {len(kinds)}")
        return self

    @cached_property
    def kind(self) -> str:
        """Found once: one narrative asks thousands of times."""
        return next(k for k in KINDS if getattr(self, k))

    @cached_property
    def needs(self) -> frozenset[tuple[str, str]] | None:
        """Signs, as kind and word, of which a narrative must show at least one for this to be met; None where no list of
        signs can tell. Most clues of a procedure fall here at once, with no look at what was told."""
        kind = self.kind
        if kind in ("all", "together"):  # each must hold, so that the signs of any one of them tell
            known = [inner.needs for inner in getattr(self, kind) if inner.needs is not None]
            return min(known, key=len, default=None)
        if kind == "any":
            each = [inner.needs for inner in self.any]
            return None if None in each else frozenset(sign for own in each if own for sign in own)
        if kind in ("act", "part", "reading", "said", "noted", "label", "deferred"):
            return frozenset((kind, word) for word in getattr(self, kind))
        return frozenset(((kind, self.amount),)) if self.amount else None


Clues = Annotated[tuple[Clue, ...], BeforeValidator(_clues)]
EachClue = Annotated[tuple[Clue, ...], BeforeValidator(_each_clue)]
KINDS = (
    "act", "part", "amount", "reading", "said", "noted", "size", "label", "unit", "deferred", "mentioned", "step",
    "job", "fitted", "all", "any", "together", "no",
)
Clue.model_rebuild()


class Value(Entry):
    """A number that belongs to a step: without it the step is on record and its value is missing.

    `aside`: said beside the step, it does not put it on record: the weather outside is no temperature at the vent.
    """

    name: Phrase
    by: Clues
    ask: Phrase
    level: Requirement = "must"
    aside: bool = False


class StepRule(Entry):
    """One step that a job calls for.

    `only_if`: the step is asked only where this holds. `must_if`: a should that then is a must. `unless`: not asked.
    `met_by`: any of these puts it on record. `values`: the numbers it needs as well. `replaces`: the module's step
    whose place it takes. `pieces`: only for these pieces of a job. `urgency`: what makes a gap pressing.
    `answered_by`: words that answer the step though it was not done. `after`, `before`: the order of the work.
    """

    id: Id
    label: Phrase
    level: Requirement
    urgency: Literal["safety", "money", "record"] = "record"
    only_if: Clues = ()
    must_if: Clues = ()
    unless: Clues = ()
    met_by: Clues = ()
    values: tuple[Value, ...] = ()
    answered_by: Clues = ()
    plausible: str | None = None
    after: Ids = ()
    before: Ids = ()
    replaces: Id | None = None
    pieces: Ids = ()
    axle: bool = False  # what is said of the other axle does not count
    ask: Phrase
    missing: str = ""
    source: Source = NO_SOURCE

    @model_validator(mode="after")
    def _sound(self) -> StepRule:
        if not self.met_by and not self.values:
            raise ValueError("no words can meet this step: give met_by or values")
        figures = [self.label, self.ask, self.missing, self.plausible or "", *(v.ask for v in self.values)]
        if "source" not in self.model_fields_set and any(_FIGURE.search(f) for f in figures):
            raise ValueError("a figure stands here without its source")
        return self


class Use(Entry):
    """A module's steps, in place. `when`: only then; `level` and `skip` change or leave out single steps."""

    use: Id
    when: Clues = ()
    level: dict[Id, Requirement] = Field(default_factory=dict)
    skip: Ids = ()
    always: Ids = ()  # steps whose `only_if` is known to hold in this job


def _which(item: Any) -> str:
    """A list of steps holds steps and uses of modules: told apart by `use`, so that an error names the right one."""
    return "use" if isinstance(item, Use) or (isinstance(item, dict) and "use" in item) else "step"


Item = Annotated[Annotated[StepRule, Tag("step")] | Annotated[Use, Tag("use")], Discriminator(_which)]


class Module(Entry):
    """Steps that many jobs share; on one sheet they are asked once."""

    id: Id
    title: Phrase
    steps: tuple[StepRule, ...]
    cautions: Ids = ()


class Piece(Entry):
    """A part of a job that a customer would read as its own line of work."""

    id: Id
    title: Phrase
    starts: Clues
    split: Literal["head"] | None = None  # a line for each part that was fitted


class BalanceRule(Entry):
    """What comes out is compared with what goes in. `within` is the play, as a share or an amount."""

    of: Ids
    within: str | None = None
    note: str = ""
    source: Source = NO_SOURCE

    @model_validator(mode="after")
    def _sourced(self) -> BalanceRule:
        if "source" not in self.model_fields_set and _FIGURE.search((self.within or "") + self.note):
            raise ValueError("a figure stands here without its source")
        return self


class Procedure(Entry):
    """A job type: what tells it from the others, what it is called, and the steps it calls for.

    `starts`: any of these, told as done, makes it a job. `unless`: not then. `part_of`: no line of its own where one of
    these jobs is told already, but for `own_work`. `heads`: the parts that name it, for `{parts}` in its title;
    `{axle}` and `{side}` come from where they sit. `plain`: the title where none of them was fitted. `covers`: further
    parts, fluids and readings that belong to it. For the general procedure (kind replacement) `heads` are kinds of seal
    that make a line by themselves: "oil pan gasket" does where `gasket` stands there, a bare "gasket" does not.
    """

    id: Id
    title: Phrase
    plain: Phrase | None = None
    kind: Literal["repair", "maintenance", "diagnosis", "replacement", "service"] = "repair"
    starts: Clues = ()
    unless: Clues = ()
    part_of: Ids = ()
    own_work: Clues = ()
    heads: Ids = ()
    covers: Ids = ()
    pieces: tuple[Piece, ...] = ()
    split: Literal["axle"] | None = None
    steps: tuple[Item, ...]
    renew: tuple[Phrase, ...] = ()
    fluids: tuple[Phrase, ...] = ()
    balance: tuple[BalanceRule, ...] = ()
    cautions: Ids = ()
    who: Phrase
    source: Source = NO_SOURCE


class Reasons(Entry):
    """Words that make "not done" an answer, and words that make it an omission."""

    because: Clues = ()
    omitted: Clues = ()


class ProceduresFile(Entry):
    """`groups` are words that many phrases share: `<off>` in a phrase stands for any of the group `off`."""

    groups: dict[Id, tuple[str, ...]] = Field(default_factory=dict)
    modules: tuple[Module, ...] = ()
    jobs: tuple[Procedure, ...] = ()
    reasons: Reasons | None = None


class CautionRule(Entry):
    """A caution, who says so, and the words that call for it where no job does."""

    id: Id
    text: Annotated[str, Field(min_length=10, max_length=700)]
    source: Source
    when: Clues = ()
    always: bool = False


class CautionsFile(Entry):
    cautions: tuple[CautionRule, ...]
