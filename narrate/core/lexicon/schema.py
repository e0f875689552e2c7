"""The shape of each lexicon file, as pydantic models: unknown keys are refused, every scalar is read as text.

`FILES` maps a file's name (or its folder's) to its model. A trade's folder holds trade.yaml, components/*.yaml,
fluids.yaml, readings.yaml, vehicles.yaml, cautions.yaml and procedures/*.yaml; common/ holds what every trade shares.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, StringConstraints

Id = Annotated[str, StringConstraints(pattern=r"^[a-z0-9]+(-[a-z0-9]+)*$")]
Phrase = Annotated[str, StringConstraints(min_length=1, max_length=200)]
Source = Annotated[str, StringConstraints(min_length=3)]


class Entry(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)  # most starts only read what is kept


class Example(Entry):
    """What is heard, and the id that must be found in it (`none`: nothing of this entry)."""

    hear: Phrase
    find: str


class Thing(Entry):
    """A part, fastener, tool, place or fluid of the trade, and how it is said.

    `within` names wider ids that this one belongs to (`crush-washer` within `seal`); a step that asks for the wider
    one is met by the narrower. `usually` is what a short name is of where the words tell of nothing else: a bare belt is
    a drive belt. `sold_as` tells what a bare plural means: pads come as a set.
    """

    id: Id
    name: Phrase
    say: tuple[Phrase, ...] = Field(min_length=1)
    heard_as: tuple[Phrase, ...] = ()
    unless: tuple[Phrase, ...] = ()
    kind: Literal["part", "fastener", "seal", "consumable", "assembly", "tool", "place", "system", "fluid"] = "part"
    sold_as: Literal["each", "set", "pair"] = "each"
    within: tuple[Id, ...] = ()
    usually: Id | None = None
    source: Source = "common practice, no source"
    examples: tuple[Example, ...] = ()


class Fluid(Thing):
    """A fluid or bulk material. `ounce` says what a bare ounce of it is; `unit` what a bare number of it means."""

    kind: Literal["fluid"] = "fluid"
    ounce: Literal["mass", "volume"] = "volume"
    unit: str | None = None
    carry: bool = True  # an amount that names no fluid may be of it, where it was named before
    moves: bool = True  # amounts of it stand in the fluid ledger; grease and sealant are materials
    grades: tuple[Phrase, ...] = ()  # names that follow or replace it ("pag forty six"): no quantities


class ComponentsFile(Entry):
    """components/*.yaml: one system of the trade a file."""

    system: Phrase
    parts: tuple[Thing, ...]


class FluidsFile(Entry):
    fluids: tuple[Fluid, ...]


class Subject(Entry):
    """Something that is read, set or timed: what kind of reading, and what a bare number of it means.

    `plausible` is a range outside of which the reading was probably misheard; it is never a pass or a fail.
    """

    id: Id
    name: Phrase
    what: Literal[
        "pressure", "vacuum", "temperature", "torque", "duration", "voltage", "current", "resistance", "thickness",
        "length", "clearance", "angle", "speed", "mass", "level", "percent", "count-turns", "capacitance",
    ]
    say: tuple[Phrase, ...] = Field(min_length=1)
    heard_as: tuple[Phrase, ...] = ()
    unless: tuple[Phrase, ...] = ()
    unit: str | None = None
    plausible: str | None = None  # "5..31 inHg"
    of: tuple[Id, ...] = ()  # things whose mention may stand for this subject (tire -> tire pressure)
    told_of: tuple[Id, ...] = ()  # things of which a plausible value of this kind is this reading (tire 3/32 -> tread)
    held: Id | None = None  # what a time is of that is told of it behind "held" ("evacuated 45 min, held 10")
    kin: tuple[Id, ...] = ()  # readings of other kinds that the same words lead in ("cranks at 165 A, 210 rpm")
    source: Source = "common practice, no source"
    examples: tuple[Example, ...] = ()


class ReadingsFile(Entry):
    readings: tuple[Subject, ...]


class Verb(Entry):
    """An act and how it is said. `say` holds base forms; the other forms are made by rule or listed in `forms`.

    `particles` are the words that must stand near for the act to be meant ("put ... in"). `moves` tells which way a
    fluid goes; `fits` that the thing acted on is a part fitted; `keeps` that what is said of it is that it stays.
    """

    id: Id
    name: Phrase
    say: tuple[Phrase, ...] = Field(min_length=1)
    forms: tuple[Phrase, ...] = ()
    nouns: tuple[Phrase, ...] = ()  # said as a noun: "recharge", "road test"
    particles: tuple[Phrase, ...] = ()
    unless: tuple[Phrase, ...] = ()
    moves: Literal["in", "out"] | None = None
    fits: bool = False
    fits_unless: tuple[Phrase, ...] = ()  # words behind it with which nothing new goes in: "swapped it over to ..."
    removes: bool = False
    undoes: bool = False  # takes loose, and nothing off: told of a wire or a pipe, it is the work and no fault
    keeps: bool = False
    shifts: bool = False  # what it is done to changes places, and was there before ("rotated the tires")
    speaks: bool = False  # only talk of the thing, or a look for it: however new, nothing is fitted by it
    looks: bool = False  # a look or a test: done, whatever was then declined of what it found
    bare: bool = False  # done to the whole: what was named before it is no object of it
    loose: bool = False  # said of much else: an act only where a fluid is its object ("took", "went in")
    becomes: Id | None = None  # the verb that it then is
    source: Source = "common practice, no source"
    examples: tuple[Example, ...] = ()


class ActionsFile(Entry):
    irregular: dict[str, tuple[Phrase, ...]] = {}  # base form -> its other forms
    shorthand: dict[str, tuple[Phrase, ...]] = {}  # base form -> how notes shorten it, read as past
    actions: tuple[Verb, ...]


class Cue(Entry):
    """Words that decide a statement's state: which, in what direction, how far, and what ends their reach."""

    id: Id
    state: Literal["done", "planned", "not_done", "advice", "elsewhere", "retracted", "hedged", "reset"]
    say: tuple[Phrase, ...] = Field(min_length=1)
    direction: Literal["forward", "backward", "both", "clause", "sentence"] = "clause"
    kind: str = ""
    unless: tuple[Phrase, ...] = ()
    why: str = ""
    source: Source = "common practice, no source"
    examples: tuple[Example, ...] = ()


class CuesFile(Entry):
    cues: tuple[Cue, ...]


class Words(Entry):
    """A named list of words or phrases (fillers, clause openers, positions ...)."""

    id: Id
    say: tuple[Phrase, ...]
    unless: tuple[Phrase, ...] = ()
    value: str = ""
    why: str = ""


class WordsFile(Entry):
    words: tuple[Words, ...]


class TradeFile(Entry):
    id: Id
    title: Phrase
    extends: tuple[Id, ...] = ()
    without: tuple[Id, ...] = ()  # job types of the trades it extends that this one has not
    unit_under_work: Literal["vehicle", "machine", "system"] = "vehicle"
    tell_by: tuple[Phrase, ...] = ()  # words that tell this trade from the others
    moves_by: dict[str, Id] = {}  # verb id, or "unit:oz", -> the fluid that it speaks of by itself
    holds: dict[str, Id] = {}  # thing id, wider id or system -> the fluid in it
    source: Source = "common practice, no source"


class Make(Entry):
    id: Id
    name: Phrase
    say: tuple[Phrase, ...] = ()
    heard_as: tuple[Phrase, ...] = ()
    models: tuple[Phrase, ...] = ()
    heard_models: dict[str, tuple[Phrase, ...]] = {}  # model -> other ways it is said or misheard


class VehiclesFile(Entry):
    makes: tuple[Make, ...]
