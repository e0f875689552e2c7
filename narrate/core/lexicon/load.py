"""Lexicon files -> models: where the files are, and how one is read.

An error names file, line, column and remedy. A trade's folder adds to, and replaces entry by entry, what the trades it
extends and common/ hold.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import lru_cache
from pathlib import Path
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError

from narrate.core.findings import NarrateError
from narrate.core.lexicon.cache import content_key, remember
from narrate.core.lexicon.plain_yaml import MOST_BYTES, Faulty, read_all, read_yaml

__all__ = ["MOST_BYTES", "files_of", "lexicon_root", "read_kept", "read_model", "read_yaml", "trades", "validate"]

M = TypeVar("M", bound=BaseModel)


@lru_cache(maxsize=1)
def lexicon_root() -> Path:
    """The folder of the shipped lexicon: inside the wheel, or beside the package in a checkout."""
    package = Path(__file__).resolve().parents[2]
    for root in (package / "_lexicon", package.parent / "lexicon"):
        if (root / "common").is_dir():
            return root
    raise NarrateError("the lexicon that belongs to this package is missing.", remedy="Install the package again.")


def trades(roots: Iterable[Path] = ()) -> tuple[str, ...]:
    """The ids of all trades, sorted."""
    found = set()
    for root in (lexicon_root(), *roots):
        folder = root / "trades"
        if folder.is_dir():
            found |= {p.name for p in folder.iterdir() if (p / "trade.yaml").is_file()}
    return tuple(sorted(found))


def read_model(path: Path, model: type[M]) -> M:
    """The file as its model, or one NarrateError that names file, line, column, what is wrong and a remedy."""
    try:
        seen = path.stat()
    except OSError:
        return _read_model(path, model)
    once: M = _read_once(path, model, seen.st_size, seen.st_mtime_ns, seen.st_ino)
    return once


@lru_cache(maxsize=1024)
def _read_once(path: Path, model: type[M], *_seen: int) -> M:
    """A file that has not changed is read once a process: trades share the common files, and build on each other's."""
    return _read_model(path, model)


def _read_model(path: Path, model: type[M]) -> M:
    data, faults = read_all(path)
    if faults:
        raise Faulty(faults)
    return validate(path, data, model)


def validate(path: Path, data: Any, model: type[M]) -> M:
    """A file's content as its model; raises as `read_model` does."""
    try:
        return model.model_validate(data)
    except ValidationError as error:
        from narrate.core.lexicon.faults import faults_of

        raise Faulty(faults_of(path, data, error, model)) from None


def read_kept(path: Path, model: type[M]) -> M:
    """As `read_model`, and kept for the next process: for the common files that every start needs."""
    return remember(
        f"{path.parent.name}-{path.stem}", content_key([path], model.__qualname__), lambda: read_model(path, model)
    )


def files_of(folder: Path, name: str) -> Iterator[Path]:
    """`name.yaml` and `name/*.yaml` of a folder, in order."""
    single = folder / f"{name}.yaml"
    if single.is_file():
        yield single
    if (folder / name).is_dir():
        yield from sorted((folder / name).glob("*.yaml"))
