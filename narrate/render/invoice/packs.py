"""Rule packs: what a paper has to hold, by whom, as data. One file a pack in lexicon/common/rules/.

A rule says in our own words what its source asks for, and names the facts that show whether a draft has it. It helps a
person to see what is missing; it is no legal advice, and the law in force governs.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Literal

from pydantic import Field, model_validator

from narrate.core.findings import NarrateError
from narrate.core.lexicon.load import lexicon_root, read_model
from narrate.core.lexicon.schema import Entry, Id, Phrase, Source

Need = Literal[
    # filled in by the price book, or with a pen
    "shop-name", "shop-address", "shop-registration",
    # left to the pen: the draft keeps room for them
    "customer", "customer-phone", "invoice-number", "work-order-number", "invoice-date", "authorization", "signature",
    "odometer-out", "old-parts-offered", "statement",
    # said by the technician
    "work-date", "year", "make", "model", "vin", "plate", "plate-or-vin", "unit-number", "odometer", "technician",
    "complaint", "cause", "correction", "times",
    # every line
    "part-condition", "part-number", "part-price", "work-described", "work-priced", "labour-basis",
    "supplies-told",
    # the sums
    "parts-and-labour-apart", "subtotals", "tax-apart", "total",
]  # fmt: skip


class Wanted(Entry):
    """A reading that has to be on record: its kind, and words of which one stands in what it was read on."""

    what: Phrase
    says: tuple[Phrase, ...] = ()


class Moved(Entry):
    """An amount that has to be on record: patterns of the substance's id (`r-*`), and which way it went."""

    of: tuple[Phrase, ...]
    direction: Literal["in", "out"]


class When(Entry):
    """The rule is called for only where one of these was done: patterns of ids (`ac-*`) of jobs, fluids or parts."""

    jobs: tuple[Phrase, ...] = ()
    fluids: tuple[Phrase, ...] = ()
    parts: tuple[Phrase, ...] = ()


class Rule(Entry):
    """One requirement. `vague` lists descriptions that do not suffice by themselves."""

    id: Id
    requires: str = Field(min_length=10, max_length=400)
    needs: tuple[Need, ...] = ()
    readings: tuple[Wanted, ...] = ()
    amounts: tuple[Moved, ...] = ()
    vague: tuple[Phrase, ...] = ()
    when: When | None = None
    source: Source
    edition: str = Field(min_length=4, max_length=200)

    @model_validator(mode="after")
    def _checks_something(self) -> Rule:
        if not (self.needs or self.readings or self.amounts or self.vague):
            raise ValueError("checks nothing: give needs, readings, amounts or vague")
        return self


class Pack(Entry):
    """One pack: the rules of one place or body."""

    id: Id
    title: Phrase
    place: Phrase
    rules: tuple[Rule, ...] = Field(min_length=1)


def packs() -> tuple[str, ...]:
    """The ids of all packs."""
    return tuple(sorted(path.stem for path in (lexicon_root() / "common" / "rules").glob("*.yaml")))


@lru_cache(maxsize=32)
def read_pack(name: str) -> Pack:
    """A pack by its id; NarrateError where there is none."""
    if name not in packs():
        raise NarrateError(f"no rule pack is called “{name}”.", remedy=f"There are: {', '.join(packs())}.")
    return read_model(lexicon_root() / "common" / "rules" / f"{name}.yaml", Pack)
