"""`narrate book`: keep narratives with their sheets, find them again, and prove that nothing was changed."""

from __future__ import annotations

import click

from narrate.serve.cli import book_care, book_keep

_HELP = """Keep narratives and their sheets in a book, and prove that nothing was changed.

The book is one SQLite file, made on first use, or a database on a PostgreSQL server. Narratives, sheets, revisions
and answers are only ever added to it, and every entry carries a hash of itself and of the entry before.

\b
Examples:
  narrate book add notes.txt --customer "Hill Farm"     keep a narrative and its sheet
  narrate book list --vehicle 1HGCM82633A004352         what is kept of a vehicle
  narrate book show 7 --changes                         what changed from revision to revision
  narrate book verify                                   is everything as it was kept?
  narrate book backup friday.sqlite                     while others go on writing
  narrate book export everything.jsonl
  narrate book add notes.txt --book postgresql://shop@server/narrate
"""
_EPILOG = """\b
Exit status:
  0  done
  1  done, and “verify” found something that is not as it was kept
  2  the notes, the book or the call cannot be used; one line on standard error says why
"""


@click.group("book", short_help="Keep sheets, find them again, prove them unchanged.", help=_HELP, epilog=_EPILOG)
def book() -> None:
    pass


for command in (book_keep.add, book_keep.listing, book_keep.show, book_care.verify, book_care.export,
                book_care.backup, book_care.copy, book_care.forget):  # fmt: skip
    book.add_command(command)
