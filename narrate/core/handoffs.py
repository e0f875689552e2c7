"""What one stage hands the next, as frozen values.

Words come in as a Passage, become Tokens, the lexicon's Hits and Quantities are found on them, Clauses carry the state
of what they tell, and Facts is everything that was told, ready to be reckoned. Places are token indexes (`first`
included, `last` excluded) until they leave as evidence, when they become character offsets into the narrative.
"""

from __future__ import annotations

from dataclasses import field
from datetime import date
from fractions import Fraction
from typing import ClassVar, Literal

from narrate.core.records import Condition, DeferredKind, Direction, FindingKind, Notice, State
from narrate.core.values import value_class


class Gap(int):
    """What stands before a token, weakest first: the break that a reader would hear there.

    No enumeration, because each stage asks for these at each token: to read a member of one takes Python 3.11 ten times
    as long as to read a plain attribute.
    """

    GLUED: ClassVar[Gap]
    SPACE: ClassVar[Gap]
    SOFT: ClassVar[Gap]  # the end of a wrapped line: no break at all
    PAUSE: ClassVar[Gap]  # the end of a caption cue
    LINE: ClassVar[Gap]  # the end of a line that was ended on purpose, or a bullet
    PARAGRAPH: ClassVar[Gap]


Gap.GLUED, Gap.SPACE, Gap.SOFT, Gap.PAUSE, Gap.LINE, Gap.PARAGRAPH = map(Gap, range(6))


@value_class(frozen=True, slots=True)
class TimedSpan:
    """Characters `start` to `end` of the narrative were said from `from_s` to `to_s` seconds into the recording."""

    start: int
    end: int
    from_s: float
    to_s: float


@value_class(frozen=True, slots=True)
class Passage:
    """One narrative as intake hands it on: the text that every offset counts in, and where it came from."""

    narrative: str
    sha256: str
    kind: str = "text"
    name: str | None = None
    times: tuple[TimedSpan, ...] = ()
    pauses: tuple[int, ...] = ()  # character offsets at which a caption cue or a recognised segment begins
    notices: tuple[Notice, ...] = ()
    duration_s: float | None = None


@value_class(frozen=True, slots=True)
class Token:
    """One word, number or mark. `low` is lower case with straight quotes; `key` is what phrases are matched by."""

    text: str
    low: str
    key: str
    start: int
    end: int
    gap: Gap


@value_class(frozen=True, slots=True)
class Hit:
    """A phrase of the lexicon found on tokens `first` to `last`; `layer` tells what kind of entry `id` is."""

    layer: str
    id: str
    first: int
    last: int


@value_class(frozen=True, slots=True)
class Quantity:
    """A value with its unit. `unit` is a code of units.yaml, `each` for a count, "" for a number with no unit known.

    `elided` marks a unit that was not said, and that the context gave. `replaced` holds the token spans of values
    that the speaker took back in favour of this one. `retracted` marks such a value itself.
    """

    low: Fraction
    high: Fraction
    unit: str
    first: int
    last: int
    approximate: bool = False
    bound: Literal["under", "over"] | None = None
    elided: bool = False
    retracted: bool = False
    replaced: tuple[tuple[int, int], ...] = ()
    of: str = ""  # the reading, by its id, that a heading over the value names


@value_class(frozen=True, slots=True)
class Label:
    """Words or figures that are no quantity: what they are (grade, number, code, date, clock, thread, drive, price
    ...) and what they say in normal form."""

    kind: str
    text: str
    first: int
    last: int


@value_class(frozen=True, slots=True)
class Clause:
    """A run of tokens that tells one thing, and in what state it was told; `cue` is the span that decided."""

    index: int
    first: int
    last: int
    state: State = "done"
    hedged: bool = False
    cue: tuple[int, int] | None = None
    rule: str = "told plainly"
    sentence: int = 0


Spans = tuple[tuple[int, int], ...]  # character spans into the narrative


@value_class(frozen=True, slots=True)
class Act:
    """An act said: `verb` is an id of actions.yaml, `thing` an id of the trade's components or fluids."""

    verb: str
    thing: str | None
    position: str | None
    state: State
    clause: int
    spans: Spans


@value_class(frozen=True, slots=True)
class Fitted:
    """A part or material fitted, or to be; `quantity` None where no count can be told."""

    thing: str
    name: str
    quantity: Fraction | None
    unit: str | None
    position: str | None
    condition: Condition | None
    number: str | None
    state: State
    clause: int
    spans: Spans


@value_class(frozen=True, slots=True)
class Moved:
    """An amount of fluid that went in or came out."""

    thing: str
    name: str
    direction: Direction
    quantity: Quantity
    state: State
    clause: int
    spans: Spans
    verb: str | None = None  # the act that told the direction


@value_class(frozen=True, slots=True)
class Measured:
    """A value measured, set or timed. `what` is the kind of reading, `subject` the words or name of what it is of;
    `thing` an id of the lexicon's readings, components or fluids where one is known."""

    what: str
    subject: str | None
    thing: str | None
    position: str | None
    quantity: Quantity
    state: State
    clause: int
    spans: Spans


@value_class(frozen=True, slots=True)
class Sized:
    """The size of a fastener, tool, thread or hose. `quantity` is None for a thread, a drive or a star size."""

    subject: str | None
    thing: str | None
    quantity: Quantity | None
    text: str
    clause: int
    spans: Spans


@value_class(frozen=True, slots=True)
class Noted:
    """Something complained of, found or seen."""

    kind: FindingKind
    clause: int
    spans: Spans
    things: tuple[str, ...] = ()


@value_class(frozen=True, slots=True)
class Deferral:
    """Work recommended, declined, planned or promised."""

    kind: DeferredKind
    clause: int
    spans: Spans
    things: tuple[str, ...] = ()


@value_class(frozen=True, slots=True)
class UnitUnderWork:
    """The vehicle, machine or system that the narrative is about; each field None unless said."""

    year: int | None = None
    make: str | None = None
    model: str | None = None
    vin: str | None = None
    vin_valid: bool | None = None
    odometer: Quantity | None = None
    engine_hours: Quantity | None = None
    plate: str | None = None
    unit_number: str | None = None
    work_date: date | None = None
    spans: dict[str, tuple[int, int]] = field(default_factory=dict)  # field name -> token span


@value_class(frozen=True, slots=True)
class Facts:
    """All that one narrative tells, merged: each thing once, with every place that says it.

    `keys` and `places` are made of the tokens once, for the many rules that look for phrases: the key of each token, and
    the tokens of each key.
    """

    narrative: str
    tokens: tuple[Token, ...]
    clauses: tuple[Clause, ...]
    clause_of: tuple[int, ...]  # token index -> clause index
    hits: tuple[Hit, ...]
    labels: tuple[Label, ...]
    acts: tuple[Act, ...]
    fitted: tuple[Fitted, ...]
    moved: tuple[Moved, ...]
    measured: tuple[Measured, ...]
    sized: tuple[Sized, ...]
    noted: tuple[Noted, ...]
    deferred: tuple[Deferral, ...]
    unit: UnitUnderWork
    labour: tuple[Measured, ...] = ()
    unknown: tuple[tuple[int, int], ...] = ()  # token spans
    quantities: tuple[Quantity, ...] = ()
    specified: tuple[Measured, ...] = ()  # what a label, a casting or a book was said to ask for; never read here
    keys: tuple[str, ...] = field(init=False, compare=False, repr=False)
    places: dict[str, list[int]] = field(init=False, compare=False, repr=False)

    def __post_init__(self) -> None:
        keys = tuple([token.key for token in self.tokens])
        places: dict[str, list[int]] = {}
        for at, key in enumerate(keys):
            places.setdefault(key, []).append(at)
        object.__setattr__(self, "keys", keys)
        object.__setattr__(self, "places", places)
