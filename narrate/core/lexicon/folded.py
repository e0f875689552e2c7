"""A mapping that is kept between processes entry by entry, and unfolds an entry when it is first asked for.

A trade holds thousands of entries and one narrative asks for a few dozen: to read them all back would take most of the
time that a start takes. Whoever asks for all gets all. Two threads may unfold the same entry; both unfold it alike.
"""

from __future__ import annotations

import pickle
from collections.abc import Iterator, Mapping, MutableMapping
from typing import Any, Generic, TypeVar

V = TypeVar("V")

_MOST_SHARED = 20_000
_packed: dict[int, tuple[Any, bytes]] = {}  # entries that trades share are packed once, however many are made


def _pack(value: Any) -> bytes:
    """An entry as bytes. Lists are packed each time: they may be added to."""
    known = _packed.get(id(value))
    if known is not None and known[0] is value:
        return known[1]
    data = pickle.dumps(value, 5)
    if not isinstance(value, list) and len(_packed) < _MOST_SHARED:
        _packed[id(value)] = value, data  # with the entry itself, or another might get its id
    return data


class Folded(MutableMapping[str, V], Generic[V]):
    """Entries by id, in the order in which they came."""

    __slots__ = ("_entries", "_kept")

    def __init__(self, entries: Mapping[str, V] | None = None) -> None:
        self._entries: dict[str, V | None] = dict(entries or {})  # in order; None for one that is folded yet
        self._kept: dict[str, bytes] = {}

    def __getstate__(self) -> dict[str, bytes]:
        kept = self._kept
        return {k: kept.get(k) or _pack(v) for k, v in tuple(self._entries.items())}

    def __setstate__(self, state: dict[str, bytes]) -> None:
        self._kept = state
        self._entries = dict.fromkeys(state)

    def __getitem__(self, key: str) -> V:
        value: Any = self._entries[key]
        if value is not None:
            return value  # type: ignore[no-any-return]
        folded = self._kept.get(key)
        if folded is not None:
            value = self._entries[key] = pickle.loads(folded)
            self._kept.pop(key, None)
        else:  # another thread unfolded it just now
            value = self._entries[key]
        return value  # type: ignore[no-any-return]

    def __setitem__(self, key: str, value: V) -> None:
        self._kept.pop(key, None)
        self._entries[key] = value

    def __delitem__(self, key: str) -> None:
        self._kept.pop(key, None)
        del self._entries[key]

    def __iter__(self) -> Iterator[str]:
        return iter(self._entries)

    def __len__(self) -> int:
        return len(self._entries)

    def __contains__(self, key: object) -> bool:
        return key in self._entries
