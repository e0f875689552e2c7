"""Quantities -> the measures that leave the program, with the words they rest on and their SI value."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from narrate.core.handoffs import Label, Quantity, Token
from narrate.core.records import Evidence, Measure
from narrate.core.units import known, to_si

NOMINAL = frozenset(("drive", "rating", "nominal"))  # labels that hold a measure: the size of a drive, a rated current


def to_measure(
    quantity: Quantity,
    tokens: Sequence[Token],
    narrative: str,
    evidence: tuple[Evidence, ...] | None = None,
    difference: bool = False,
) -> Measure:
    """The measure of one quantity, its words as `text`. Evidence not given is the quantity's own words and those of the
    values that it replaced. `difference` is for temperatures that are told apart from each other (superheat)."""
    span = (quantity.first, quantity.last)
    spans = (span, *quantity.replaced)
    return Measure(
        low=float(quantity.low),
        high=float(quantity.high),
        unit=quantity.unit,
        approximate=quantity.approximate,
        bound=quantity.bound,
        text=words_of(tokens, narrative, span),
        si=to_si(quantity.low, quantity.high, quantity.unit, difference=difference) if known(quantity.unit) else None,
        state="retracted" if quantity.retracted else "done",
        evidence=evidence if evidence is not None else tuple(evidence_of(tokens, narrative, s) for s in sorted(spans)),
    )


def label_measure(label: Label, tokens: Sequence[Token], narrative: str) -> Measure | None:
    """The measure that a label holds ("3/8 drive", "15 amp fuse"); None for one that holds none."""
    if label.kind not in NOMINAL:
        return None
    ends, _, unit = label.text.rpartition(" ")
    low, _, high = ends.partition("..")
    if not known(unit):
        return None
    try:
        values = (Fraction(low), Fraction(high or low))
    except ValueError:
        return None
    span = (label.first, label.last)
    return Measure(
        low=float(values[0]),
        high=float(values[1]),
        unit=unit,
        text=words_of(tokens, narrative, span),
        si=to_si(*values, unit),
        evidence=(evidence_of(tokens, narrative, span),),
    )


def all_measures(
    quantities: Sequence[Quantity], labels: Sequence[Label], tokens: Sequence[Token], narrative: str
) -> tuple[Measure, ...]:
    """Every quantity said, in order of place: those measured, those counted, and the nominal ones that name a thing."""
    out = [(q.first, to_measure(q, tokens, narrative)) for q in quantities if q.unit]
    for label in labels:
        measure = label_measure(label, tokens, narrative)
        if measure is not None:
            out.append((label.first, measure))
    out.sort(key=lambda pair: pair[0])
    return tuple(measure for _, measure in out)


def words_of(tokens: Sequence[Token], narrative: str, span: tuple[int, int]) -> str:
    return narrative[tokens[span[0]].start : tokens[span[1] - 1].end]


def evidence_of(tokens: Sequence[Token], narrative: str, span: tuple[int, int]) -> Evidence:
    start, end = tokens[span[0]].start, tokens[span[1] - 1].end
    return Evidence(start=start, end=end, quote=narrative[start:end])
