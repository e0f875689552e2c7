"""Everything that is wrong with a lexicon, told at once: files, entries, phrases, references, steps and examples."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from narrate.core.findings import NarrateError
from narrate.core.lexicon.build import build_lexicon
from narrate.core.lexicon.kinds import kind_of, yaml_files
from narrate.core.lexicon.lexicon import Lexicon, roots_of, strays
from narrate.core.lexicon.load import lexicon_root, trades, validate
from narrate.core.lexicon.plain_yaml import Fault, Faulty, read_all
from narrate.core.lexicon.rules import pack_files, read_pack
from narrate.core.lexicon.schema import Entry
from narrate.reckon.evidence import build_book, faults_in_procedures, loose_ends
from narrate.reckon.evidence.book import RuleBook
from narrate.reckon.evidence.refers import loose_ends_of
from narrate.serve.lexicon.examples import failing_examples
from narrate.serve.lexicon.meetable import steps_beyond_words


@dataclass(frozen=True, slots=True)
class Report:
    """`faults` keep a lexicon from being used, or from meaning what it says; `notes` tell what is laid over ours."""

    folder: Path
    trades: tuple[str, ...]
    files: int
    examples: int
    faults: tuple[Fault, ...]
    notes: tuple[Fault, ...]


def check_lexicon(folder: Path | None = None, only: Sequence[str] = (), below: Sequence[Path] = ()) -> Report:
    """Check the shipped lexicon, or a folder laid over it (a whole lexicon by itself), in every trade that it touches.

    `only` names trades, `below` further folders that lie between ours and this one. Raises NarrateError where the
    folder holds no lexicon at all.
    """
    more = tuple(path.resolve() for path in (*below, *((folder,) if folder is not None else ())))
    roots = roots_of(more)
    own = more[-1] if more else roots[0]
    if not own.is_dir():
        raise NarrateError("there is no such folder.", where=str(own), remedy="Give the folder that holds the lexicon.")
    files = list(yaml_files(own))
    if not files:
        raise NarrateError(
            "holds no lexicon.", where=str(own), remedy="Put components.yaml or trades/<trade>/ into it."
        )
    checked = tuple(only) or _touched(own, roots)
    faults: list[Fault] = [*strays(own, files), *_packs(own)]
    if own == lexicon_root():
        faults += _ours(files, own)
    notes: list[Fault] = []
    examples: set[tuple[str, str, str]] = set()
    for trade in checked:
        collected: list[Fault] = []
        try:
            lexicon = build_lexicon(trade, roots, collected)
        except Faulty as error:
            faults += error.faults
            continue
        faults += collected
        faults += [clash.fault() for clash in lexicon.clashes if not clash.yields]
        notes += [clash.fault() for clash in lexicon.clashes if clash.yields]
        faults += _procedures(lexicon)
        faults += failing_examples(lexicon, examples)
    mine = [fault for fault in dict.fromkeys(faults) if fault.path.is_relative_to(own) or own == lexicon_root()]
    return Report(own, checked, len(files), len(examples), tuple(sorted(mine)), tuple(sorted(dict.fromkeys(notes))))


def _touched(own: Path, roots: Sequence[Path]) -> tuple[str, ...]:
    """The trades that a folder says something of; all of them where it speaks of what they share."""
    every = trades(roots)
    named = tuple(t for t in every if (own / "trades" / t).is_dir())
    if (own / "common").is_dir():
        return every
    return named or ("light-vehicle",)


def _ours(files: Iterable[Path], root: Path) -> list[Fault]:
    """The common files that the stages read for themselves."""
    from narrate.core.lexicon.answers import AnswersFile
    from narrate.render.papers.words import PapersFile

    faults: list[Fault] = []
    models: dict[str, type[Entry]] = {"answers": AnswersFile, "papers": PapersFile}
    for path in files:
        kind = kind_of(root, path)
        model = kind.model if kind else models.get(path.stem)
        if path.parent != root / "common" or model is None:
            continue
        data, found = read_all(path)
        faults += found
        try:
            if not found:
                _ = validate(path, data, model)
        except Faulty as error:
            faults += error.faults
    return faults


def _packs(own: Path) -> list[Fault]:
    faults: list[Fault] = []
    for name, path in pack_files((own,)).items():
        try:
            if path.is_relative_to(own):
                read_pack(name, (own,))
        except Faulty as error:
            faults += error.faults
        except NarrateError as error:
            faults.append(Fault(path, 0, 0, error.what, error.remedy))
    return faults


def _procedures(lexicon: Lexicon) -> list[Fault]:
    faults = list(faults_in_procedures(lexicon))
    if faults:
        return faults  # no book can be made, and what rests on it would only say the same again
    try:
        book = _book(lexicon)
    except NarrateError as error:
        return [Fault(Path(error.where or "procedures"), 0, 0, error.what, error.remedy)]
    faults += [end.fault(lexicon) for end in loose_ends(lexicon, book)]
    faults += steps_beyond_words(lexicon, book)
    for name, path in pack_files(lexicon.roots[1:]).items():
        pack = read_pack(name, lexicon.roots[1:])
        if lexicon.id in pack.trades:  # a pack for any trade names parts that some of them have not
            faults += [end.fault(lexicon, path) for end in loose_ends_of(pack, lexicon, book)]
    return faults


def _book(lexicon: Lexicon) -> RuleBook:
    return build_book(
        lexicon.files.get("procedures", ()), lexicon.files.get("cautions", ()), lexicon.things, lexicon.verbs.values(),
        lexicon.subjects.values(),
    )  # fmt: skip
