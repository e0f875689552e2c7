"""The shape of common/vague.yaml: what vague values span, and how far apart a fluid's two sides may lie."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from narrate.core.lexicon.schema import Entry, Id, Phrase

NO_SOURCE = "common practice, no source"


class Share(Entry):
    """Words for a part of a whole ("half of", "most of") and what share they leave possible, as fractions."""

    say: tuple[Phrase, ...]
    low: Phrase
    high: Phrase
    why: Phrase = "the fraction itself"


class BalanceRule(Entry):
    """`within` is a percentage of the larger side or an amount ("2 floz"); `compare: no` says why none is made.

    `over`: how much more may go in than came out, where that is more than `within`. `parts`: what a new part takes up
    besides. `label`: how far the charge may lie from the label. `settled_by`: words that show the level to have been
    checked, so that a difference is shown and not asked about. `thinned_by`: what is mixed in, and counts as going in.
    """

    of: Id
    within: Phrase | None = None
    over: Phrase | None = None
    compare: Literal["yes", "no"] = "yes"
    why: Phrase
    parts: dict[Id, Phrase] = Field(default_factory=dict)
    label: Phrase | None = None
    settled_by: tuple[Phrase, ...] = ()
    settled_most: Phrase | None = None  # how much less may go in all the same, where the level was looked at
    thinned_by: Id | None = None  # what goes in beside it, and makes up the amount: water with coolant
    source: Phrase = NO_SOURCE


class VagueFile(Entry):
    approximate: Phrase
    nominal: Phrase
    reason: Phrase
    shares: tuple[Share, ...] = ()
    more: tuple[Phrase, ...] = ()  # what stands after a share of a further container: half of "another"
    label_words: tuple[Phrase, ...] = ()
    bearers: tuple[Phrase, ...] = ()  # what bears a printed amount, ...
    leads: tuple[Phrase, ...] = ()  # ... words that stand before its name, ...
    links: tuple[Phrase, ...] = ()  # ... words between it and the amount, ...
    holders: tuple[Phrase, ...] = ()  # ... and words before the amount that something holds
    minimum: tuple[Phrase, ...] = ()  # words before or after a figure that make it the least allowed
    maximum: tuple[Phrase, ...] = ()
    widely: tuple[Id, ...] = ()  # readings that may be many times their limit
    worn_larger: tuple[Id, ...] = ()
    balances: tuple[BalanceRule, ...]
