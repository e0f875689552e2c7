"""Folders -> one Lexicon of a trade.

In order: the common files, then each trade of the lineage, and of each the folders one after the other, ours first.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from narrate.core.findings import NarrateError
from narrate.core.lexicon import schema
from narrate.core.lexicon.builder import Builder, M
from narrate.core.lexicon.kinds import COMMON, TRADE, is_flat, trade_folder
from narrate.core.lexicon.lexicon import Lexicon
from narrate.core.lexicon.load import files_of, read_model, trades
from narrate.core.lexicon.plain_yaml import Fault, place_of
from narrate.core.lexicon.procedures import CautionsFile, ProceduresFile


def build_lexicon(trade: str, roots: tuple[Path, ...], collected: list[Fault] | None = None) -> Lexicon:
    """Read the common files and the trade's (with what it extends), the roots in order, later entries over earlier.

    With `collected` every fault of a file goes there, and the lexicon is made of the files that have none.
    """
    known = trades(roots)
    if trade not in known:
        raise NarrateError(f"the trade “{trade}” is not in the lexicon.", remedy=f"Known: {', '.join(known)}.")
    order = lineage(trade, roots, ())
    lexicon = Lexicon(trade, trade, roots=roots)
    build = Builder(lexicon, collected)
    for number, root in enumerate(roots):
        _read_common(build, root / "common", number)
    for one in order:
        for number, root in enumerate(roots):
            if not is_flat(root):
                _read_trade(build, trade_folder(root, one), number, one, own=one == trade)
    for number, root in enumerate(roots):
        if is_flat(root):
            _read_trade(build, root, number, trade, own=False)
    return lexicon


def lineage(trade: str, roots: tuple[Path, ...], below: tuple[str, ...]) -> list[str]:
    """The trades that a trade builds on, the first ones first, and itself last."""
    out: list[str] = []
    known = trades(roots)
    for root in roots:
        path = root / "trades" / trade / "trade.yaml"
        if not path.is_file():
            continue
        for number, parent in enumerate(read_model(path, schema.TradeFile).extends):
            place = place_of(path, ("extends", number)) if parent not in known or parent in (*below, trade) else (0, 0)
            if parent not in known:
                raise Fault(
                    path,
                    *place,
                    f"the trade “{trade}” extends “{parent}”, which is not in the lexicon.",
                    f"Known: {', '.join(known)}.",
                ).error()
            if parent in (*below, trade):
                ring = " > ".join((*below, trade, parent))
                raise Fault(
                    path, *place, f"the trades extend each other in a ring: {ring}.", "Take one `extends` out."
                ).error()
            out.extend(p for p in lineage(parent, roots, (*below, trade)) if p not in out)
    return [*out, trade]


def _read_common(build: Builder, folder: Path, root: int) -> None:
    lexicon = build.lexicon

    def each(name: str, model: type[M]) -> Iterator[M]:
        return build.read(files_of(folder, name), model, COMMON[name], root, "")

    for actions in each("actions", schema.ActionsFile):
        build.actions(actions)
    for cues in each("status_cues", schema.CuesFile):
        for cue in cues.cues:
            build.cue(cue)
    for name, layer in (("speech", ""), ("places", "place"), ("findings", "finding")):
        for file in each(name, schema.WordsFile):
            for words in file.words:
                build.words(words, "labour" if words.id == "labour-word" else layer)
    if root == 0:
        for name in ("units", "numbers", "identity"):
            lexicon.files[name] = list(each(name, COMMON[name].model))


def _read_trade(build: Builder, folder: Path, root: int, trade: str, own: bool) -> None:
    lexicon = build.lexicon

    def each(name: str, model: type[M]) -> Iterator[M]:
        return build.read(files_of(folder, name), model, TRADE[name], root, trade)

    for about in each("trade", schema.TradeFile):
        lexicon.moves_by.update(about.moves_by)
        lexicon.holds.update(about.holds)
        build.without(about.without, folder / "trade.yaml")
        if own:
            lexicon.title, lexicon.unit_under_work = about.title, about.unit_under_work
    for file in each("components", schema.ComponentsFile):
        for thing in file.parts:
            build.thing(thing, "thing")
            lexicon.systems[thing.id] = file.system
    for fluids in each("fluids", schema.FluidsFile):
        for fluid in fluids.fluids:
            build.thing(fluid, "fluid")
    for readings in each("readings", schema.ReadingsFile):
        for subject in readings.readings:
            build.subject(subject)
    for vehicles in each("vehicles", schema.VehiclesFile):
        lexicon.makes = (*lexicon.makes, *vehicles.makes)
        for make in vehicles.makes:
            build.make(make)
    for actions in each("actions", schema.ActionsFile):
        build.actions(actions)
    for cues in each("status_cues", schema.CuesFile):
        for cue in cues.cues:
            build.cue(cue)
    for procedures in each("procedures", ProceduresFile):
        build.procedure_file(procedures)
    for cautions in each("cautions", CautionsFile):
        build.caution_file(cautions)
