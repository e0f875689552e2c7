"""Which book a call means: the one it names, else that of the nearest narrate.toml, else the user's own."""

from __future__ import annotations

import os
import sys
import tomllib
from pathlib import Path

from narrate.core.findings import NarrateError

SETTINGS = "narrate.toml"
FILE = "book.sqlite"


def choose_book(named: str | None, start: Path) -> str:
    """The address of the book: `named` (a path or postgresql://...), or what narrate.toml says, looked for from the
    folder `start` upwards, or a file in the user's own data folder."""
    if named:
        return named
    for folder in (start.absolute(), *start.absolute().parents):
        said = _said_in(folder / SETTINGS)
        if said:
            return said if "://" in said else str(folder / said)
    return str(_data_folder() / "narrate" / FILE)


def _said_in(path: Path) -> str | None:
    """The book's address in a settings file: `url` under `[book]`; a path there counts from the file's own folder."""
    try:
        with path.open("rb") as file:
            settings = tomllib.load(file)
    except (FileNotFoundError, NotADirectoryError, PermissionError):
        return None
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise NarrateError(
            f"cannot be read: {error}.", where=str(path), remedy="Mend it, or name a book with --book."
        ) from None
    book = settings.get("book", {})
    if not isinstance(book, dict) or not book.keys() <= {"url"} or not isinstance(book.get("url", ""), str):
        raise NarrateError("[book] holds one key, url, a text.", where=str(path), remedy='Write url = "shop.sqlite".')
    return book.get("url") or None


def _data_folder() -> Path:
    """Where the system keeps what programs keep for a user."""
    if sys.platform == "win32":
        return Path(os.environ.get("LOCALAPPDATA") or Path.home() / "AppData" / "Local")
    if sys.platform == "darwin":
        return Path.home() / "Library" / "Application Support"
    return Path(os.environ.get("XDG_DATA_HOME") or Path.home() / ".local" / "share")
