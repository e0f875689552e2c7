"""Which file of a lexicon folder has which shape, and which of its lists hold entries with an id.

A folder holds common/ (what every trade shares) and trades/<trade>/. A shop's own folder may also hold a trade's files
at its top: they then belong to whichever trade is in use.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from narrate.core.lexicon import schema
from narrate.core.lexicon.identity import IdentityFile
from narrate.core.lexicon.procedures import CautionsFile, ProceduresFile
from narrate.core.lexicon.rules import NeedsFile, Pack
from narrate.core.lexicon.sounds import SoundsFile
from narrate.core.lexicon.units import NumbersFile, UnitsFile
from narrate.core.lexicon.vague import VagueFile


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of file: its model, and its lists of entries. `ours`: read from the shipped lexicon alone."""

    model: type[schema.Entry]
    lists: tuple[str, ...] = ()
    ours: bool = False


_SPOKEN = {
    "actions": Kind(schema.ActionsFile, ("actions",)),
    "status_cues": Kind(schema.CuesFile, ("cues",)),
}
_WORDS = Kind(schema.WordsFile, ("words",))
COMMON = {
    **_SPOKEN,
    "speech": _WORDS,
    "places": _WORDS,
    "findings": _WORDS,
    "rules": Kind(Pack),
    "needs": Kind(NeedsFile, ours=True),
    "identity": Kind(IdentityFile, ours=True),
    "recordings": Kind(schema.WordsFile, ("words",), ours=True),
    "units": Kind(UnitsFile, ours=True),
    "numbers": Kind(NumbersFile, ours=True),
    "vague": Kind(VagueFile, ours=True),
    "homophones": Kind(SoundsFile, ours=True),
}
TRADE = {
    **_SPOKEN,
    "trade": Kind(schema.TradeFile),
    "components": Kind(schema.ComponentsFile, ("parts",)),
    "fluids": Kind(schema.FluidsFile, ("fluids",)),
    "readings": Kind(schema.ReadingsFile, ("readings",)),
    "vehicles": Kind(schema.VehiclesFile, ("makes",)),
    "procedures": Kind(ProceduresFile, ("modules", "jobs")),
    "cautions": Kind(CautionsFile, ("cautions",)),
    "rules": Kind(Pack),
}


def is_flat(root: Path) -> bool:
    """Whether a folder holds a trade's files at its top, and not under trades/ and common/."""
    if (root / "trades").is_dir() or (root / "common").is_dir():
        return False
    return any((root / f"{name}.yaml").is_file() or (root / name).is_dir() for name in TRADE)


def is_whole(root: Path) -> bool:
    """Whether a folder is a whole lexicon, and not one to be laid over ours."""
    return (root / "common" / "units.yaml").is_file() and (root / "common" / "status_cues.yaml").is_file()


def trade_folder(root: Path, trade: str) -> Path:
    """Where a folder keeps what it holds of a trade."""
    return root if is_flat(root) else root / "trades" / trade


def kind_of(root: Path, path: Path) -> Kind | None:
    """The kind of a file by its place in a lexicon folder; None for one that nothing reads here."""
    parts = path.relative_to(root).with_suffix("").parts
    if parts[0] == "common":
        return _named(COMMON, parts[1:])
    if parts[0] == "trades":
        return _named(TRADE, parts[2:])
    return _named(TRADE, parts) if is_flat(root) else None


def _named(kinds: dict[str, Kind], parts: tuple[str, ...]) -> Kind | None:
    return kinds.get(parts[0]) if len(parts) in (1, 2) else None


def yaml_files(root: Path) -> Iterator[Path]:
    """Every YAML file of a folder, however deep, in order; hidden ones aside."""
    yield from sorted(
        path
        for path in root.rglob("*")
        if path.suffix.lower() in (".yaml", ".yml") and not any(p.startswith(".") for p in path.relative_to(root).parts)
    )
