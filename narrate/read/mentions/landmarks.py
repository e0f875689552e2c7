"""The phrases by which a unit and a day are told: one look-up a token finds them, small lists are asked near a find.

What begins something ("odometer", "plate", a make, a weekday) stands in one tree that `scan` walks once over the text.
What only decides about something found ("his wife's", "next", "on the clock") is asked for at its place, by `Signs`.
"""

from __future__ import annotations

import pickle
import threading
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any

from narrate.core.handoffs import Gap, Token
from narrate.core.lexicon.identity import LISTS, IdentityFile
from narrate.core.lexicon.lexicon import Lexicon
from narrate.core.lexicon.match import bare_forms
from narrate.core.lexicon.schema import Make
from narrate.core.tokens import split_words
from narrate.core.values import value_class
from narrate.read.mentions.model_names import spellings
from narrate.read.mentions.phrase_sets import PhraseSet

_KEEP = frozenset(
    ("it's", "that's", "there's", "he's", "she's", "who's", "what's", "here's", "where's", "let's", "one's", "k's")
)
_ENDS = frozenset((".", "!", "?", ";", "...", "…"))
# lists whose phrases begin something; the others are asked for beside a find
_TRIGGERS = (
    "vin-cue",
    "plate-cue",
    "plate-weak",
    "plate-not",
    "unit-cue",
    "unit-bare",
    "odo-before",
    "miles",
    "kilometres",
    "hours",
    "hours-before",
    "odo-opening",
    "kind-of-unit",
    "day-relative",
    "day-ago",
    "odo-after",
    "clock-after",
)


@lru_cache(maxsize=32768)
def plain(low: str) -> str:
    """A token's word without its possessive: "wife's" is compared as "wife"; "it's" stays."""
    if low.endswith("'s") and low not in _KEEP:
        return low[:-2] or low
    return low


def words_of(tokens: Iterable[Token]) -> list[str]:
    """The words that phrases are compared by, one a token."""
    return [plain(t.low) if "'" in t.low else t.low for t in tokens]


@dataclass(frozen=True, slots=True)
class ModelName:
    """What a phrase may name: a model of a make; `with_make` where the make's own name is part of the phrase."""

    make: str
    name: str
    with_make: bool = False
    everyday: bool = False  # a word of the shop or the street too: believed only beside a year or a make

    def __reduce__(self) -> tuple[type[ModelName], tuple[str, str, bool, bool]]:
        return ModelName, (self.make, self.name, self.with_make, self.everyday)  # of many thousands, the short way


@dataclass(frozen=True, slots=True)
class MakeName:
    make: str  # as the sheet writes it, lower case
    everyday: bool = False


@dataclass(slots=True)
class Meanings:
    """What one phrase can mean: kind -> values. Not changed once the tree is built."""

    values: dict[str, list[Any]] = field(default_factory=dict)


@value_class(frozen=True, slots=True)
class Landmark:
    """A phrase found on tokens `first` to `last`, with all that it can mean."""

    meanings: Meanings
    first: int
    last: int

    def has(self, kind: str) -> bool:
        return kind in self.meanings.values

    def values(self, kind: str) -> list[Any]:
        return self.meanings.values.get(kind, [])


class PhraseTree:
    """Phrases -> their meanings, the longest found first.

    Kept between processes in pieces, one for each first word: a narrative holds few of them, and only those are unfolded.
    """

    __slots__ = ("_root",)

    def __init__(self) -> None:
        self._root: dict[str, Any] = {}

    def __getstate__(self) -> dict[str, bytes]:
        return {w: node if isinstance(node, bytes) else pickle.dumps(node, 5) for w, node in self._root.items()}

    def __setstate__(self, state: dict[str, bytes]) -> None:
        self._root = state

    def _beginning_with(self, word: str) -> dict[str, Any] | None:
        node = self._root.get(word)
        if isinstance(node, bytes):
            node = self._root[word] = pickle.loads(node)
        return node

    def add(self, words: Sequence[str], kind: str, value: Any) -> None:
        if not words:
            return
        self._beginning_with(words[0])
        node = self._root
        for word in words:
            node = node.setdefault(word, {})
        values = node.setdefault("", Meanings()).values.setdefault(kind, [])
        if value not in values:
            values.append(value)

    def scan(self, words: Sequence[str], tokens: Sequence[Token]) -> list[Landmark]:
        """All phrases in order of place, none over another. No phrase runs over the end of a line set on purpose."""
        out: list[Landmark] = []
        size = len(words)
        k = 0
        while k < size:
            node = self._beginning_with(words[k]) if words[k] in self._root else None
            if node is None:
                k += 1
                continue
            best, end, j = node.get(""), k + 1, k + 1
            while j < size and (step := node.get(words[j])) is not None and tokens[j].gap < Gap.LINE:
                node, j = step, j + 1
                if "" in node:
                    best, end = node[""], j
            if best is None:
                k += 1
                continue
            out.append(Landmark(best, k, end))
            k = end
        return out


@dataclass(frozen=True)
class Signs:
    """All that one trade's lexicon knows of who and when. Treat as frozen once built."""

    tree: PhraseTree
    lists: dict[str, PhraseSet]
    letters: dict[str, str]
    sounds: dict[str, str]
    repeats: dict[str, int]
    months: dict[str, int]
    ordinals: dict[tuple[str, ...], int]
    past_verbs: frozenset[str]  # single words that tell an act as done
    prepositions: frozenset[str]


_split: dict[str, tuple[str, ...]] = {}  # what trades share is split once


def split_all(phrases: Sequence[str]) -> list[tuple[str, ...]]:
    """Each phrase as words, by the splitter that narratives go through; in one pass, since each pass has its price.

    Plain words and plain figures need no splitter at all.
    """
    out: list[tuple[str, ...]] = [()] * len(phrases)
    odd: list[int] = []
    for n, phrase in enumerate(phrases):
        words = phrase.split()
        if all(word.isalpha() or word.isdigit() for word in words):
            out[n] = tuple(words)
        elif phrase in _split:
            out[n] = _split[phrase]
        else:
            odd.append(n)
    ends: list[int] = []
    at = 0
    for n in odd:
        at += len(phrases[n]) + 1
        ends.append(at)
    found: list[list[str]] = [[] for _ in odd]
    which = 0
    for token in split_words("\n".join(phrases[n] for n in odd)):
        while token.start >= ends[which]:
            which += 1
        found[which].append(plain(token.low))
    for n, words in zip(odd, found, strict=True):
        out[n] = _split[phrases[n]] = tuple(words)
    return out


_built: dict[int, tuple[Lexicon, Signs]] = {}
_lock = threading.Lock()


def signs_of(lexicon: Lexicon) -> Signs:
    """The signs of a lexicon: those that were made with it, else built on first use and kept as long as it is."""
    made: Signs | None = lexicon.made.get("signs")
    if made is not None:
        return made
    found = _built.get(id(lexicon))
    if found is None or found[0] is not lexicon:
        with _lock:
            found = (lexicon, build_signs(lexicon))
            _built[id(lexicon)] = found
    return found[1]


def build_signs(lexicon: Lexicon) -> Signs:
    """All phrases of who and when, out of common/identity.yaml and the trade's vehicles.yaml."""
    files: list[IdentityFile] = lexicon.files.get("identity", [])
    said = {name: [p for f in files for p in f.say(name)] for name in LISTS}
    other_unit = lexicon.cues.get("other-unit")
    if other_unit is not None:
        said["elsewhere"] = [*said["elsewhere"], *(p for p in other_unit.say if p not in said["elsewhere-not"])]
    lists = {name: PhraseSet([form for p in phrases for form in bare_forms(p)]) for name, phrases in said.items()}
    tree = PhraseTree()
    triggers = [(name, form) for name in _TRIGGERS for phrase in said[name] for form in bare_forms(phrase)]
    for (name, phrase), words in zip(triggers, split_all([phrase for _, phrase in triggers]), strict=True):
        tree.add(words, name, phrase)
    weekdays = {w: int(v) for f in files for w, v in f.weekdays.items()}
    months = {w: int(v) for f in files for w, v in f.months.items()}
    ordinals = {tuple(w.split()): int(v) for f in files for w, v in f.ordinals.items()}
    for word, number in weekdays.items():
        tree.add((word,), "weekday", number)
    for word, number in months.items():
        tree.add((word,), "month", number)
    for ordinal, number in ordinals.items():
        tree.add(ordinal, "ordinal", number)
    _add_vehicles(tree, lexicon.makes, frozenset(said["word-makes"]), frozenset(said["word-models"]))
    return Signs(
        tree=tree,
        lists=lists,
        letters={w: v for f in files for w, v in f.letters.items()},
        sounds={w: v for f in files for w, v in f.sounds.items()},
        repeats={w: int(v) for f in files for w, v in f.repeats.items()},
        months=months,
        ordinals=ordinals,
        prepositions=lexicon.word_sets.get("preposition", frozenset()),
        past_verbs=frozenset(w for w, kinds in lexicon.forms.items() if "past" in kinds and " " not in w),
    )


def _add_vehicles(
    tree: PhraseTree, makes: Iterable[Make], makes_too: frozenset[str], models_too: frozenset[str]
) -> None:
    """Every way in which the makes and models are said, each with what it may mean; `..._too` are everyday words."""
    phrases: list[str] = []
    meanings: list[tuple[str, Any]] = []

    def put(phrase: str, kind: str, value: MakeName | ModelName) -> None:
        phrases.append(phrase)
        meanings.append((kind, value))

    for make in makes:
        name = make.name.lower()
        called = tuple(dict.fromkeys((name, *make.say, *make.heard_as)))
        for phrase in called:
            put(phrase, "make", MakeName(name, phrase in makes_too))
        stems = tuple(m for m in make.models if _is_short(m))  # "m2": "freightliner m2 106" must not be cut behind it
        for model in make.models:
            short = _is_short(model)
            everyday = model in models_too or (len(model) <= 3 and any(c.isdigit() for c in model))
            forms = spellings(model)
            if not model.isdigit():
                for form in forms:
                    put(form, "model", ModelName(name, model, False, everyday or short or form in models_too))
            for heard in make.heard_models.get(model, ()):
                put(heard, "model", ModelName(name, model, False, everyday or heard in models_too))
            if short or any(model.startswith(stem) for stem in stems):
                for phrase in called:
                    for form in forms:
                        put(f"{phrase} {form}", "model", ModelName(name, model, True))
                        if " " not in phrase and " " not in form:
                            put(f"{phrase}{form}", "model", ModelName(name, model, True))
    for words, (kind, value) in zip(split_all(phrases), meanings, strict=True):
        if words:
            tree.add(words, kind, value)


def _is_short(model: str) -> bool:
    """Whether a name is of figures alone, or of two characters: a size or a word too, without the make before it."""
    bare = model.replace("-", "").replace(" ", "")
    return bare.isdigit() or len(bare) <= 2
