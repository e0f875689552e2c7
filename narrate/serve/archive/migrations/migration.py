"""What a migration is."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Migration:
    """`statements` by dialect. With `refill` the index of visits is made anew from the entries afterwards."""

    number: int
    name: str
    sqlite: tuple[str, ...]
    postgresql: tuple[str, ...]
    refill: bool = False

    @property
    def digest(self) -> str:
        """Of both dialects, so that it is the same wherever the book is kept."""
        whole = "\x00".join((str(self.number), self.name, *self.sqlite, *self.postgresql))
        return hashlib.sha256(whole.encode()).hexdigest()

    def statements(self, dialect: str) -> tuple[str, ...]:
        return self.sqlite if dialect == "sqlite" else self.postgresql
