"""The book: narratives, their sheets, revisions and answers, kept in a chain in which any later change shows.

In: passages and sheets. Out: what was kept, by number, vehicle or customer. The same book lives in one SQLite file or
on a PostgreSQL server; `open_book(choose_book(...))` is the door.
"""

from narrate.serve.archive.engine import Book
from narrate.serve.archive.opening import open_book
from narrate.serve.archive.where import choose_book

__all__ = ["Book", "choose_book", "open_book"]
