"""`narrate why`: how a line of the sheet came about."""

from __future__ import annotations

import json
import sys
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from narrate.core.findings import NarrateError
from narrate.serve.cli.notes import STDIN
from narrate.serve.cli.shop import Shop, shop_options

if TYPE_CHECKING:
    from narrate.serve.lexicon.explain import Explainer, Reading
    from narrate.serve.lexicon.lines import Line

_HELP = """Show how lines of a sheet came about.

NOTES is a file, or - for standard input. VALUE is some of the words of a line, or of the words behind it: a part, a
figure, a step, the words that were said. With no VALUE every line is shown.

For each line: the words that it rests on, the phrases and values found in them, the statement that they stand in, and
the rule or cue that decided its state.

\b
Examples:
  narrate why notes.txt                   every line
  narrate why notes.txt "brake pad"       lines that speak of brake pads
  narrate why notes.txt ac-hold           the step, its rule, and where the rule stands
  narrate why notes.srt 29 --json         for other programs
"""


@click.command("why", short_help="Show how a line of the sheet came about.", help=_HELP)
@click.argument("notes", metavar="NOTES")
@click.argument("value", required=False, metavar="[VALUE]")
@click.option("--json", "as_json", is_flag=True, help="JSON, for other programs.")
@click.option("--dictated-on", metavar="DATE", help="The day of the notes, as 2026-03-16.")
@click.option(
    "--trade", metavar="TRADE", help="The trade whose words and steps count. Told from the notes if left away."
)
@shop_options
def why(notes: str, value: str | None, as_json: bool, dictated_on: str | None, trade: str | None, shop: Shop) -> int:
    from narrate.hear.intake import take_bytes, take_file
    from narrate.pipeline import as_date, compile_passage, gather_facts, load_trade, rule_book, spec_of
    from narrate.serve.lexicon.explain import Explainer
    from narrate.serve.lexicon.lines import lines_of, wanted_lines

    path = None if notes == STDIN else Path(notes)
    passage = take_file(path) if path else take_bytes(sys.stdin.buffer.read(), "standard input")
    settings = shop.settings(path)
    sheet = compile_passage(passage, dictated_on, trade, settings=settings)
    lexicon = load_trade(sheet.trade, settings.lexicon)
    sides = {side: said for spec in settings.spec for side, said in spec_of(spec, lexicon).sides.items()}
    facts = gather_facts(passage, lexicon, as_date(dictated_on), sides)
    lines = wanted_lines(lines_of(sheet, lexicon, rule_book(lexicon)), value)
    if value is not None and not lines:
        raise NarrateError(f"no line of the sheet speaks of “{value}”.", where=notes,
                           remedy="See all lines with “narrate why NOTES”.")  # fmt: skip
    explainer = Explainer(facts, lexicon)
    if as_json:
        click.echo(json.dumps([_as_json(line, explainer) for line in lines], indent=2, ensure_ascii=False))
    else:
        click.echo("\n\n".join("\n".join(_as_text(line, explainer)) for line in lines))
    return 0


def _as_json(line: Line, explainer: Explainer) -> dict[str, Any]:
    readings = [asdict(explainer.at(e.start, e.end)) | {"time_s": e.time_s} for e in line.evidence]
    return {"block": line.block, "says": line.says, "state": line.state or None, "remarks": list(line.remarks),
            "evidence": readings}  # fmt: skip


def _as_text(line: Line, explainer: Explainer) -> list[str]:
    out = [f"{line.block}: {line.says}" + (f" [{line.state}]" if line.state else "")]
    out += [f"  {remark}" for remark in line.remarks]
    for e in line.evidence:
        at = f"characters {e.start} to {e.end}" + (
            f", {_clock(e.time_s)} into the recording" if e.time_s is not None else ""
        )
        out.append(f"  “{' '.join(e.quote.split())}”  ({at})")
        out += [f"    {row}" for row in reading_rows(explainer.at(e.start, e.end))]
    return out


def reading_rows(reading: Reading) -> list[str]:
    """What stands on some words, a row for each kind of thing."""
    rows = []
    if reading.tokens:
        rows.append(
            "words       "
            + " · ".join(text if text.lower() == key else f"{text} ({key})" for text, key in reading.tokens)
        )
    for phrase in reading.phrases:
        rows.append(f"{phrase.layer:<11} {phrase.id}  “{phrase.words}”")
    for value in reading.values:
        remarks = f"; {'; '.join(value.remarks)}" if value.remarks else ""
        rows.append(f"value       {value.figure} {value.unit or '(no unit)'}  “{value.words}”{remarks}")
    for name in reading.names:
        rows.append(f"no value    {name.kind} {name.text}  “{name.words}”")
    for said in reading.statements:
        hedged = ", hedged" if said.hedged else ""
        by = f" by “{said.cue}”" if said.cue else ""
        why = f" – {said.why}" if said.why else ""
        rows.append(f"statement   {said.state}{hedged}, {said.rule}{by}{why}:  “{said.words}”")
    return rows


def _clock(seconds: float) -> str:
    whole = int(seconds)
    return f"{whole // 60}:{whole % 60:02d}"
