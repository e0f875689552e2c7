"""`narrate invoice`: a sheet and the shop's own price book in, a draft out."""

from __future__ import annotations

from pathlib import Path

import click

from narrate.render import FORMATS, Format
from narrate.serve.cli.document import check_place, place_of, put_document
from narrate.serve.cli.given import read_record
from narrate.serve.cli.notes import STDIN
from narrate.serve.cli.saying import DONE
from narrate.serve.cli.shop import Shop, lexicon_option, spec_option
from narrate.serve.cli.targets import choose_target

_HELP = """Draft an invoice from notes, or from the JSON of a sheet, and the shop's own price book.

Only what was told as done is billed, and only at prices that stand in the book: a line that the book does not price
for certain stands out and is in no sum. Work that was recommended or declined is listed without a price, unless the
book has an offer for it. The draft keeps blanks for customer, authorization and signatures, and says at its end what
is still to be settled and what the rules on invoices ask for.

The price book is a CSV or XLSX table. Its first row names its columns, in any order; leave out those you do not need.
“narrate invoice --columns” tells what each holds.

\b
Example:
  narrate invoice notes.txt --prices prices.csv
  narrate invoice sheet.json --prices prices.xlsx --out draft.docx
  narrate invoice notes.txt --prices prices.csv --rules us-ca-invoice --format json
"""
_EPILOG = """\b
Exit status:
  0  done
  2  the notes, the price book or the call cannot be used; one line on standard error says why
"""


def _show_columns(context: click.Context, option: click.Parameter, asked: bool) -> None:
    """Tell what a price book holds, and leave."""
    if not asked or context.resilient_parsing:
        return
    from narrate.render.invoice.prices import COLUMNS

    click.echo("A price book has a row a price. Its columns:\n")
    for name, meaning in COLUMNS.items():
        click.echo(click.wrap_text(meaning, width=96, initial_indent=f"  {name:<11}", subsequent_indent=" " * 13))
    context.exit()


def _show_rules(context: click.Context, option: click.Parameter, asked: bool) -> None:
    """Tell which rule packs there are, and leave."""
    if not asked or context.resilient_parsing:
        return
    from narrate.render.invoice.packs import packs, read_pack

    for name in packs():
        pack = read_pack(name)
        click.echo(f"  {name:<24}{pack.title} ({pack.place}), {len(pack.rules)} rules")
    context.exit()


@click.command("invoice", help=_HELP, epilog=_EPILOG, short_help="Draft an invoice by the shop's own price book.")
@click.argument("notes", metavar="NOTES_OR_SHEET")
@click.option("--prices", required=True, metavar="BOOK", help="The shop's price book, .csv or .xlsx.")
@click.option("--format", "fmt", type=click.Choice(FORMATS), help="What to write. Told by the suffix of --out "
              "where there is one; else text for standard output, docx for a folder.")  # fmt: skip
@click.option("--out", metavar="PATH", help="A file, or a folder: PATH with no suffix, or with / at its end.")
@click.option("--discount", "discounts", multiple=True, metavar="NAME", help="A discount of the book that does not "
              "apply by itself. May be given several times.")  # fmt: skip
@click.option("--rules", "packs", multiple=True, metavar="PACK", help="The rules on invoices to check by; --list-rules "
              "tells which there are. May be given several times.")  # fmt: skip
@click.option("--words", is_flag=True, help="Put the quotations behind each line at the end of the draft.")
@click.option("--dictated-on", metavar="DATE", help="The day of the notes, as 2026-03-16: “yesterday” is told by it.")
@click.option("--trade", metavar="TRADE", help="The trade whose words and steps count. Told from the notes if left "
              "away.")  # fmt: skip
@spec_option
@lexicon_option
@click.option("--force", is_flag=True, help="Write over a file that is not a draft as narrate left it.")
@click.option("--columns", is_flag=True, is_eager=True, expose_value=False, callback=_show_columns,
              help="Tell what each column of a price book holds, and leave.")  # fmt: skip
@click.option("--list-rules", is_flag=True, is_eager=True, expose_value=False, callback=_show_rules,
              help="Tell which rule packs there are, and leave.")  # fmt: skip
def invoice(
    notes: str,
    prices: str,
    fmt: Format | None,
    out: str | None,
    discounts: tuple[str, ...],
    packs: tuple[str, ...],
    words: bool,
    dictated_on: str | None,
    trade: str | None,
    lexicon: tuple[str, ...],
    spec: tuple[str, ...],
    force: bool,
) -> int:
    from narrate.render.formats.seal import is_ours
    from narrate.render.invoice import draft_invoice, read_prices, write_invoice
    from narrate.render.invoice.tables import is_our_json

    target = choose_target(out, fmt, single=True)
    name = "notes" if notes == STDIN else Path(notes).stem
    shown = place_of(target, f"{name}-invoice-draft")
    read = [Path(one) for one in (notes, prices) if one != STDIN]

    def ours(data: bytes) -> bool:
        return is_our_json(data) if target.fmt == "json" else is_ours(data, target.fmt)

    place = check_place(shown, target, force=force, read=read, ours=ours)  # before the work, not after it
    book = read_prices(prices)
    record = read_record(notes, dictated_on, trade, Shop(tuple(map(Path, lexicon)), tuple(map(Path, spec))))
    made = draft_invoice(record, book, discounts=discounts, packs=packs)
    put_document(write_invoice(made, target.fmt, words=words), place, what="invoice draft", shown=shown)
    return DONE
