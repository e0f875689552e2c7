"""`narrate book add`, `list` and `show`: into the book and out of it."""

from __future__ import annotations

import json
import sys
from typing import TYPE_CHECKING, Any

import click

from narrate.core.findings import NarrateError
from narrate.render import FORMATS, Format, write_sheet
from narrate.serve.cli.books import book_option, count, opened
from narrate.serve.cli.notes import Notes, find_notes
from narrate.serve.cli.saying import CANNOT_USE, DONE, complain, say_os_error
from narrate.serve.cli.shop import Shop, shop_options

if TYPE_CHECKING:
    from narrate.core.handoffs import Passage
    from narrate.serve.archive.fetch import Listed, Revision

_LISTED = ("narrative", "revision", "date", "unit", "vin", "plate", "unit_number", "odometer", "jobs", "notes")


@click.command("add", short_help="Keep narratives with their sheets.")
@click.argument("notes", nargs=-1, required=True, metavar="NOTES...")
@book_option
@click.option("--customer", default="", metavar="NAME", help="Whose vehicle it is; “forget” finds it by this name.")
@click.option("--dictated-on", metavar="DATE", help="The day of the notes, as 2026-03-16: “yesterday” is told by it.")
@click.option(
    "--trade", metavar="TRADE", help="The trade whose words and steps count. Told from the notes if left away."
)
@click.option("--name", metavar="NAME", help="What to call the notes. For one narrative only.")
@shop_options
@click.option(
    "--again", is_flag=True, help="Keep it though the same words are in the book: they tell of another visit."
)
def add(
    notes: tuple[str, ...], place: str | None, customer: str, dictated_on: str | None, trade: str | None,
    name: str | None, again: bool, shop: Shop,
) -> int:  # fmt: skip
    """Compile notes and keep them in the book, each with its sheet.

    Notes that the book holds already, byte for byte, are not kept twice. Each line names the narrative's number, by
    which other commands find it, and a receipt: noted elsewhere, it lets “narrate book verify --expect” prove that the
    book still holds that entry.

    \b
    Examples:
      narrate book add notes.txt
      narrate book add monday/ --customer "Hill Farm"
    """
    from narrate.pipeline import as_date, compile_passage
    from narrate.serve.archive.keep import Told, keep_narrative

    called = find_notes(notes)
    if name is not None and not called.single:
        raise click.UsageError("--name goes with one narrative.")
    told = Told(as_date(dictated_on), trade, customer)
    shop.check(trade, next((one.path for one in called.notes), None))
    for error in called.errors:
        complain(str(error))
    failed = len(called.errors)
    with opened(place, make=True) as book:
        for one in called.notes:
            try:
                passage = read_passage(one, name)
                settings = shop.settings(one.path)
                sheet = compile_passage(passage, told.dictated_on, trade, settings=settings)
                kept = keep_narrative(book, passage, sheet, told, again=again, folders=settings.lexicon)
            except (NarrateError, OSError) as error:
                if called.single:
                    raise
                complain(say_os_error(error, error.filename or one.label) if isinstance(error, OSError) else str(error))
                failed += 1
                continue
            questions = f"{count(len(sheet.gaps), 'open question')}" if kept.new else "in the book already"
            click.echo(
                f"narrative {kept.narrative}, revision {kept.revision}: {passage.name or one.label}, {questions}; "
                f"receipt {kept.receipt}"
            )
            sys.stdout.flush()  # what is said to be kept is said at once
    return CANNOT_USE if failed else DONE


def read_passage(notes: Notes, name: str | None) -> Passage:
    """The passage of a file or of standard input, under the name that the call gives it. NarrateError, OSError."""
    from dataclasses import replace

    from narrate.hear.intake import take_bytes, take_file

    if notes.path:
        passage = take_file(notes.path)
    else:
        if sys.stdin.isatty():
            complain("reading notes from the keyboard; end them with Ctrl-D.")
        passage = take_bytes(sys.stdin.buffer.read(), notes.label)
    return replace(passage, name=name) if name is not None else passage


@click.command("list", short_help="What the book holds.")
@book_option
@click.option("--vehicle", metavar="ID", help="Only visits of the vehicle with this VIN, plate or unit number.")
@click.option("--customer", metavar="NAME", help="Only what was kept under this customer's name.")
@click.option("--format", "fmt", type=click.Choice(("text", "json", "csv")), default="text", show_default=True,
              help="A line each, JSON Lines, or a table.")  # fmt: skip
def listing(place: str | None, vehicle: str | None, customer: str | None, fmt: str) -> int:
    """List what the book holds: all of it, or that of one vehicle or customer.

    \b
    Examples:
      narrate book list
      narrate book list --vehicle "ABC 1234"
      narrate book list --format csv > kept.csv
    """
    from narrate.render.formats.as_csv import guard_text
    from narrate.serve.archive.fetch import list_narratives

    with opened(place, make=False) as book:
        if fmt == "csv":
            click.echo(",".join(_LISTED))
        for listed in list_narratives(book, vehicle, customer):
            row = _row(listed)
            if fmt == "json":
                click.echo(json.dumps(row, ensure_ascii=False))
            elif fmt == "csv":
                import csv

                cells = [guard_text(str(v)) if isinstance(v, str) else v for v in row.values()]
                csv.writer(sys.stdout, lineterminator="\n").writerow(cells)
            else:
                click.echo(_line(row))
    return DONE


def _row(listed: Listed) -> dict[str, Any]:
    vehicle, meter = listed.summary["vehicle"], listed.summary["odometer"] or listed.summary["engine_hours"]
    said = (vehicle["year"], vehicle["make"], vehicle["model"])
    values = (
        listed.narrative, listed.revision, listed.summary["date"], " ".join(str(one) for one in said if one),
        vehicle["vin"] or "", vehicle["plate"] or "", vehicle["unit_number"] or "",
        f"{meter['low']:,.0f} {meter['unit']}" if meter else "", "; ".join(listed.summary["jobs"]), listed.name or "",
    )  # fmt: skip
    return dict(zip(_LISTED, values, strict=True))


def _line(row: dict[str, Any]) -> str:
    from narrate.render.formats.page import clean_text

    who = row["vin"] or row["plate"] or row["unit_number"] or "no number said"
    what = row["jobs"] or "no job told"
    revised = f"revision {row['revision']}, " if row["revision"] > 1 else ""
    parts = (row["date"], row["unit"] or "unit not said", who, row["odometer"], what)
    return clean_text(
        f"{row['narrative']:>5}  {' · '.join(p for p in parts if p)} ({revised}{row['notes'] or 'no name'})"
    )


@click.command("show", short_help="A sheet of the book, or how it changed.")
@click.argument("number", type=click.IntRange(min=1), metavar="NUMBER")
@book_option
@click.option("--revision", type=click.IntRange(min=1), metavar="N", help="This revision; the newest if left away.")
@click.option("--changes", is_flag=True, help="Not the sheet: what each revision changed, and from which words.")
@click.option("--format", "fmt", type=click.Choice(FORMATS), help="What to write; told by the suffix of --out, else "
              "text. With --changes: text or json.")  # fmt: skip
@click.option("--out", metavar="PATH", help="A file for the sheet.")
@click.option("--force", is_flag=True, help="Write over a file that is not a sheet as narrate left it.")
def show(
    number: int, place: str | None, revision: int | None, changes: bool, fmt: Format | None, out: str | None,
    force: bool,
) -> int:  # fmt: skip
    """Show a narrative's sheet as the book holds it, or what its revisions changed.

    NUMBER is the narrative's number, as “narrate book add” and “narrate book list” tell it.

    \b
    Examples:
      narrate book show 7
      narrate book show 7 --revision 1 --out first.docx
      narrate book show 7 --changes
    """
    from narrate.serve.archive.fetch import fetch_revision, fetch_revisions

    with opened(place, make=False) as book:
        if not changes:
            write_out(fetch_revision(book, number, revision), fmt, out, force=force)
            return DONE
        if fmt not in (None, "text", "json") or out:
            raise click.UsageError("--changes goes to standard output, as text or json.")
        found = [fetch_revision(book, number, revision)] if revision else fetch_revisions(book, number)
    if fmt == "json":
        held = [{"revision": one.number, "made_at": one.made_at, "receipt": one.receipt,
                 "changes": [change.model_dump(mode="json") for change in one.changes]} for one in found]  # fmt: skip
        click.echo(json.dumps(held, ensure_ascii=False, indent=2))
        return DONE
    for one in found:
        click.echo(f"Revision {one.number}, kept {one.made_at}, receipt {one.receipt}")
        for line in say_changes(one):
            click.echo(f"  {line}")
    return DONE


def say_changes(revision: Revision) -> list[str]:
    """What a revision changed, a line each, with the words that it comes from."""
    from narrate.render.formats.page import clean_text

    if revision.number == 1:
        return ["the first sheet of these notes"]
    lines = []
    for change in revision.changes:
        words = " … ".join(one.quote for one in change.evidence)
        turn = f"{change.before} → {change.after}" if change.before and change.after else (
            f"new: {change.after}" if change.after else f"gone: {change.before}")  # fmt: skip
        lines.append(clean_text(f"{change.kind}: {change.what}: {turn}" + (f" (“{words}”)" if words else "")))
    return lines or ["nothing on the sheet changed"]


def write_out(revision: Revision, fmt: Format | None, out: str | None, *, force: bool) -> None:
    """One sheet to a file or to standard output."""
    from narrate.serve.cli.screen import for_screen
    from narrate.serve.cli.targets import choose_target
    from narrate.serve.cli.whole import check_target, write_whole

    target = choose_target(out, fmt, single=True)
    if target.folder is not None:
        raise click.UsageError("--out names one file, with a suffix such as .docx.")
    if target.file is not None:
        real = check_target(target.file, target.fmt, force=force)
        write_whole({real: write_sheet(revision.sheet, target.fmt)})
        complain(f"sheet written to {target.file}.")
        return
    on_screen = target.fmt == "text" and sys.stdout.isatty()
    data = for_screen(revision.sheet) if on_screen else write_sheet(revision.sheet, target.fmt)
    sys.stdout.flush()
    sys.stdout.buffer.write(data)
    sys.stdout.buffer.flush()
