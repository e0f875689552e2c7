"""The shape of common/vague.yaml: what vague values span, and how far apart a fluid's two sides may lie."""

from __future__ import annotations

from narrate.core.lexicon.schema import Entry, Id, Phrase


class BalanceRule(Entry):
    """`within` is a percentage of the larger side or an amount ("2 floz"); `compare: no` says why none is made."""

    of: Id
    within: Phrase | None = None
    compare: str = "yes"
    why: Phrase


class VagueFile(Entry):
    approximate: Phrase
    nominal: Phrase
    reason: Phrase
    balances: tuple[BalanceRule, ...]
