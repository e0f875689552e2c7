"""The rules of common/vague.yaml, read once: what vague words leave possible, and by what words a limit is told."""

from __future__ import annotations

from fractions import Fraction
from functools import lru_cache

from narrate.core.handoffs import Quantity
from narrate.core.intervals import Interval
from narrate.core.lexicon.load import lexicon_root, read_model
from narrate.core.lexicon.vague import VagueFile
from narrate.core.units import scale


@lru_cache(maxsize=1)
def vague_rules() -> VagueFile:
    return read_model(lexicon_root() / "common" / "vague.yaml", VagueFile)


def interval_of(quantity: Quantity) -> Interval:
    """What the words leave possible, in SI: the ends as said, wider where they were vague or only a bound.

    For amounts, which lie at or above zero. A temperature is no amount: its scale's offset is not heeded here.
    """
    here = scale(quantity.unit)
    said = Interval(quantity.low * here.factor, quantity.high * here.factor)
    if quantity.bound == "under":
        if quantity.approximate:  # "just shy of half a quart": a little less, and not anything down to nothing
            return Interval(said.low * (1 - Fraction(vague_rules().approximate)), said.high)
        return Interval(Fraction(0), said.high)
    if quantity.bound == "over":
        return Interval(said.low, None)
    return said.wider(Fraction(vague_rules().approximate)) if quantity.approximate else said
