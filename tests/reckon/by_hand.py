"""Facts made by hand: what the reading stages would hand on, so that steps are tested apart from the reading.

A narrative is a list of clauses, each a text and the state it is told in; facts name the words they rest on.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction
from typing import Any

from narrate.core.handoffs import Act, Clause, Facts, Fitted, Measured, Moved, Noted, Quantity, UnitUnderWork
from narrate.core.lexicon.procedures import ProceduresFile
from narrate.core.lexicon.schema import Thing, Verb
from narrate.core.records import Evidence
from narrate.core.tokens import split_words
from narrate.reckon.evidence import RuleBook, build_book

THINGS = {
    t.id: t
    for t in (
        Thing(id="vacuum-gauge", name="vacuum gauge", say=("vacuum gauge",), kind="tool"),
        Thing(id="pad", name="brake pad", say=("brake pad", "pads")),
        Thing(id="compressor", name="compressor", say=("compressor",)),
        Thing(id="drier", name="drier", say=("drier",)),
        Thing(id="wiper", name="wiper motor", say=("wiper motor",)),
        Thing(id="o-ring", name="O-ring", say=("o ring",), kind="seal", within=("seal",)),
        Thing(id="seal", name="seal", say=("seal",), kind="seal"),
        Thing(id="lug-nut", name="lug nut", say=("lug nut", "lug"), kind="fastener"),
        Thing(id="gas", name="refrigerant", say=("refrigerant",), kind="fluid"),
    )
}
VERBS = (
    Verb(id="replace", name="replace", say=("replace",), fits=True),
    Verb(id="hold", name="hold", say=("hold",)),
    Verb(id="torque", name="torque", say=("torque",)),
    Verb(id="test", name="test", say=("test",)),
)


def book(*files: Mapping[str, Any]) -> RuleBook:
    """The rules of a small trade, from procedures as plain values."""
    return build_book([ProceduresFile.model_validate(f) for f in files], [], THINGS, VERBS)


class Telling:
    """A narrative in the making: clauses first, then facts by the words that they rest on."""

    def __init__(self, *clauses: str | tuple[str, str]) -> None:
        told = [(c, "done") if isinstance(c, str) else c for c in clauses]
        self.text = ". ".join(text for text, _ in told) + "."
        self.tokens = split_words(self.text)
        self.clauses: list[Clause] = []
        first = 0
        for index, (_, state) in enumerate(told):
            last = next(i for i in range(first, len(self.tokens)) if self.tokens[i].text == ".") + 1
            self.clauses.append(Clause(index, first, last, state=state, sentence=index))  # type: ignore[arg-type]
            first = last
        self.facts: dict[str, list[Any]] = {"acts": [], "fitted": [], "moved": [], "measured": [], "noted": []}

    def _place(self, words: str) -> tuple[int, tuple[tuple[int, int], ...], str]:
        start = self.text.index(words)
        clause = next(c for c in self.clauses if self.tokens[c.last - 1].end > start)
        return clause.index, ((start, start + len(words)),), clause.state

    def act(self, verb: str, thing: str | None, words: str) -> Telling:
        clause, spans, state = self._place(words)
        self.facts["acts"].append(Act(verb, thing, None, state, clause, spans))  # type: ignore[arg-type]
        return self

    def part(
        self, thing: str, words: str, position: str | None = None, count: int | None = 1, new: bool = True
    ) -> Telling:
        clause, spans, state = self._place(words)
        quantity = None if count is None else Fraction(count)
        self.facts["fitted"].append(
            Fitted(thing, thing, quantity, "each", position, "new" if new else None, None, state, clause, spans)  # type: ignore[arg-type]
        )
        return self

    def moved(self, way: str, thing: str, amount: int, unit: str, words: str) -> Telling:
        clause, spans, state = self._place(words)
        self.facts["moved"].append(Moved(thing, thing, way, _quantity(amount, unit), state, clause, spans))  # type: ignore[arg-type]
        return self

    def read(
        self, what: str, thing: str | None, amount: int, unit: str, words: str, position: str | None = None
    ) -> Telling:
        clause, spans, state = self._place(words)
        self.facts["measured"].append(
            Measured(what, None, thing, position, _quantity(amount, unit), state, clause, spans)  # type: ignore[arg-type]
        )
        return self

    def noted(self, kind: str, words: str) -> Telling:
        clause, spans, _ = self._place(words)
        self.facts["noted"].append(Noted(kind, clause, spans))  # type: ignore[arg-type]
        return self

    def done(self, unit: UnitUnderWork | None = None) -> Facts:
        clause_of = tuple(c.index for c in self.clauses for _ in range(c.first, c.last))
        return Facts(
            narrative=self.text,
            tokens=self.tokens,
            clauses=tuple(self.clauses),
            clause_of=clause_of,
            hits=(),
            labels=(),
            sized=(),
            deferred=(),
            unit=unit or UnitUnderWork(),
            **{k: tuple(v) for k, v in self.facts.items()},
        )


def _quantity(amount: int, unit: str) -> Quantity:
    return Quantity(Fraction(amount), Fraction(amount), unit, 0, 1)


def quoted(text: str) -> Any:
    """Evidence of character spans in a text, as the ledgers make it."""

    def quote(spans: Sequence[tuple[int, int]]) -> tuple[Evidence, ...]:
        return tuple(Evidence(start=a, end=b, quote=text[a:b]) for a, b in dict.fromkeys(spans))

    return quote
