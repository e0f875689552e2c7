"""One trade's knowledge, assembled: entries by id, and every phrase in one index.

`load_lexicon(trade)` is what stages call; it is built once a trade and folder list, and shared by all threads.
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from narrate.core.findings import NarrateError
from narrate.core.handoffs import Hit, Token
from narrate.core.lexicon import schema
from narrate.core.lexicon.cache import content_key, remember
from narrate.core.lexicon.load import files_of, lexicon_root, read_model, trades
from narrate.core.lexicon.match import PhraseIndex, bare_forms, longest_first
from narrate.core.lexicon.schema import Cue, Fluid, Make, Subject, Thing, Verb
from narrate.core.tokens import phrase_keys, split_words

NOMINAL = frozenset(("thing", "fluid"))


@dataclass
class Lexicon:
    """All entries of one trade, and `find` for its phrases. Treat as frozen once loaded."""

    id: str
    title: str
    unit_under_work: str = "vehicle"
    things: dict[str, Thing] = field(default_factory=dict)  # components and fluids alike
    subjects: dict[str, Subject] = field(default_factory=dict)
    verbs: dict[str, Verb] = field(default_factory=dict)
    cues: dict[str, Cue] = field(default_factory=dict)
    words: dict[str, schema.Words] = field(default_factory=dict)
    systems: dict[str, str] = field(default_factory=dict)  # thing id -> the system it is listed under
    makes: tuple[Make, ...] = ()
    files: dict[str, Any] = field(default_factory=dict)  # other common and trade files by name: units, numbers ...
    clashes: list[str] = field(default_factory=list)
    origin: dict[str, str] = field(default_factory=dict)  # "layer:id" -> file
    forms: dict[str, frozenset[str]] = field(default_factory=dict)  # verb key -> {"base", "past", "ing", "s", "noun"}
    moves_by: dict[str, str] = field(default_factory=dict)
    holds: dict[str, str] = field(default_factory=dict)  # thing, wider id or system -> the fluid in it
    word_sets: dict[str, frozenset[str]] = field(default_factory=dict)  # one-word phrases of a word list, lower case
    index: PhraseIndex = field(default_factory=PhraseIndex)
    _wider: dict[str, frozenset[str]] = field(default_factory=dict)

    def find(self, tokens: Sequence[Token]) -> tuple[Hit, ...]:
        """Every hit that counts: per layer the longest, `unless` phrases taken into account, in order of place."""
        raw = self.index.find(tokens)
        blocked = [h for h in raw if h.layer.startswith("unless:")]
        by_layer: dict[str, list[Hit]] = {}
        for hit in raw:
            if hit.layer.startswith("unless:"):
                continue
            if blocked and any(
                b.id == hit.id and b.layer[7:] == hit.layer and b.first < hit.last and hit.first < b.last for b in blocked
            ):
                continue
            by_layer.setdefault("nominal" if hit.layer in NOMINAL else hit.layer, []).append(hit)
        out: list[Hit] = []
        for layer, hits in by_layer.items():
            if layer in ("said", "cue"):
                out.extend(hits)
                continue
            kept = longest_first(hits)
            if layer == "verb":  # "came out" is said of parts and of fluids: both stand until the object is known
                spans = {(h.first, h.last) for h in kept}
                kept = [h for h in hits if (h.first, h.last) in spans]
            out.extend(kept)
        out.sort(key=lambda h: (h.first, h.last, h.layer, h.id))
        return tuple(out)

    def wider(self, thing: str) -> frozenset[str]:
        """The id itself and every wider id that it belongs to, transitively."""
        known = self._wider.get(thing)
        if known is None:
            seen: set[str] = set()
            todo = [thing]
            while todo:
                one = todo.pop()
                if one not in seen:
                    seen.add(one)
                    entry = self.things.get(one)
                    todo.extend(entry.within if entry else ())
            known = self._wider[thing] = frozenset(seen)
        return known

    def is_a(self, thing: str | None, wanted: Iterable[str]) -> bool:
        return thing is not None and not self.wider(thing).isdisjoint(wanted)


_VOWELS = frozenset("aeiou")


def _doubles(word: str) -> bool:
    """One syllable, one short vowel, one consonant at its end: swap, swapped."""
    if len(word) < 3 or word[-1] in "aeiouwxyh" or word[-2] not in _VOWELS or word[-3] in _VOWELS:
        return False
    return sum(c in _VOWELS for c in word) == 1


def inflect(word: str) -> dict[str, str]:
    """The regular forms of one English verb: form -> kind. ("drain" -> drained past, draining ing, drains s)"""
    if len(word) < 2 or not word.isalpha():
        return {word: "base"}
    if word.endswith("e"):
        past, ing = word + "d", word[:-1] + "ing"
    elif word.endswith("y") and word[-2] not in _VOWELS:
        past, ing = word[:-1] + "ied", word + "ing"
    elif _doubles(word):
        past, ing = word + word[-1] + "ed", word + word[-1] + "ing"
    else:
        past, ing = word + "ed", word + "ing"
    return {word: "base", past: "past", ing: "ing", word + "s": "s"}


class _Builder:
    def __init__(self, lexicon: Lexicon, splitter: Any) -> None:
        self.lexicon = lexicon
        self.split = splitter
        self.trade = ""  # whose files are being read; "" for common
        self._claimed_by: dict[tuple[str, tuple[str, ...]], str] = {}

    def keys(self, phrase: str) -> tuple[str, ...]:
        return phrase_keys(phrase)

    def claim(self, layer: str, entry: str, phrase: str) -> None:
        for form in bare_forms(phrase):
            keys = self.keys(form)
            if not keys:
                continue
            other = self.lexicon.index.add(layer, entry, keys)
            place = (layer, keys)
            if other is None:
                self._claimed_by.setdefault(place, self.trade)
            elif self._claimed_by.get(place, self.trade) != self.trade:
                self.lexicon.index.hand_over(layer, other, entry, keys)
                self._claimed_by[place] = self.trade
            else:
                self.lexicon.clashes.append(f"{layer} “{phrase}” is claimed by {other} and by {entry}")

    def thing(self, thing: Thing, layer: str) -> None:
        self.lexicon.things[thing.id] = thing
        extra = thing.grades if isinstance(thing, Fluid) else ()
        for phrase in (*thing.say, *thing.heard_as, *extra):
            self.claim(layer, thing.id, phrase)
        for phrase in thing.unless:
            self.claim(f"unless:{layer}", thing.id, phrase)

    def subject(self, subject: Subject) -> None:
        self.lexicon.subjects[subject.id] = subject
        for phrase in (*subject.say, *subject.heard_as):
            self.claim("reading", subject.id, phrase)
        for phrase in subject.unless:
            self.claim("unless:reading", subject.id, phrase)

    def cue(self, cue: Cue) -> None:
        self.lexicon.cues[cue.id] = cue
        for phrase in cue.say:
            self.claim("cue", cue.id, phrase)
        for phrase in cue.unless:
            self.claim("unless:cue", cue.id, phrase)

    def words(self, words: schema.Words, layer: str) -> None:
        self.lexicon.words[words.id] = words
        self.lexicon.word_sets[words.id] = frozenset(w.lower() for w in words.say)
        if layer:
            for phrase in words.say:
                self.claim(layer, words.id, phrase)

    def verb(self, verb: Verb, file: schema.ActionsFile) -> None:
        irregular = file.irregular
        self.lexicon.verbs[verb.id] = verb
        kinds: dict[str, set[str]] = {}
        for phrase in verb.say:
            head, _, tail = phrase.partition(" ")
            forms = dict(inflect(head))
            for form in irregular.get(head, ()):
                forms[form] = "ing" if form.endswith("ing") else ("s" if form.endswith("s") else "past")
            if head in irregular and not any(
                f.endswith("ed") for f in irregular[head]
            ) and any(k == "past" for f, k in forms.items() if f in irregular[head]):
                forms = {f: k for f, k in forms.items() if not (k == "past" and f not in irregular[head])}
            forms.update(dict.fromkeys(file.shorthand.get(head, ()), "past"))
            for form, kind in forms.items():
                full = f"{form} {tail}".strip()
                self.claim("verb", verb.id, full)
                kinds.setdefault(" ".join(self.keys(full)), set()).add(kind)
        for phrase in verb.forms:
            self.claim("verb", verb.id, phrase)
            kinds.setdefault(" ".join(self.keys(phrase)), set()).add("past")
        for phrase in verb.nouns:
            self.claim("verb", verb.id, phrase)
            kinds.setdefault(" ".join(self.keys(phrase)), set()).add("noun")
        for phrase in verb.unless:
            self.claim("unless:verb", verb.id, phrase)
        for key, found in kinds.items():
            self.lexicon.forms[key] = self.lexicon.forms.get(key, frozenset()) | found


def _extra_models() -> dict[str, Any]:
    """File name -> model, of the files whose shape lives beside the stage that reads them."""
    import importlib

    out: dict[str, Any] = {}
    for name, module, model in (
        ("units", "narrate.core.lexicon.units", "UnitsFile"),
        ("numbers", "narrate.core.lexicon.units", "NumbersFile"),
        ("identity", "narrate.core.lexicon.identity", "IdentityFile"),
        ("procedures", "narrate.core.lexicon.procedures", "ProceduresFile"),
        ("cautions", "narrate.core.lexicon.procedures", "CautionsFile"),
    ):
        try:
            out[name] = getattr(importlib.import_module(module), model)
        except (ImportError, AttributeError):  # a room that is not built yet
            continue
    return out


def build_lexicon(trade: str, roots: tuple[Path, ...]) -> Lexicon:
    """Read the common files and the trade's (with what it extends), the roots in order, later entries over earlier."""
    known = trades(roots[1:])
    if trade not in known:
        raise NarrateError(f"the trade “{trade}” is not in the lexicon.", remedy=f"Known: {', '.join(known)}.")
    order = _lineage(trade, roots, ())
    lexicon = Lexicon(trade, trade)
    build = _Builder(lexicon, split_words)
    extra = _extra_models()
    for root in roots:
        common = root / "common"
        for path in files_of(common, "actions"):
            actions = read_model(path, schema.ActionsFile)
            for verb in actions.actions:
                build.verb(verb, actions)
        for path in files_of(common, "status_cues"):
            for cue in read_model(path, schema.CuesFile).cues:
                build.cue(cue)
        for name, layer in (("speech", ""), ("places", "place"), ("findings", "finding")):
            for path in files_of(common, name):
                for words in read_model(path, schema.WordsFile).words:
                    build.words(words, "labour" if words.id == "labour-word" else layer)
        for name in ("units", "numbers", "identity"):
            if name in extra:
                lexicon.files.setdefault(name, []).extend(read_model(p, extra[name]) for p in files_of(common, name))
    for one in order:
        build.trade = one
        for root in roots:
            _read_trade(build, root / "trades" / one, extra, own=one == trade)
    return lexicon


def _lineage(trade: str, roots: tuple[Path, ...], below: tuple[str, ...]) -> list[str]:
    if trade in below:
        raise NarrateError(f"the trades extend each other in a ring: {' > '.join((*below, trade))}.",
                           remedy="Take one `extends` out.")
    out: list[str] = []
    for root in roots:
        path = root / "trades" / trade / "trade.yaml"
        if path.is_file():
            for parent in read_model(path, schema.TradeFile).extends:
                out.extend(p for p in _lineage(parent, roots, (*below, trade)) if p not in out)
    return [*out, trade]


def _read_trade(build: _Builder, folder: Path, extra: dict[str, Any], own: bool) -> None:
    lexicon = build.lexicon
    if (folder / "trade.yaml").is_file():
        about = read_model(folder / "trade.yaml", schema.TradeFile)
        lexicon.moves_by.update(about.moves_by)
        lexicon.holds.update(about.holds)
        if own:
            lexicon.title, lexicon.unit_under_work = about.title, about.unit_under_work
    for path in files_of(folder, "components"):
        file = read_model(path, schema.ComponentsFile)
        for thing in file.parts:
            build.thing(thing, "thing")
            lexicon.systems[thing.id] = file.system
            lexicon.origin[f"thing:{thing.id}"] = str(path)
    for path in files_of(folder, "fluids"):
        for fluid in read_model(path, schema.FluidsFile).fluids:
            build.thing(fluid, "fluid")
            lexicon.origin[f"thing:{fluid.id}"] = str(path)
    for path in files_of(folder, "readings"):
        for subject in read_model(path, schema.ReadingsFile).readings:
            build.subject(subject)
            lexicon.origin[f"reading:{subject.id}"] = str(path)
    for path in files_of(folder, "vehicles"):
        makes = read_model(path, schema.VehiclesFile).makes
        lexicon.makes = (*lexicon.makes, *makes)
        for make in makes:
            for model in make.models:
                for phrase in (model, *make.heard_models.get(model, ())):
                    build.claim("model", f"{make.id}:{model}", phrase)
    for path in files_of(folder, "actions"):
        actions = read_model(path, schema.ActionsFile)
        for verb in actions.actions:
            build.verb(verb, actions)
    for path in files_of(folder, "status_cues"):
        for cue in read_model(path, schema.CuesFile).cues:
            build.cue(cue)
    for name in ("procedures", "cautions"):
        if name in extra:
            for path in files_of(folder, name):
                content = read_model(path, extra[name])
                lexicon.files.setdefault(name, []).append(content)
                for phrase in getattr(content, "phrases", lambda: ())():
                    build.claim("said", phrase, phrase)


def lexicon_files(roots: Iterable[Path]) -> list[Path]:
    """Every file that a lexicon of these folders may be made from, in order."""
    return sorted(path for root in roots for path in root.rglob("*.yaml"))


_loaded: dict[tuple[str, tuple[Path, ...], str], Lexicon] = {}
_lock = threading.Lock()


def load_lexicon(
    trade: str = "light-vehicle",
    more: tuple[Path, ...] = (),
    finish: Callable[[Lexicon], None] = lambda lexicon: None,
) -> Lexicon:
    """The lexicon of one trade, with a shop's own folders `more` layered over ours. NarrateError names what is wrong.

    Made once a process, and kept between processes by content (cache.py); `finish` adds what a later room makes of it.
    """
    wanted = (trade, tuple(Path(p).resolve() for p in more), finish.__qualname__)
    with _lock:
        if wanted not in _loaded:
            roots = (lexicon_root(), *wanted[1])
            key = content_key(lexicon_files(roots), trade, finish.__qualname__)

            def make() -> Lexicon:
                built = build_lexicon(trade, roots)
                finish(built)
                return built

            _loaded[wanted] = remember(f"{trade}-{finish.__name__.strip('<>')}", key, make)
        return _loaded[wanted]
