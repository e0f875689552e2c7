"""Files -> one Lexicon: entries by id, phrases claimed, and what was claimed twice.

In order: the common files, then each trade of the lineage, and of each the folders one after the other, ours first. A
later trade or folder may take a word from an earlier one; within one of them nobody may.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TypeVar

from pydantic import BaseModel

from narrate.core.findings import NarrateError
from narrate.core.lexicon import schema
from narrate.core.lexicon.inflect import forms_of
from narrate.core.lexicon.kinds import COMMON, TRADE, Kind, is_flat, trade_folder
from narrate.core.lexicon.lexicon import Clash, Lexicon
from narrate.core.lexicon.load import files_of, read_model, trades, validate
from narrate.core.lexicon.match import bare_forms
from narrate.core.lexicon.overlay import Laid
from narrate.core.lexicon.plain_yaml import place_in, read_yaml
from narrate.core.lexicon.procedures import ProceduresFile
from narrate.core.lexicon.schema import Cue, Fluid, Make, Subject, Thing, Verb
from narrate.core.tokens import phrase_keys

M = TypeVar("M", bound=schema.Entry)


@dataclass(frozen=True, slots=True)
class Site:
    """Whose file is being read: the folder's number (0 is ours), the trade ("" for common), and the file."""

    root: int
    trade: str
    path: Path

    def same(self, other: Site) -> bool:
        return self.root == other.root and self.trade == other.trade


class Builder:
    """Fills a Lexicon file by file. `at` is the site of the file whose entries are being taken."""

    def __init__(self, lexicon: Lexicon) -> None:
        self.lexicon = lexicon
        self.at = Site(0, "", Path())
        self.procedures: dict[str, dict[str, BaseModel]] = {"modules": {}, "jobs": {}, "cautions": {}}
        self._claimed: dict[tuple[str, tuple[str, ...]], Site] = {}
        self._stands: dict[tuple[str, str], Site] = {}
        self._said: dict[tuple[str, str], list[tuple[str, ...]]] = {}  # layer and id -> its phrases, as keys
        self._irregular: dict[str, tuple[str, ...]] = {}
        self._shorthand: dict[str, tuple[str, ...]] = {}
        self._groups: dict[str, tuple[str, ...]] = {}
        self._makes: dict[str, Make] = {}

    # ------------------------------------------------------------------------------------------------- reading
    def read(self, path: Path, model: type[M], kind: Kind, root: int, trade: str) -> M:
        """One file; that of a later folder is filled out first with what stands below it."""
        self.at = Site(root, trade, path)
        if root == 0:
            return read_model(path, model)
        laid = Laid(path, read_yaml(path), kind.lists, self._known)
        if laid.faults:
            raise laid.faults[0].error(len(laid.faults) - 1)
        for name, entry in laid.off:
            self._take_out(name, entry)
        return validate(path, laid.data, model)

    def _known(self, name: str, entry: str) -> BaseModel | None:
        lexicon = self.lexicon
        below: Mapping[str, Mapping[str, BaseModel]] = {
            "parts": lexicon.things, "fluids": lexicon.things, "readings": lexicon.subjects, "actions": lexicon.verbs,
            "cues": lexicon.cues, "words": lexicon.words, "makes": self._makes, **self.procedures,
        }
        return below[name].get(entry)

    def without(self, jobs: Iterable[str], path: Path) -> None:
        """Take the job types out that a trade has not, though one that it extends has them. NarrateError for none such."""
        for job in jobs:
            if job not in self.procedures["jobs"]:
                raise NarrateError(f"there is no job “{job}” to do without.", where=str(path),
                                   remedy="Name a job type of a trade that it extends.")
            self.lexicon.left_out[job] = self.procedures["jobs"][job]
            self._take_out("jobs", job)

    def _take_out(self, name: str, entry: str) -> None:
        lexicon = self.lexicon
        if name in self.procedures:
            self.procedures[name].pop(entry, None)
            lexicon.files["procedures"] = [_less(file, name, entry) for file in lexicon.files.get("procedures", ())]
            lexicon.files["cautions"] = [_less(file, name, entry) for file in lexicon.files.get("cautions", ())]
        elif name == "makes":
            lexicon.makes = tuple(make for make in lexicon.makes if make.id != entry)
        else:
            kind, entries = {
                "parts": ("thing", lexicon.things), "fluids": ("thing", lexicon.things), "cues": ("cue", lexicon.cues),
                "readings": ("reading", lexicon.subjects), "actions": ("verb", lexicon.verbs),
            }[name]  # fmt: skip
            self._let_go(kind, entry)
            entries.pop(entry, None)  # type: ignore[attr-defined]

    def stands(self, kind: str, entry: str) -> None:
        """Note where an entry stands. One that the same folder and trade holds already is a clash."""
        before = self._stands.get((kind, entry))
        if before is not None and before.same(self.at):
            self.lexicon.clashes.append(
                Clash(kind, "", entry, entry, str(before.path), str(self.at.path), root=self.at.root)
            )
        elif before is not None and before.root != self.at.root:
            self._let_go(kind, entry)  # laid over: what it says now is all that it says
        self._stands[(kind, entry)] = self.at
        places = self.lexicon.origin.get(f"{kind}:{entry}", ())
        self.lexicon.origin[f"{kind}:{entry}"] = (*places, str(self.at.path))

    # ------------------------------------------------------------------------------------------------- phrases
    def claim(self, layer: str, entry: str, phrase: str) -> None:
        for form in bare_forms(phrase):
            keys = phrase_keys(form)
            if not keys:
                continue
            other = self.lexicon.index.add(layer, entry, keys)
            place = (layer, keys)
            self._said.setdefault((layer, entry), []).append(keys)
            if other is None:
                self._claimed.setdefault(place, self.at)
                continue
            holder = self._claimed.get(place, self.at)
            mine = holder.same(self.at)
            if mine or holder.root != self.at.root:
                self.lexicon.clashes.append(
                    Clash(layer, phrase, other, entry, str(holder.path), str(self.at.path), self.at.root, yields=not mine)
                )
            if not mine:
                self.lexicon.index.hand_over(layer, other, entry, keys)
                self._claimed[place] = self.at

    def _let_go(self, kind: str, entry: str) -> None:
        """Take all phrases from an entry that is laid over or taken out."""
        layers = ("thing", "fluid") if kind == "thing" else (kind,)
        for layer in (*layers, *(f"unless:{layer}" for layer in layers)):
            for keys in self._said.pop((layer, entry), ()):
                self.lexicon.index.give_up(layer, entry, keys)
                self._claimed.pop((layer, keys), None)

    # ------------------------------------------------------------------------------------------------- entries
    def thing(self, thing: Thing, layer: str) -> None:
        self.stands("thing", thing.id)
        self.lexicon.things[thing.id] = thing
        extra = thing.grades if isinstance(thing, Fluid) else ()
        for phrase in (*thing.say, *thing.heard_as, *extra):
            self.claim(layer, thing.id, phrase)
        for phrase in thing.unless:
            self.claim(f"unless:{layer}", thing.id, phrase)

    def subject(self, subject: Subject) -> None:
        self.stands("reading", subject.id)
        self.lexicon.subjects[subject.id] = subject
        for phrase in (*subject.say, *subject.heard_as):
            self.claim("reading", subject.id, phrase)
        for phrase in subject.unless:
            self.claim("unless:reading", subject.id, phrase)

    def cue(self, cue: Cue) -> None:
        self.stands("cue", cue.id)
        self.lexicon.cues[cue.id] = cue
        for phrase in cue.say:
            self.claim("cue", cue.id, phrase)
        for phrase in cue.unless:
            self.claim("unless:cue", cue.id, phrase)

    def words(self, words: schema.Words, layer: str) -> None:
        self.stands(layer or "words", words.id)
        self.lexicon.words[words.id] = words
        self.lexicon.word_sets[words.id] = frozenset(w.lower() for w in words.say)
        if layer:
            for phrase in words.say:
                self.claim(layer, words.id, phrase)

    def actions(self, file: schema.ActionsFile) -> None:
        self._irregular |= file.irregular
        self._shorthand |= file.shorthand
        for verb in file.actions:
            self.verb(verb)

    def verb(self, verb: Verb) -> None:
        self.stands("verb", verb.id)
        self.lexicon.verbs[verb.id] = verb
        kinds: dict[str, set[str]] = {}
        said = [(full, kind) for phrase in verb.say for full, kind in
                forms_of(phrase, self._irregular, self._shorthand).items()]
        said += [(phrase, "past") for phrase in verb.forms] + [(phrase, "noun") for phrase in verb.nouns]
        for phrase, kind in said:
            self.claim("verb", verb.id, phrase)
            kinds.setdefault(" ".join(phrase_keys(phrase)), set()).add(kind)
        for phrase in verb.unless:
            self.claim("unless:verb", verb.id, phrase)
        for key, found in kinds.items():
            self.lexicon.forms[key] = self.lexicon.forms.get(key, frozenset()) | found

    def make(self, make: Make) -> None:
        self._makes[make.id] = make
        for model in make.models:
            for phrase in (model, *make.heard_models.get(model, ())):
                self.claim("model", f"{make.id}:{model}", phrase)

    def procedure_file(self, file: ProceduresFile) -> ProceduresFile:
        """A file of procedures, noted; the words that a later folder gives to a group are added to ours."""
        for kind, entries in (("module", file.modules), ("job", file.jobs)):
            for entry in entries:
                self.stands(kind, entry.id)
                self.procedures[f"{kind}s"][entry.id] = entry
        if self.at.root and file.groups:
            groups = {n: tuple(dict.fromkeys((*self._groups.get(n, ()), *own))) for n, own in file.groups.items()}
            file = file.model_copy(update={"groups": groups})
        self._groups |= file.groups
        return file


def _less(file: Any, name: str, entry: str) -> Any:
    """A file of procedures or cautions without one entry, and without what refers to a caution that is gone."""
    update: dict[str, Any] = {}
    for own in ("modules", "jobs", "cautions"):
        entries = getattr(file, own, None)
        if entries is None:
            continue
        kept = [one for one in entries if not (own == name and one.id == entry)]
        if name == "cautions" and own != "cautions":
            kept = [
                one.model_copy(update={"cautions": tuple(c for c in one.cautions if c != entry)})
                if entry in one.cautions else one
                for one in kept
            ]  # fmt: skip
        update[own] = tuple(kept)
    return file.model_copy(update=update)


# ----------------------------------------------------------------------------------------------------- folders
def build_lexicon(trade: str, roots: tuple[Path, ...]) -> Lexicon:
    """Read the common files and the trade's (with what it extends), the roots in order, later entries over earlier."""
    known = trades(roots[1:])
    if trade not in known:
        raise NarrateError(f"the trade “{trade}” is not in the lexicon.", remedy=f"Known: {', '.join(known)}.")
    order = lineage(trade, roots, ())
    lexicon = Lexicon(trade, trade, roots=roots)
    build = Builder(lexicon)
    for number, root in enumerate(roots):
        _read_common(build, root / "common", number)
    for one in order:
        for number, root in enumerate(roots):
            if not is_flat(root):
                _read_trade(build, trade_folder(root, one), number, one, own=one == trade)
    for number, root in enumerate(roots):
        if is_flat(root):
            _read_trade(build, root, number, trade, own=True)
    return lexicon


def lineage(trade: str, roots: tuple[Path, ...], below: tuple[str, ...]) -> list[str]:
    """The trades that a trade builds on, the first ones first, and itself last."""
    out: list[str] = []
    for root in roots:
        path = root / "trades" / trade / "trade.yaml"
        if not path.is_file():
            continue
        if trade in below:
            line, column = place_in(path, trade)
            raise NarrateError(f"the trades extend each other in a ring: {' > '.join((*below, trade))}.",
                               where=f"{path}:{line}:{column}", remedy="Take one `extends` out.")
        for parent in read_model(path, schema.TradeFile).extends:
            if parent not in trades(roots[1:]):
                raise NarrateError(f"the trade “{trade}” extends “{parent}”, which is not in the lexicon.", where=str(path),
                                   remedy=f"Known: {', '.join(trades(roots[1:]))}.")
            out.extend(p for p in lineage(parent, roots, (*below, trade)) if p not in out)
    return [*out, trade]


def _read_common(build: Builder, folder: Path, root: int) -> None:
    lexicon = build.lexicon
    for path in files_of(folder, "actions"):
        build.actions(build.read(path, schema.ActionsFile, COMMON["actions"], root, ""))
    for path in files_of(folder, "status_cues"):
        for cue in build.read(path, schema.CuesFile, COMMON["status_cues"], root, "").cues:
            build.cue(cue)
    for name, layer in (("speech", ""), ("places", "place"), ("findings", "finding")):
        for path in files_of(folder, name):
            for words in build.read(path, schema.WordsFile, COMMON[name], root, "").words:
                build.words(words, "labour" if words.id == "labour-word" else layer)
    for name in ("units", "numbers", "identity"):
        kept = lexicon.files.setdefault(name, [])
        kept.extend(build.read(path, COMMON[name].model, COMMON[name], root, "") for path in files_of(folder, name))


def _read_trade(build: Builder, folder: Path, root: int, trade: str, own: bool) -> None:
    lexicon = build.lexicon

    def each(name: str, model: type[M]) -> Iterable[M]:
        for path in files_of(folder, name):
            yield build.read(path, model, TRADE[name], root, trade)

    if (folder / "trade.yaml").is_file():
        about = read_model(folder / "trade.yaml", schema.TradeFile)
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
    kept: list[Any] = lexicon.files.setdefault("procedures", [])
    kept.extend(build.procedure_file(file) for file in each("procedures", ProceduresFile))
    kept = lexicon.files.setdefault("cautions", [])
    for path in files_of(folder, "cautions"):
        content = build.read(path, TRADE["cautions"].model, TRADE["cautions"], root, trade)
        kept.append(content)
        for caution in getattr(content, "cautions", ()):
            build.stands("caution", caution.id)
            build.procedures["cautions"][caution.id] = caution
