"""Everything that can be reckoned from one narrative's figures: balances, verdicts and the questions that they raise."""

from __future__ import annotations

from dataclasses import dataclass, field

from narrate.core.handoffs import Facts
from narrate.core.lexicon.lexicon import Lexicon
from narrate.core.records import Balance, Gap
from narrate.reckon.ledgers import Evidencer
from narrate.reckon.reconcile.balances import balance_fluids


@dataclass(frozen=True, slots=True)
class Sums:
    """What the figures of one narrative come to."""

    balances: tuple[Balance, ...] = ()
    gaps: tuple[Gap, ...] = ()


def do_sums(facts: Facts, lexicon: Lexicon, quote: Evidencer) -> Sums:
    """Every sum that the words allow; what cannot be told is told as that, and nothing is mended."""
    balances, gaps = balance_fluids(facts, lexicon, quote)
    return Sums(balances, tuple(gaps))
