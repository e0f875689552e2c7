"""Where a call's sheets go, and in what format: read off `--out` and `--format` once, before anything is compiled."""

from __future__ import annotations

import os
import sys
from dataclasses import dataclass
from pathlib import Path

import click

from narrate.render import Format

SUFFIXES: dict[str, Format] = {
    ".docx": "docx", ".html": "html", ".htm": "html", ".json": "json", ".jsonl": "json", ".csv": "csv",
    ".txt": "text", ".text": "text",
}  # fmt: skip
_PREFERRED: dict[Format, str] = {
    "docx": ".docx", "html": ".html", "json": ".json", "csv": "", "text": ".txt",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Target:
    """What is written and where to: standard output where both places are None.

    `lines`: JSON with one sheet a line. A `file` of JSON lines or CSV may hold many sheets.
    """

    fmt: Format
    file: Path | None = None
    folder: Path | None = None
    lines: bool = False

    def path_of(self, sheet: str) -> Path:
        """Where the sheet of that name goes; for CSV the folder of its tables."""
        assert self.folder is not None
        return self.folder / f"{sheet}{_PREFERRED[self.fmt]}"


def choose_target(out: str | None, fmt: Format | None, *, single: bool) -> Target:
    """Settle format and place. Raises click.UsageError for a call that contradicts itself."""
    if out is None:
        chosen: Format = fmt or "text"
        _check_stdout(chosen, single)
        return Target(chosen, lines=chosen == "json" and not single)
    path = Path(out)
    if out.endswith(("/", os.sep)) or path.is_dir() or not path.suffix:
        return Target(fmt or "docx", folder=path)
    told = SUFFIXES.get(path.suffix.lower())
    if told is None and fmt is None:
        raise click.UsageError(f"No format is known by “{path.suffix}”. Use {', '.join(SUFFIXES)}, or say --format.")
    if told and fmt and told != fmt:
        raise click.UsageError(f"--out {out} says {told}, --format says {fmt}. Leave one of them away.")
    chosen = fmt or told or "text"
    lines = path.suffix.lower() == ".jsonl"
    if not single and not lines and chosen != "csv":
        raise click.UsageError(
            f"--out {out} is one file, and there may be many sheets. Name a folder ({path.with_suffix('')}/), or a "
            ".jsonl or .csv file, which can hold them all."
        )
    return Target(chosen, file=path, lines=lines)


def _check_stdout(fmt: Format, single: bool) -> None:
    if fmt == "docx" and sys.stdout.isatty():
        raise click.UsageError("A Word document cannot be shown in a terminal. Say where it goes: --out sheet.docx.")
    if fmt in ("docx", "html") and not single:
        raise click.UsageError(f"Many sheets as {fmt} need a folder. Say where they go: --out sheets/.")
