"""Which trade a narrative belongs to, told from the words that only that trade uses."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from pathlib import Path

from narrate.core.handoffs import Token
from narrate.core.lexicon.load import lexicon_root, read_kept, trades
from narrate.core.lexicon.schema import TradeFile
from narrate.core.tokens import phrase_keys

DEFAULT_TRADE = "light-vehicle"


@lru_cache(maxsize=8)
def _tellers(more: tuple[Path, ...]) -> tuple[tuple[str, frozenset[tuple[str, ...]]], ...]:
    """For each trade, the phrases that tell it, as keys of tokens."""
    out = []
    for trade in trades(more):
        phrases: set[tuple[str, ...]] = set()
        for root in (lexicon_root(), *more):
            path = root / "trades" / trade / "trade.yaml"
            if path.is_file():
                phrases |= set(map(phrase_keys, read_kept(path, TradeFile).tell_by))
        out.append((trade, frozenset(phrases)))
    return tuple(out)


def tell_trade(tokens: Sequence[Token], more: tuple[Path, ...] = ()) -> str:
    """The trade with the most of its own phrases in the words; a narrative that names none is a light vehicle's."""
    keys = [t.key for t in tokens]
    said: dict[int, set[tuple[str, ...]]] = {}
    best, most = DEFAULT_TRADE, 0
    for trade, phrases in _tellers(more):
        found: set[tuple[str, ...]] = set()
        for size in {len(p) for p in phrases}:
            if size not in said:
                said[size] = {tuple(keys[i : i + size]) for i in range(len(keys) - size + 1)}
            found |= phrases & said[size]
        count = len(found)
        if count > most or (count == most and count and trade == DEFAULT_TRADE):
            best, most = trade, count
    return best
