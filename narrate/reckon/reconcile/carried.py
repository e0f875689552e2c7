"""Which verbs are work that can be owed, out of common/carried.yaml."""

from __future__ import annotations

from functools import lru_cache

from narrate.core.lexicon.load import lexicon_root, read_model
from narrate.core.lexicon.schema import WordsFile


@lru_cache(maxsize=4)
def listed(name: str) -> frozenset[str]:
    """Ids of verbs: `talk`, `on-the-way` or `looking`."""
    words = read_model(lexicon_root() / "common" / "carried.yaml", WordsFile).words
    return frozenset(next(one.say for one in words if one.id == name))
