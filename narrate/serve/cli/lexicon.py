"""`narrate lexicon`: tools for those who teach it words, parts and job types."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterable, Sequence
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING

import click

from narrate.core.findings import NarrateError
from narrate.serve.cli.saying import CANNOT_USE, DONE, complain, say_os_error
from narrate.serve.cli.shop import Shop, lexicon_option

if TYPE_CHECKING:
    from narrate.core.lexicon.lexicon import Lexicon
    from narrate.core.records import Sheet
    from narrate.reckon.evidence import RuleBook
    from narrate.serve.lexicon.show import Shown

_HELP = """Look into the lexicon, and check what you add to it.

A shop's own folder is laid over ours with --lexicon DIR. How it is written stands in lexicon/GUIDE.md.

\b
Examples:
  narrate lexicon check shop-words/           everything that is wrong, at once
  narrate lexicon show "brake pad"            what is known of it, and where from
  narrate lexicon try "let it sit overnight"  how a phrase is read
  narrate lexicon unknown monday/             words that no entry is said by
  narrate lexicon schema procedures           JSON Schema, for editors
"""
_TRADE = "The trade whose words and steps count. Light vehicles if left away."
DEFAULT = "light-vehicle"


@click.group("lexicon", short_help="Look into the lexicon, and check what you add to it.", help=_HELP)
def lexicon() -> None:
    pass


def _load(trade: str, folders: Sequence[str]) -> tuple[Lexicon, RuleBook]:
    from narrate.pipeline import load_trade, rule_book

    loaded = load_trade(trade, tuple(map(Path, folders)))
    return loaded, rule_book(loaded)


# ----------------------------------------------------------------------------------------------------- check
@lexicon.command("check", short_help="Tell everything that is wrong with a lexicon, at once.")
@click.argument("folder", required=False, metavar="[DIR]")
@click.option("--trade", "trades", multiple=True, metavar="TRADE", help="Only this trade. May be given more than once.")
@lexicon_option
@click.option("--json", "as_json", is_flag=True, help="JSON, for other programs.")
def check(folder: str | None, trades: tuple[str, ...], lexicon: tuple[str, ...], as_json: bool) -> int:
    """Tell everything that is wrong with a lexicon, at once: each fault with file, line, column, and the way out.

    DIR is a folder that is laid over ours (and over those of --lexicon), or a whole lexicon; left away, ours is
    checked. Told of are: what is no YAML, unknown and missing keys, figures without a source, entries and phrases that
    stand twice, names that refer to nothing, steps that no words can meet, and examples that fail. Notes tell which
    words a folder takes from ours.

    Ends with status 2 where there is a fault.
    """
    from narrate.serve.lexicon.check import check_lexicon

    report = check_lexicon(Path(folder) if folder else None, trades, tuple(map(Path, lexicon)))
    if as_json:
        faults = [asdict(f) | {"path": str(f.path), "kind": kind} for kind, group in
                  (("fault", report.faults), ("note", report.notes)) for f in group]  # fmt: skip
        click.echo(json.dumps(faults, indent=2, ensure_ascii=False))
    else:
        for fault in report.faults:
            click.echo(f"{fault.where}: {fault.what}")
            if fault.remedy:
                click.echo(f"    {fault.remedy}")
        for note in report.notes:
            click.echo(f"note: {note.where}: {note.what}")
    checked = f"{_count(report.files, 'file')} in {_count(len(report.trades), 'trade')}"
    heard = f"{_count(report.examples, 'example')} heard"
    complain(f"{_count(len(report.faults), 'fault')}: {checked}, {heard}.")
    return CANNOT_USE if report.faults else DONE


def _count(number: int, thing: str) -> str:
    return f"{number:,} {thing}" if number == 1 else f"{number:,} {thing}s"


# ----------------------------------------------------------------------------------------------------- show
@lexicon.command("show", short_help="Show everything known of a term, and where from.")
@click.argument("term", metavar="TERM")
@click.option("--trade", default=DEFAULT, metavar="TRADE", help=_TRADE)
@lexicon_option
@click.option("--json", "as_json", is_flag=True, help="JSON, for other programs.")
def show(term: str, trade: str, lexicon: tuple[str, ...], as_json: bool) -> int:
    """Show everything known of a term, and where from.

    TERM is an id (brake-pad), a phrase as it is said ("break pads"), a step, a job type, a system, a unit, or part of
    an id: then what is like it is listed.
    """
    from narrate.serve.lexicon.show import show_term

    found = show_term(term, *_load(trade, lexicon))
    if not found.shown and not found.near:
        raise NarrateError(f"nothing in {trade} is called “{term}”, or like it.", remedy="Try another --trade.")
    if as_json:
        click.echo(json.dumps(asdict(found), indent=2, ensure_ascii=False))
        return DONE
    if found.shown:
        click.echo("\n\n".join("\n".join(_entry(one)) for one in found.shown))
    else:
        click.echo(f"Nothing is called “{term}”. Like it are:")
        for name in found.near:
            click.echo(f"  {name}")
    return DONE


def _entry(one: Shown) -> list[str]:
    from textwrap import wrap

    out = [f"{one.kind} {one.id}" + (f": {one.name}" if one.name != one.id else "")]
    for title, words in one.rows:
        lines = wrap(words, 100, break_long_words=False, break_on_hyphens=False) or [""]
        out += [f"  {title if i == 0 else '':<16} {line}".rstrip() for i, line in enumerate(lines)]
    out += [f"  {'stands in' if i == 0 else '':<16} {place}" for i, place in enumerate(one.places)]
    return out


# ----------------------------------------------------------------------------------------------------- try
@lexicon.command("try", short_help="Show how a phrase is read.")
@click.argument("words", nargs=-1, required=True, metavar="WORDS...")
@click.option("--trade", metavar="TRADE", help="The trade whose words count. Told from the words if left away.")
@lexicon_option
@click.option("--json", "as_json", is_flag=True, help="JSON, for other programs.")
def try_(words: tuple[str, ...], trade: str | None, lexicon: tuple[str, ...], as_json: bool) -> int:
    """Show how a phrase is read: its words, the phrases and values found in them, the statements with their state and
    what decided it, the facts that follow, the jobs that the words tell of and the steps that they put on record."""
    from narrate.core.tokens import split_words
    from narrate.hear.intake import take_text
    from narrate.pipeline import gather_facts, load_trade
    from narrate.read.trade import tell_trade
    from narrate.serve.cli.why import reading_rows
    from narrate.serve.lexicon.explain import Explainer, facts_told
    from narrate.serve.lexicon.met import jobs_told, steps_met

    passage = take_text(" ".join(words))
    folders = tuple(map(Path, lexicon))
    loaded = load_trade(trade or tell_trade(split_words(passage), folders), folders)
    facts = gather_facts(passage, loaded, None)
    reading = Explainer(facts, loaded).whole()
    told = list(facts_told(facts, loaded))
    jobs, steps = jobs_told(facts, loaded.made["book"]), steps_met(facts, loaded.made["book"])
    if as_json:
        whole = {"trade": loaded.id, **asdict(reading), "facts": told, "jobs": jobs, "steps": steps}
        click.echo(json.dumps(whole, indent=2, ensure_ascii=False))
        return DONE
    for row in (f"trade       {loaded.id}", *reading_rows(reading)):
        click.echo(row)
    for fact in told or ["none"]:
        click.echo(f"fact        {fact}")
    for kind, found in (("job", jobs), ("meets", steps)):
        for one in found or ["none"]:
            click.echo(f"{kind:<12}{one}")
    return DONE


# ----------------------------------------------------------------------------------------------------- unknown
@lexicon.command("unknown", short_help="Count the words that no entry is said by, over many narratives.")
@click.argument("notes", nargs=-1, required=True, metavar="NOTES...")
@click.option("--trade", metavar="TRADE", help="The trade of all the notes. Told from each if left away.")
@lexicon_option
@click.option(
    "--least", type=click.IntRange(1), default=1, metavar="N", help="Only what stands in N narratives or more."
)
@click.option("--json", "as_json", is_flag=True, help="JSON, for other programs.")
def unknown(notes: tuple[str, ...], trade: str | None, lexicon: tuple[str, ...], least: int, as_json: bool) -> int:
    """Count the words that sound like a part, an act or a measure and that no entry is said by.

    NOTES are files or folders. For each wording: in how many narratives it stands, how often, and once where.
    """
    from narrate.serve.cli.notes import find_notes
    from narrate.serve.lexicon.unknown import count_unknown

    called = find_notes(notes)
    for error in called.errors:
        complain(str(error))
    failed = len(called.errors)
    shop = Shop(lexicon=tuple(map(Path, lexicon)), trade=trade)
    sheets: list[tuple[str, Sheet]] = []
    for one in called.notes:
        try:
            sheets.append((one.label, _compile(one.path, shop)))
        except NarrateError as error:
            failed += 1
            complain(str(error))
        except OSError as error:
            failed += 1
            complain(say_os_error(error, one.label))
    found = [one for one in count_unknown(sheets) if one.narratives >= least]
    if as_json:
        click.echo(json.dumps([asdict(u) | {"trades": sorted(u.trades)} for u in found], indent=2, ensure_ascii=False))
    else:
        for u in found:
            click.echo(f"{u.narratives:>5} {u.times:>5}  {u.words}\n{'':13}{u.name}: {u.said}")
    complain(f"{_count(len(found), 'wording')} unknown in {_count(len(sheets), 'narrative')}.")
    return CANNOT_USE if failed else DONE


def _compile(path: Path | None, shop: Shop) -> Sheet:
    from narrate.hear.intake import take_bytes
    from narrate.pipeline import compile_file, compile_passage

    settings = shop.settings(path)
    if path is None:
        return compile_passage(take_bytes(sys.stdin.buffer.read(), "standard input"), settings=settings)
    return compile_file(path, settings=settings)


# ----------------------------------------------------------------------------------------------------- lists
@lexicon.command("rules", short_help="List the rule packs, or show one.")
@click.argument("pack", required=False, metavar="[PACK]")
@lexicon_option
def rules(pack: str | None, lexicon: tuple[str, ...]) -> int:
    """List the rule packs that --rules takes, or show what one asks for, by whom and of which edition."""
    from narrate.core.lexicon.rules import packs, read_pack

    folders = tuple(Path(folder).resolve() for folder in lexicon)
    if pack is None:
        for name in packs(folders):
            one = read_pack(name, folders)
            click.echo(f"{name:<26} {len(one.rules):>3} rules  {one.title} ({one.place})")
        return DONE
    one = read_pack(pack, folders)
    click.echo(f"{one.id}: {one.title} ({one.place})")
    for rule in one.rules:
        click.echo(f"  {rule.level:<6} {rule.id}: {rule.requires}")
        click.echo(f"         {rule.source}; {rule.edition}")
    return DONE


@lexicon.command("count", short_help="Count what each trade knows.")
@lexicon_option
@click.option("--markdown", is_flag=True, help="A Markdown table, for the README.")
def count(lexicon: tuple[str, ...], markdown: bool) -> int:
    """Count job types, steps, parts, fluids, readings, acts, phrases, examples and sources of each trade.

    A trade that builds on another is counted with what it takes from it.
    """
    from narrate.core.lexicon.load import trades
    from narrate.pipeline import load_trade, rule_book
    from narrate.serve.lexicon.count import as_table, count_all

    folders = tuple(map(Path, lexicon))
    rows = as_table(count_all(trades(folders), lambda trade: load_trade(trade, folders), rule_book))
    click.echo("\n".join(_markdown(rows) if markdown else _plain(rows)))
    return DONE


def _markdown(rows: Sequence[tuple[str, ...]]) -> Iterable[str]:
    yield f"| {' | '.join(rows[0])} |"
    yield f"|{'|'.join('---' if i == 0 else '---:' for i in range(len(rows[0])))}|"
    for row in rows[1:]:
        yield f"| {' | '.join(row)} |"


def _plain(rows: Sequence[tuple[str, ...]]) -> Iterable[str]:
    widths = [max(len(row[i]) for row in rows) for i in range(len(rows[0]))]
    for row in rows:
        cells = [
            cell.ljust(w) if i == 0 else cell.rjust(w) for i, (cell, w) in enumerate(zip(row, widths, strict=True))
        ]
        yield "  ".join(cells).rstrip()


@lexicon.command("schema", short_help="Print the JSON Schema of a kind of lexicon file, for editors.")
@click.argument("kind", required=False, metavar="[KIND]")
@click.option("--shop", is_flag=True, help="For a folder that is laid over ours: entries need not be whole.")
@click.option("--out", metavar="DIR", help="Write the schemas of all kinds into a folder, as KIND.schema.json.")
def schema(kind: str | None, shop: bool, out: str | None) -> int:
    """Print the JSON Schema of a kind of lexicon file, by which an editor checks and completes while one writes.

    With no KIND the kinds are listed. An editor with a YAML language server takes it from a file's first line:
    # yaml-language-server: $schema=procedures.schema.json
    """
    from narrate.serve.cli.whole import write_whole
    from narrate.serve.lexicon.schemas import kinds, schema_of

    if kind is not None and kind not in kinds():
        raise NarrateError(f"no kind of file is called “{kind}”.", remedy=f"There are: {', '.join(sorted(kinds()))}.")
    if out is not None:
        wanted = [kind] if kind else sorted(kinds())
        files = {Path(out) / f"{name}.schema.json": _dump(schema_of(name, shop)).encode() for name in wanted}
        taken = next((path for path, data in files.items() if path.exists() and path.read_bytes() != data), None)
        if taken is not None:
            raise NarrateError("already exists, and is another file.", where=str(taken), remedy="Choose another --out.")
        write_whole(files, with_folders=True)
        complain(f"{_count(len(files), 'schema')} written to {out}.")
    elif kind is None:
        for name in sorted(kinds()):
            click.echo(name)
    else:
        click.echo(_dump(schema_of(kind, shop)), nl=False)
    return DONE


def _dump(described: dict[str, object]) -> str:
    return json.dumps(described, indent=2, ensure_ascii=False) + "\n"
