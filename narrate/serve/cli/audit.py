"""`narrate audit`: many narratives in, and which steps of which jobs are on record."""

from __future__ import annotations

import os
import shutil
import sys
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from narrate.core.findings import NarrateError
from narrate.serve.cli.saying import DONE, complain
from narrate.serve.cli.shop import Shop, shop_options

if TYPE_CHECKING:
    from narrate.core.settings import Settings
    from narrate.serve.audit.items import Item
    from narrate.serve.audit.outputs import AuditFormat, Output
    from narrate.serve.audit.policy import Policy
    from narrate.serve.audit.run import Plan
    from narrate.serve.audit.tally import Tally

FORMATS = ("text", "xlsx", "csv", "parquet", "html")
_SUFFIXES = {".txt": "text", ".text": "text", ".xlsx": "xlsx", ".csv": "csv", ".parquet": "parquet", ".html": "html",
             ".htm": "html"}  # fmt: skip
_WIDEST = 120

_HELP = """Look over many narratives: the state of every step of every job, by job type, step and technician.

SOURCES are folders (with the folders in them), files of notes, JSON Lines, Parquet, or results that --resume kept. A
record of JSON Lines, and a row of Parquet, holds "text" and may hold "name", "dictated_on", "trade", "tech" (the
technician's code) and "date"; a line may also be a sheet as “narrate sheet --format json” writes it. A narrative that
cannot be compiled is one finding, and stops nothing.

The text report goes to standard output, unless --out or --format says otherwise. A workbook, an HTML page and a folder
of tables hold everything: from each number a link leads to the words and the reason. A file of CSV or Parquet holds the
findings, one step a row.

\b
Example:
  narrate audit march/
  narrate audit march.jsonl --by tech --sample 20 --seed april
  narrate audit march.jsonl --compare february.jsonl --out report.html
  narrate audit year.parquet --resume year.results --out findings.parquet
  narrate audit year.parquet --cluster tcp://scheduler:8786 --out year/ --format parquet
"""
_EPILOG = """\b
Exit status:
  0  done
  2  a source or the call cannot be used; one line on standard error says why
"""


@click.command("audit", help=_HELP, epilog=_EPILOG, short_help="Look over many narratives for steps not on record.")
@click.argument("sources", nargs=-1, metavar="SOURCES...")
@click.option("--by", type=click.Choice(("job", "step", "tech")), default="step", show_default=True,
              help="What the text report counts by.")  # fmt: skip
@click.option("--sample", type=click.IntRange(min=0), default=0, metavar="N", help="Pick N sheets to be read in full.")
@click.option("--seed", default="", metavar="TEXT", help="What the sample is picked by: the same text picks the same "
              "sheets, whatever the order they come in.")  # fmt: skip
@click.option("--policy", metavar="FILE", help="A YAML file with the steps that are a must for this auditor (must, "
              "should, ignore, gaps).")  # fmt: skip
@click.option("--compare", metavar="OTHER", help="Another source, to be set beside these: an earlier period, or "
              "results that other word lists gave.")  # fmt: skip
@click.option("--format", "fmt", type=click.Choice(FORMATS), help="What to write. Told by the suffix of --out where "
              "there is one; else text.")  # fmt: skip
@click.option("--out", metavar="PATH", help="A file; or, for csv and parquet, a folder for all tables: PATH with no "
              "suffix, or with / at its end.")  # fmt: skip
@click.option("--workers", type=click.IntRange(min=1), metavar="N", help="Processes to use; all cores if left away.")
@click.option("--resume", metavar="FILE", help="Keep each result there as it comes, and do not compile again what is "
              "there already: an audit that was interrupted goes on where it stopped.")  # fmt: skip
@click.option("--cluster", is_flag=False, flag_value="local", metavar="[ADDRESS]", help="Compile on a Dask scheduler, "
              "or on a local cluster of --workers processes where no address is given.")  # fmt: skip
@click.option("--book", "place", metavar="PLACE", help="Take in the newest sheet of every narrative of this book.")
@shop_options
@click.option("--tech-of-folder", is_flag=True, help="Take the name of the folder that notes lie in for the "
              "technician's code.")  # fmt: skip
@click.option("--force", is_flag=True, help="Write over files that are not reports as narrate left them.")
def audit(
    sources: tuple[str, ...],
    by: Any,
    sample: int,
    seed: str,
    policy: str | None,
    compare: str | None,
    fmt: str | None,
    out: str | None,
    workers: int | None,
    resume: str | None,
    cluster: str | None,
    place: str | None,
    tech_of_folder: bool,
    force: bool,
    shop: Shop,
) -> int:
    from narrate.serve.audit.items import find_source, total_of
    from narrate.serve.audit.policy import Policy, read_policy
    from narrate.serve.audit.pool import count_cores
    from narrate.serve.audit.run import Plan
    from narrate.serve.audit.tally import Tally

    if not sources and not place:
        raise click.UsageError("Missing argument 'SOURCES...'. Name a folder or a file, or a book with --book.")
    target = _choose(out, fmt)
    asked = read_policy(Path(policy)) if policy else Policy()
    found = tuple(find_source(name) for name in sources)
    other = find_source(compare) if compare else None
    count = workers or count_cores()
    with ExitStack() as stack:
        read = [source.place for source in (*found, *((other,) if other else ()))]
        output = stack.enter_context(
            _output(target, asked, force=force, read=[*read, *([Path(resume)] if resume else [])])
        )
        first = next((source.place for source in found), Path())
        settings = shop.settings(first / "notes" if first.is_dir() else first)
        runner = stack.enter_context(_on_cluster(cluster, count, settings)) if cluster else None
        more = stack.enter_context(_book(place)) if place else ()
        tally = Tally(asked, sample=sample, seed=seed)
        there = _other(other, asked, count, runner, settings) if other else None
        plan = Plan(
            found, count, Path(resume) if resume else None, tech_of_folder, settings, runner, more, [output.add]
        )
        with _progress(total_of(found) if not place else None, "Narratives") as step:
            plan.step = step
            made_by = _go(plan, tally, resume)
        output.finish(_sum_up(tally, made_by, by, seed, there, found, other, resume))
    if target.place and tally.sheets:
        complain(f"audit of {tally.sheets:,} narratives written to {target.place}.")
    return DONE


class _Target:
    """What is written, and where: standard output where the place is None."""

    def __init__(self, fmt: AuditFormat, place: Path | None, folder: bool) -> None:
        self.fmt, self.place, self.folder = fmt, place, folder


def _choose(out: str | None, fmt: str | None) -> _Target:
    """Settle format and place. Raises click.UsageError for a call that contradicts itself."""
    if out is None:
        chosen: Any = fmt or "text"
        if chosen in ("xlsx", "parquet") and sys.stdout.isatty():
            raise click.UsageError(
                f"A {chosen} file cannot be shown in a terminal. Say where it goes: --out audit.{chosen}."
            )
        return _Target(chosen, None, False)
    path = Path(out)
    if out.endswith(("/", os.sep)) or path.is_dir() or not path.suffix:
        chosen = fmt or "csv"
        if chosen not in ("csv", "parquet"):
            raise click.UsageError(f"--out {out} is a folder, and a {chosen} report is one file. Name a file.")
        return _Target(chosen, path, True)
    told = _SUFFIXES.get(path.suffix.lower())
    if told is None and fmt is None:
        raise click.UsageError(f"No format is known by “{path.suffix}”. Use {', '.join(_SUFFIXES)}, or say --format.")
    if told and fmt and told != fmt:
        raise click.UsageError(f"--out {out} says {told}, --format says {fmt}. Leave one of them away.")
    chosen = fmt or told
    return _Target(chosen, path, False)


@contextmanager
def _output(target: _Target, policy: Policy, *, force: bool, read: list[Path]) -> Iterator[Output]:
    """The way to write it; files get their names when the block ends well."""
    from narrate.serve.audit.outputs import BookOutput, HtmlOutput, TablesOutput, TextOutput, files_of, is_ours
    from narrate.serve.cli.whole import PassingFile, WholeFiles, check_target

    fmt = target.fmt

    def check(path: Path) -> Path:
        return check_target(path, fmt, force=force, notes=read, ours=lambda data: is_ours(data, fmt))  # type: ignore[arg-type]

    with WholeFiles() as files:
        if target.folder and target.place and (fmt == "csv" or fmt == "parquet"):
            places = {name: check(path) for name, path in files_of(target.place, fmt).items()}
            yield TablesOutput(fmt, lambda name: files.open(places[name], with_folders=True), policy)
            return
        handle: PassingFile | _Stdout = files.open(check(target.place)) if target.place else _Stdout()
        if fmt == "text":
            yield TextOutput(handle.write, _screen() if target.place is None else None)
        elif fmt == "html":
            yield HtmlOutput(handle.write)
        elif fmt == "xlsx":
            yield BookOutput(handle, policy)
        else:
            yield TablesOutput(fmt, lambda name: handle if name == "findings" else None, policy)


class _Stdout:
    """Standard output as something that bytes are written to."""

    def write(self, data: bytes) -> None:
        sys.stdout.flush()
        sys.stdout.buffer.write(data)
        sys.stdout.buffer.flush()


def _screen() -> tuple[int, bool, bool] | None:
    """Width, colour and letters of the terminal that is really there; None for a pipe."""
    if not sys.stdout.isatty():
        return None
    try:
        "●▮".encode(sys.stdout.encoding or "ascii")
        ascii_only = False
    except (UnicodeEncodeError, LookupError):
        ascii_only = True
    colour = not os.environ.get("NO_COLOR") and os.environ.get("TERM") not in (None, "", "dumb")
    return min(shutil.get_terminal_size().columns, _WIDEST), colour, ascii_only


@contextmanager
def _on_cluster(address: str, workers: int, settings: Settings) -> Iterator[Any]:
    from narrate.serve.audit.cluster import on_cluster

    with on_cluster(address, workers, settings) as runner:
        yield runner


@contextmanager
def _book(place: str) -> Iterator[Iterator[Item]]:
    """The newest sheet of every narrative of a book."""
    from narrate.serve.audit.from_book import book_items
    from narrate.serve.cli.books import opened

    with opened(place, make=False) as book:
        yield book_items(book)


def _go(plan: Plan, tally: Tally, resume: str | None) -> Any:
    from narrate.serve.audit.run import run_audit

    try:
        return run_audit(plan, tally)
    except KeyboardInterrupt:
        if resume:
            complain(f"{tally.sheets:,} results are kept in {resume}; the same call goes on from there.")
        raise


def _other(source: Any, policy: Policy, workers: int, runner: Any, settings: Settings) -> tuple[Tally, Any]:
    """The tally of the source that is compared with, and by what it was made."""
    from narrate.serve.audit.items import total_of
    from narrate.serve.audit.run import Plan, run_audit
    from narrate.serve.audit.tally import Tally

    tally = Tally(policy)
    with _progress(total_of([source]), "Compared with") as step:
        return tally, run_audit(Plan((source,), workers, settings=settings, runner=runner, step=step), tally)


def _sum_up(
    tally: Tally, made_by: Any, by: Any, seed: str, there: Any, found: Any, other: Any, resume: str | None
) -> Any:
    from narrate.serve.audit.compare import differences
    from narrate.serve.audit.outputs import Summing
    from narrate.serve.audit.run import find_changes

    if not tally.sheets:
        raise NarrateError("nothing was audited: the sources hold no narratives.", remedy="Check what they hold.")
    rate = tally.whole
    facts: list[tuple[str, Any]] = [
        ("Narratives", tally.sheets),
        ("Words", tally.words),
        ("Steps asked for", rate.asked),
        ("Gaps", f"{rate.gaps:,} ({100 * rate.share:.1f} %)"),
        ("Musts missing", f"{rate.must_gaps:,} of {rate.must_asked:,} ({100 * rate.must_share:.1f} %)"),
        ("Sheets with no must missing", tally.clean),
        ("Not compiled", tally.broken),
        ("Asked by", f"policy: {tally.policy.name}"),
    ]
    headline = f"{tally.sheets:,} narratives: {100 * rate.share:.1f} % of the steps asked for are gaps"
    summing = Summing(tally, facts, headline, f"Made by {made_by.say()}", by, seed)
    if there:
        summing.compared, summing.other = differences(tally, there[0]), f"{other.place.name} ({there[1].say()})"
        here = Path(resume) if resume else found[0].place if len(found) == 1 and found[0].kind == "results" else None
        if here and other.kind == "results":
            summing.changes = find_changes(here, other.place)
    return summing


@contextmanager
def _progress(total: int | None, what: str) -> Iterator[Callable[[int], None]]:
    """A bar on standard error, where that is a terminal: how many are done, how fast, how long it will take."""
    if not sys.stderr.isatty():
        yield lambda count: None
        return
    from rich.console import Console
    from rich.progress import (
        BarColumn,
        MofNCompleteColumn,
        Progress,
        TextColumn,
        TimeElapsedColumn,
        TimeRemainingColumn,
    )

    columns = (TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn(), TextColumn("{task.fields[rate]}"),
               TimeElapsedColumn(), TimeRemainingColumn())  # fmt: skip
    with Progress(*columns, console=Console(stderr=True), transient=True, redirect_stdout=False) as bar:
        task = bar.add_task("Reading the word lists", total=total, rate="")  # which takes longer than many narratives

        def step(count: int) -> None:
            speed = bar.tasks[0].speed
            rate = f"{60 * speed:,.0f} a minute" if speed else ""
            bar.update(task, description=what, advance=count, rate=rate)

        yield step
