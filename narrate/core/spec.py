"""A specification file: limits for a vehicle or for one job, each with who set it, and the shop's own words for sides.

    title: 2014 pickup, 4.0 litre
    vehicle: {plate: "8ABC123"}            # only for this one; left away, for every sheet it is given to
    source: label under the hood           # who says so, where a limit does not say it itself
    specs:
      - {of: refrigerant, nominal: 28, tolerance: 0.5, unit: oz}
      - {of: compressor-oil, min: 7, max: 8, unit: floz, source: the maker's service information}
      - {of: brake-pad, min: 3, unit: mm, source: our own rule}
      - {words: bracket bolt, what: torque, min: 60, max: 70, unit: ftlb, source: the maker's service information}
    sides:
      left: [street side, near side]

`of` is an id of the lexicon: a fluid (its total that went in, or with `direction: out` came out), a part or a reading;
`words` are words of the subject as said. Limits are exact; both ends are within. Nothing is held to a limit that nobody
set: a plausible range of the lexicon is none.
"""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path
from typing import Annotated, Literal

from pydantic import Field, StringConstraints, model_validator

from narrate.core.lexicon.lexicon import Lexicon
from narrate.core.lexicon.load import read_model
from narrate.core.lexicon.plain_yaml import Fault, place_of
from narrate.core.lexicon.schema import Entry, Id, Phrase, Source
from narrate.core.units import known, with_unit

Figure = Annotated[str, StringConstraints(pattern=r"^-?\d+(\.\d+)?(/\d+)?$")]


class Limit(Entry):
    """One limit: `min`, `max` or both, or `nominal` with its `tolerance`, in `unit` (a code of units.yaml)."""

    of: Id | None = None
    words: Phrase | None = None
    what: str | None = None  # the kind of reading, where a part has several: torque, thickness ...
    side: Phrase | None = None  # only there: left front
    direction: Literal["in", "out"] = "in"
    each: bool = False  # of a fluid: every amount by itself, and not the total
    min: Figure | None = None
    max: Figure | None = None
    nominal: Figure | None = None
    tolerance: Figure | None = None
    unit: str
    source: Source | None = None

    @model_validator(mode="after")
    def _sound(self) -> Limit:
        if (self.of is None) == (self.words is None):
            raise ValueError("a limit is of one thing: give `of` (an id) or `words`, and not both")
        if not known(self.unit):
            raise ValueError(f"the unit “{self.unit}” is not known: see “narrate lexicon show units”")
        if (self.nominal is None) != (self.tolerance is None):
            raise ValueError("`nominal` and `tolerance` go together: how far off may it be?")
        if self.nominal is None and self.min is None and self.max is None:
            raise ValueError("no limit stands here: give `min`, `max`, or `nominal` with its `tolerance`")
        if self.nominal is not None and (self.min is not None or self.max is not None):
            raise ValueError("give `nominal` with its `tolerance`, or `min` and `max`")
        low, high = self.low, self.high
        if low is not None and high is not None and low > high:
            raise ValueError("the limit ends before it begins")
        return self

    @property
    def low(self) -> Fraction | None:
        if self.nominal is not None and self.tolerance is not None:
            return Fraction(self.nominal) - Fraction(self.tolerance)
        return None if self.min is None else Fraction(self.min)

    @property
    def high(self) -> Fraction | None:
        if self.nominal is not None and self.tolerance is not None:
            return Fraction(self.nominal) + Fraction(self.tolerance)
        return None if self.max is None else Fraction(self.max)

    def __str__(self) -> str:
        """ "at least 3 mm", "27.5 to 28.5 oz"."""
        if self.nominal is not None:
            return with_unit(f"{self.nominal} ± {self.tolerance}", self.unit)
        if self.max is None:
            return "at least " + with_unit(str(self.min), self.unit)
        most = with_unit(str(self.max), self.unit)
        return f"at most {most}" if self.min is None else f"{self.min} to {most}"


class ForVehicle(Entry):
    """Which vehicle a file is for; any of them, compared without blanks and capitals."""

    vin: str | None = None
    plate: str | None = None
    unit_number: str | None = None


class SpecFile(Entry):
    title: Phrase | None = None
    vehicle: ForVehicle | None = None
    trades: tuple[Id, ...] = ()  # only for these; left away, for any
    source: Source | None = None
    specs: tuple[Limit, ...] = ()
    sides: dict[str, tuple[Phrase, ...]] = Field(default_factory=dict)

    def source_of(self, limit: Limit) -> str:
        return limit.source or self.source or ""


def check_spec(path: Path, file: SpecFile, lexicon: Lexicon) -> None:
    """Refuse a limit of something that the trade's lexicon does not hold; NarrateError with its place."""
    if file.trades and lexicon.id not in file.trades:
        return
    known = lexicon.things.keys() | lexicon.subjects.keys()
    for number, limit in enumerate(file.specs):
        if limit.of is not None and limit.of not in known:
            from difflib import get_close_matches

            near = get_close_matches(limit.of, known, n=1)
            remedy = f"Did you mean “{near[0]}”?" if near else f"“narrate lexicon show {limit.of}” looks for words."
            what = f"there is no part, fluid or reading “{limit.of}” in {lexicon.title}."
            raise Fault(path, *place_of(path, ("specs", number, "of")), what, remedy).error()


def read_spec(path: Path) -> SpecFile:
    """One file. NarrateError names file, line, column, what is wrong and a remedy."""
    file = read_model(path, SpecFile)
    for number, limit in enumerate(file.specs):
        if not file.source_of(limit):
            line, column = place_of(path, ("specs", number))
            what = f"the limit of “{limit.of or limit.words}” has no source, and the file names none."
            raise Fault(path, line, column, what, "Add source: and who set it.").error()
    return file
