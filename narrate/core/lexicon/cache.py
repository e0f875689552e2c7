"""What was made from a set of files, kept for the next process: keyed by their content, and safe to delete.

The folder is $NARRATE_CACHE, else `narrate` in the user's cache folder. A cache that cannot be read, written or trusted
is passed over: it only ever saves time. Two processes may write at once; each writes a file of its own and renames it.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import pickle
import sys
import tempfile
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any, TypeVar

T = TypeVar("T")
_KEPT = 12  # files; older ones are swept when a new one is written


def cache_folder() -> Path | None:
    """Where to keep things, or None where the user said not to (NARRATE_CACHE set to nothing)."""
    said = os.environ.get("NARRATE_CACHE")
    if said is not None:
        return Path(said) if said else None
    base = os.environ.get("XDG_CACHE_HOME")
    try:
        return (Path(base) if base else Path.home() / ".cache") / "narrate"
    except RuntimeError:  # no home
        return None


def content_key(files: Iterable[Path], *more: str) -> str:
    """A digest of the files' names and bytes, this Python and this package's own code."""
    digest = hashlib.sha256(f"{sys.version}|{'|'.join(more)}".encode())
    for path in files:
        digest.update(str(path).encode())
        digest.update(b"\0")
        with contextlib.suppress(OSError):
            digest.update(path.read_bytes())
    return digest.hexdigest()


def remember(key: str, make: Callable[[], T]) -> T:
    """What was kept under the key, else what `make` gives, kept for the next time."""
    folder = cache_folder()
    if folder is None:
        return make()
    path = folder / f"{key}.pickle"
    kept = _read(path)
    if kept is not None:
        return kept  # type: ignore[no-any-return]
    made = make()
    _write(path, made)
    return made


def _read(path: Path) -> Any:
    """The kept value; None for none, or one that somebody else wrote or that does not load."""
    try:
        if hasattr(os, "getuid") and path.stat().st_uid != os.getuid():
            return None
        with path.open("rb") as file:
            return pickle.load(file)
    except FileNotFoundError:
        return None
    except Exception:  # a broken cache is no cache, whatever broke it
        with contextlib.suppress(OSError):
            path.unlink()
        return None


def _write(path: Path, value: Any) -> None:
    with contextlib.suppress(OSError, pickle.PicklingError, AttributeError, TypeError):
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(dir=path.parent, suffix=".part")
        try:
            with os.fdopen(handle, "wb") as file:
                pickle.dump(value, file, protocol=pickle.HIGHEST_PROTOCOL)
            Path(name).replace(path)
        except BaseException:
            Path(name).unlink(missing_ok=True)
            raise
        old = sorted(path.parent.glob("*.pickle"), key=lambda p: p.stat().st_mtime)[:-_KEPT]
        for stale in old:
            stale.unlink(missing_ok=True)
