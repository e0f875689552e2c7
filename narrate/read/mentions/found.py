"""One value while it is being settled: what was said, what is known of it so far."""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction
from typing import Literal

from narrate.core.lexicon.units import Ambiguous
from narrate.hear.speech.numbers import NumberRead
from narrate.read.mentions.unit_words import UnitRead


@dataclass(slots=True)
class Found:
    """One value while it is being settled. Tokens `first` to `last`; the number itself ends at `end`.

    `unit` is a code, or "" while none is known; `choice` the ambiguous word said; `said` whether a unit word was.
    `gone` marks one that was merged into another or turned out to be nothing.
    """

    low: Fraction
    high: Fraction
    first: int
    last: int
    end: int
    number: NumberRead
    unit: str = ""
    choice: Ambiguous | None = None
    said: bool = False
    container: bool = False
    elided: bool = False
    approximate: bool = False
    bound: Literal["under", "over"] | None = None
    retracted: bool = False
    replaced: tuple[tuple[int, int], ...] = ()
    ranged: bool = False
    gone: bool = False
    counted: bool = False  # "12x", "qty 2": a count by its mark
    size: bool = False
    of: str = ""  # the reading that a heading or a column's head names
    notes: list[str] = field(default_factory=list)

    @property
    def value(self) -> Fraction:
        return self.low

    def take(self, unit: UnitRead) -> None:
        """Settle the unit that was said behind the number."""
        self.unit, self.choice, self.said, self.last, self.container = (
            unit.code,
            unit.choice,
            True,
            unit.last,
            unit.container,
        )
