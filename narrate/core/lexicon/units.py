"""The shape of common/units.yaml and common/numbers.yaml, as pydantic models; every scalar arrives as text."""

from __future__ import annotations

from fractions import Fraction
from typing import Annotated

from pydantic import Field, StringConstraints, model_validator

from narrate.core.lexicon.schema import Entry, Id, Phrase, Source

Code = Annotated[str, StringConstraints(min_length=1, max_length=12)]
Exact = Annotated[str, StringConstraints(pattern=r"^-?\d+(\.\d+)?([*/]\d+(\.\d+)?)*$")]


def exact(text: str) -> Fraction:
    """ "0.3048*4.4482216152605" or "101325/760" as a Fraction: decimals joined by * and /, from left to right."""
    value, sign, figure = Fraction(1), "*", ""
    for char in f"{text}*":
        if char not in "*/":
            figure += char
            continue
        value = value * Fraction(figure) if sign == "*" else value / Fraction(figure)
        sign, figure = char, ""
    return value


class Dimension(Entry):
    id: Id
    si: Code


class Unit(Entry):
    """One unit: `factor` (and for temperatures `offset`) take a value to the SI unit of its dimension."""

    code: Code
    of: Id
    factor: Exact
    offset: Exact = "0"
    exact: bool = True
    ucum: str
    name: Phrase
    source: Source
    sign: str | None = None  # how it is printed behind a figure, where that is not its code
    say: tuple[Phrase, ...] = ()
    loose: tuple[Phrase, ...] = ()  # spellings that are words too: only straight after figures
    article: bool = False  # "a pint" is one pint
    container: bool = False
    count: bool = False
    vacuum: bool = False
    distance: bool = False
    tread: bool = False


class Sense(Entry):
    """One meaning of an ambiguous word: the unit, the words near which it is meant, and the range it can have."""

    unit: Code
    near: tuple[Phrase, ...] = ()
    after: tuple[Phrase, ...] = ()  # straight behind the unit, and nowhere else
    low: Exact | None = None
    high: Exact | None = None


class Ambiguous(Entry):
    say: tuple[Phrase, ...] = Field(min_length=1)
    default: Code
    fluid: bool = False  # the nearest fluid decides ("three ounces of pag")
    of_fluid: Code | None = None  # the unit where a fluid stands behind it: "fifty mil of fluid"
    article: bool = False
    large: Code | None = None  # the default from `large_from` on: forty pounds with no word near are of pressure
    large_from: Exact = "0"
    senses: tuple[Sense, ...] = Field(min_length=1)


class Compound(Entry):
    big: Code
    small: Code
    most: Exact
    alone: bool = False


class UnitsFile(Entry):
    dimensions: tuple[Dimension, ...]
    units: tuple[Unit, ...]
    ambiguous: tuple[Ambiguous, ...] = ()
    compounds: tuple[Compound, ...] = ()

    @model_validator(mode="after")
    def _one_place_each(self) -> UnitsFile:
        dimensions = {d.id for d in self.dimensions}
        codes: set[str] = set()
        owner: dict[str, str] = {}
        for unit in self.units:
            if unit.of not in dimensions:
                raise ValueError(f"the unit {unit.code} is of an unknown dimension, {unit.of}")
            if unit.code in codes:
                raise ValueError(f"the unit {unit.code} stands twice")
            codes.add(unit.code)
            for phrase in (*unit.say, *unit.loose):
                if owner.setdefault(phrase, unit.code) != unit.code:
                    raise ValueError(f"“{phrase}” is claimed by {owner[phrase]} and by {unit.code}")
        for word in self.ambiguous:
            for phrase in word.say:
                if phrase in owner:
                    raise ValueError(f"“{phrase}” is claimed by {owner[phrase]} and is ambiguous")
                owner[phrase] = word.default
            for code in (word.default, *(s.unit for s in word.senses)):
                if code not in codes:
                    raise ValueError(f"an ambiguous word names the unknown unit {code}")
        for pair in self.compounds:
            if not {pair.big, pair.small} <= codes:
                raise ValueError(f"a compound names an unknown unit: {pair.big}, {pair.small}")
        return self


class Spoken(Entry):
    """Number words: what each is worth. `small` are 0-19, `tens` 20-90, `scales` hundred and up."""

    small: dict[str, str]
    tens: dict[str, str]
    scales: dict[str, str]
    nought: tuple[Phrase, ...]  # said for 0 inside a number only
    heard: dict[str, str]  # misheard or misspelt -> the word meant
    parts: dict[str, str]  # "eighth" -> 8
    idioms: dict[str, str]  # "a couple" -> 2
    quartered: tuple[Phrase, ...] = ()  # a part that is called by a fraction: a quarter panel


class LabelRule(Entry):
    """A number that names something: `kind` of name, the words straight before or after it, and their limits."""

    kind: Id
    before: tuple[Phrase, ...] = ()
    after: tuple[Phrase, ...] = ()
    values: tuple[str, ...] = ()  # only these
    most: Exact | None = None
    least: Exact | None = None
    unless_unit: bool = True  # a unit after the number makes it a quantity all the same
    more: bool = False  # "cylinders 1 and 4": the rule reaches along a list
    why: str = ""


class Rating(Entry):
    """A nominal figure that belongs to a thing's name: "12 V battery", "15 amp fuse"."""

    units: tuple[Code, ...]
    nouns: tuple[Phrase, ...] = ()  # straight after the figure
    before: tuple[Phrase, ...] = ()  # before it: "rated at", "its tag says"
    unless: tuple[Phrase, ...] = ()  # near it: then it was measured
    values: tuple[str, ...] = ()
    why: str = ""


class Frame(Entry):
    """Words beside a bare number that tell its unit: "torqued to 80"."""

    id: Id
    unit: Code
    before: tuple[Phrase, ...] = ()
    after: tuple[Phrase, ...] = ()
    near: tuple[Phrase, ...] = ()
    least: Exact | None = None
    most: Exact | None = None
    both: bool = False  # a word before and one after are asked for
    rank: Annotated[int, Field(ge=1, le=3)] = (
        1  # 1 before all else, 2 behind what is named, 3 last of all: its words are common ones
    )
    decimal: bool = False  # only of a value with decimals
    parts: bool = False  # of a bare fraction too ("an eighth of play")
    reach: int = 24  # how far off the words of `near` may stand
    never: tuple[Phrase, ...] = ()  # straight behind it: then it is something else
    why: str = ""


class Alternative(Entry):
    """The unit of a bare value that makes no sense in the subject's own: a gap of 41 is told in thousandths."""

    unit: Code
    other: Code
    subjects: tuple[Id, ...] = ()  # only of these
    least: Exact | None = None  # limits of its own, where the scales cannot be converted (gauge and absolute vacuum)
    most: Exact | None = None
    decimal: bool = False  # only of a value told with decimals: "two on the front" is a count
    why: str = ""


class ToldAgain(Entry):
    """A value with decimals that is told first with its unit and then without: "12.6 volts ... now it's 14.4"."""

    unit: Code
    least: Exact
    most: Exact
    source: str
    why: str = ""


class WordList(Entry):
    id: Id
    say: tuple[Phrase, ...]
    why: str = ""


class NumbersFile(Entry):
    spoken: Spoken
    lists: tuple[WordList, ...] = ()
    labels: tuple[LabelRule, ...] = ()
    ratings: tuple[Rating, ...] = ()
    frames: tuple[Frame, ...] = ()
    alternatives: tuple[Alternative, ...] = ()
    told_again: tuple[ToldAgain, ...] = ()
    gases: dict[str, tuple[str, ...]]  # designation -> letters said behind it
    threads: dict[str, tuple[str, ...]]  # inch size -> its pitches
