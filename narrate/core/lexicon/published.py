"""The shape of common/limits.yaml: limits that somebody published, and what is known of batteries at rest."""

from __future__ import annotations

from fractions import Fraction
from typing import Annotated

from pydantic import StringConstraints

from narrate.core.lexicon.schema import Entry, Id, Phrase

Figure = Annotated[str, StringConstraints(pattern=r"^-?\d+(\.\d+)?(/\d+)?$")]


class PublishedLimit(Entry):
    """One limit: `min`, `max` or both in `unit`. `of`: readings, or parts where `what` names the kind of reading.

    `near`: only where one of these words stands beside the figure, nearer than any of `not_near`. `dealt_by`: parts
    which, renewed, recommended or declined, answer a figure outside of it. `family`: limits of one table, of which only
    that whose words stand nearest to the figure binds it.
    """

    id: Id
    of: tuple[Id, ...]
    what: tuple[str, ...] = ()
    trades: tuple[Id, ...] = ()
    near: tuple[Phrase, ...] = ()
    not_near: tuple[Phrase, ...] = ()
    min: Figure | None = None
    max: Figure | None = None
    unit: str
    set_by: Phrase
    source: Phrase
    dealt_by: tuple[Id, ...] = ()
    urgency: Phrase = "money"
    family: Id | None = None

    @property
    def low(self) -> Fraction | None:
        return None if self.min is None else Fraction(self.min)

    @property
    def high(self) -> Fraction | None:
        return None if self.max is None else Fraction(self.max)

    def __str__(self) -> str:
        unit = "/32 in" if self.unit == "32nds" else f" {self.unit}"
        if self.max is None:
            return f"at least {_mixed(self.min)}{unit}"
        return f"at most {_mixed(self.max)}{unit}" if self.min is None else f"{self.min} to {self.max}{unit}"


def _mixed(figure: str | None) -> str:
    """ "7/4" as a rule is read: 1 3/4."""
    if figure is None or "/" not in figure or Fraction(figure) < 1:
        return figure or ""
    whole, rest = divmod(Fraction(figure), 1)
    return f"{whole} {rest}" if rest else str(whole)


class ChargePoint(Entry):
    volts: Figure
    percent: Figure


class AtRest(Entry):
    """Open-circuit voltage of a 12 V lead-acid battery against its charge, most first; `play` in volts."""

    of: tuple[Id, ...]
    rested: tuple[Phrase, ...]  # words that tell that it was at rest
    play: Figure
    points: tuple[ChargePoint, ...]
    source: Phrase


class VacuumRules(Entry):
    """How a hold is judged. `rise` in inHg a `per` minutes; `stays` and `dry` in microns."""

    of: tuple[Id, ...]  # jobs' readings that are an evacuation, and no manifold vacuum
    rise: Figure
    per: Figure
    rise_source: Phrase
    stays: Figure
    stays_source: Phrase
    pump: Phrase
    altitude_words: tuple[Phrase, ...]
    hold_words: tuple[Phrase, ...]
    rise_words: tuple[Phrase, ...]


class PressureRules(Entry):
    """Which readings are which, the play of gauges and thermometers, and CoolProp's names of the refrigerants."""

    static: tuple[Id, ...]
    static_words: tuple[Phrase, ...]
    test: tuple[Id, ...]
    test_words: tuple[Phrase, ...]
    ambient: tuple[Id, ...]
    play: Figure
    play_source: Phrase
    high: Figure
    high_source: Phrase
    compensation: Phrase
    saturation: Phrase
    superheat: tuple[Id, ...]
    subcooling: tuple[Id, ...]
    vapour: tuple[Id, ...]
    liquid: tuple[Id, ...]
    vapour_line: tuple[Id, ...]
    liquid_line: tuple[Id, ...]
    difference: Figure
    difference_source: Phrase
    fluids: dict[Id, Phrase]


class LimitsFile(Entry):
    axles: tuple[tuple[Phrase, ...], ...] = ()  # words of one axle each, in one word
    limits: tuple[PublishedLimit, ...]
    at_rest: AtRest
    vacuum: VacuumRules
    pressure: PressureRules
