"""Where an audit's findings go while they come, and its sums when all have come."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Literal, Protocol, get_args

from narrate.render.formats import seal
from narrate.serve.audit.compare import Changes, Difference
from narrate.serve.audit.policy import Policy
from narrate.serve.audit.results import Result
from narrate.serve.audit.tables import (
    DIFFERENCES,
    FINDINGS,
    TURNS,
    WORDS,
    Column,
    Table,
    Value,
    difference_rows,
    finding_rows,
    summary_tables,
    turn_rows,
    word_rows,
)
from narrate.serve.audit.tally import Tally
from narrate.serve.audit.terminal import By, arrange_audit

AuditFormat = Literal["text", "xlsx", "csv", "parquet", "html"]
FORMATS: tuple[AuditFormat, ...] = get_args(AuditFormat)
SUFFIXES: dict[str, AuditFormat] = {
    ".txt": "text", ".text": "text", ".xlsx": "xlsx", ".csv": "csv", ".parquet": "parquet",
    ".html": "html", ".htm": "html",
}  # fmt: skip
FINDINGS_NAME = "findings"
TABLES = (FINDINGS_NAME, "job_types", "steps", "technicians", "months", "worst", "sample", "other_gaps", "broken",
          "words", "differences", "changes")  # fmt: skip


class Writer(Protocol):
    """A file that gets its name when all is well."""

    def write(self, data: bytes) -> None: ...


@dataclass(slots=True)
class Summing:
    """What is known when all results have come."""

    tally: Tally
    facts: Sequence[tuple[str, Value]]
    headline: str
    origin: str
    by: By = "step"
    seed: str = ""
    compared: Sequence[Difference] = ()
    changes: Changes | None = None
    other: str = ""


class Output(Protocol):
    """One way to write an audit."""

    def add(self, result: Result) -> None: ...

    def finish(self, all_of_it: Summing) -> None: ...


@dataclass(slots=True)
class TextOutput:
    """Text for a terminal or a file; nothing is held but the sums."""

    write: Callable[[bytes], None]
    screen: tuple[int, bool, bool] | None = None  # width, colour, ASCII only: for a terminal that is really there

    def add(self, result: Result) -> None:
        pass

    def finish(self, all_of_it: Summing) -> None:
        from narrate.render.formats.as_terminal import write_terminal

        page = arrange_audit(
            all_of_it.tally, all_of_it.facts, by=all_of_it.by, headline=all_of_it.headline, origin=all_of_it.origin,
            seed=all_of_it.seed, compared=all_of_it.compared, changes=all_of_it.changes, other=all_of_it.other,
        )  # fmt: skip
        if self.screen:
            width, colour, ascii_only = self.screen
            text = write_terminal(page, width=width, colour=colour, ascii_only=ascii_only)
            self.write(text.encode("ascii" if ascii_only else "utf-8", "replace"))
        else:
            self.write(seal.seal_text(write_terminal(page)))


@dataclass(slots=True)
class HtmlOutput:
    """One page that needs nothing else."""

    write: Callable[[bytes], None]

    def add(self, result: Result) -> None:
        pass

    def finish(self, all_of_it: Summing) -> None:
        from narrate.serve.audit.report import write_report

        page = write_report(
            all_of_it.tally, all_of_it.facts, seal=seal.PLACEHOLDER, headline=all_of_it.headline,
            origin=all_of_it.origin, seed=all_of_it.seed, compared=all_of_it.compared, changes=all_of_it.changes,
            other=all_of_it.other,
        )  # fmt: skip
        self.write(seal.seal_html(page))


class BookOutput:
    """A workbook."""

    def __init__(self, target: Writer, policy: Policy) -> None:
        from narrate.serve.audit.workbook import Workbook

        self._target, self._policy, self._book = target, policy, Workbook()

    def add(self, result: Result) -> None:
        self._book.add(finding_rows(result, self._policy))

    def finish(self, all_of_it: Summing) -> None:
        more = [Table("differences", DIFFERENCES, difference_rows(list(all_of_it.compared)))]
        if all_of_it.changes:
            more.append(Table("changes", TURNS, turn_rows(all_of_it.changes)))
        self._target.write(self._book.finish(all_of_it.tally, all_of_it.facts, more))


@dataclass(slots=True)
class TablesOutput:
    """Findings into one table while they come; with a folder, the sums into tables beside it."""

    kind: Literal["csv", "parquet"]
    open: Callable[[str], Writer | None]  # by the name of a table; None where it is not wanted
    policy: Policy
    _findings: object = field(default=None, init=False)

    def __post_init__(self) -> None:
        self._findings = self._new(FINDINGS_NAME, FINDINGS)

    def add(self, result: Result) -> None:
        self._findings.add(finding_rows(result, self.policy))  # type: ignore[attr-defined]

    def finish(self, all_of_it: Summing) -> None:
        self._findings.close()  # type: ignore[attr-defined]
        tables = [
            *summary_tables(all_of_it.tally),
            Table("words", WORDS, (row for _, _, _, row in word_rows(all_of_it.tally))),
            Table("differences", DIFFERENCES, difference_rows(list(all_of_it.compared))),
            Table("changes", TURNS, turn_rows(all_of_it.changes or Changes())),
        ]
        for table in tables:
            made = self._new(table.name, table.columns)
            if made is not None:
                made.add(table.rows)  # type: ignore[attr-defined]
                made.close()  # type: ignore[attr-defined]

    def _new(self, name: str, columns: tuple[Column, ...]) -> object:
        from narrate.serve.audit.write_tables import CsvTable, ParquetTable

        target = self.open(name)
        if target is None:
            return None
        return CsvTable(target, columns) if self.kind == "csv" else ParquetTable(target, columns)


def is_ours(data: bytes, fmt: AuditFormat) -> bool:
    """Whether some bytes are a report that we wrote, as we wrote it."""
    if fmt == "parquet":
        from narrate.serve.audit.write_tables import is_our_parquet

        return is_our_parquet(data)
    return seal.is_ours(data, "docx" if fmt == "xlsx" else fmt)


def files_of(folder: Path, fmt: Literal["csv", "parquet"]) -> dict[str, Path]:
    """The files of a folder of tables, by the name of each."""
    return {name: folder / f"{name}.{fmt}" for name in TABLES}
