"""Which notes a call names: files, folders, standard input; each with what its sheet will be called."""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path, PurePath

from narrate.core.findings import NarrateError

STDIN = "-"


@dataclass(frozen=True, slots=True)
class Notes:
    """One narrative to compile. `path` is None for standard input; `sheet` is the name of its sheet, with no suffix,
    below the folder that the sheets go to."""

    path: Path | None
    sheet: PurePath

    @property
    def label(self) -> str:
        return str(self.path) if self.path else "standard input"


@dataclass(frozen=True, slots=True)
class Called:
    """The notes of one call, what of it cannot be used, and whether one narrative was named as such."""

    notes: tuple[Notes, ...]
    errors: tuple[NarrateError, ...]
    single: bool


def find_notes(named: Sequence[str]) -> Called:
    """Turn the arguments of a call into narratives, each once, in the order given; a folder gives its files."""
    found: list[Notes] = []
    errors: list[NarrateError] = []
    for name in named:
        try:
            if name == STDIN:
                found.append(Notes(None, PurePath("notes")))
            elif Path(name).is_dir():
                found += _in_folder(Path(name))
            else:
                found.append(Notes(Path(name), PurePath(Path(name).name)))
        except NarrateError as error:
            errors.append(error)
    single = len(named) == 1 and len(found) == 1 and not (found[0].path and Path(named[0]).is_dir())
    return Called(tuple(_named_apart(_each_once(found))), tuple(errors), single)


def _in_folder(folder: Path) -> list[Notes]:
    from narrate.hear.intake import take_folder

    found = [Notes(path, PurePath(path.name)) for path in take_folder(folder) if not _is_sheet(path)]
    if not found:
        raise NarrateError("holds sheets, and no notes.", where=str(folder), remedy="Name the folder of the notes.")
    return found


def _is_sheet(path: Path) -> bool:
    """Whether a file that lies among the notes is a sheet that we made of them earlier."""
    from narrate.render.formats.seal import is_ours
    from narrate.serve.cli.targets import SUFFIXES

    known = SUFFIXES.get(path.suffix.lower())
    try:
        return known is not None and is_ours(path.read_bytes(), known)
    except OSError:
        return False  # compiling it will say what is wrong


def _each_once(found: Iterable[Notes]) -> Iterator[Notes]:
    seen: set[str] = set()
    for one in found:
        key = os.path.realpath(one.path) if one.path else STDIN
        if key not in seen:
            seen.add(key)
            yield one


def _named_apart(found: Iterable[Notes]) -> Iterator[Notes]:
    """Sheets are called like their notes; where two would be called alike, the second keeps its suffix or a number."""
    taken: set[str] = set()
    for one in found:
        bare = one.sheet.with_suffix("") if one.path else one.sheet
        choices = [bare, one.sheet]
        number = 2
        while str(choices[0]).casefold() in taken:
            choices.pop(0)
            if not choices:
                choices.append(bare.with_name(f"{bare.name}-{number}"))
                number += 1
        taken.add(str(choices[0]).casefold())
        yield Notes(one.path, choices[0])
