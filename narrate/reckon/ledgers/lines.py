"""Facts -> records: parts, amounts, readings, sizes, actions, findings, deferred work; and how evidence is made."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from narrate.core import records
from narrate.core.handoffs import Facts, Passage, Quantity
from narrate.core.lexicon.lexicon import Lexicon
from narrate.core.units import to_si


class Evidencer:
    """Spans of the narrative -> evidence, with the time in the recording where the source is timed.

    Many lines rest on the same words: a span becomes evidence once, and all share it.
    """

    def __init__(self, passage: Passage) -> None:
        self.text = passage.narrative
        self.times = sorted(passage.times, key=lambda t: t.start)
        self.starts = [t.start for t in self.times]
        self._made: dict[tuple[int, int], records.Evidence] = {}

    def __call__(self, spans: Iterable[tuple[int, int]]) -> tuple[records.Evidence, ...]:
        made = self._made
        return tuple([made[span] if span in made else self._make(span) for span in dict.fromkeys(spans)])

    def _make(self, span: tuple[int, int]) -> records.Evidence:
        start, end = span
        one = records.Evidence(start=start, end=end, quote=self.text[start:end], time_s=self.time_of(start))
        self._made[span] = one
        return one

    def time_of(self, at: int) -> float | None:
        i = bisect_right(self.starts, at) - 1
        return self.times[i].from_s if i >= 0 and at < self.times[-1].end else None  # what was added later has no time


@dataclass(frozen=True, slots=True)
class Lines:
    parts: tuple[records.Part, ...]
    amounts: tuple[records.Amount, ...]
    readings: tuple[records.Reading, ...]
    sizes: tuple[records.Size, ...]
    actions: tuple[records.Action, ...]
    findings: tuple[records.Finding, ...]
    deferred: tuple[records.Deferred, ...]
    labour: tuple[records.Labour, ...]
    unknown: tuple[records.Unknown, ...]


def measure_of(quantity: Quantity, facts: Facts, quote: Evidencer) -> records.Measure:
    """A quantity as a record: in its own unit as said, and in SI."""
    start, end = facts.tokens[quantity.first].start, facts.tokens[quantity.last - 1].end
    return records.Measure(
        low=float(quantity.low),
        high=float(quantity.high),
        unit=quantity.unit,
        approximate=quantity.approximate,
        bound=quantity.bound,
        text=facts.narrative[start:end],
        si=to_si(quantity.low, quantity.high, quantity.unit),
        state="retracted" if quantity.retracted else "done",
        evidence=quote([(start, end)]),
    )


def write_lines(facts: Facts, lexicon: Lexicon, quote: Evidencer, jobs: Mapping[tuple[str, int], str]) -> Lines:
    """The ledgers of one narrative; `jobs` tells, by kind of fact and its index, which job it belongs to."""
    text = facts.narrative
    parts = tuple(
        records.Part(
            id=f.thing,
            name=f.name,
            quantity=None if f.quantity is None else float(f.quantity),
            unit=f.unit,
            position=f.position,
            condition=f.condition,
            number=f.number,
            state=f.state,
            job=jobs.get(("fitted", i)),
            evidence=quote(f.spans),
        )
        for i, f in enumerate(facts.fitted)
    )
    amounts = tuple(
        records.Amount(
            id=m.thing,
            substance=m.name,
            direction=m.direction,
            measure=measure_of(m.quantity, facts, quote),
            state=m.state,
            job=jobs.get(("moved", i)),
            evidence=quote(m.spans),
        )
        for i, m in enumerate(facts.moved)
    )
    readings = tuple(
        records.Reading(
            what=r.what,
            subject=_subject(r.subject, r.position),
            measure=measure_of(r.quantity, facts, quote),
            state=r.state,
            job=jobs.get(("measured", i)),
            evidence=quote(r.spans),
        )
        for i, r in enumerate(facts.measured)
    )
    sizes = tuple(
        records.Size(
            subject=s.subject,
            measure=measure_of(s.quantity, facts, quote) if s.quantity else None,
            text=s.text,
            evidence=quote(s.spans),
        )
        for s in facts.sized
    )
    actions = tuple(
        records.Action(
            verb=lexicon.verbs[a.verb].name,
            component=lexicon.things[a.thing].name if a.thing else None,
            id=a.thing,
            position=a.position,
            state=a.state,
            job=jobs.get(("acts", i)),
            evidence=quote(a.spans),
        )
        for i, a in enumerate(facts.acts)
    )
    findings = tuple(
        records.Finding(text=_named(_joined(text, n.spans), n.things, lexicon), kind=n.kind, evidence=quote(n.spans))
        for n in facts.noted
    )
    deferred = tuple(
        records.Deferred(text=_named(_joined(text, d.spans), d.things, lexicon), kind=d.kind, evidence=quote(d.spans))
        for d in facts.deferred
    )
    labour = tuple(
        records.Labour(measure=measure_of(t.quantity, facts, quote), basis="said", evidence=quote(t.spans))
        for t in facts.labour
        if t.state == "done"
    )
    unknown = tuple(
        records.Unknown(text=e[0].quote, evidence=e)
        for e in (quote([(facts.tokens[a].start, facts.tokens[b - 1].end)]) for a, b in facts.unknown)
    )
    return Lines(parts, amounts, readings, sizes, actions, findings, deferred, labour, unknown)


def _subject(subject: str | None, position: str | None) -> str | None:
    if subject and position and position not in subject:
        return f"{subject}, {position}"
    return subject or position


def _named(text: str, things: Sequence[str], lexicon: Lexicon) -> str:
    """The words, with the parts' full names before them where the words only shorten them ("eng air fltr dirty")."""
    low = text.lower().replace("-", " ")
    names = [lexicon.things[t].name for t in things[:3]]
    missing = [n for n in names if not all(w in low for w in n.lower().replace("-", " ").split())]
    return f"{', '.join(missing)}: {text}" if missing else text


def _joined(text: str, spans: Sequence[tuple[int, int]]) -> str:
    return " … ".join(" ".join(text[a:b].split()) for a, b in sorted(dict.fromkeys(spans)))
