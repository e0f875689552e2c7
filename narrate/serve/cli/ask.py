"""`narrate ask`: the open questions of some notes, and answers in free words."""

from __future__ import annotations

import sys
from datetime import date
from pathlib import Path
from shutil import get_terminal_size
from typing import TYPE_CHECKING

import click

from narrate.core.findings import NarrateError
from narrate.render import FORMATS, Format
from narrate.serve.cli.book_keep import read_passage, say_changes, write_out
from narrate.serve.cli.books import book_option, count, opened
from narrate.serve.cli.notes import find_notes
from narrate.serve.cli.saying import DONE, NOT_ON_RECORD, STOPPED, complain
from narrate.serve.cli.shop import Shop, shop_options

if TYPE_CHECKING:
    from narrate.core.records import Sheet
    from narrate.core.settings import Settings
    from narrate.reckon.replies import Added
    from narrate.serve.archive import Book
    from narrate.serve.archive.fetch import Held

_HELP = """Put the open questions of some notes, and take the answers in.

NOTES are kept in the book, if they are not there yet. The questions come in the terminal, at most five of them, those
of safety and money first. Answers are free words, read like any narrative; a bare figure, yes or no is read in the
context of its question. “Not done, because ...” closes a question with its reason. What was said is never asked again.

The answers are kept with their day as the next revision of the sheet; the notes and all earlier revisions stay as they
are. Standard output tells what the revision changed, and from which words.

\b
Examples:
  narrate ask notes.txt                                  in the terminal
  narrate ask notes.txt --questions-out questions.txt    to be filled in
  narrate ask notes.txt --answers questions.txt --out sheet.docx
  narrate ask --number 7                                 a narrative of the book
"""
_EPILOG = """\b
Exit status:
  0  done
  1  done, and a required step is not on record (only with --strict)
  2  the notes, the answers or the call cannot be used; one line on standard error says why
"""


@click.command("ask", short_help="Answer what is missing, in your own words.", help=_HELP, epilog=_EPILOG)
@click.argument("notes", required=False, metavar="[NOTES]")
@book_option
@click.option("--number", type=click.IntRange(min=1), metavar="N", help="Instead of NOTES, a narrative of the book.")
@click.option("--most", type=click.IntRange(min=1), metavar="N", help="How many questions at the most.  [default: 5]")
@click.option("--all", "every", is_flag=True, help="All of them.")
@click.option("--dated", metavar="DATE", help="The day of the answers, as 2026-03-17; today if left away.")
@click.option("--questions-out", metavar="FILE", help="Write the questions to FILE (.json: as JSON; - : standard "
              "output) in place of asking.")  # fmt: skip
@click.option("--answers", metavar="FILE", help="Take the answers out of FILE, text or JSON as written by "
              "--questions-out.")  # fmt: skip
@click.option(
    "--customer", default="", metavar="NAME", help="Whose vehicle it is, where the notes are new to the book."
)
@click.option("--dictated-on", metavar="DATE", help="The day of the notes, where they are new to the book.")
@click.option("--trade", metavar="TRADE", help="The trade of the notes, where they are new to the book.")
@click.option("--name", metavar="NAME", help="What to call the notes, where they are new to the book.")
@shop_options
@click.option("--format", "fmt", type=click.Choice(FORMATS), help="Write the new sheet to standard output, in place of "
              "what changed.")  # fmt: skip
@click.option("--out", metavar="PATH", help="Write the new sheet to a file.")
@click.option("--strict", is_flag=True, help="End with status 1 where a required step is not on record.")
@click.option("--force", is_flag=True, help="Write over files that narrate did not make.")
def ask(
    notes: str | None, place: str | None, number: int | None, most: int | None, every: bool, dated: str | None,
    questions_out: str | None, answers: str | None, customer: str, dictated_on: str | None, trade: str | None,
    name: str | None, fmt: Format | None, out: str | None, strict: bool, force: bool, shop: Shop,
) -> int:  # fmt: skip
    _check(notes, number, most, every, questions_out, answers)
    from narrate.serve.archive.fetch import fetch_narrative
    from narrate.serve.ask import FIRST, add_answers, open_case

    on = _day(dated, "--dated") or date.today()
    settings = shop.settings(Path(notes) if notes and notes != "-" else None)
    shop.check(trade, Path(notes) if notes and notes != "-" else None)
    with opened(place, make=number is None, start=_folder(notes)) as book:
        if number is not None:
            held = fetch_narrative(book, number)
        else:
            from narrate.serve.archive.keep import Told

            called = find_notes([notes or "-"])
            for error in called.errors:
                raise error
            if not called.single:
                raise click.UsageError("Questions are put to one narrative at a time.")
            told = Told(_day(dictated_on, "--dictated-on"), trade, customer)
            case = open_case(book, read_passage(called.notes[0], name), told, settings)
            held = case.held
            if case.new:
                complain(f"kept in the book {book.place} as narrative {held.narrative}.")
        limit = None if every else most or FIRST
        if questions_out is not None:
            _write_questions(held, questions_out, None if every or most is None else most, force)
            return _status(held.sheet, strict)
        added, stopped = _answers(book, held, answers, on, limit, settings)
        if not added:
            complain("nothing was answered; the book stays as it is.")
            return STOPPED if stopped else _status(held.sheet, strict)
        kept, sheet = add_answers(book, held, added, settings)
        complain(f"kept as revision {kept.revision} of narrative {kept.narrative}; receipt {kept.receipt}.")
        _show(book, kept.narrative, kept.revision, fmt, out, force)
        left = count(len(sheet.gaps), "question") if sheet.gaps else "no question"
        complain(f"{left} open.")
    return STOPPED if stopped else _status(sheet, strict)


def _check(
    notes: str | None, number: int | None, most: int | None, every: bool, questions_out: str | None, answers: str | None
) -> None:
    if (notes is None) == (number is None):
        raise click.UsageError("Name some notes, or a narrative of the book with --number.")
    if most is not None and every:
        raise click.UsageError("--most and --all contradict each other.")
    if questions_out is not None and answers is not None:
        raise click.UsageError("--questions-out and --answers are two calls.")
    if notes == "-" and questions_out is None and answers is None:
        raise click.UsageError("Where the notes come from standard input, the answers cannot. Use --answers FILE.")


def _day(said: str | None, where: str) -> date | None:
    from narrate.pipeline import as_date

    try:
        return as_date(said)
    except NarrateError as error:
        raise NarrateError(error.what, where=where, remedy=error.remedy) from None


def _folder(notes: str | None) -> Path:
    """Where narrate.toml is looked for first: beside the notes."""
    return Path(notes).parent if notes and notes != "-" else Path.cwd()


def _write_questions(held: Held, target: str, most: int | None, force: bool) -> None:
    from narrate.serve.ask import open_questions, write_questions
    from narrate.serve.cli.whole import write_whole

    path = Path(target)
    as_json = path.suffix.lower() == ".json"
    data = write_questions(held.sheet, held.narrative, held.revision, as_json=as_json, most=most)
    if target == "-":
        sys.stdout.buffer.write(data)
        return
    if path.exists() and not force:
        raise NarrateError("already exists.", where=target, remedy="Choose another file, or use --force.")
    write_whole({path: data})
    shown = min(len(open_questions(held.sheet)), most or len(held.sheet.gaps))
    complain(f"{count(shown, 'question')} written to {target}.")


def _answers(
    book: Book, held: Held, file: str | None, on: date, most: int | None, settings: Settings
) -> tuple[tuple[Added, ...], bool]:
    """What was answered, and whether the conversation was broken off; what was said until then counts."""
    from narrate.serve.archive.fetch import fetch_revision
    from narrate.serve.ask import compile_added, converse, read_answers

    if file is not None:
        data = sys.stdin.buffer.read() if file == "-" else Path(file).read_bytes()
        where = "standard input" if file == "-" else file
        return read_answers(data, where, held.sheet, lambda n: fetch_revision(book, held.narrative, n).sheet, on), False
    screen = _Terminal()
    added = converse(held.sheet, on, screen, lambda more: compile_added(held, more, settings), most)
    return added, screen.broken_off


class _Terminal:
    """Questions on standard error, answers from standard input, a line each."""

    def __init__(self) -> None:
        self.broken_off = False

    def say(self, line: str) -> None:
        print(line, file=sys.stderr, flush=True)

    def hear(self, prompt: str) -> str | None:
        """One line; None at the end of all input, or where Ctrl-C ends the conversation."""
        if sys.stdin.isatty():
            print(prompt, end="", file=sys.stderr, flush=True)
        try:
            line = sys.stdin.readline()
        except KeyboardInterrupt:
            self.broken_off = True
            return None
        except UnicodeDecodeError:
            raise NarrateError("is not text in this terminal's encoding.", where="standard input") from None
        return line.rstrip("\n") if line else None


def _show(book: Book, number: int, revision: int, fmt: Format | None, out: str | None, force: bool) -> None:
    from narrate.serve.archive.fetch import fetch_revision

    made = fetch_revision(book, number, revision)
    if out is not None or fmt is not None:
        write_out(made, fmt, out, force=force)
    if out is not None or fmt is None:
        click.echo(f"Revision {made.number} of narrative {number}:")
        width = get_terminal_size().columns if sys.stdout.isatty() else 0
        for line in say_changes(made):
            click.echo(click.wrap_text(line, width, "  ", "    ") if width else f"  {line}")


def _status(sheet: Sheet, strict: bool) -> int:
    unmet = any(
        step.requirement == "must" and step.state in ("not recorded", "promised only", "value missing")
        for job in sheet.jobs
        for step in job.steps
    )
    return NOT_ON_RECORD if strict and unmet else DONE
