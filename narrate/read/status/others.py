"""Where another machine is spoken of: "that camry with the knuckle", "the one before this on a malibu".

A model that is not this unit's, named with an article or a possessive, takes its statement off this job.
"""

from __future__ import annotations

from collections.abc import Sequence

from narrate.core.handoffs import Hit, Token, UnitUnderWork
from narrate.core.lexicon.lexicon import Lexicon

_POINTS = frozenset(("the", "that", "a", "an", "another", "my", "his", "her", "their", "our", "these", "those", "this"))


def name_other_units(
    tokens: Sequence[Token], hits: Sequence[Hit], unit: UnitUnderWork, lexicon: Lexicon
) -> list[tuple[int, int]]:
    """Token spans that name another machine than `unit`; none where this one's name is not known."""
    if unit.model is None and unit.make is None:
        return []
    own = {i for first, last in unit.spans.values() for i in range(first, last)}
    nouns = {i for h in hits if h.layer in ("thing", "fluid") for i in range(h.first, h.last)}
    ours = {_plain(unit.model or ""), _plain(unit.make or "")}
    out = []
    for hit in hits:
        if hit.layer != "model" or hit.first == 0 or any(i in own or i in nouns for i in range(hit.first, hit.last)):
            continue
        said = " ".join(t.low for t in tokens[hit.first : hit.last])
        make, _, model = hit.id.partition(":")
        if said in lexicon.word_sets["ambiguous-model"] or {_plain(model), _plain(make)} & ours or len(said) < 4:
            continue
        before = tokens[hit.first - 1].low
        if before in _POINTS or before.endswith("'s") or before.isdigit():
            out.append((hit.first, hit.last))
    return out


def _plain(name: str) -> str:
    return "".join(c for c in name.lower() if c.isalnum()) or "-"
