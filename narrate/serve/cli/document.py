"""Put one document where a call says: standard output, a file, or a folder; a file whole or not at all."""

from __future__ import annotations

import sys
from collections.abc import Callable, Collection
from pathlib import Path

from narrate.render import Format
from narrate.serve.cli.saying import complain
from narrate.serve.cli.targets import Target
from narrate.serve.cli.whole import check_target, write_whole

_SUFFIX: dict[Format, str] = {"docx": ".docx", "html": ".html", "json": ".json", "csv": ".csv", "text": ".txt"}


def place_of(target: Target, name: str) -> Path | None:
    """The file that will be written; None for standard output. `name` is used below a folder."""
    if target.folder is not None:
        return target.folder / f"{name}{_SUFFIX[target.fmt]}"
    return target.file


def check_place(
    place: Path | None,
    target: Target,
    *,
    force: bool,
    read: Collection[Path] = (),
    ours: Callable[[bytes], bool] | None = None,
) -> Path | None:
    """The real file, before the work is done: NarrateError where it may not be written over."""
    return None if place is None else check_target(place, target.fmt, force=force, notes=read, ours=ours)


def put_document(data: bytes, place: Path | None, *, what: str, shown: Path | None = None) -> None:
    """Write it; a file is told of on standard error."""
    if place is None:
        sys.stdout.flush()
        sys.stdout.buffer.write(data)
        sys.stdout.buffer.flush()
        return
    write_whole({place: data}, with_folders=True)
    complain(f"{what} written to {shown or place}.")
