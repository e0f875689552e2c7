"""The book as a source: the newest sheet of every narrative, with the answers that were given since."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from narrate.serve.audit.items import Item, held_item

if TYPE_CHECKING:
    from narrate.serve.archive import Book


def book_items(book: Book) -> Iterator[Item]:
    """Every narrative that the book holds, in the order in which it was kept, one at a time."""
    from narrate.serve.archive.fetch import fetch_narrative, list_narratives

    for listed in list_narratives(book):
        sheet = fetch_narrative(book, listed.narrative).sheet
        name = listed.name or f"narrative {listed.narrative}"
        yield held_item(name, sheet.model_dump_json(by_alias=True))
