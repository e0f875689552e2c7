"""Results on disk: a head line, then a result a line, only ever added to, so that an audit can be taken up again.

The head tells by which lexicon they were made. A line that was cut short by an interruption is dropped when the file is
opened again; all before it count.
"""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import IO

from narrate import __version__
from narrate.core.findings import NarrateError
from narrate.core.lexicon.load import lexicon_root
from narrate.core.settings import Settings
from narrate.serve.audit.items import RESULTS_HEAD
from narrate.serve.audit.results import Result, read_result

FORM = 1
_SYNC_EVERY = 2_000  # results between two syncs to the disk


@dataclass(frozen=True, slots=True)
class Head:
    """By what some results were made."""

    version: str
    lexicon: str

    def say(self) -> str:
        return f"narrate {self.version}, word lists {self.lexicon[:12]}"


def this_head(settings: Settings | None = None) -> Head:
    """Of results that are made here and now: any change of a word list, a rule or a setting changes it."""
    heed = settings or Settings()
    digest = hashlib.sha256()
    for root in (lexicon_root(), *heed.lexicon):
        for path in sorted(root.rglob("*.yaml")):
            digest.update(f"{path.relative_to(root).as_posix()}\0".encode())
            digest.update(path.read_bytes())
    for path in heed.spec:
        digest.update(path.read_bytes())
    said = (heed.trade, heed.air_pa, heed.rules, sorted(heed.answers.items()), sorted(heed.levels.items()))
    if any(said):
        digest.update(repr(said).encode())
    return Head(__version__, digest.hexdigest())


def head_line(head: Head) -> bytes:
    held = {"narrate_audit": FORM, "version": head.version, "lexicon": head.lexicon}
    return json.dumps(held, separators=(",", ":")).encode() + b"\n"


def read_head(path: Path) -> Head:
    """The head of a file of results; NarrateError where it is none."""
    with path.open("rb") as file:
        line = file.readline(10_000)
    try:
        held = json.loads(line)
        if not line.startswith(RESULTS_HEAD) or held["narrate_audit"] != FORM:
            raise ValueError
        return Head(str(held["version"]), str(held["lexicon"]))
    except (ValueError, KeyError, TypeError):
        raise NarrateError("holds no results of an audit.", where=str(path),
                           remedy="Name a file that “narrate audit --resume” made.") from None  # fmt: skip


def read_results(path: Path) -> Iterator[Result]:
    """Every result of a file, in order. A line that is none is an error with its number."""
    read_head(path)
    with path.open("rb") as file:
        file.readline()
        for number, line in enumerate(file, start=2):
            if not line.endswith(b"\n"):
                return  # cut short by an interruption
            try:
                yield read_result(line)
            except (ValueError, KeyError, TypeError):
                raise NarrateError("is no result.", where=f"{path}:{number}",
                                   remedy="Run the audit again into a new file.") from None  # fmt: skip


class Kept:
    """A file of results that is added to. Opened on one that is there, what it holds need not be compiled again."""

    def __init__(self, path: Path, head: Head) -> None:
        self.path, self.head = path, head
        self._since = 0
        self._index: dict[str, int] | None = None  # key -> place, made where the order of the input has changed
        if path.exists() and path.stat().st_size:
            self._take_up()
        else:
            path.write_bytes(head_line(head))
        self._old = path.open("rb")
        self._old.readline()
        self._end = path.stat().st_size
        self._file: IO[bytes] = path.open("ab")

    def _take_up(self) -> None:
        head = read_head(self.path)
        if head != self.head:
            raise NarrateError(
                f"was begun with other word lists or settings ({head.say()}; now {self.head.say()}).",
                where=str(self.path),
                remedy="Begin a new file; --compare sets the two side by side.",
            )
        with self.path.open("r+b") as file:
            file.seek(max(0, self.path.stat().st_size - 1))
            if file.read(1) != b"\n":
                file.truncate(_last_line_end(file))

    def find(self, key: str) -> bytes | None:
        """The result of a key, if it is there. As a rule results stand in the order in which they are asked for, and
        one look at the next line is enough; only where they do not is an index made of the rest."""
        if self._index is None:
            at = self._old.tell()
            if at >= self._end:
                return None
            line = self._old.readline()
            if _key_of(line) == key:
                return line
            self._index = self._make_index(at)
        found = self._index.get(key)
        if found is None:
            return None
        self._old.seek(found)
        return self._old.readline()

    def _make_index(self, at: int) -> dict[str, int]:
        index: dict[str, int] = {}
        self._old.seek(at)
        while at < self._end:
            line = self._old.readline()
            index[_key_of(line)] = at
            at += len(line)
        return index

    def add(self, lines: list[bytes]) -> None:
        """Add results; a process that is killed after this loses none of them."""
        self._file.write(b"".join(lines))
        self._file.flush()
        self._since += len(lines)
        if self._since >= _SYNC_EVERY:
            os.fsync(self._file.fileno())
            self._since = 0

    def close(self) -> None:
        self._old.close()
        self._file.flush()
        os.fsync(self._file.fileno())
        self._file.close()


def _last_line_end(file: IO[bytes]) -> int:
    """Where the last whole line ends."""
    file.seek(0)
    whole = 0
    for line in file:
        if line.endswith(b"\n"):
            whole += len(line)
    return whole


def _key_of(line: bytes) -> str:
    """The key alone, without reading the whole result: it stands first."""
    return line[8:40].decode("ascii", "replace") if line.startswith(b'{"key":"') else ""
