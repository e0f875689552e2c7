"""A sheet on the terminal that is really there: its width, its colours, its letters."""

from __future__ import annotations

import os
import shutil
import sys
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable

    from narrate.core.records import Sheet
    from narrate.render.formats.page import Page

_WIDEST = 120  # columns; longer lines are hard to follow


def for_screen(sheet: Sheet) -> bytes:
    """The sheet as text for standard output, which is a terminal."""
    from narrate.render.sheet.arrange import arrange

    return show_page(lambda _: arrange(sheet))


def show_page(arrange: Callable[[bool], Page]) -> bytes:
    """A page for the terminal; `arrange` hears whether letters beyond ASCII show. NO_COLOR, TERM=dumb are heeded."""
    from narrate.render.formats.as_terminal import write_terminal

    encoding = sys.stdout.encoding or "ascii"
    try:
        "●◐━≈".encode(encoding)
        ascii_only = False
    except (UnicodeEncodeError, LookupError):
        ascii_only = True
    colour = not os.environ.get("NO_COLOR") and os.environ.get("TERM") not in (None, "", "dumb")
    width = min(shutil.get_terminal_size().columns, _WIDEST)
    text = write_terminal(arrange(not ascii_only), width=width, colour=colour, ascii_only=ascii_only)
    return text.encode("ascii" if ascii_only else encoding, "replace")
