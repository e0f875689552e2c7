"""What there is to audit, one narrative at a time: a folder, JSON Lines, Parquet, or results that were kept before.

Nothing is held but the narrative that is being read. A record that cannot be used is an item all the same, with the
reason in `broken`: one bad line stops nothing.
"""

from __future__ import annotations

import hashlib
import importlib
import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path
from typing import Any

from narrate.core.findings import NarrateError

RESULTS_HEAD = b'{"narrate_audit":'
LINES = (".jsonl", ".ndjson")
FIELDS = ("name", "text", "dictated_on", "trade", "tech", "date")
_ROWS = 200  # of a Parquet file, held at once
_LONGEST_LINE = 50_000_000  # bytes; a longer one is no narrative


@dataclass(frozen=True, slots=True)
class Item:
    """One narrative as it is handed to whoever compiles it. `data` is what is compiled: text, the bytes of a file, or
    the JSON of a sheet (`held`). `key` is a digest of all that decides its result but the word lists."""

    key: str
    name: str
    data: str | bytes
    held: bool = False
    dictated_on: str | None = None
    trade: str | None = None
    tech: str | None = None
    day: str | None = None
    broken: str = ""


@dataclass(frozen=True, slots=True)
class Source:
    """One source of narratives: where, of what kind, and how many there are where that is known beforehand."""

    place: Path
    kind: str  # folder, lines, parquet, results, file
    count: int | None = None


def find_source(named: str) -> Source:
    """Tell what a path is. NarrateError where it holds no narratives that we can read."""
    place = Path(named)
    if place.is_dir():
        return Source(place, "folder", sum(1 for _ in _files(place)))
    suffix = place.suffix.lower()
    with place.open("rb") as file:
        head = file.read(len(RESULTS_HEAD))
    if head == RESULTS_HEAD:
        return Source(place, "results")
    if suffix == ".parquet":
        table = _parquet(place)
        missing = [name for name in ("text",) if name not in table.schema_arrow.names]
        if missing:
            raise NarrateError("has no column “text”.", where=named, remedy=f"Columns: {', '.join(FIELDS)}.")
        return Source(place, "parquet", table.metadata.num_rows)
    return Source(place, "lines" if suffix in LINES else "file", None if suffix in LINES else 1)


def read_items(source: Source, *, tech_of_folder: bool = False) -> Iterator[Item]:
    """The narratives of a source, in order: files by their path, lines and rows as they stand."""
    if source.kind == "folder":
        for path in _files(source.place):
            if path.suffix.lower() in LINES:
                yield from _from_lines(path)
            elif path.suffix.lower() == ".parquet":
                yield from _from_parquet(path)
            else:
                yield _from_file(path, source.place, tech_of_folder)
    elif source.kind == "lines":
        yield from _from_lines(source.place)
    elif source.kind == "parquet":
        yield from _from_parquet(source.place)
    else:
        yield _from_file(source.place, source.place.parent, tech_of_folder)


def _files(folder: Path) -> Iterator[Path]:
    """Every narrative below a folder, by path; hidden files, and documents that we made ourselves, are none."""
    from narrate.hear.intake import SUFFIXES

    known = (*SUFFIXES, *LINES, ".parquet")
    for path in sorted(folder.rglob("*")):
        hidden = any(part.startswith((".", "~$")) for part in path.relative_to(folder).parts)
        if path.suffix.lower() in known and not hidden and path.is_file() and not _is_ours(path):
            yield path


def _is_ours(path: Path) -> bool:
    """Whether a file is a sheet or a report that narrate wrote among the notes."""
    from narrate.render.formats.seal import is_ours

    kind = {".docx": "docx", ".txt": "text"}.get(path.suffix.lower())
    try:
        if path.suffix.lower() in LINES:
            with path.open("rb") as file:
                return file.read(len(RESULTS_HEAD)) == RESULTS_HEAD
        return kind is not None and is_ours(path.read_bytes(), kind)  # type: ignore[arg-type]
    except OSError:
        return False


def _from_file(path: Path, root: Path, tech_of_folder: bool) -> Item:
    name = str(path.relative_to(root)) if path.is_relative_to(root) else str(path)
    tech = path.parent.name if tech_of_folder and path.parent != root else None
    try:
        data = path.read_bytes()
    except OSError as error:
        return _item(name, "", broken=f"cannot be read: {error.strerror or error}")
    return _item(name, data, tech=tech)


def _from_lines(path: Path) -> Iterator[Item]:
    with path.open("rb") as file:
        number = 0
        while line := file.readline(_LONGEST_LINE):
            number += 1
            if line.strip():
                yield _from_line(line, f"{path.name}:{number}")


def _from_line(line: bytes, where: str) -> Item:
    try:
        held = json.loads(line)
    except (ValueError, RecursionError) as error:
        return _item(where, line, broken=f"is no JSON: {error}")
    if not isinstance(held, dict):
        return _item(where, line, broken="is no JSON object")
    if "schema_version" in held and "narrative" in held:
        source = held.get("source")
        name = source.get("name") if isinstance(source, dict) else None
        return _item(str(name or where), line.strip(), held=True)
    return _from_record(held, where)


def _from_record(record: dict[str, Any], where: str) -> Item:
    """A record of one narrative; extra fields are the caller's own and passed over."""
    name = str(record.get("name") or where)
    text = record.get("text")
    if not isinstance(text, str) or not text.strip():
        return _item(name, "", broken="has no words in “text”")
    fields: dict[str, str | None] = {}
    for field in ("dictated_on", "trade", "tech", "date"):
        value = record.get(field)
        if isinstance(value, datetime):
            value = value.date()
        if isinstance(value, date):
            value = value.isoformat()
        fields[field] = str(value).strip() or None if value is not None else None
    return _item(name, text, dictated_on=fields["dictated_on"], trade=fields["trade"], tech=fields["tech"],
                 day=fields["date"])  # fmt: skip


def _from_parquet(path: Path) -> Iterator[Item]:
    table = _parquet(path)
    columns = [name for name in FIELDS if name in table.schema_arrow.names]
    if "text" not in columns:
        yield _item(path.name, "", broken="is a Parquet file without a column “text”")
        return
    number = 0
    for batch in table.iter_batches(batch_size=_ROWS, columns=columns):
        for record in batch.to_pylist():
            number += 1
            yield _from_record(record, f"{path.name}:{number}")


def _parquet(path: Path) -> Any:
    """The file, opened; memory stays flat because only its footer is read now."""
    parquet = need("pyarrow.parquet", str(path))
    try:
        return parquet.ParquetFile(path)
    except (OSError, ValueError) as error:  # ArrowInvalid is a ValueError
        raise NarrateError(f"is no Parquet file that can be read ({error}).", where=str(path),
                           remedy="Write it again, or give JSON Lines.") from None  # fmt: skip


def need(module: str, where: str, extra: str = "tables") -> Any:
    """A library of an extra; NarrateError where it is not installed."""
    try:
        return importlib.import_module(module)
    except ImportError:
        raise NarrateError(f"needs {module.partition('.')[0]}, which is not installed.", where=where,
                           remedy=f"Install narrate[{extra}].") from None  # fmt: skip


def _item(
    name: str,
    data: str | bytes,
    *,
    held: bool = False,
    dictated_on: str | None = None,
    trade: str | None = None,
    tech: str | None = None,
    day: str | None = None,
    broken: str = "",
) -> Item:
    digest = hashlib.sha256(data.encode("utf-8", "surrogatepass") if isinstance(data, str) else data)
    for part in (name, dictated_on, trade, tech, day, broken):
        digest.update(b"\0" + (part or "").encode("utf-8", "surrogatepass"))
    return Item(digest.hexdigest()[:32], name, data, held, dictated_on, trade, tech, day, broken)


def in_chunks(items: Iterator[Item], size: int) -> Iterator[list[Item]]:
    """Items in small lists: what one worker is handed at a time."""
    chunk: list[Item] = []
    for item in items:
        chunk.append(item)
        if len(chunk) == size:
            yield chunk
            chunk = []
    if chunk:
        yield chunk


def total_of(sources: Sequence[Source]) -> int | None:
    """How many narratives there are; None where it takes reading them to tell."""
    counts = [source.count for source in sources]
    known = [count for count in counts if count is not None]
    return sum(known) if len(known) == len(counts) else None


def held_item(name: str, sheet: str) -> Item:
    """A sheet that was compiled before, as JSON."""
    return _item(name, sheet, held=True)
