"""Rule packs: what a paper has to hold, by whom, as data. One file a pack in common/rules/.

A rule says in our own words what its source asks for, and names the facts that show whether a record has it. Packs are
switched on by name, for a sheet, an invoice, or both. They help a person to see what is missing; they are no legal
advice, and the law in force governs.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache
from pathlib import Path
from typing import Literal

from pydantic import Field, model_validator

from narrate.core.findings import NarrateError
from narrate.core.lexicon.load import lexicon_root, read_kept, read_model
from narrate.core.lexicon.procedures import Clues, Ids
from narrate.core.lexicon.schema import Entry, Id, Phrase, Source
from narrate.core.records import Requirement

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
    """One requirement. It is met where all `needs`, `readings` and `amounts` are on record, and, where `steps` or
    `met_by` stand, one of these steps of a job is recorded or one of these clues is told as done.

    `vague` lists descriptions that do not suffice by themselves. `ask` is the technician's question.
    """

    id: Id
    requires: str = Field(min_length=10, max_length=400)
    level: Requirement = "must"
    needs: tuple[Need, ...] = ()
    readings: tuple[Wanted, ...] = ()
    amounts: tuple[Moved, ...] = ()
    steps: Ids = ()
    met_by: Clues = ()
    vague: tuple[Phrase, ...] = ()
    when: When | None = None
    ask: Phrase | None = None
    source: Source
    edition: str = Field(min_length=4, max_length=200)

    @model_validator(mode="after")
    def _checks_something(self) -> Rule:
        if not (self.needs or self.readings or self.amounts or self.steps or self.met_by or self.vague):
            raise ValueError("checks nothing: give needs, readings, amounts, steps, met_by or vague")
        if (self.steps or self.met_by) and self.ask is None:
            raise ValueError("a rule that words of its own can meet has to say how it is asked: give ask")
        return self


class Pack(Entry):
    """One pack: the rules of one place or body. `trades`: only for notes of these; left away, for any.

    `groups` are words that phrases of `met_by` share, as in procedures.
    """

    id: Id
    title: Phrase
    place: Phrase
    trades: Ids = ()
    groups: dict[Id, tuple[str, ...]] = Field(default_factory=dict)
    rules: tuple[Rule, ...] = Field(min_length=1)


class Asked(Entry):
    """How a technician is asked for a need, and the step of a job that asks for the same."""

    id: Need
    asks: Phrase
    step: Id | None = None


class NeedsFile(Entry):
    """common/needs.yaml."""

    needs: tuple[Asked, ...]


@lru_cache(maxsize=1)
def needs_asked() -> dict[str, Asked]:
    """What a technician can be asked for, by need."""
    file = read_kept(lexicon_root() / "common" / "needs.yaml", NeedsFile)
    return {asked.id: asked for asked in file.needs}


def pack_files(more: Iterable[Path] = ()) -> dict[str, Path]:
    """Every pack by its id, with its file; a shop's own (common/rules/ or rules/ of its folders) over ours."""
    found: dict[str, Path] = {}
    for root in (lexicon_root(), *more):
        for folder in (root / "common" / "rules", root / "rules"):
            found |= {path.stem: path for path in sorted(folder.glob("*.yaml"))}
    return dict(sorted(found.items()))


def packs(more: Iterable[Path] = ()) -> tuple[str, ...]:
    """The ids of all packs."""
    return tuple(pack_files(more))


@lru_cache(maxsize=32)
def read_pack(name: str, more: tuple[Path, ...] = ()) -> Pack:
    """A pack by its id; NarrateError where there is none."""
    files = pack_files(more)
    if name not in files:
        raise NarrateError(f"no rule pack is called “{name}”.", remedy=f"There are: {', '.join(files)}.")
    pack = read_model(files[name], Pack)
    if pack.id != name:
        raise NarrateError(f"the pack in this file is called “{pack.id}”.", where=str(files[name]),
                           remedy="Give the file and the pack one name.")  # fmt: skip
    return pack
