"""Refrigerant charged, and recovered, against what the label was said to ask for.

Only a whole charge is held to the label: after a recovery or an evacuation. A top-up says nothing of what is in it, and a
label for another refrigerant (a retrofit) is no measure of this one.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from narrate.core import records
from narrate.core.handoffs import Facts, Moved, Spans
from narrate.core.intervals import Interval, total
from narrate.core.lexicon.lexicon import Lexicon
from narrate.core.lexicon.vague import BalanceRule
from narrate.core.units import dimension, scale, with_unit
from narrate.core.vague import interval_of
from narrate.reckon.reconcile.published import limits_file

_WHOLE = frozenset(("evacuate", "recover"))  # verbs after which what goes in is the whole charge
Quote = Callable[[Spans], tuple[records.Evidence, ...]]


@dataclass(frozen=True, slots=True)
class Charged:
    """What the comparison came to, and the question that it raises."""

    lines: tuple[str, ...]
    gaps: tuple[records.Gap, ...] = ()

    def note(self, balance: records.Balance) -> records.Balance:
        """The balance with the comparison on it."""
        reason = f"{balance.reason} {self.lines[0]}."
        return balance.model_copy(update={"reason": reason, "reasoning": (*balance.reasoning, *self.lines)})


def judge_charge(
    moved: Sequence[tuple[Moved, Interval]], facts: Facts, lexicon: Lexicon, rule: BalanceRule, quote: Quote
) -> Charged | None:
    """The charge against the label; None where no label was said, or two that differ."""
    labels = [
        one for one in facts.specified
        if one.what == "capacity" and dimension(one.quantity.unit) == "mass" and lexicon.by_mass(one.thing)
    ]  # fmt: skip
    if not labels or rule.label is None:
        return None
    asked = [interval_of(one.quantity) for one in labels]
    if any(other != asked[0] for other in asked) or asked[0].low <= 0:
        return None
    label, unit = asked[0], labels[0].quantity.unit
    said = f"the label asks for {_text(label, unit)}"
    lines = []
    ins = [(m, span) for m, span in moved if m.direction == "in"]
    outs = total(span for m, span in moved if m.direction == "out")
    if outs is not None:
        lines.append(
            f"recovered {_text(outs, unit)} of {_text(label, unit)} by the label, {float(100 * outs.low / label.top):.0f} %"
        )
    into = total(span for _, span in ins)
    kinds = {h.id for h in facts.hits if h.layer == "fluid" and h.id in limits_file().pressure.fluids}
    whole = any(a.verb in _WHOLE and a.state == "done" for a in facts.acts)
    if into is None or not whole or len(kinds) > 1:
        why = (
            "no charge was told"
            if into is None
            else "more than one kind is told of"
            if len(kinds) > 1
            else "a top-up does not tell the whole charge"
        )
        return Charged((f"{said}; not compared, {why}", *lines))
    play = Fraction(rule.label.partition(" ")[0]) / 100 * label.top
    where = f"charged {_text(into, unit)}, {said}, within {rule.label} ({rule.source})"
    if into.high is None or (into.low <= label.top + play and into.high >= label.low - play):
        return Charged((f"{said}, and {_text(into, unit)} went in", *lines, where))
    more = "more" if into.low > label.top else "less"
    gap = records.Gap(
        step="balance: charge against the label", kind="imbalance", severity="should",
        message=f"The charge, {_text(into, unit)}, is {more} than the label asks for, {_text(label, unit)}.",
        question=f"{_text(into, unit)} went in and the label says {_text(label, unit)}: is the amount right, and why so?",
        reasoning=(where, *lines),
        evidence=quote((*(m.spans[0] for m, _ in ins), labels[0].spans[0])),
    )  # fmt: skip
    return Charged(
        (f"{_text(into, unit)} went in, {more} than the label asks for, {_text(label, unit)}", *lines, where), (gap,)
    )


def _text(interval: Interval, unit: str) -> str:
    factor = scale(unit).factor
    low, high = float(interval.low / factor), float(interval.top / factor)
    return with_unit(f"{low:.4g}" if low == high else f"{low:.4g} to {high:.4g}", unit)
