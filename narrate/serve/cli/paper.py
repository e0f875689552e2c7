"""`narrate paper`: a copy for the customer, or one for the shop, from one record."""

from __future__ import annotations

from pathlib import Path

import click

from narrate.render.papers import FORMATS, READERS, PaperFormat, Reader
from narrate.serve.cli.document import check_place, place_of, put_document
from narrate.serve.cli.given import read_record
from narrate.serve.cli.notes import STDIN
from narrate.serve.cli.saying import DONE
from narrate.serve.cli.shop import Shop, shop_options
from narrate.serve.cli.targets import choose_target

_HELP = """Write a copy of the record for the customer, or one for the shop.

The customer's copy tells in plain words what was done, which parts went in and in what condition, what was measured,
and what was recommended, declined or left for later, with how soon as it was said. It holds no gaps, no quotations and
no blame. The shop's copy holds everything: the gaps, the words behind each value, and why each step stands as it does.

\b
Example:
  narrate paper notes.txt --for customer --out copy.docx
  narrate paper sheet.json --for shop --format html > shop.html
"""
_EPILOG = """\b
Exit status:
  0  done
  2  the notes or the call cannot be used; one line on standard error says why
"""


@click.command("paper", help=_HELP, epilog=_EPILOG, short_help="Write the customer's copy or the shop's copy.")
@click.argument("notes", metavar="NOTES_OR_SHEET")
@click.option("--for", "reader", type=click.Choice(READERS), required=True, help="Who reads it.")
@click.option("--format", "fmt", type=click.Choice(FORMATS), help="What to write. Told by the suffix of --out where "
              "there is one; else text for standard output, docx for a folder.")  # fmt: skip
@click.option("--out", metavar="PATH", help="A file, or a folder: PATH with no suffix, or with / at its end.")
@click.option("--dictated-on", metavar="DATE", help="The day of the notes, as 2026-03-16: “yesterday” is told by it.")
@click.option("--trade", metavar="TRADE", help="The trade whose words and steps count. Told from the notes if left "
              "away.")  # fmt: skip
@shop_options
@click.option("--force", is_flag=True, help="Write over a file that is not a paper as narrate left it.")
def paper(
    notes: str,
    reader: Reader,
    fmt: PaperFormat | None,
    out: str | None,
    dictated_on: str | None,
    trade: str | None,
    force: bool,
    shop: Shop,
) -> int:
    from narrate.render.papers import write_paper

    target = choose_target(out, fmt, single=True)
    if target.fmt not in FORMATS:
        raise click.UsageError(f"A paper is no {target.fmt} file. Use {', '.join(FORMATS)}.")
    name = "notes" if notes == STDIN else Path(notes).stem
    shown = place_of(target, f"{name}-{reader}")
    place = check_place(shown, target, force=force, read=[Path(notes)] if notes != STDIN else [])
    record = read_record(notes, dictated_on, trade, shop)
    put_document(write_paper(record, reader, target.fmt), place, what=f"{reader}'s copy", shown=shown)
    return DONE
