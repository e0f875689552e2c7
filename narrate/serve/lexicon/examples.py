"""The examples that entries bring -> those that fail: each is heard by the whole lexicon, as a narrative would be."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

from narrate.core.lexicon.lexicon import Lexicon
from narrate.core.lexicon.plain_yaml import Fault
from narrate.core.lexicon.schema import Example
from narrate.core.tokens import split_words

_LAYERS = {"thing": ("thing", "fluid"), "reading": ("reading",), "verb": ("verb",), "cue": ("cue",)}


def failing_examples(lexicon: Lexicon, done: set[tuple[str, str, str]] | None = None) -> Iterator[Fault]:
    """A fault for each example that does not find what it says, or finds what it must not.

    An entry is heard in the trade that it stands in: one that builds on it may say the same words in its own sense.
    `done` are the examples heard already, as of the common files, which stand in every trade.
    """
    kinds: dict[str, Sequence[tuple[str, tuple[Example, ...]]]] = {
        "thing": [(t.id, t.examples) for t in lexicon.things.values()],
        "reading": [(s.id, s.examples) for s in lexicon.subjects.values()],
        "verb": [(v.id, v.examples) for v in lexicon.verbs.values()],
        "cue": [(c.id, c.examples) for c in lexicon.cues.values()],
    }
    seen = done if done is not None else set()
    for kind, entries in kinds.items():
        for entry, examples in entries:
            for example in examples:
                mark = (lexicon.origin.get(f"{kind}:{entry}", ("",))[-1], entry, example.hear)
                if mark in seen or not _stands_in(Path(mark[0]), lexicon):
                    continue
                seen.add(mark)
                found = {h.id: h for h in lexicon.find(split_words(example.hear)) if h.layer in _LAYERS[kind]}
                fails = entry in found if example.find == "none" else example.find not in found
                if fails:
                    yield _fault(lexicon, kind, entry, example, sorted(found))


def _stands_in(path: Path, lexicon: Lexicon) -> bool:
    parts = path.parts
    return "trades" not in parts or parts[parts.index("trades") + 1] == lexicon.id


def _fault(lexicon: Lexicon, kind: str, entry: str, example: Example, found: list[str]) -> Fault:
    path, line, column = lexicon.place(kind, entry, None, example.hear)
    heard = ", ".join(found) or "nothing"
    if example.find == "none":
        remedy = "Add the words that it stands in to its `unless`."
        return Fault(path, line, column, f"in {entry}: “{example.hear}” must not find it, and does.", remedy)
    remedy = f'“narrate lexicon try "{example.hear}"” shows what was read.'
    return Fault(path, line, column, f"in {entry}: “{example.hear}” finds {heard}, not {example.find}.", remedy)
