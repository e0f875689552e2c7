"""Files written whole or not at all, and never over something that we did not make.

Everything is written beside its target under a passing name, brought to the disk, and only then given its own name.
"""

from __future__ import annotations

import os
import secrets
import stat
from collections.abc import Callable, Collection, Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path
from types import TracebackType
from typing import IO

from narrate.core.findings import NarrateError
from narrate.render import Format

_LARGEST_OURS = 64 * 1024 * 1024  # bytes; we do not read more than this only to learn whether it is ours


def check_target(
    target: Path,
    fmt: Format,
    *,
    force: bool,
    notes: Collection[Path] = (),
    ours: Callable[[bytes], bool] | None = None,
) -> Path:
    """The file that will be written, links followed; NarrateError where it may not be.

    `notes` are files that are read in this call: they are never written over, not even with `force`. `ours` tells
    whether some bytes are a document that we made, where it is no sheet.
    """
    real = Path(os.path.realpath(target))
    try:
        status = real.stat()
    except FileNotFoundError:
        return real
    where = str(target)
    if any(real == Path(os.path.realpath(one)) for one in notes):
        raise NarrateError("the sheet would take the place of its own notes.", where=where,
                           remedy="Choose another --out.")  # fmt: skip
    if stat.S_ISDIR(status.st_mode):
        raise NarrateError("is a folder, not a file.", where=where, remedy="Name a file in it with --out.")
    if not stat.S_ISREG(status.st_mode):
        raise NarrateError("is no ordinary file.", where=where, remedy="Leave --out away to write to standard output.")
    if not force and not _is_ours(real, fmt, status.st_size, ours):
        raise NarrateError(
            "already exists, and is not a sheet as narrate left it.",
            where=where,
            remedy="Choose another --out, or write over it with --force.",
        )
    return real


def _is_ours(path: Path, fmt: Format, size: int, ours: Callable[[bytes], bool] | None) -> bool:
    from narrate.render.formats.seal import is_ours

    if size > _LARGEST_OURS:
        return False
    data = path.read_bytes()
    return ours(data) if ours else is_ours(data, fmt)


class PassingFile:
    """A file under a passing name. What the system refuses is told of the name that it was to get."""

    def __init__(self, handle: IO[bytes], passing: Path, target: Path) -> None:
        self._handle, self._passing, self.target = handle, passing, target

    def write(self, data: bytes) -> None:
        with self._telling():
            self._handle.write(data)

    def finish(self) -> None:
        """Bring it to the disk."""
        with self._telling():
            self._handle.flush()
            os.fsync(self._handle.fileno())
            self._handle.close()

    def take_name(self) -> None:
        """Become the target, with its permissions where there was one."""
        with self._telling():
            with suppress(FileNotFoundError):
                self._passing.chmod(stat.S_IMODE(self.target.stat().st_mode))
            self._passing.replace(self.target)

    def drop(self) -> None:
        with suppress(OSError):
            self._handle.close()
        with suppress(OSError):
            self._passing.unlink()

    @contextmanager
    def _telling(self) -> Iterator[None]:
        try:
            yield
        except OSError as error:
            error.filename = str(self.target)
            raise


class WholeFiles:
    """Files that appear together when the block ends well; when it does not, nothing of them is left.

    with WholeFiles() as files:
        files.open(Path("sheet.html")).write(data)
    """

    def __init__(self) -> None:
        self._open: list[PassingFile] = []
        self._made: list[Path] = []

    def __enter__(self) -> WholeFiles:
        return self

    def open(self, target: Path, *, with_folders: bool = False) -> PassingFile:
        """A new file that will become `target`; `with_folders` makes the folders on the way."""
        if with_folders:
            self._make_folders(target.parent)
        passing = target.parent / f".narrate-{secrets.token_hex(8)}.part"
        try:
            handle = os.open(passing, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o666)
        except OSError as error:
            error.filename = str(target.parent)
            raise
        file = PassingFile(os.fdopen(handle, "wb"), passing, target)
        self._open.append(file)
        return file

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        try:
            if kind is None:
                self._commit()
        finally:
            self._clear()

    def drop(self) -> None:
        """Leave none of the files after all."""
        self._clear()
        self._open.clear()

    def _commit(self) -> None:
        for file in self._open:
            file.finish()
        for file in self._open:
            file.take_name()
        for folder in {file.target.parent for file in self._open}:
            _sync_folder(folder)
        self._open.clear()
        self._made.clear()

    def _clear(self) -> None:
        for file in self._open:
            file.drop()
        for folder in reversed(self._made):
            with suppress(OSError):
                folder.rmdir()

    def _make_folders(self, folder: Path) -> None:
        missing = []
        while not folder.exists():
            missing.append(folder)
            folder = folder.parent
        for one in reversed(missing):
            one.mkdir()
            self._made.append(one)


def write_whole(files: Mapping[Path, bytes], *, with_folders: bool = False) -> None:
    """Write some files, all of them or none."""
    with WholeFiles() as whole:
        for target, data in files.items():
            whole.open(target, with_folders=with_folders).write(data)


def _sync_folder(folder: Path) -> None:
    """Bring the new names to the disk; not every file system lets a folder be synced."""
    with suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
