"""`narrate sheet`: notes in, job sheets out."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import click

from narrate.core.findings import NarrateError
from narrate.render import FORMATS, Format, write_sheet
from narrate.serve.cli.notes import Called, Notes, find_notes
from narrate.serve.cli.saying import CANNOT_USE, DONE, NOT_ON_RECORD, complain, say_os_error
from narrate.serve.cli.shop import Shop, shop_options
from narrate.serve.cli.targets import Target, choose_target
from narrate.serve.cli.whole import PassingFile, WholeFiles, check_target, write_whole

if TYPE_CHECKING:
    from narrate.core.records import Sheet

_HELP = """Compile notes into job sheets.

NOTES are files, folders (without the folders in them) or - for standard input: plain text, Markdown, timed captions
(SubRip, WebVTT), stamped text, the JSON of a speech recogniser, or Word documents. What a file is, is told by its
content.

One sheet goes to standard output as text, unless --out or --format says otherwise; messages go to standard error.
A file is written whole or not at all. One that exists is written over only where it is a sheet as narrate left it,
or with --force; the notes themselves never are.

\b
Examples:
  narrate sheet notes.txt                        show the sheet
  narrate sheet notes.srt --out sheet.docx       a Word document
  narrate sheet notes.txt --out sheet.html       a page for the browser, and for paper
  narrate sheet notes.txt --format json | less   everything, for other programs
  narrate sheet monday/ --out sheets/            a Word document for each of the notes
  narrate sheet monday/ --out week.csv           all lines of all sheets in one table
  narrate sheet notes.txt --format csv --out t/  a folder t/notes with a file for each table
  dictate | narrate sheet - --name "bay 2"       from another program
"""
_EPILOG = """\b
Exit status:
  0  done
  1  done, and a required step is not on record (only with --strict)
  2  some notes or the call cannot be used; the other notes are done all the same
"""
# By which spreadsheets know UTF-8.
BYTE_ORDER_MARK = b"\xef\xbb\xbf"
# A required step in one of these states is not on record.
_NOT_ON_RECORD = frozenset(("not recorded", "promised only", "value missing"))


@click.command("sheet", help=_HELP, epilog=_EPILOG)
@click.argument("notes", nargs=-1, required=True, metavar="NOTES...")
@click.option("--format", "fmt", type=click.Choice(FORMATS), help="What to write. Told by the suffix of --out "
              "where there is one; else text for standard output, docx for a folder.")  # fmt: skip
@click.option("--out", metavar="PATH", help="A file for one sheet (many in .jsonl or .csv), or a folder for any number "
              "of them: PATH with no suffix, or with / at its end.")  # fmt: skip
@click.option("--dictated-on", metavar="DATE", help="The day of the notes, as 2026-03-16: “yesterday” is told by it.")
@click.option("--trade", metavar="TRADE", help="The trade whose words and steps count. Told from the notes if left "
              "away.")  # fmt: skip
@click.option("--name", metavar="NAME", help="What to call the notes on the sheet. For one narrative only.")
@shop_options
@click.option("--strict", is_flag=True, help="End with status 1 where a required step is not on record.")
@click.option("--force", is_flag=True, help="Write over files that are not sheets as narrate left them.")
def sheet(
    notes: tuple[str, ...],
    fmt: Format | None,
    out: str | None,
    dictated_on: str | None,
    trade: str | None,
    name: str | None,
    strict: bool,
    force: bool,
    shop: Shop,
) -> int:
    called = find_notes(notes)
    if name is not None and not called.single:
        raise click.UsageError("--name goes with one narrative.")
    target = choose_target(out, fmt, single=called.single)
    _check_call(dictated_on, trade, shop, next((one.path for one in called.notes), None))
    run = _Run(called, target, _Asked(dictated_on, trade, name, shop), strict, force)
    return run.one() if called.single else run.many()


def _check_call(dictated_on: str | None, trade: str | None, shop: Shop, first: Path | None) -> None:
    """Refuse a bad date, an unknown trade or a bad lexicon once, not once for each of the notes."""
    from narrate.pipeline import as_date

    try:
        as_date(dictated_on)
    except NarrateError as error:
        raise NarrateError(error.what, where="--dictated-on", remedy=error.remedy) from None
    shop.check(trade, first)


class _Asked:
    """How notes are to be read."""

    def __init__(self, dictated_on: str | None, trade: str | None, name: str | None, shop: Shop) -> None:
        self.dictated_on, self.trade, self.name, self.shop = dictated_on, trade, name, shop

    def compile(self, notes: Notes) -> Sheet:
        """Raises NarrateError or OSError, each with the place."""
        from narrate.hear.intake import take_bytes
        from narrate.pipeline import compile_file, compile_passage

        settings = self.shop.settings(notes.path)
        if notes.path:
            return compile_file(notes.path, self.name, self.dictated_on, self.trade, settings)
        if sys.stdin.isatty():
            complain("reading notes from the keyboard; end them with Ctrl-D.")
        passage = take_bytes(sys.stdin.buffer.read(), self.name or notes.label)
        return compile_passage(passage, self.dictated_on, self.trade, settings=settings)


class _Run:
    """One call: what it reads, where it writes, and what it found on the way."""

    def __init__(self, called: Called, target: Target, asked: _Asked, strict: bool, force: bool) -> None:
        self.called, self.target, self.asked = called, target, asked
        self.strict, self.force = strict, force
        self.failed = len(called.errors)
        self.written = 0
        self.unmet = 0
        self.paths = [one.path for one in called.notes if one.path]

    def one(self) -> int:
        """One narrative: its error is the call's error."""
        notes = self.called.notes[0]
        if self.target.file:  # before the work, not after it
            check_target(self.target.file, self.target.fmt, force=self.force, notes=self.paths)
        compiled = self.asked.compile(notes)
        if self.target.file:
            self._write_file(self.target.file, _one_file(compiled, self.target))
        elif self.target.folder:
            self._write_into_folder(notes, compiled)
        else:
            _write_stdout(_for_stdout(compiled, self.target))
        self._judge(notes, compiled)
        return self._status()

    def many(self) -> int:
        """Many narratives: each that cannot be used is told of, and the others are done."""
        for error in self.called.errors:
            complain(str(error))
        if not self.called.notes:
            return CANNOT_USE
        with WholeFiles() as files, _progress(len(self.called.notes)) as step:
            shared = self._shared(files)
            for notes in self.called.notes:
                self._try(notes, shared)
                step()
            if not self.written:
                files.drop()
        place = self.target.folder or self.target.file
        if place and self.written:
            complain(f"{_count(self.written, 'sheet')} written to {place}.")
        if self.failed:
            complain(f"{_count(self.failed, 'of the notes')} could not be used.")
        return self._status()

    def _try(self, notes: Notes, shared: PassingFile | None) -> None:
        try:
            compiled = self.asked.compile(notes)
            if self.target.folder:
                self._write_into_folder(notes, compiled)
                self._judge(notes, compiled)
                return
            data = _for_many(compiled, self.target, first=self.written == 0)
        except NarrateError as error:
            complain(str(error))
        except OSError as error:
            complain(say_os_error(error, error.filename or notes.label))
        except Exception as error:  # one narrative must not stop the others, even where the fault is ours
            complain(f"{notes.label}: cannot be compiled, by a fault of ours ({type(error).__name__}: {error}). "
                     "Please report it.")  # fmt: skip
        else:
            if shared:
                shared.write(data)
            else:
                _write_stdout(data)
            self.written += 1
            self._judge(notes, compiled)
            return
        self.failed += 1

    def _shared(self, files: WholeFiles) -> PassingFile | None:
        """The one file that takes all sheets of a call, where there is one; it appears when all are done."""
        if not self.target.file:
            return None
        shared = files.open(check_target(self.target.file, self.target.fmt, force=self.force, notes=self.paths))
        if self.target.fmt == "csv":
            shared.write(BYTE_ORDER_MARK)
        return shared

    def _write_into_folder(self, notes: Notes, compiled: Sheet) -> None:
        place = self.target.path_of(str(notes.sheet))
        if self.target.fmt == "csv":
            from narrate.render.formats.as_csv import write_tables

            files = {place / f"{name}.csv": data for name, data in write_tables(compiled).items()}
        else:
            files = {place: write_sheet(compiled, self.target.fmt)}
        real = {
            check_target(path, self.target.fmt, force=self.force, notes=self.paths): data
            for path, data in files.items()
        }
        write_whole(real, with_folders=True)
        self.written += 1
        if self.called.single:
            complain(f"sheet written to {place}.")

    def _write_file(self, path: Path, data: bytes) -> None:
        write_whole({check_target(path, self.target.fmt, force=self.force, notes=self.paths): data})
        complain(f"sheet written to {path}.")

    def _judge(self, notes: Notes, compiled: Sheet) -> None:
        if not self.strict:
            return
        missed = [
            step.label
            for job in compiled.jobs
            for step in job.steps
            if step.requirement == "must" and step.state in _NOT_ON_RECORD
        ]
        if missed:
            self.unmet += 1
            steps = _count(len(missed), "required step")
            verb = "is" if len(missed) == 1 else "are"
            complain(f"{notes.label}: {steps} {verb} not on record: {'; '.join(missed)}.")

    def _status(self) -> int:
        if self.failed:
            return CANNOT_USE
        return NOT_ON_RECORD if self.unmet else DONE


def _one_file(compiled: Sheet, target: Target) -> bytes:
    if target.lines:
        from narrate.render.formats.as_json import write_json_line

        return write_json_line(compiled)
    data = write_sheet(compiled, target.fmt)
    # A file of CSV is opened by spreadsheets, which know UTF-8 by its mark; a pipe is read by programs, which do not.
    return BYTE_ORDER_MARK + data if target.fmt == "csv" else data


def _for_stdout(compiled: Sheet, target: Target) -> bytes:
    if target.fmt == "text" and sys.stdout.isatty():
        from narrate.serve.cli.screen import for_screen

        return for_screen(compiled)
    return write_sheet(compiled, target.fmt)


def _for_many(compiled: Sheet, target: Target, *, first: bool) -> bytes:
    """One sheet as a piece of a stream of them."""
    if target.fmt == "json":
        from narrate.render.formats.as_json import write_json_line

        return write_json_line(compiled)
    if target.fmt == "csv":
        from narrate.render.formats.as_csv import write_combined

        return b"".join(write_combined([compiled], headed=first))
    return (b"" if first else b"\n") + _for_stdout(compiled, target)


def _write_stdout(data: bytes) -> None:
    sys.stdout.flush()
    sys.stdout.buffer.write(data)
    sys.stdout.buffer.flush()


@contextmanager
def _progress(total: int) -> Iterator[Callable[[], None]]:
    """A bar on standard error, where that is a terminal and there is something to wait for."""
    if not sys.stderr.isatty() or total < 2:
        yield lambda: None
        return
    from rich.console import Console
    from rich.progress import Progress

    with Progress(console=Console(stderr=True), transient=True, redirect_stdout=False) as bar:
        task = bar.add_task("Sheets", total=total)
        yield lambda: bar.advance(task)


def _count(number: int, thing: str) -> str:
    plural = thing if number == 1 or thing.startswith("of ") else f"{thing}s"
    return f"{number} {plural}"
