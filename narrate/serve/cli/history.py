"""`narrate history`: the life of one vehicle, out of the book."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Literal

import click

from narrate.core.findings import NarrateError
from narrate.serve.cli.books import book_option, opened
from narrate.serve.cli.saying import DONE, complain

if TYPE_CHECKING:
    from narrate.render.formats.page import Page

_HELP = """Show the history of a vehicle: visits, parts, readings, and what is still open.

VEHICLE is a VIN (or its last six characters and more), a plate or a unit number, as it was told in the notes that the
book holds. Work that was recommended, declined, planned or promised is carried from visit to visit until a narrative
tells that it was done.

\b
Examples:
  narrate history 1HGCM82633A004352
  narrate history "ABC 1234" --plot readings.png
  narrate history ABC1234 --for owner --out history.docx     for a vehicle that is sold on
  narrate history 12 --format json
"""
_LAST = 20  # visits that are listed on standard output, where nothing else is asked for


@click.command("history", short_help="The life of one vehicle.", help=_HELP)
@click.argument("vehicle", metavar="VEHICLE")
@book_option
@click.option("--for", "reader", type=click.Choice(("shop", "owner")), default="shop", show_default=True,
              help="Who reads it: the shop, or who owns or takes over the vehicle.")  # fmt: skip
@click.option("--last", type=click.IntRange(min=1), metavar="N", help="List the newest N visits only; all are counted. "
              "On standard output the newest 20 if left away.")  # fmt: skip
@click.option("--all", "every", is_flag=True, help="List all visits.")
@click.option("--format", "fmt", type=click.Choice(("text", "html", "docx", "json")), help="What to write. Told by the "
              "suffix of --out where there is one; else text.")  # fmt: skip
@click.option("--out", metavar="FILE", help="A file for it.")
@click.option("--plot", metavar="FILE", help="Plot the readings as well: a .png, .svg or .pdf file.")
@click.option("--force", is_flag=True, help="Write over files that narrate did not make.")
def history(
    vehicle: str, place: str | None, reader: Literal["shop", "owner"], last: int | None, every: bool, fmt: str | None,
    out: str | None, plot: str | None, force: bool,
) -> int:  # fmt: skip
    if every and last is not None:
        raise click.UsageError("--last and --all contradict each other.")
    fmt = _format(fmt, out)
    _check_plot(plot, force)
    from narrate.serve.history import arrange_history, open_history

    with opened(place, make=False) as book:
        found = open_history(book, vehicle)
    if plot is not None:
        from narrate.serve.cli.whole import write_whole
        from narrate.serve.history.plot import plot_trends

        title = found.name or found.vin or vehicle
        write_whole({Path(plot): plot_trends(found.trends, title, Path(plot).suffix[1:].lower())})
        complain(f"plot written to {plot}.")
    if fmt == "json":
        from narrate.serve.history.held import hold_history

        data = (json.dumps(hold_history(found), ensure_ascii=False, indent=2) + "\n").encode(
            "utf-8", "backslashreplace"
        )
    else:
        listed = None if every else last or (None if out else _LAST)
        if fmt == "text" and out is None and sys.stdout.isatty():
            from narrate.serve.cli.screen import show_page

            data = show_page(lambda letters: arrange_history(found, reader, listed, sparks=letters))
        else:
            data = _document(arrange_history(found, reader, listed), fmt)
    _put(data, fmt, out, force)
    return DONE


def _format(fmt: str | None, out: str | None) -> str:
    known = {".txt": "text", ".html": "html", ".htm": "html", ".docx": "docx", ".json": "json"}
    told = known.get(Path(out).suffix.lower()) if out else None
    if out and told is None and fmt is None:
        raise click.UsageError(f"No format is known by “{Path(out).suffix}”. Use {', '.join(known)}, or say --format.")
    if told and fmt and told != fmt:
        raise click.UsageError(f"--out {out} says {told}, --format says {fmt}. Leave one of them away.")
    if fmt == "docx" and not out:
        raise click.UsageError("Say where the Word document goes: --out history.docx.")
    return fmt or told or "text"


def _check_plot(plot: str | None, force: bool) -> None:
    """Refuse a plot that cannot be written, before the work."""
    if plot is None:
        return
    if Path(plot).suffix.lower() not in (".png", ".svg", ".pdf"):
        raise click.UsageError(f"--plot {plot}: a plot is a .png, .svg or .pdf file.")
    if Path(plot).exists() and not force:
        raise NarrateError("already exists.", where=plot, remedy="Choose another file, or use --force.")


def _document(page: Page, fmt: str) -> bytes:
    from narrate.render.formats import seal

    if fmt == "html":
        from narrate.render.formats.as_html import write_html

        return seal.seal_html(write_html(page, seal.PLACEHOLDER))
    if fmt == "docx":
        from narrate.render.formats.as_docx import write_docx

        return seal.seal_docx(write_docx(page, seal.PLACEHOLDER))
    from narrate.render.formats.as_terminal import write_terminal

    return seal.seal_text(write_terminal(page))


def _put(data: bytes, fmt: str, out: str | None, force: bool) -> None:
    if out is None:
        sys.stdout.flush()
        sys.stdout.buffer.write(data)
        sys.stdout.buffer.flush()
        return
    from narrate.serve.cli.whole import check_target, write_whole

    if fmt == "json" and Path(out).exists() and not force:
        raise NarrateError("already exists.", where=out, remedy="Choose another file, or use --force.")
    real = check_target(Path(out), fmt, force=force)  # type: ignore[arg-type]
    write_whole({real: data})
    complain(f"history written to {out}.")
