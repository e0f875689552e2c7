"""Steps that no words can meet: each way to meet them names what nobody can say."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from narrate.core.lexicon.lexicon import Lexicon
from narrate.core.lexicon.plain_yaml import Fault
from narrate.core.lexicon.procedures import Clue
from narrate.reckon.evidence import Planned, RuleBook


def steps_beyond_words(lexicon: Lexicon, book: RuleBook) -> Iterator[Fault]:
    """A fault for each step, told once, of which no clue can be met by anything that the lexicon lets one say."""
    search = _Search(lexicon)
    told: set[tuple[str, str]] = set()
    for job, planned in book.steps.items():
        for step in search.unmet(planned):
            kind, entry = ("module", step.module) if step.module else ("job", job)
            if (entry, step.rule.id) in told:
                continue
            told.add((entry, step.rule.id))
            path, line, column = lexicon.place(kind, entry, step.rule.id)
            what = f"in {entry}, {step.rule.id}: no words can meet this step."
            yield Fault(path, line, column, what, "Give it a clue of words that can be said.")


class _Search:
    def __init__(self, lexicon: Lexicon) -> None:
        self.lexicon = lexicon
        said = {
            entry for _, owners in lexicon.index.phrases() for layer, entry in owners if not layer.startswith("unless")
        }
        self.things = {wider for thing in lexicon.things if thing in said for wider in lexicon.wider(thing)}
        self.subjects = lexicon.subjects.keys()
        self.verbs = {verb for verb in lexicon.verbs if verb in said}

    def unmet(self, planned: Iterable[Planned]) -> list[Planned]:
        """Steps may rest on one another: those are met that rest on words, then those that rest on these, and so on."""
        left = list(planned)
        met: set[str] = set()
        while True:
            now = [p for p in left if any(self.can(clue, met) for clue in _ways(p))]
            if not now:
                return left
            met |= {p.rule.id for p in now}
            left = [p for p in left if p not in now]

    def can(self, clue: Clue, steps: set[str]) -> bool:
        """Whether some words can meet a clue, given the steps that words can meet."""
        kind = clue.kind
        if kind == "act":
            on = not clue.on or not self.things.isdisjoint(clue.on) or not self.subjects.isdisjoint(clue.on)
            return on and not self.verbs.isdisjoint(clue.act)
        if kind in ("part", "mentioned"):
            named = getattr(clue, kind)
            return not self.things.isdisjoint(named) or not self.subjects.isdisjoint(named)
        if kind == "amount":
            return not clue.of or not self.things.isdisjoint(clue.of)
        if kind == "reading":
            return not clue.of or not self.things.isdisjoint(clue.of) or not self.subjects.isdisjoint(clue.of)
        if kind == "step":
            return not steps.isdisjoint(clue.step)
        if kind in ("all", "together"):
            return all(self.can(inner, steps) for inner in getattr(clue, kind))
        if kind == "any":
            return any(self.can(inner, steps) for inner in clue.any)
        return True


def _ways(planned: Planned) -> tuple[Clue, ...]:
    return (*planned.rule.met_by, *(clue for value in planned.rule.values for clue in value.by))
