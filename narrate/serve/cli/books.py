"""The option that names a book, and how a command opens it. Nothing heavy is loaded before a command runs."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

if TYPE_CHECKING:
    from narrate.serve.archive import Book

F = TypeVar("F", bound=Callable[..., Any])


def book_option(command: F) -> F:
    """`--book` for a command."""
    return click.option(
        "--book", "place", metavar="PLACE", envvar="NARRATE_BOOK", show_envvar=True,
        help="The book: a file, or postgresql://USER@HOST/DATABASE. If left away, what narrate.toml says "
        "([book] url = ...), else one in your own data folder.",
    )(command)  # fmt: skip


@contextmanager
def opened(place: str | None, *, make: bool, start: Path | None = None) -> Iterator[Book]:
    """The book of a call, closed at its end; `start` is the folder from which narrate.toml is looked for."""
    from narrate.serve.archive import choose_book, open_book

    book = open_book(choose_book(place, start or Path.cwd()), make=make)
    try:
        yield book
    finally:
        book.close()


def count(number: int, thing: str) -> str:
    """ "1 question", "1,200 questions"; a word that ends in y takes -ies."""
    if number == 1:
        return f"1 {thing}"
    return f"{number:,} {thing[:-1]}ies" if thing.endswith("ry") else f"{number:,} {thing}s"
