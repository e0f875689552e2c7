"""`narrate book verify`, `export`, `backup`, `copy` and `forget`: what keeps a book trustworthy."""

from __future__ import annotations

import json
import sys
from contextlib import suppress
from pathlib import Path

import click

from narrate.core.findings import NarrateError
from narrate.serve.cli.books import book_option, count, opened
from narrate.serve.cli.saying import DONE, NOT_ON_RECORD, complain

NOT_AS_KEPT = NOT_ON_RECORD  # the status of a call that was done, and found something


@click.command("verify", short_help="Is everything as it was kept?")
@book_option
@click.option("--expect", multiple=True, metavar="RECEIPT", help="A receipt noted earlier, like 12:3fa9c2d1e4b57a06; "
              "the book must still hold that entry. May be given more than once.")  # fmt: skip
@click.option("--format", "fmt", type=click.Choice(("text", "json")), default="text", show_default=True,
              help="Lines for people, or one JSON object.")  # fmt: skip
def verify(place: str | None, expect: tuple[str, ...], fmt: str) -> int:
    """Hash every entry anew, and name everything that is not as it was kept.

    A byte changed in any entry, an entry taken out or put in, and content that went with no request to forget it are
    found and named. Content forgotten on request is counted, and is no fault.

    \b
    Examples:
      narrate book verify
      narrate book verify --expect 12:3fa9c2d1e4b57a06

    Ends with status 1 where something was changed.
    """
    from narrate.serve.archive import choose_book
    from narrate.serve.archive.engine import connect
    from narrate.serve.archive.opening import open_book
    from narrate.serve.archive.verify import verify_book

    address = choose_book(place, Path.cwd())
    try:
        book = open_book(address, make=False)
    except NarrateError:
        book = connect(address)
        if book.file is None or not _was_book(book.file):
            raise
        # as far as it can be read, we say what is wrong with it
    verdict = verify_book(book, expect)
    book.close()
    if fmt == "json":
        held = {"entries": verdict.entries, "forgotten": verdict.forgotten, "receipt": verdict.receipt,
                "problems": [{"where": one.where, "what": one.what} for one in verdict.problems]}  # fmt: skip
        click.echo(json.dumps(held, ensure_ascii=False, indent=2))
    else:
        for problem in verdict.problems:
            click.echo(str(problem))
        gone = f", {verdict.forgotten:,} of them forgotten on request" if verdict.forgotten else ""
        end = count(len(verdict.problems), "problem") if verdict.problems else "all as they were kept"
        click.echo(f"{count(verdict.entries, 'entry')}{gone}: {end}. Receipt of the last: {verdict.receipt}")
    return NOT_AS_KEPT if verdict.problems else DONE


def _was_book(file: Path) -> bool:
    """Whether a file begins like an embedded book, whole or damaged: as SQLite does, or with our mark in its header."""
    with suppress(OSError), file.open("rb") as stream:
        header = stream.read(100)
        return len(header) == 100 and (header.startswith(b"SQLite format 3\x00") or header[68:72] == b"narr")
    return False


@click.command("export", short_help="Everything as JSON Lines or CSV.")
@click.argument("target", metavar="TARGET")
@book_option
@click.option("--force", is_flag=True, help="Write over files that are there.")
def export(target: str, place: str | None, force: bool) -> int:
    """Write out everything that the book holds.

    TARGET is a file for JSON Lines (.jsonl), a folder for CSV tables, or - for JSON Lines on standard output. JSON
    Lines hold every entry with its hashes; the tables are those of entries, narratives, revisions, answers and
    changes, and one of all lines of all sheets.

    \b
    Examples:
      narrate book export book.jsonl
      narrate book export tables/
    """
    from narrate.serve.archive.export import LINES, TABLES, export_lines, export_tables
    from narrate.serve.cli.whole import WholeFiles

    path = Path(target)
    with opened(place, make=False) as book:
        if target == "-":
            for line in export_lines(book):
                sys.stdout.buffer.write(line)
            return DONE
        if path.suffix == ".jsonl" and not path.is_dir():
            _refuse_existing(path, force)
            with WholeFiles() as files:
                file, entries = files.open(path), 0
                for entries, line in enumerate(export_lines(book), start=1):  # noqa: B007 (the last is how many)
                    file.write(line)
        elif path.suffix and not path.is_dir():
            raise click.UsageError(f"“{path.suffix}” is neither .jsonl nor a folder.")
        else:
            for name in (*TABLES, LINES):
                _refuse_existing(path / f"{name}.csv", force)
            with WholeFiles() as files:
                tables = {name: files.open(path / f"{name}.csv", with_folders=True) for name in (*TABLES, LINES)}
                entries = export_tables(book, lambda name, data: tables[name].write(data))
    complain(f"{count(entries, 'entry')} written to {target}.")
    return DONE


def _refuse_existing(path: Path, force: bool) -> None:
    if path.exists() and not force:
        raise NarrateError("already exists.", where=str(path), remedy="Choose another place, or use --force.")


@click.command("backup", short_help="A copy of the book while it is in use.")
@click.argument("file", metavar="FILE")
@book_option
@click.option("--force", is_flag=True, help="Write over a file that is there.")
def backup(file: str, place: str | None, force: bool) -> int:
    """Write a sound copy of the book to FILE, while others go on writing.

    The copy is an embedded book of its own, also where the book is kept on a PostgreSQL server: any command reads it
    with --book FILE. It is verified before it gets its name.

    \b
    Example:
      narrate book backup friday.sqlite
    """
    from narrate.serve.archive.backup import back_up

    with opened(place, make=False) as book:
        verdict = back_up(book, Path(file), force=force)
    complain(f"{count(verdict.entries, 'entry')} written to {file}; receipt of the last {verdict.receipt}.")
    return DONE


@click.command("copy", short_help="Move to another database.")
@click.argument("target", metavar="PLACE")
@book_option
def copy(target: str, place: str | None) -> int:
    """Copy the whole book into an empty database, entry by entry, its chain unchanged.

    \b
    Example:
      narrate book copy postgresql://shop@server/narrate     to outgrow one machine
    """
    from narrate.serve.archive.backup import copy_rows
    from narrate.serve.archive.engine import connect, let_readers_in
    from narrate.serve.archive.verify import verify_book

    with opened(place, make=False) as book:
        other = connect(target)
        if other.file is not None:
            let_readers_in(other)
        copy_rows(book, other)
        verdict = verify_book(other)
        other.close()
    if verdict.problems:
        raise NarrateError(f"the copy is not sound: {verdict.problems[0]}", where=other.place)
    complain(f"{count(verdict.entries, 'entry')} copied to {other.place}; receipt of the last {verdict.receipt}.")
    return DONE


@click.command("forget", short_help="Delete what is held of a customer or vehicle.")
@click.argument("whose", metavar="CUSTOMER-OR-VEHICLE")
@book_option
@click.option("--yes", is_flag=True, help="Do not ask first.")
def forget(whose: str, place: str | None, yes: bool) -> int:
    """Delete all that the book holds of a customer or of a vehicle.

    A customer is found by the name given when notes were kept, a vehicle by VIN, plate or unit number. Narratives,
    sheets and answers go for good; their hashes stay, so that the rest of the book can still be proved, and a new entry
    says that they were forgotten. Backups and exports made earlier still hold them.

    \b
    Example:
      narrate book forget "Hill Farm"
    """
    from narrate.serve.archive.forget import find_theirs
    from narrate.serve.archive.forget import forget as forget_theirs

    with opened(place, make=False) as book:
        numbers = find_theirs(book, whose)
        if numbers and not yes:
            if not sys.stdin.isatty():
                raise click.UsageError(f"{count(len(numbers), 'narrative')} would be forgotten. Say --yes to do it.")
            listed = ", ".join(map(str, numbers[:20])) + (" …" if len(numbers) > 20 else "")
            click.confirm(f"Forget {count(len(numbers), 'narrative')} ({listed}) for good?", abort=True, err=True)
        done = forget_theirs(book, whose)
    click.echo(
        f"{count(len(done.narratives), 'narrative')} forgotten ({count(done.entries, 'entry')}); receipt {done.receipt}"
    )
    if not done.wiped:
        complain("others hold the book just now; the freed space is overwritten when they let go.")
    complain("backups and exports made earlier still hold what was forgotten.")
    return DONE
