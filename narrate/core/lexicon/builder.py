"""Entries -> a Lexicon: each by its id, its phrases claimed, and what was claimed twice.

A later trade or folder may take a word from an earlier one; within one of them nobody may.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TypeVar

from pydantic import BaseModel

from narrate.core.lexicon import schema
from narrate.core.lexicon.inflect import forms_of
from narrate.core.lexicon.kinds import Kind
from narrate.core.lexicon.lexicon import Clash, Lexicon
from narrate.core.lexicon.load import read_model, validate
from narrate.core.lexicon.match import bare_forms
from narrate.core.lexicon.overlay import Laid
from narrate.core.lexicon.plain_yaml import Fault, Faulty, place_in, read_yaml
from narrate.core.lexicon.procedures import CautionsFile, ProceduresFile
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
    """Fills a Lexicon file by file. `at` is the site of the file whose entries are being taken.

    `collected`, where it is given, takes the faults of files that cannot be used; the building goes on without them.
    """

    def __init__(self, lexicon: Lexicon, collected: list[Fault] | None = None) -> None:
        self.lexicon = lexicon
        self.collected = collected
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
    def read(self, paths: Iterable[Path], model: type[M], kind: Kind, root: int, trade: str) -> Iterator[M]:
        """Files of one kind; those of a later folder are filled out first with what stands below them."""
        for path in paths:
            self.at = Site(root, trade, path)
            try:
                file = self._file(path, model, kind)
            except Faulty as error:
                if self.collected is None:
                    raise
                self.collected.extend(error.faults)
            else:
                yield file

    def _file(self, path: Path, model: type[M], kind: Kind) -> M:
        if self.at.root == 0:
            return read_model(path, model)
        laid = Laid(path, read_yaml(path), kind.lists, self._known)
        if laid.faults:
            raise Faulty(laid.faults)
        for name, entry in laid.off:
            self._take_out(name, entry)
        return validate(path, laid.data, model)

    def _known(self, name: str, entry: str) -> BaseModel | None:
        lexicon = self.lexicon
        below: Mapping[str, Mapping[str, BaseModel]] = {
            "parts": lexicon.things,
            "fluids": lexicon.things,
            "readings": lexicon.subjects,
            "actions": lexicon.verbs,
            "cues": lexicon.cues,
            "words": lexicon.words,
            "makes": self._makes,
            **self.procedures,
        }
        return below[name].get(entry)

    def without(self, jobs: Iterable[str], path: Path) -> None:
        """Take out job types that a trade has not, though one that it extends has them. NarrateError for none such."""
        for job in jobs:
            if job not in self.procedures["jobs"]:
                line, column = place_in(path, path.parent.name, job)
                raise Fault(
                    path,
                    line,
                    column,
                    f"there is no job “{job}” to do without.",
                    "Name a job type of a trade that it extends.",
                ).error()
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
            if kind == "thing":
                lexicon.kinds.pop(entry, None)

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
                    Clash(
                        layer, phrase, other, entry, str(holder.path), str(self.at.path), self.at.root, yields=not mine
                    )
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
        self.lexicon.kinds[thing.id] = thing.kind
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
            for phrase in words.unless:
                self.claim(f"unless:{layer}", words.id, phrase)
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
        said = [
            (full, kind)
            for phrase in verb.say
            for full, kind in forms_of(phrase, self._irregular, self._shorthand).items()
        ]
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

    def procedure_file(self, file: ProceduresFile) -> None:
        """A file of procedures; the words that a later folder gives to a group are added to ours."""
        for kind, entries in (("module", file.modules), ("job", file.jobs)):
            for entry in entries:
                self.stands(kind, entry.id)
                self.procedures[f"{kind}s"][entry.id] = entry
        if self.at.root and file.groups:
            groups = {n: tuple(dict.fromkeys((*self._groups.get(n, ()), *own))) for n, own in file.groups.items()}
            file = file.model_copy(update={"groups": groups})
        self._groups |= file.groups
        self.lexicon.files["procedures"] = [*self.lexicon.files.get("procedures", ()), file]

    def caution_file(self, file: CautionsFile) -> None:
        for caution in file.cautions:
            self.stands("caution", caution.id)
            self.procedures["cautions"][caution.id] = caution
        self.lexicon.files["cautions"] = [*self.lexicon.files.get("cautions", ()), file]


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
