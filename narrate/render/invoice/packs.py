"""Rule packs for invoices: the packs of the lexicon (core/lexicon/rules.py), under the names that this room uses."""

from __future__ import annotations

from narrate.core.lexicon.rules import Moved, Need, Pack, Rule, Wanted, When, packs, read_pack

__all__ = ["Moved", "Need", "Pack", "Rule", "Wanted", "When", "packs", "read_pack"]
