"""What was made from a set of files, kept for the next process: keyed by their content, and safe to delete.

The folder is $NARRATE_CACHE, else `narrate` in the user's cache folder. A cache that cannot be read, written or trusted
is passed over: it only ever saves time. Two processes may write at once; each writes a file of its own and renames it.
"""

from __future__ import annotations

import contextlib
import gc
import hashlib
import os
import pickle
import sys
import tempfile
from collections.abc import Callable, Iterable, Iterator
from functools import lru_cache
from pathlib import Path
from typing import Any, TypeVar

T = TypeVar("T")
_KEPT = 4  # files of one name; older ones are swept when a new one is written
_SWEPT_BEYOND = 60  # files in all: folders of lexicons come and go


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


@lru_cache(maxsize=1)
def _code() -> bytes:
    """A digest of this Python and of this package's code: its files by name, size and time of change.

    A lexicon's files are taken by their bytes, since people copy them about; code is installed or edited, and both set
    the time.
    """
    package = Path(__file__).resolve().parents[2]
    digest = hashlib.blake2b(sys.version.encode(), digest_size=16)
    for folder, within, files in os.walk(package):
        within[:] = sorted(name for name in within if name not in ("__pycache__", "_lexicon"))
        for name in sorted(files):
            if name.endswith(".py"):
                path = os.path.join(folder, name)  # noqa: PTH118 - a hundred Paths would cost more than the walk
                seen = os.stat(path)  # noqa: PTH116
                digest.update(f"{path}|{seen.st_size}|{seen.st_mtime_ns}\n".encode())
    return digest.digest()


def content_key(files: Iterable[Path], *more: str) -> str:
    """A digest of the files' names and bytes, of this Python and of this package's own code; 32 letters."""
    digest = hashlib.blake2b(_code(), digest_size=16)
    digest.update("|".join(more).encode())
    for path in files:
        digest.update(f"\0{path}\0".encode())
        with contextlib.suppress(OSError):
            data = path.read_bytes()
            digest.update(f"{len(data)}\0".encode())
            digest.update(data)
    return digest.hexdigest()


def remember(name: str, key: str, make: Callable[[], T]) -> T:
    """What was kept under the name and key, else what `make` gives, kept for the next time."""
    folder = cache_folder()
    if folder is None:
        with uncollected():
            return make()
    path = folder / f"{name}-{key}.pickle"
    with uncollected():
        kept = _read(path)
        if kept is not None:
            return kept  # type: ignore[no-any-return]
        made = make()
        _write(path, name, made)
    return made


@contextlib.contextmanager
def uncollected() -> Iterator[None]:
    """No search for garbage while a great many lasting things are made: it would only find that all are in use.

    Afterwards they count as old, unsearched, or the first search behind this would look through all of them. Where the
    program around us has frozen things of its own, nothing is done that would thaw them.
    """
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            if not gc.get_freeze_count():
                gc.freeze()
                gc.unfreeze()
            gc.enable()


def _read(path: Path) -> Any:
    """The kept value; None for none, or one that somebody else wrote or that does not load."""
    try:
        with path.open("rb") as file:
            if hasattr(os, "getuid") and os.fstat(file.fileno()).st_uid != os.getuid():
                return None
            return pickle.load(file)
    except FileNotFoundError:
        return None
    except Exception:  # a broken cache is no cache, whatever broke it
        with contextlib.suppress(OSError):
            path.unlink()
        return None


def _write(path: Path, name: str, value: Any) -> None:
    """Under a passing name first, so that no other process ever sees half of it; what cannot be kept is not."""
    with contextlib.suppress(OSError, pickle.PicklingError, AttributeError, TypeError, RecursionError):
        data = pickle.dumps(value, protocol=pickle.HIGHEST_PROTOCOL)
        path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        handle, passing = tempfile.mkstemp(dir=path.parent, suffix=".part")
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(data)
            Path(passing).replace(path)
        except BaseException:
            Path(passing).unlink(missing_ok=True)
            raise
        _sweep(path.parent, name)


def _sweep(folder: Path, name: str) -> None:
    """Keep the newest few of each name, and not too many in all."""
    every = sorted(folder.glob("*.pickle"), key=_age)
    own = [p for p in every if p.name.rpartition("-")[0] == name]
    for stale in {*own[:-_KEPT], *every[:-_SWEPT_BEYOND]}:
        with contextlib.suppress(OSError):
            stale.unlink()


def _age(path: Path) -> float:
    try:
        return path.stat().st_mtime
    except OSError:  # another process swept it
        return 0.0
