"""The chain that the book's entries form: each entry's hash covers its own content and the hash of the one before.

    content_hash = sha256(salt, newline, content)       content is canonical JSON, kept exactly as it was hashed
    hash         = sha256(canonical JSON of seq, kind, about, made_at, content_hash and previous)

The salt goes when the content is forgotten: what is left of the entry then proves its place in the chain, and tells
nothing of what stood there, not even to somebody who tries likely words.
"""

from __future__ import annotations

import hashlib
import json
import secrets
from dataclasses import dataclass
from typing import Any, Literal

Kind = Literal["migration", "narrative", "revision", "answer", "forgotten"]
GENESIS = "0" * 64  # the `previous` of the first entry


@dataclass(frozen=True, slots=True)
class Entry:
    """One row of the book. `about` is the narrative's number as text, or "" for entries about the book itself;
    `made_at` is UTC, ISO 8601 to the second; `salt` and `content` are None once forgotten."""

    seq: int
    kind: str
    about: str
    made_at: str
    salt: str | None
    content: str | None
    content_hash: str
    previous: str
    hash: str

    @property
    def receipt(self) -> str:
        """What to note down of an entry: its number and the head of its hash."""
        return f"{self.seq}:{self.hash[:16]}"

    def held(self) -> Any:
        """The content as values; None once forgotten."""
        return None if self.content is None else json.loads(self.content)


def canonical(value: object) -> str:
    """The one JSON text of a value: sorted keys, no white space, ASCII only.

    ASCII, because neither a NUL nor half a surrogate pair may stand in a text column of every database that we use.
    """
    return json.dumps(value, sort_keys=True, ensure_ascii=True, separators=(",", ":"), allow_nan=False)


def hash_content(salt: str, content: str) -> str:
    return hashlib.sha256(f"{salt}\n{content}".encode("ascii")).hexdigest()


def hash_entry(seq: int, kind: str, about: str, made_at: str, content_hash: str, previous: str) -> str:
    head = {"seq": seq, "kind": kind, "about": about, "made_at": made_at, "content": content_hash, "previous": previous}
    return hashlib.sha256(canonical(head).encode("ascii")).hexdigest()


def seal_entry(seq: int, previous: str, kind: Kind, about: str, made_at: str, held: object) -> Entry:
    """A new entry for the end of the chain."""
    content, salt = canonical(held), secrets.token_hex(16)
    content_hash = hash_content(salt, content)
    whole = hash_entry(seq, kind, about, made_at, content_hash, previous)
    return Entry(seq, kind, about, made_at, salt, content, content_hash, previous, whole)
