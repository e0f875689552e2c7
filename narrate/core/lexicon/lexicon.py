"""One trade's knowledge, assembled: entries by id, and every phrase in one index.

`load_lexicon(trade)` is what stages call; it is built once a trade and folder list, and shared by all threads.
"""

from __future__ import annotations

import threading
from bisect import bisect_left, bisect_right
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from operator import attrgetter
from pathlib import Path
from typing import Any

from narrate.core.findings import NarrateError
from narrate.core.handoffs import Gap, Hit, Token
from narrate.core.lexicon import schema
from narrate.core.lexicon.cache import content_key, remember
from narrate.core.lexicon.folded import Folded
from narrate.core.lexicon.inflect import inflect
from narrate.core.lexicon.kinds import is_whole, kind_of, yaml_files
from narrate.core.lexicon.load import lexicon_root, trades
from narrate.core.lexicon.match import PhraseIndex, key_of, longest_first
from narrate.core.lexicon.plain_yaml import Fault, Faulty, place_in, places_of
from narrate.core.lexicon.schema import Cue, Make, Subject, Thing, Verb

__all__ = ["NOMINAL", "Clash", "Lexicon", "build_lexicon", "inflect", "lexicon_files", "load_lexicon"]

NOMINAL = frozenset(("thing", "fluid"))
_PLACE = attrgetter("first", "last", "layer", "id")


@dataclass(frozen=True, slots=True)
class Clash:
    """An entry that stands twice (`phrase` is empty), or a phrase that two entries claim, with both places.

    `root` numbers the folder of the second (0 is ours). `yields`: a shop's folder takes the phrase from ours; it may.
    """

    layer: str
    phrase: str
    holder: str
    claimant: str
    holder_file: str
    claimant_file: str
    root: int = 0
    yields: bool = False

    def __str__(self) -> str:
        if not self.phrase:
            return f"the {self.layer} “{self.holder}” stands twice"
        verb = "was" if self.yields else "is claimed by"
        other = "and is now" if self.yields else "and by"
        return f"{self.layer} “{self.phrase}” {verb} {self.holder} {other} {self.claimant}"

    def fault(self) -> Fault:
        """With the place of the second, and that of the first in the words."""
        line, column = _stands(self.claimant_file, self.claimant, self.phrase)
        before = _stands(self.holder_file, self.holder, self.phrase)
        if not self.phrase and self.holder_file == self.claimant_file:
            before, (line, column) = places_of(Path(self.holder_file), self.holder)[:2]
        first = "{}:{}".format(*before)
        remedy = "Leave it to one of the two, or make both longer." if self.phrase else "Take one of the two out."
        what = f"{self}; the first is at {self.holder_file}:{first}."
        return Fault(Path(self.claimant_file), line, column, what, remedy)


def _stands(path: str, entry: str, phrase: str) -> tuple[int, int]:
    """The place of a phrase in its entry, or of the entry, where it is said there in another form of the same words."""
    found = place_in(Path(path), entry, phrase) if phrase else (0, 0)
    return found if found[0] else place_in(Path(path), entry)


@dataclass
class Lexicon:
    """All entries of one trade, and `find` for its phrases. Treat as frozen once loaded."""

    id: str
    title: str
    unit_under_work: str = "vehicle"
    things: Folded[Thing] = field(default_factory=Folded)  # components and fluids alike
    kinds: dict[str, str] = field(default_factory=dict)  # thing id -> its kind
    subjects: dict[str, Subject] = field(default_factory=dict)
    verbs: dict[str, Verb] = field(default_factory=dict)
    cues: dict[str, Cue] = field(default_factory=dict)
    words: dict[str, schema.Words] = field(default_factory=dict)
    systems: dict[str, str] = field(default_factory=dict)  # thing id -> the system it is listed under
    makes: tuple[Make, ...] = ()
    files: Folded[Any] = field(default_factory=Folded)  # other common and trade files by name: units, numbers ...
    made: dict[str, Any] = field(default_factory=dict)  # what later rooms make of it: their "signs" and "book"
    clashes: list[Clash] = field(default_factory=list)
    origin: dict[str, tuple[str, ...]] = field(default_factory=dict)  # "kind:id" -> its files, the one laid over first
    roots: tuple[Path, ...] = ()  # the folders that it was made of, ours first
    forms: dict[str, frozenset[str]] = field(default_factory=dict)  # verb key -> {"base", "past", "ing", "s", "noun"}
    left_out: Folded[Any] = field(default_factory=Folded)  # job types of trades it extends that this one is without
    moves_by: dict[str, str] = field(default_factory=dict)
    holds: dict[str, str] = field(default_factory=dict)  # thing, wider id or system -> the fluid in it
    word_sets: dict[str, frozenset[str]] = field(default_factory=dict)  # one-word phrases of a word list, lower case
    index: PhraseIndex = field(default_factory=PhraseIndex)
    _wider: dict[str, frozenset[str]] = field(default_factory=dict)

    def find(self, tokens: Sequence[Token]) -> tuple[Hit, ...]:
        """Every hit that counts: per layer the longest, `unless` phrases taken into account, in order of place."""
        breaks = [
            i for i, t in enumerate(tokens) if t.gap >= Gap.LINE and (t.gap > Gap.LINE or not t.text[:1].islower())
        ]
        raw = self.index.find(tokens)
        if len(breaks) > 1:  # no phrase reads on past the end of a line that was ended on purpose
            raw = [h for h in raw if bisect_right(breaks, h.first) == bisect_left(breaks, h.last)]
        blocked: dict[tuple[str, str], set[int]] = {}  # by layer and entry: the tokens on which it is not meant
        for hit in raw:
            if hit.layer.startswith("unless:") and not self._phrasal(tokens, hit):
                blocked.setdefault((hit.layer[7:], hit.id), set()).update(range(hit.first, hit.last))
        by_layer: dict[str, list[Hit]] = {}
        for hit in raw:
            if hit.layer.startswith("unless:"):
                continue
            barred = blocked.get((hit.layer, hit.id))
            if barred is not None and not barred.isdisjoint(range(hit.first, hit.last)):
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
        out.sort(key=_PLACE)
        return tuple(out)

    def _phrasal(self, tokens: Sequence[Token], hit: Hit) -> bool:
        """Whether a thing's `unless` can only be a verb with its particle, while an adjective makes a noun of the word:
        "put six new plugs in" has nothing to do with "plug in"."""
        if hit.layer != "unless:thing" or not hit.first or hit.last - hit.first != 2:
            return False
        before = tokens[hit.first - 1].low
        return before in self.word_sets["new"] and tokens[hit.last - 1].low in self.word_sets["particle"]

    def forms_of(self, tokens: Sequence[Token], hit: Hit) -> frozenset[str]:
        """The forms of a verb that the words of a hit may be: base, past, ing, s, noun; none where it is no verb's."""
        return self.forms.get(" ".join(t.key for t in tokens[hit.first : hit.last]), frozenset())

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

    def place(self, kind: str, entry: str, step: str | None = None, words: str | None = None) -> tuple[Path, int, int]:
        """File, line and column of an entry, or of a step or some words in it; of files laid over each other, the last
        that has them."""
        paths = [Path(path) for path in self.origin.get(f"{kind}:{entry}", ())]
        for name, wanted in ((step or entry, words), (entry, words), (step or entry, None), (entry, None)):
            for path in reversed(paths):
                line, column = place_in(path, name, wanted)
                if line:
                    return path, line, column
        return (paths[-1] if paths else Path("procedures")), 0, 0

    @cached_property
    def by_head(self) -> dict[str, tuple[str, ...]]:
        """The last word of a name, as a key -> the parts called so: "disc" -> those of a brake and of a clutch."""
        out: dict[str, dict[str, None]] = {}
        for thing in self.things.values():
            for phrase in (thing.name, *thing.say):
                out.setdefault(key_of(phrase.split()[-1]), {})[thing.id] = None
        return {word: tuple(named) for word, named in out.items()}

    def is_a(self, thing: str | None, wanted: Iterable[str]) -> bool:
        return thing is not None and not self.wider(thing).isdisjoint(wanted)

    def by_mass(self, thing: str | None) -> bool:
        """Whether it is a fluid that is weighed in: one whose bare ounce is a mass."""
        known = self.things.get(thing or "")
        return isinstance(known, schema.Fluid) and known.ounce == "mass"


def build_lexicon(trade: str, roots: tuple[Path, ...]) -> Lexicon:
    """The lexicon of one trade, made afresh out of these folders, ours first."""
    from narrate.core.lexicon.build import build_lexicon as build  # most starts find it kept, and need no builder

    return build(trade, roots)


def lexicon_files(roots: Iterable[Path]) -> list[Path]:
    """Every file that a lexicon of these folders may be made from, in order."""
    return [path for root in roots for path in yaml_files(root)]


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
            for root in wanted[1]:
                check_folder(root)
            roots = roots_of(wanted[1])
            key = content_key(lexicon_files(roots), trade, finish.__qualname__, *map(str, roots))

            def make() -> Lexicon:
                built = build_lexicon(trade, roots)
                ours = roots[0] == lexicon_root()  # a shop's clash stops the load; for ours there is a test
                own = [clash for clash in built.clashes if not clash.yields and (clash.root or not ours)]
                if own:
                    raise Faulty([clash.fault() for clash in own])
                finish(built)
                _ = built.by_head  # kept with the rest
                return built

            _loaded[wanted] = remember(f"{trade}-{finish.__name__.strip('<>_')}", key, make)
        return _loaded[wanted]


def roots_of(more: tuple[Path, ...]) -> tuple[Path, ...]:
    """The folders that a lexicon is made of: ours, then those laid over it; a whole lexicon takes the place of ours."""
    whole = [root for root in more if is_whole(root)]
    return (whole[-1] if whole else lexicon_root(), *(root for root in more if root not in whole))


def check_folder(root: Path) -> None:
    """Refuse a shop's folder that is none, that holds no lexicon, or a file of it that nothing would read."""
    if not root.is_dir():
        raise NarrateError(
            "there is no such folder.", where=str(root), remedy="Give the folder that holds the shop's words."
        )
    files = list(yaml_files(root))
    if not files:
        raise NarrateError(
            "holds no lexicon.", where=str(root), remedy="Put components.yaml or trades/<trade>/ into it."
        )
    for fault in strays(root, files):
        raise fault.error()


def strays(root: Path, files: Iterable[Path]) -> Iterable[Fault]:
    """Files of a folder that nothing reads: misnamed, or of a trade that there is not."""
    known = frozenset(trades((root,)))
    for path in files:
        parts = path.relative_to(root).parts
        kind = kind_of(root, path)
        if path.suffix != ".yaml":
            yield Fault(path, 0, 0, "is read by nothing: its name does not end in .yaml.", "Rename it.")
        elif parts[0] == "trades" and len(parts) > 2 and parts[1] not in known:
            yield Fault(
                path,
                0,
                0,
                f"is read by nothing: no trade is called “{parts[1]}”.",
                f"Known: {', '.join(sorted(known))}; a new trade needs a trade.yaml.",
            )
        elif kind is None and not (parts[0] == "common" and is_whole(root)):
            yield Fault(
                path, 0, 0, "is read by nothing: no file of a lexicon is called so.", "See the lexicon's guide."
            )
        elif kind is not None and kind.ours and not _same_as_ours(root, path):
            yield Fault(
                path, 0, 0, "cannot be laid over ours: units and numbers are the same in every shop.", "Take it out."
            )


def _same_as_ours(root: Path, path: Path) -> bool:
    """Whether a file that the stages read from our folder alone says what ours says, as in a copy of the whole."""
    ours = lexicon_root() / path.relative_to(root)
    return ours == path or (ours.is_file() and ours.read_bytes() == path.read_bytes())
